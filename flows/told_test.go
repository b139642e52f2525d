package flows_test

import (
	"os"
	"slices"
	"sync"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/locales/sentence"

	"pgregory.net/rapid"
)

// toldKeys are the lines by which the patient hears that people were told something in this very turn.
var toldKeys = []string{"said.rest", "pass.told", "call.told", "help.told", "other.passed", "other.both", "doubt.passed",
	"doubt.kept", "now.there", "ended.passed", "leave.passed", "when.soon", "when.today", "when.workday", "when.closed"}

// told reports whether an event put something before people: a new escalation, one that grew, or a card.
func told(out []flows.Effect, patient int64) bool {
	return slices.ContainsFunc(out, func(x flows.Effect) bool {
		switch x := x.(type) {
		case flows.Log:
			return x.What == "escalation.raised" || x.What == "escalation.grew"
		case flows.Send:
			return x.Chat != 0 && x.Chat != patient
		}
		return false
	})
}

// untold is the line by which a message says that people were told what nobody was; false where there is none.
func untold(out []flows.Effect, patient int64) (message.Line, bool) {
	if told(out, patient) {
		return message.Line{}, false
	}
	for _, x := range out {
		if s, ok := x.(flows.Send); ok && (s.Chat == 0 || s.Chat == patient) {
			for _, l := range s.Msg.Lines {
				if slices.Contains(toldKeys, l.Key) {
					return l, true
				}
			}
		}
	}
	return message.Line{}, false
}

// Words that come with an answer which raises a flag go to people once: its card has them.
func TestWordsOfAFlagGoOnce(t *testing.T) {
	for text, reasons := range map[string][]string{
		"all night, snore 6, pain 9 gone by 9, the parade sang until five": {"pain.severe"},
		"all night, snore 6, pain 0, the parade sang until five":           {flows.WhyMessage},
		"bite not back, lovely weather with the parade":                    {"bite.notback"},
	} {
		k := start(t)
		k.to(mon2, 21, 30)
		k.evening()
		k.to(mon2+1, 13, 0)
		k.say(text)
		var got []string
		for _, esc := range k.p.Escalations {
			got = append(got, esc.Reason)
		}
		if !slices.Equal(got, reasons) {
			t.Errorf("%s: %v", text, got)
		}
	}
	k := start(t) // what is wrong, in answers that raise a flag
	k.to(mon2, 21, 30)
	k.say("something is wrong")
	k.say("pain 9, the parade sang until five")
	if es := k.p.Escalations; len(es) != 1 || es[0].Reason != "pain.severe" || es[0].Times != 1 {
		t.Errorf("%+v", es)
	}
}

// "I have told your practice again" is said only where it was.
func TestToldAgainOnlyWhereItWas(t *testing.T) {
	k := start(t)
	k.say("my jaw is locked and I cannot open my mouth")
	k.say("yes")
	k.hears("told your practice again")
	k = start(t)
	k.pr.Staff[0].Chat = 0 // nobody can be reached
	k.say("my jaw is locked and I cannot open my mouth")
	k.hears("could not reach anyone")
	k.hearsNot("has been told")
	k.say("yes")
	k.hearsNot("told your practice again")
}

// realSentences are those to work with, whatever they say.
var realSentences = sync.OnceValues(func() (texts []string, err error) {
	all, err := sentence.Folder(os.DirFS("../locales/testdata/sentences/work"))
	for i := range all {
		texts = append(texts, all[i].Text)
	}
	return texts, err
})

