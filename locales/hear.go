package locales

import (
	"bytes"
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
	"duskdawn/locales/danger"
	"duskdawn/locales/fold"
)

// rowDangers are the dangers of those rows of the flag table that are raised by words and have another name.
var rowDangers = map[string]reading.Danger{
	"crisis": reading.DangerSelfHarm, "jaw.airway": reading.DangerJawOpen, "tooth.painful": reading.DangerToothBroken,
	"mouth.rash": reading.DangerRash, "driving.crash": reading.DangerDriveAsleep, "tooth.gap": reading.DangerToothLoose,
}

// Hear says how likely a text says each danger, as the net hears it.
func (w *Words) Hear(text string) danger.Hearing {
	var buf [512]byte
	return w.nets.Dangers.Hear(fold.Text(buf[:0], clip(text)))
}

// Why lists what in a text carries a danger, the weightiest first, at most so many.
func (w *Words) Why(text string, d reading.Danger, most int) []danger.Reason {
	return w.nets.Dangers.Why(fold.Text(nil, clip(text)), d, most)
}

// clip cuts a text to what is read of it.
func clip(text string) string { return text[:min(len(text), maxRead)] }

// flagDangers are the dangers that the flag table takes from the features of a text.
func flagDangers(features reading.Features) (all reading.Dangers) {
	if features == 0 {
		return 0
	}
	rows := redflag.Rows()
	for i := range rows {
		row := &rows[i]
		if row.SaidBy(features) == 0 {
			continue
		}
		if d, ok := rowDangers[row.ID]; ok {
			all |= reading.SetOf(d)
		} else if d, ok := reading.DangerNamed(row.ID); ok {
			all |= reading.SetOf(d)
		}
	}
	return all
}

// understood says how much of a text the grammar took in.
func understood(r *reading.Reading) reading.Understanding {
	switch {
	case r.Word != reading.NoWord, r.Code != "", r.Why != "", r.Bare.Known():
		if !r.Rest {
			return reading.InFull
		}
		return reading.InPart
	case len(r.Tokens) > 0 && !r.Rest && r.Doubt == reading.NoDoubt:
		return reading.InFull
	case len(r.Tokens) > 0 || r.Doubt != reading.NoDoubt || r.Features != 0:
		return reading.InPart
	}
	return reading.NotUnderstood
}

