package locales

import (
	"strconv"

	"duskdawn/flows"
)

// asked is how a field is named in keys and how its values are labelled.
type asked struct {
	name string // the question's key is "field.<name>", a label's "label.<name>..."
	kind kind
}

// kind says what the values of a field are.
type kind uint8

const (
	choice  kind = iota // a text per value: "label.worn.2"
	number              // one text with {{.n}}: "label.pain"
	minutes             // one text with {{.time}}: "label.guideminutes"
)

// fields says how each field is asked. A field that is missing here has no
// label, which a test refuses.
var fields = [flows.NumFields]asked{
	flows.Worn:         {"worn", choice},
	flows.WornMinutes:  {"wornminutes", minutes},
	flows.NotWorn:      {"notworn", choice},
	flows.Snoring:      {"snoring", number},
	flows.Reporter:     {"reporter", choice},
	flows.Pain:         {"pain", number},
	flows.Woken:        {"woken", choice},
	flows.Where:        {"where", choice},
	flows.Gone:         {"gone", choice},
	flows.Guide:        {"guide", choice},
	flows.GuideMinutes: {"guideminutes", minutes},
	flows.Bite:         {"bite", choice},
	flows.BiteMinutes:  {"biteminutes", minutes},
	flows.Nose:         {"nose", choice},
	flows.Sleepiness:   {"sleepiness", number},
	flows.Driving:      {"driving", choice},
	flows.Pauses:       {"pauses", choice},
	flows.Headache:     {"headache", choice},
	flows.SettingLeft:  {"settingleft", number},
	flows.SettingRight: {"settingright", number},
	flows.Wrong:        {"wrong", choice},
}

// words names the control words in keys ("word.undo"), and in the reading
// dictionaries.
var words = map[flows.Word]string{
	flows.WordStart: "start", flows.WordToday: "today", flows.WordHelp: "help", flows.WordUndo: "undo",
	flows.WordSkip: "skip", flows.WordPause: "pause", flows.WordResume: "resume", flows.WordStop: "stop",
	flows.WordCall: "call", flows.WordHow: "how", flows.WordYes: "yes", flows.WordNo: "no",
	flows.WordDiary: "diary", flows.WordData: "data", flows.WordLeave: "leave", flows.WordLanguage: "language",
	flows.WordStands: "stands", flows.WordStill: "still", flows.WordWrong: "wrong", flows.WordNotNow: "notnow",
	flows.WordQueue: "queue", flows.WordFind: "find", flows.WordEnrol: "enrol", flows.WordPatients: "patients",
	flows.WordHold: "hold", flows.WordCancel: "cancel", flows.WordBack: "back", flows.WordDone: "done",
	flows.WordBlank: "blank", flows.WordThanks: "thanks", flows.WordHello: "hello",
	flows.WordLost: "lostcount",
}

// FieldKey is the key of a field's name ("field.pain": "pain").
func FieldKey(f flows.Field) string {
	if f >= flows.NumFields {
		return ""
	}
	return "field." + fields[f].name
}

// AnswerKey is the key of a choice's label ("label.worn.2"), or of a number's
// ("label.pain", with the value n or time).
func AnswerKey(f flows.Field, v flows.Value) string {
	if f >= flows.NumFields {
		return ""
	}
	key := "label." + fields[f].name
	if fields[f].kind == choice || f == flows.BiteMinutes && v.Is(flows.BiteNot) {
		key += "." + strconv.Itoa(v.N())
	}
	return key
}

// WordKey is the key of a control word ("word.undo").
func WordKey(w flows.Word) string { return "word." + words[w] }

// Label writes a quick answer. It is a piece of the one-line day that names
// its question, so Read gives back the question and the value, whichever
// question is open by then.
func (w *Words) Label(lang string, c flows.Choice) string {
	if lang == KeyLang { // talks type what stands on the buttons
		lang = Source
	}
	s := w.Line(lang, labelLine(c))
	if c.Guide != flows.Unknown {
		s += ", " + w.Line(lang, labelLine(flows.Choice{Field: flows.Guide, Value: c.Guide}))
	}
	if c.Bite != flows.Unknown {
		s += ", " + w.Line(lang, labelLine(flows.Choice{Field: flows.Bite, Value: c.Bite}))
	}
	return s
}

