package flows

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// othersWords are two ways in which somebody else's words come into a chat.
var othersWords = map[string]struct {
	said     Said
	why, key string
}{
	"a code among them": {Said{Among: []string{"09ZZZZZZZZZZZZ"}}, WhyCouple, "join.couple.words"},
	"forwarded":         {Said{Forwarded: true}, WhyForward, "forward.kept"},
}

// Of what somebody else wrote nothing becomes this patient's: no answer, no word of
// control; people read it, and the words are quoted.
func TestNothingOfAnothersWordsIsKept(t *testing.T) {
	for name, c := range othersWords {
		for what, r := range map[string]reading.Reading{
			"an answer":  {Tokens: []reading.Token{{Field: chart.Snoring, Value: chart.Num(3)}}, Understood: reading.InFull},
			"two":        {Tokens: []reading.Token{{Field: chart.Worn, Value: chart.Yes}, {Field: chart.Pain, Value: chart.Num(2)}}},
			"a number":   {Bare: chart.Num(4)},
			"a word":     {Word: reading.WordPause},
			"a setting":  {Word: reading.WordStands, Tokens: []reading.Token{{Field: chart.SettingLeft, Value: chart.Num(3)}}},
			"only words": {Rest: true},
		} {
			t.Run(name+", "+what, func(t *testing.T) {
				l := active(t)
				before := l.p.Course
				s := c.said
				s.Reading, s.Text, s.Chat, s.Gen = r, "words", l.p.Chat, l.p.Gen
				l.on(s).want(0, c.key)
				if l.p.Course.Nights != before.Nights || l.p.Course.Left != before.Left || l.p.Course.Pausing {
					t.Error("something was kept")
				}
				for _, x := range l.out {
					if _, is := x.(Note); is {
						t.Error("a diary row was written")
					}
				}
				if esc := l.must(c.why); esc.Class != redflag.ClassN || !esc.Unread {
					t.Errorf("put before people as %c, unread %v", esc.Class, esc.Unread)
				}
			})
		}
	}
}

// A danger in them is heard as in any text, and a severe answer is read the same day.
func TestADangerInAnothersWordsIsHeard(t *testing.T) {
	for name, c := range othersWords {
		t.Run(name, func(t *testing.T) {
			l := active(t)
			s := c.said
			s.Text, s.Chat, s.Gen, s.Reading = "words", l.p.Chat, l.p.Gen, reading.Reading{Features: reading.FChest}
			l.on(s)
			if l.open(c.why) == nil || l.p.Emergency() == nil {
				t.Error("an emergency in them is not put before people")
			}
			l = active(t)
			s.Gen, s.Reading = l.p.Gen, reading.Reading{Tokens: []reading.Token{{Field: chart.Pain, Value: chart.Num(9)}}}
			l.on(s).want(0, c.key)
			if esc := l.must(c.why); esc.Class != redflag.ClassS {
				t.Errorf("severe pain in them is of class %c", esc.Class)
			}
			s.Reading = reading.Reading{Features: reading.FPain, Tokens: s.Reading.Tokens}
			l.on(s)
			if len(l.p.Course.Flags) != 0 || l.p.Course.State == chart.Stopped {
				t.Error("it is taken for this patient's pain")
			}
			if l.p.Talk.Ask != AskDanger || l.p.Talk.Doubt != "pain.severe" {
				t.Errorf("whose it is, is not asked: %v %q", l.p.Talk.Ask, l.p.Talk.Doubt)
			}
		})
	}
}

// The patient's own code among the words of the patient is no other person.
func TestOnesOwnCodeAmongWords(t *testing.T) {
	l := active(t)
	s := Said{Among: []string{testCode}, Text: "words", Chat: l.p.Chat, Gen: l.p.Gen,
		Reading: reading.Reading{Tokens: []reading.Token{{Field: chart.Snoring, Value: chart.Num(3)}}, Understood: reading.InFull}}
	if l.on(s); l.open(WhyCouple) != nil {
		t.Error("taken for another person's")
	}
}
