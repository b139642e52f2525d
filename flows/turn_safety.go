package flows

import (
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// The safety question follows words that were not understood: they may be a
// danger. Its answers are labels, which a platform keeps for a day; each leads
// to a row of the flag table, or to the one thing that sets its class.

const safetyAgain = 3600 // seconds in which it is not asked again

// trouble is one answer to it.
type trouble struct {
	row  string         // of the flag table; empty for none
	ask  string         // key of what sets its class
	next []reading.Word // the answers to that, the most urgent first
}

var troubles = map[reading.Word]trouble{
	reading.WordBreathing: {row: "breath"},
	reading.WordSwelling: {ask: "safety.swelling", next: []reading.Word{reading.WordSwellingThroat,
		reading.WordSwellingCheek}},
	reading.WordSwellingThroat: {row: "swelling.airway"},
	reading.WordSwellingCheek:  {row: "swelling"},
	reading.WordChest:          {row: "chest"},
	reading.WordBleeding: {ask: "safety.bleeding", next: []reading.Word{reading.WordBleedingOn,
		reading.WordBleedingStops}},
	reading.WordBleedingOn:    {row: "bleeding.heavy"},
	reading.WordBleedingStops: {row: "bleeding"},
	reading.WordPart: {ask: "safety.part", next: []reading.Word{reading.WordPartAirway, reading.WordPartMissing,
		reading.WordPartStuck, reading.WordPartBroken}},
	reading.WordPartAirway:  {row: "piece.airway"},
	reading.WordPartMissing: {row: "piece.missing"},
	reading.WordPartStuck:   {row: "stuck"},
	reading.WordPartBroken:  {row: "piece.broken"},
	reading.WordPain: {ask: "safety.pain", next: []reading.Word{reading.WordJawOpen, reading.WordJawLocked,
		reading.WordPainBad}},
	reading.WordJawOpen:   {row: "jaw.open"},
	reading.WordJawLocked: {row: "jaw.locked"},
	reading.WordPainBad:   {row: "pain.severe"},
	reading.WordBite:      {row: "bite.changed"},
	reading.WordDriving: {ask: "safety.driving", next: []reading.Word{reading.WordDrivingAsleep,
		reading.WordDrivingNearly}},
	reading.WordDrivingAsleep: {row: "driving.asleep"},
	reading.WordDrivingNearly: {row: "driving.nearly"},
	reading.WordLow:           {ask: "safety.low", next: []reading.Word{reading.WordLowHarm, reading.WordLowMood}},
	reading.WordLowHarm:       {row: "crisis"},
	reading.WordLowMood:       {row: "lowmood"},
}

// safetyRows are its answers in the order shown.
var safetyRows = [...]reading.Word{reading.WordBreathing, reading.WordSwelling, reading.WordChest, reading.WordBleeding,
	reading.WordPart, reading.WordPain, reading.WordBite, reading.WordDriving, reading.WordLow, reading.WordElse,
	reading.WordNone}

// askSafety asks it, unless it was asked within the hour or something more
// urgent is asked; false where it is not.
func (t *turn) askSafety() bool {
	k := &t.p.Talk
	switch k.Ask {
	case AskDanger, AskWhen, AskWho, AskWorry, AskNow:
		return false
	}
	if t.quiet() || t.hush || k.SafetyAt != 0 && t.now()-k.SafetyAt < safetyAgain {
		return false
	}
	k.Ask, k.AskArg, k.SafetyAt = AskSafety, "", t.now()
	t.say("safety.ask").Choices = labels(safetyRows[:]...)
	return true
}

// safetyAsked reports whether it was asked in this turn: nothing else is asked behind it.
func (t *turn) safetyAsked() bool { return t.p.Talk.Ask == AskSafety && t.p.Talk.SafetyAt == t.now() }

// labels are words as quick answers, a row each.
func labels(words ...reading.Word) (rows [][]message.Choice) {
	for _, w := range words {
		rows = append(rows, []message.Choice{{Word: w}})
	}
	return rows
}

// safetyWord takes an answer to the safety question, whenever it comes; false
// where the word is none.
func (t *turn) safetyWord(s Said) bool {
	k := &t.p.Talk
	w := s.Reading.Word
	if k.Ask == AskSafety && w == reading.WordNo {
		w = reading.WordNone
	}
	x, ok := troubles[w]
	if !ok && w != reading.WordElse && w != reading.WordNone {
		return false
	}
	t.read(0)
	row := redflag.Find(x.row)
	switch {
	case w == reading.WordNone:
		t.doubtClosed()
		t.say("safety.none")
		t.goOn()
	case w == reading.WordElse:
		t.doubtClosed()
		t.callMe(s.Text)
		t.goOn()
	case x.ask != "":
		t.askTrouble(w, redflag.Find(troubles[x.next[0]].row), s.Text)
	default:
		t.doubtClosed()
		t.raise(t.p.Course.Raise(t.facts(), t.e.Wall, row.ID), s.Text)
		t.goOn()
	}
	return true
}

// askTrouble asks what sets the class of a trouble. Without an answer it goes to
// people as the given row.
func (t *turn) askTrouble(w reading.Word, row *redflag.Row, words string) {
	k, x := &t.p.Talk, troubles[w]
	k.Ask, k.AskArg, k.Doubt, k.DoubtOf, k.DoubtAt = AskWorry, "", row.ID, reading.Clip(words, quoteMost), t.now()
	t.after(doubtName, doubtMinutes)
	t.reply(message.Say(x.ask), message.Say("wrong.urgent", t.numbers()...)).Choices = labels(x.next...)
}

// read notes that a person has looked at an escalation; 0 is all words of the patient, that
// an answer has explained: what a flag or a rule put before people still waits for them.
func (t *turn) read(n int32) {
	for i := range t.p.Escalations {
		x := &t.p.Escalations[i]
		_, ruled := pacing.RuleNamed(x.Reason)
		if x.N == n || n == 0 && (x.Unsure || !ruled && redflag.Find(x.Reason) == nil) {
			x.Unread = false
		}
	}
}