// One text that answers twice, differently, for one night stores neither, and is put before people; what raises a flag
// raises it all the same.
func TestOneNightOneAnswer(t *testing.T) {
	for text, f := range map[string]chart.Field{
		"Thursday all night pain 3, Friday all night pain 1": chart.Pain, // on a Friday, whose own night is still to come
		"Thursday pain 3, Friday pain 1, Thursday pain 2":    chart.Pain,
		"left 6, right 5": chart.SettingLeft,
	} {
		k := start(t)
		k.to(mon2+4, 15, 0)
		k.say(text)
		e, _ := k.p.Course.Entry(mon2 + 3)
		now, _ := k.p.Course.Entry(mon2 + 4)
		if e.V[f].Known() || now.V[f].Known() || len(k.p.Escalations) == 0 {
			t.Errorf("%s: %v %v, %d cards: %v", text, e.V[f], now.V[f], len(k.p.Escalations), k.text)
		}
	}
	for _, text := range []string{"Thursday pain 9, Friday pain 1", "Thursday pain 1, Friday pain 9"} {
		k := start(t)
		k.to(mon2+4, 15, 0)
		k.say(text)
		if e, _ := k.p.Course.Entry(mon2 + 3); !e.V[chart.Pain].Is(9) {
			t.Errorf("%s: %v: %v", text, e.V[chart.Pain], k.text)
		}
		if es := k.p.Escalations; !slices.ContainsFunc(es, func(x flows.Escalation) bool { return x.Reason == "pain.severe" }) {
			t.Errorf("%s: %+v", text, es)
		}
	}
}

// place is a question of a night.
type place struct {
	night civil.Date
	field chart.Field
}

// stored is what is known of the last nights.
func stored(k *walk) map[place]chart.Answer {
	all := map[place]chart.Answer{}
	for night := k.now.Date - 9; night <= k.now.Date; night++ {
		e, _ := k.p.Course.Entry(night)
		for f := chart.NoField + 1; f < chart.NumFields; f++ {
			if e.V[f].Known() {
				all[place{night, f}] = e.V[f]
			}
		}
	}
	return all
}

// mayChange reports whether a text may take the place of a stored answer: a button, undo, a tap or word that answers
// which of two holds, a number for the open question, or words understood to the last that name the question, or one
// that belongs to it.
func mayChange(r *reading.Reading, f chart.Field, asked flows.Ask, button bool) bool {
	if button || r.Word == reading.WordUndo || asked == flows.AskEdit || asked == flows.AskNumber || r.Bare.Known() {
		return true
	}
	return r.Understood == reading.InFull && (r.Word != reading.NoWord || slices.ContainsFunc(r.Tokens, func(t reading.Token) bool {
		return t.Value.Known() && (t.Field == f || t.Field.Row().With == f || f.Row().With == t.Field)
	}))
}

// A text with a number in doubt is understood in part: it takes nothing of what is stored, and people see it.
func TestADoubtfulNumberReplacesNothing(t *testing.T) {
	k := start(t)
	k.to(mon2+1, 8, 0)
	k.say("all night, pain 0, guide 5 min")
	k.say("wore it all night, pain 1, bite back in 10, guide 5 min")
	k.is(mon2, chart.Pain, chart.Num(0))
	if len(k.p.Escalations) == 0 {
		t.Errorf("nobody sees it: %v", k.text)
	}
}

// On the first day, which has no night before it, a headache of the day before is that
// day's, and "none" in the same text takes nothing back of it.
func TestAHeadacheOfTheDayBeforeTheFirst(t *testing.T) {
	k := start(t)
	r := k.w.Read("Sunday I had a headache, Monday no headache")
	if len(r.Tokens) != 2 {
		t.Fatalf("%+v", r)
	}
	for range 2 {
		k = start(t)
		k.to(mon2, 21, 30)
		k.say("words", func(s *flows.Said) { s.Reading = r })
		k.is(mon2, chart.Headache, chart.Num(chart.Yes))
		r.Tokens[0], r.Tokens[1] = r.Tokens[1], r.Tokens[0]
	}
}