// judge sets what dangers a text says, surely or not, by the grammar and the net together, and takes back answers that
// are not to be trusted. What the grammar takes in as a label, a command or a code needs no hearing.
func (w *Words) judge(text string, r *reading.Reading, l *left) {
	defer severe(r)
	if w.short(text, r, l) {
		return
	}
	var buf [512]byte
	if r.Understood == reading.InFull && r.Features == 0 && (len(r.Tokens) == 0 || l.label) {
		if r.Word == reading.WordHow && !l.label { // of two cards the one that the question has of its own
			if topic := w.dict.card(fold.Text(buf[:0], text)); topic != reading.NoTopic {
				r.Topic = topic
			}
		}
		if !l.label && (r.Word == reading.NoWord || r.Word == reading.WordHow) && !r.Bare.Known() && r.Code == "" && r.Why == "" {
			h := w.nets.Dangers.Hear(fold.Text(buf[:0], text))
			w.urgent(r, &h)
		}
		return
	}
	b := fold.Text(buf[:0], text)
	h := w.nets.Dangers.Hear(b)
	r.Hedges = h.Hedges
	if r.Understood != reading.InFull || r.Features != 0 {
		said := flagDangers(r.Features)
		r.Sure, r.Unsure = w.nets.Dangers.Judge(&h, said)
		ask := turnedWrong | selfHarm // the one asks for the count, no more; of the other nobody jests lightly
		if l.pos.has(cISwallowed) {
			ask |= pieceMissing
		}
		if r.Hedges&reading.HedgeTale != 0 && said.Of('E') == 0 { // an animal, a film: asked about
			seen := r.Sure.Of('E') &^ childPart
			r.Sure, r.Unsure = r.Sure&^seen, r.Unsure|seen
		}
		if other := r.Hedges &^ (reading.HedgeOther | reading.HedgeNot); r.Hedges&reading.HedgeOther != 0 &&
			(other == 0 && h.Any() >= beside || other&^reading.HedgeQuestion == 0 && l.unknown <= fewUnknown) {
			ask |= said.Of('E') // somebody beside the writer, now
		}
		if h.Class('E') >= beside { // the net hears something of it, too
			ask |= said.Of('E')
		}
		phrases(r, said, ask, l.unknown, h.Class('E'))
		w.dict.kinds(b, r, l, &h)
		if r.Sure.Has(reading.DangerPieceMissing) && l.pos.has(cBroke) && r.Features.Has(reading.FMissing) {
			r.Unsure |= reading.SetOf(reading.DangerPieceAirway) &^ r.Sure // broken off in the mouth, and not found: it may have been breathed in
		}
	} else {
		w.urgent(r, &h)
	}
	r.Calm = h.Any() < calm && r.Lang != "" && (!r.Doubted || h.Any() < calmer || r.Hedges&^reading.HedgePast != 0)
	sure := r.Sure
	if severe(r) { // a number that is asked back has been heard; what begins like a question, or names somebody else, is asked about
		if r.Hedges&(reading.HedgeQuestion|reading.HedgeOther) != 0 && h.Share[reading.DangerPainSevere] < asked {
			r.Sure, r.Unsure = sure, r.Unsure|r.Sure&^sure
		}
	}
	told := b
	if plain := w.dict.plain(text); plain != text {
		told = fold.Text(nil, plain)
	}
	tags := w.nets.Answers.Tag(told)
	l.prose = w.prose.claims(told, &h, &tags)
	trust(&w.nets, r, l, &h, asks(b))
	switch v := l.best(&w.nets, chart.Pain); {
	case !v.Known():
	case v.AtLeast(severePain): // it may be asked back, and was heard
		r.Unsure |= painSevere &^ r.Sure
	case r.Sure&^sure == painSevere: // "the screw at 9, pain 2"
		r.Sure, r.Unsure = sure, r.Unsure|painSevere
	}
	if r.Rest && l.prose.accounts(r, &h) {
		r.Rest, r.Heard = false, true
	}
	r.Rest = r.Rest || r.Understood == reading.InFull && len(r.Tokens) > 0 && l.prose.untaken(r.Tokens)
	if r.Understood == reading.InFull && r.Rest {
		r.Understood = reading.InPart
	}
	if r.Understood == reading.InPart && !r.Rest && r.Doubt == reading.NoDoubt && r.Features == 0 && len(r.Tokens) > 0 {
		r.Understood = reading.InFull // a number that was in doubt was judged
	}
	if r.Understood == reading.NotUnderstood && slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return t.Value.Known() }) {
		r.Understood = reading.InPart
	}
	if r.Understood == reading.NotUnderstood && len(r.Tokens) == 0 && r.Doubt == reading.NoDoubt && !r.Dangerous() && h.Any() < calmer && l.prose.thanks(b) {
		r.Word, r.Understood, r.Rest = reading.WordThanks, reading.InFull, false
	}
	says := len(r.Tokens) > 0 || r.Features != 0 && r.Hedges&reading.HedgeTale == 0
	if r.Rest && r.Calm && says && w.dict.signsIn(b, r.Lang)&signAlarm != 0 { // "pulse 180, pain 0"
		r.Calm = false
	}
	w.dict.question(b, r, &h)
	r.Likeliest = likeliest(&h, r.Unsure)
}

// likeliest is the danger that a net takes for the likeliest, of those that are most urgent.
func likeliest(h *danger.Hearing, ds reading.Dangers) (best reading.Danger) {
	share := float32(-1)
	for _, d := range ds.Of(byte(ds.Class())).All() {
		if h.Share[d] > share {
			best, share = d, h.Share[d]
		}
	}
	return best
}