func labelLine(c flows.Choice) flows.Line {
	switch {
	case c.Word == flows.WordHow && c.Topic != flows.NoTopic && c.Topic < flows.NumTopics:
		return flows.Say("topic." + c.Topic.String())
	case c.Word == flows.WordStands, c.Word == flows.WordStill:
		return flows.Say(WordKey(c.Word), flows.ArgN("n", int(c.N)))
	case c.Word != flows.NoWord:
		return flows.Say(WordKey(c.Word))
	case c.Value == flows.Skipped:
		return flows.Say("label.skip", flows.ArgK("question", FieldKey(c.Field)))
	case c.Field < flows.NumFields && fields[c.Field].kind == minutes:
		return flows.Say(AnswerKey(c.Field, c.Value), flows.Arg{Name: "time", Kind: flows.ArgMinutes, N: int64(c.Value.N())})
	}
	return flows.Say(AnswerKey(c.Field, c.Value), flows.ArgN("n", c.Value.N()))
}

// learnLabels teaches Read the labels of all languages word by word: a label
// is exactly its answer, whatever else its words could mean. Labels with a
// length of time or a setting in them are left to the grammar: they are many,
// and plain.
func (w *Words) learnLabels() {
	for _, lang := range w.langs {
		for _, c := range fixedChoices() {
			text := string(trim(fold(nil, w.Label(lang, c))))
			r := flows.Reading{Lang: lang, Word: c.Word, Topic: c.Topic}
			if c.Word == flows.NoWord {
				r.Tokens = []flows.Token{{Field: c.Field, Value: c.Value}}
			}
			if old, ok := w.dict.exact[text]; ok && old.Lang != lang {
				r.Lang = ""
			}
			w.dict.exact[text] = r
		}
	}
}

// span is the values that a field's labels may have, from and to.
type span struct{ from, to int }

// spans are the values with a label of their own; a field that is missing has
// none.
var spans = [flows.NumFields]span{
	flows.Worn: {flows.WornNo, flows.WornAll}, flows.NotWorn: {flows.ReasonForgot, flows.ReasonNotKnown},
	flows.Snoring: {0, 10}, flows.Reporter: {flows.ReporterPartner, flows.ReporterNobody}, flows.Pain: {0, 10},
	flows.Woken: {flows.No, flows.Yes}, flows.Where: {flows.SiteJoint, flows.SiteOther}, flows.Gone: {flows.GoneMorning, flows.GoneNo},
	flows.Guide: {flows.No, flows.Yes}, flows.Bite: {flows.BiteBoth, flows.BiteUnsure}, flows.BiteMinutes: {flows.BiteNot, flows.BiteNot},
	flows.Nose: {flows.No, flows.Yes}, flows.Sleepiness: {0, 10}, flows.Driving: {flows.DrivingNo, flows.DrivingNoDrive},
	flows.Pauses: {flows.No, flows.Yes}, flows.Headache: {flows.No, flows.Yes}, flows.Wrong: {flows.No, flows.Yes},
}

// fixedChoices lists the quick answers whose labels hold no length of time and
// no setting.
func fixedChoices() []flows.Choice {
	var out []flows.Choice
	for f := flows.Worn; f < flows.NumFields; f++ {
		if s := spans[f]; s != (span{}) {
			for n := s.from; n <= s.to; n++ {
				out = append(out, flows.Choice{Field: f, Value: flows.Num(n)})
			}
		}
		out = append(out, flows.Choice{Field: f, Value: flows.Skipped})
	}
	for word := flows.WordStart; word <= flows.WordHello; word++ {
		if word != flows.WordStands && word != flows.WordStill {
			out = append(out, flows.Choice{Word: word})
		}
	}
	for t := flows.HowPutIn; t < flows.NumTopics; t++ {
		out = append(out, flows.Choice{Word: flows.WordHow, Topic: t})
	}
	return out
}