// On random talks of real sentences, answers, buttons and media: what the bot says is told is told (walk.event), no
// text that was not wholly understood reaches neither the diary, nor a question, nor a person, and no evening goes
// forward over words that were neither understood, nor answered for, nor read. A stored answer changes only by what may
// change it.
func TestPropertyOfRandomTalks(t *testing.T) {
	texts, err := realSentences()
	if err != nil {
		t.Fatal(err)
	}
	steps, held := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		k := start(t)
		waiting := 0 // texts that nobody has answered for or read
		say := func(text string) {
			asked := k.p.Talk.Ask
			r := k.w.Read(text)
			was := stored(k)
			buttons := buttonsOf(k)
			k.say(text)
			for at, v := range was {
				if e, _ := k.p.Course.Entry(at.night); e.V[at.field] != v && !mayChange(&r, at.field, asked, slices.Contains(buttons, text)) {
					rt.Fatalf("%s %s: %q changes %v of %s from %v to %v", k.now.Date, k.now.Clock, text, at.field.Row().Name, at.night, v, e.V[at.field])
				}
			}
			reached := told(k.out, k.p.Chat)
			for _, x := range k.out {
				if s, ok := x.(flows.Send); ok && (s.Chat == 0 || s.Chat == k.p.Chat) {
					reached = reached || len(s.Msg.Choices) > 0 || len(s.Msg.Inline) > 0
				}
				_, note := x.(flows.Note)
				reached = reached || note
			}
			if r.Understood != reading.InFull && !r.Symbols && !reached {
				rt.Fatalf("%s %s: %q reaches nobody: %v", k.now.Date, k.now.Clock, text, k.text)
			}
			if r.Understood == reading.NotUnderstood && len(r.Tokens) == 0 && !r.Symbols && r.Sure == 0 && asked != flows.AskWhen && asked != flows.AskWho {
				waiting++
			}
		}
		most := rapid.IntRange(0, 2).Draw(rt, "most") // some say nothing all week, and step
		mix := func(name string) {
			for range rapid.IntRange(0, most).Draw(rt, name) {
				switch rapid.IntRange(0, 9).Draw(rt, "what") {
				case 0, 1, 2:
					say(rapid.SampledFrom(texts).Draw(rt, "text"))
				case 3:
					k.event(flows.Other{Chat: 1, Gen: 1, Kind: rapid.SampledFrom([]string{"voice", "photo", "video"}).Draw(rt, "kind")})
					waiting++
				case 4, 5:
					if b := buttonsOf(k); len(b) > 0 {
						was := k.p.Talk.Ask
						text := rapid.SampledFrom(b).Draw(rt, "button")
						say(text)
						if was == flows.AskSafety || was == flows.AskDanger || was == flows.AskWorry {
							waiting = 0
						}
					}
				case 6, 7:
					for _, esc := range slices.Clone(k.p.Escalations) {
						k.event(flows.Order{Actor: flows.Actor{ID: "s1"}, Op: flows.OrderAck, Esc: esc.N})
					}
					waiting = 0
				}
				if k.p.Course.State == chart.Paused {
					say("go on")
				}
			}
		}
		for d := range civil.Date(8) {
			k.to(mon2+d, 15, 0)
			mix("day")
			k.to(mon2+d, 21, 30)
			mix("evening")
			was := k.p.Course.Advice.Number
			say("no problem")
			say("Driving: did not nod off")
			k.to(mon2+d, 23, 0)
			if a := k.p.Course.Advice; a.Number != was && a.Action == chart.Forward {
				if steps++; waiting > 0 {
					rt.Fatalf("%s: a step over %d unheard texts: %+v", k.now.Date, waiting, a)
				}
			} else if waiting > 0 {
				held++
			}
			if a := k.p.Course.Advice; a.Action != chart.LeaveOut {
				say("It stands at " + itoa(int(a.To)))
			}
			k.to(mon2+d+1, 7, 0)
			say(day)
		}
	})
	if steps == 0 || held == 0 {
		t.Errorf("%d steps, %d evenings held", steps, held)
	}
}