// urgent adds what the net more likely than not hears in words that the grammar took in one by one: "como un saco" asks nothing about
// taking it out. Beside answers it is asked about.
func (w *Words) urgent(r *reading.Reading, h *danger.Hearing) {
	if h.Class('E')+h.Class('S') < named {
		return
	}
	sure, perhaps := w.nets.Dangers.Judge(h, 0)
	if len(r.Tokens) > 0 {
		sure, perhaps = 0, perhaps|sure
	}
	r.Sure, r.Unsure, r.Hedges = r.Sure|sure, (r.Unsure|perhaps)&^(r.Sure|sure), h.Hedges
}

// calm is how likely the net may take a text to say a danger for it to be small talk: measured on writers that it had
// not seen, so that of harmless texts one in seven is asked about.
const calm = 0.2

// beside is how likely a danger must be for a phrase of an emergency, told of somebody else or amid words that nobody knows, to be asked about; where the text has few
// words that nobody knows it always is, "what do I do" or not.
const (
	beside     = 0.2
	fewUnknown = 2
)

// calmer is the same beside a phrase of the flag table that nothing but the past speaks against.
const calmer = 0.1

// asked is how likely severe pain must be for a score to be heard in what begins like a question.
const asked = 0.3

// named is how likely an emergency must be to be asked about where a phrase says plainly what else it is.
const named = 0.5

// plainly is how likely an emergency must be for a phrase of one to be taken at its word where nothing but somebody else or a "not" is in it.
const plainly = 0.8

// phrases adds the phrases of the flag table to what the net hears. A text whose every word is known and that takes
// nothing back is taken at its word, as is one in which the net hears something too; where something speaks against it,
// it is in doubt; and amid unknown words that the net takes for harmless nine in ten such phrases are, but for those of
// ask.
func phrases(r *reading.Reading, said, ask reading.Dangers, unknown int, emergency float32) {
	if r.Features == 0 {
		return
	}
	heard := r.Sure|r.Unsure != 0
	switch {
	case r.Hedges == 0 && (unknown == 0 || heard && (unknown == 1 || said.Class() == 'N')):
		r.Sure |= said
		least := float32(named)
		if said == turnedWrong { // "tres de golpe" is said of turns and of much else
			least = alone
		}
		if r.Unsure = r.Unsure.Of('E'); emergency < least {
			r.Unsure = 0
		}
	case unknown == 0 || heard:
		r.Unsure |= said
		r.Doubted = true
	default:
		r.Unsure |= said & ask
		r.Doubted = true
	}
	if r.Hedges&^(reading.HedgeNot|reading.HedgeOther) == 0 && emergency >= plainly { // "this is his wife, he cannot breathe"
		r.Sure |= said.Of('E')
	}
	if both := said.Of('E'); both&(both-1) != 0 && r.Hedges&^reading.HedgeNot == 0 {
		r.Sure, r.Doubted = r.Sure|both, false // two emergencies are sure: the net shares out between them what it hears
	}
	r.Unsure &^= r.Sure
}

// asks reports whether a folded text ends in a question mark.
func asks(b []byte) bool {
	b = bytes.TrimRight(b, " .!\n")
	return len(b) > 0 && b[len(b)-1] == '?'
}

// best is the answer to a question that is likelier than not, and than any other.
func (l *left) best(nets *Nets, f chart.Field) (v chart.Answer) {
	share := float32(perhaps)
	for i := range l.candidates {
		if c := &l.candidates[i]; c.Token.Field == f {
			if s := nets.Answers.Verdict(c.Cues); s > share {
				v, share = c.Token.Value, s
			}
		}
	}
	return v
}

var painSevere = reading.SetOf(reading.DangerPainSevere)

// severe adds what a score says by itself, and reports whether one does: pain of 8 and more is severe, however it is told.
func severe(r *reading.Reading) (found bool) {
	for _, t := range r.Tokens {
		if t.Field == chart.Pain && t.Value.AtLeast(severePain) {
			r.Sure |= reading.SetOf(reading.DangerPainSevere)
			r.Unsure &^= r.Sure
			found = true
		}
	}
	return found
}

// severePain is the least score that is called severe: 8 of 10 (common practice, no source).
const severePain = 8
