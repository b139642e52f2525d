package flows

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

func unsure(ds ...reading.Danger) reading.Reading {
	return reading.Reading{Rest: true, Unsure: reading.SetOf(ds...)}
}

// choices are the words on the quick answers of the last message.
func (l *life) choices() (words []reading.Word) {
	for _, x := range l.out {
		if s, ok := x.(Send); ok && (s.Chat == 0 || s.Chat == l.p.Chat) {
			for _, row := range s.Msg.Choices {
				for _, c := range row {
					words = append(words, c.Word)
				}
			}
		}
	}
	return words
}

// An emergency that was perhaps said: the number and the three answers at once,
// a card that says unsure, and nothing of wear until it is sure.
func TestPerhapsAnEmergency(t *testing.T) {
	l := active(t).say("a funny feeling in my chest, like at the film", unsure(reading.DangerChest))
	l.want(0, "emergency.line").want(0, "doubt.ask").want(chatClin, "esc.head")
	if w := l.choices(); !slices.Equal(w, []reading.Word{reading.WordNow, reading.WordEarlier, reading.WordNotWearer}) {
		t.Errorf("answers %v", w)
	}
	if esc := l.must("chest"); !esc.Unsure || esc.Class != redflag.ClassE || len(l.p.Course.Flags) != 0 {
		t.Errorf("%+v, flags %v", esc, l.p.Course.Flags)
	}
	l.word(reading.WordNow).want(0, "emergency.line").want(0, "caution.chest")
	if esc := l.must("chest"); esc.Unsure || len(l.p.Course.Flags) != 1 || l.p.Course.Flags[0].Wear != redflag.WearOut {
		t.Errorf("after now: %+v, flags %v", esc, l.p.Course.Flags)
	}
}

func TestPerhapsAnEmergencyEarlier(t *testing.T) {
	l := active(t).say("had a turn", unsure(reading.DangerFaint)).word(reading.WordEarlier).want(0, "doubt.when")
	if esc := l.must("faint"); esc.Class != redflag.ClassE || !esc.Unsure {
		t.Errorf("%+v", esc)
	}
	l.say("two years ago", reading.Reading{Rest: true}).want(0, "doubt.passed")
	if esc := l.must("faint"); !strings.Contains(esc.Quote, "two years ago") || len(l.p.Course.Flags) != 0 {
		t.Errorf("%+v, flags %v", esc, l.p.Course.Flags)
	}
}

func TestPerhapsSomebodyElse(t *testing.T) {
	l := active(t).say("he went blue in the film", unsure(reading.DangerBreath)).word(reading.WordNotWearer)
	l.want(0, "doubt.who").want(0, "wrong.urgent") // the number stays
	l.say("an actor", reading.Reading{Rest: true}).want(0, "doubt.passed")
	if esc := l.must("breath"); !strings.Contains(esc.Quote, "an actor") {
		t.Errorf("%+v", esc)
	}
}

// What is asked is answered in a few words of one's own as well; words that may say more are heard as any others.
func TestPerhapsInOwnWords(t *testing.T) {
	other, past := reading.Reading{Rest: true, Hedges: reading.HedgeOther}, reading.Reading{Rest: true, Hedges: reading.HedgePast}
	asked := func() *life { return active(t).say("so out of breath", unsure(reading.DangerBreath)) }
	l := asked().say("it is my husband", other).want(0, "doubt.passed")
	if esc := l.must("breath"); !strings.Contains(esc.Quote, "my husband") || l.p.Talk.Ask == AskDanger || len(l.p.Escalations) != 1 || !esc.Unread {
		t.Errorf("%+v, %v", l.p.Escalations, l.p.Talk.Ask)
	}
	if l = asked().say("that was yesterday", past).want(0, "doubt.ask"); !l.must("breath").Unread || !strings.Contains(l.must("breath").Quote, "yesterday") {
		t.Errorf("%+v", l.must("breath"))
	}
	for text, r := range map[string]reading.Reading{
		"my husband says that you should call us back very soon": other,
		"is it my husband you mean":                              {Rest: true, Hedges: reading.HedgeOther | reading.HedgeQuestion},
		"he has no air":                                          {Rest: true, Hedges: reading.HedgeOther, Unsure: reading.SetOf(reading.DangerBreath)},
		"he wore it":                                             {Hedges: reading.HedgeOther, Tokens: []reading.Token{{Field: chart.Worn, Value: chart.Num(chart.WornAll)}}},
	} {
		if l := asked().say(text, r); slices.Contains(l.heard(0), "doubt.passed") {
			t.Errorf("%q closed the question", text)
		}
	}
}

// Words that answer nothing go to the card of what was asked, and it is asked again; an older doubt about something else does not ring anew.
func TestPerhapsAndUnclearWords(t *testing.T) {
	l := active(t).say("so out of breath", unsure(reading.DangerBreath)).say("the stairs in this house are what they are and were", reading.Reading{Rest: true})
	l.want(0, "doubt.ask")
	if esc := l.must("breath"); !strings.Contains(esc.Quote, "stairs") || !esc.Unread || l.p.Talk.Ask != AskDanger || l.open(WhyMessage) != nil {
		t.Errorf("%+v, %v", l.p.Escalations, l.p.Talk.Ask)
	}
	l.say("that was yesterday, it has gone", reading.Reading{Understood: reading.InPart, Rest: true, Tokens: []reading.Token{{Field: chart.Gone}}}).want(0, "doubt.ask").wantNot(0, "ask.gone")
	n := l.must("breath").N
	l.order("sasst", Order{Op: OrderHarmless, Esc: n})
	if l.later(26*60).say("numb chin, perhaps", unsure(reading.DangerNumb)); l.open("breath") != nil {
		t.Errorf("what staff closed is back: %+v", l.p.Escalations)
	}
}

// Of what is less urgent the answers come first, and the card after one of them
// or a quarter of an hour.
func TestPerhapsTheSameDay(t *testing.T) {
	l := active(t).say("my jaw stuck a bit?", unsure(reading.DangerJawLocked)).want(0, "doubt.heard").want(0, "doubt.ask")
	if l.open("jaw.locked") != nil {
		t.Fatal("a card came before an answer")
	}
	if x, ok := l.timer(doubtName); !ok || x.After != doubtMinutes {
		t.Fatalf("timer %+v", x)
	}
	l.later(doubtMinutes).on(Due{Name: doubtName}).want(chatClin, "esc.head")
	if esc := l.must("jaw.locked"); esc.Class != redflag.ClassS || len(l.p.Course.Flags) != 0 {
		t.Errorf("silence: %+v, flags %v", esc, l.p.Course.Flags)
	}
	l.word(reading.WordNow).want(0, "caution.jaw.locked") // a late answer counts
	if len(l.p.Course.Flags) != 1 {
		t.Errorf("flags %v", l.p.Course.Flags)
	}
	l = active(t).say("my jaw stuck a bit?", unsure(reading.DangerJawLocked)).word(reading.WordEarlier)
	if esc := l.must("jaw.locked"); !esc.Unsure || esc.Class != redflag.ClassS {
		t.Errorf("earlier: %+v", esc)
	}
	l.word(reading.WordNotOver).want(0, "caution.jaw.locked")
}

// A second such sentence rings, and changes nothing of wear.
func TestPerhapsTwice(t *testing.T) {
	l := active(t).say("my jaw?", unsure(reading.DangerJawLocked)).later(3).say("a lip like wood", unsure(reading.DangerNumb))
	if l.open("jaw.locked") == nil || l.open("numb") == nil || len(l.p.Course.Flags) != 0 {
		t.Errorf("%+v, flags %v", l.p.Escalations, l.p.Course.Flags)
	}
}

// What is sure acts at once; a sure one is never lowered by an unsure one.
func TestSureIsNeverLowered(t *testing.T) {
	l := active(t).say("I cannot breathe", reading.Reading{Rest: true, Sure: reading.SetOf(reading.DangerBreath)})
	l.want(0, "emergency.line").want(0, "caution.breath")
	if l.must("breath").Unsure || len(l.p.Course.Flags) != 1 {
		t.Fatalf("%+v", l.p.Course.Flags)
	}
	l.later(2).say("I meant my car", unsure(reading.DangerBreath)).word(reading.WordNotWearer)
	if esc := l.must("breath"); esc.Unsure || esc.Class != redflag.ClassE || len(l.p.Course.Flags) != 1 {
		t.Errorf("%+v, flags %v", esc, l.p.Course.Flags)
	}
}

// Staff close an unsure one in one tap, and no sure one.
func TestClosedInOneTap(t *testing.T) {
	l := active(t).say("a turn", unsure(reading.DangerFaint))
	n := l.must("faint").N
	l.order("sasst", Order{Op: OrderHarmless, Esc: n}).want(chatAsst, "order.resolved")
	if l.open("faint") != nil {
		t.Error("it is open still")
	}
	l = active(t).say("I fainted", reading.Reading{Sure: reading.SetOf(reading.DangerFaint)})
	l.order("sasst", Order{Op: OrderHarmless, Esc: l.must("faint").N}).want(chatAsst, "order.harmless.not")
	l.must("faint")
}

// Words that were not understood: staff, the number every time, and once an
// hour one safety question.
func TestSafetyQuestion(t *testing.T) {
	l := active(t).say("qqq", reading.Reading{Rest: true}).want(0, "pass.told").want(0, "wrong.urgent").want(0, "safety.ask")
	if w := l.choices(); len(w) != len(safetyRows) {
		t.Errorf("%d answers", len(w))
	}
	l.later(10).say("zzz", reading.Reading{Rest: true}).want(0, "wrong.urgent").wantNot(0, "safety.ask")
	l.word(reading.WordNone).want(0, "safety.none")
	l.must(WhyMessage) // none of these ends the asking, never the staff item
	l.later(61).say("zzz", reading.Reading{Rest: true}).want(0, "safety.ask")
	l.say("lovely weather", reading.Reading{Rest: true, Calm: true}).wantNot(0, "safety.ask").want(0, "wrong.urgent")
	for _, w := range []reading.Word{reading.WordThanks, reading.WordHello, reading.WordToday} {
		active(t).word(w).wantNot(0, "safety.ask")
	}
	active(t).on(Other{Chat: chatPatient, Gen: 1, Kind: "video"}).want(0, "safety.ask").want(0, "wrong.urgent")
}

// Every answer to it ends at a row of the flag table or a person, and the worst
// of each question comes first.
func TestTroublesLeadSomewhere(t *testing.T) {
	for _, w := range safetyRows {
		if w == reading.WordNone {
			continue
		}
		next := troubles[w].next
		if next == nil {
			next = []reading.Word{w}
		}
		for i, sub := range next {
			l := active(t).say("qqq", reading.Reading{Rest: true})
			l.p.Escalations = nil
			if l.word(w); len(troubles[w].next) > 0 {
				l.want(0, troubles[w].ask).want(0, "wrong.urgent")
				l.later(2).word(sub)
			}
			if len(l.p.Escalations) == 0 {
				t.Errorf("%d, %d reaches nobody", w, sub)
			}
			row, first := redflag.Find(troubles[sub].row), redflag.Find(troubles[next[0]].row)
			if row != nil && l.open(row.ID) == nil {
				t.Errorf("%d: %q is not raised", sub, row.ID)
			}
			if first == nil && sub != reading.WordElse || i > 0 && row != nil && row.Class.Worse(first.Class) {
				t.Errorf("%d: %v is worse than the first", w, sub)
			}
		}
		if len(troubles[w].next) > 0 { // silence after it
			l := active(t).word(w).later(doubtMinutes).on(Due{Name: doubtName})
			if l.open(troubles[next[0]].row) == nil || len(l.p.Course.Flags) != 0 {
				t.Errorf("silence after %d: %+v", w, l.p.Escalations)
			}
		}
	}
}

// What is left of a text that answers may be a danger: then the safety question comes, and no other, and until an answer the words wait.
func TestWordsLeftMayBeADanger(t *testing.T) {
	left := reading.Reading{Rest: true, Understood: reading.InPart, Tokens: []reading.Token{{Field: chart.Snoring, Value: chart.Num(2)}}}
	l := active(t).say("snore 2 and the kitchen went sideways", left).want(0, "said.rest").want(0, "safety.ask").want(0, "wrong.urgent")
	if esc := l.must(WhyMessage); !esc.Unread || l.p.Talk.Ask != AskSafety {
		t.Errorf("%+v, %v", esc, l.p.Talk.Ask)
	}
	if l.word(reading.WordNone).want(0, "safety.none"); l.open(WhyMessage).Unread {
		t.Error("the answer left the words waiting")
	}
	left.Calm = true
	if l = active(t).say("snore 2 and the kitchen is blue", left).want(0, "said.rest").wantNot(0, "safety.ask"); l.open(WhyMessage) != nil && l.open(WhyMessage).Unread {
		t.Errorf("%+v", l.p.Escalations)
	}
}

// What perhaps was said reaches people after a quarter of an hour, whatever else was asked by then; and what somebody has taken is not
// raised anew by another doubt of the next day.
func TestADoubtIsNotLost(t *testing.T) {
	l := active(t).say("my jaw stuck a bit?", unsure(reading.DangerJawLocked))
	l.p.Talk.Ask = AskNumber // something else came between
	if l.later(doubtMinutes).on(Due{Name: doubtName}); l.open("jaw.locked") == nil {
		t.Errorf("nobody hears of it: %+v", l.p.Escalations)
	}
	l = active(t).say("so out of breath", unsure(reading.DangerBreath))
	l.order("sasst", Order{Op: OrderAck, Esc: l.must("breath").N})
	times := l.must("breath").Times
	if l.later(26*60).say("numb chin, perhaps", unsure(reading.DangerNumb)); l.must("breath").Times != times || len(l.p.Escalations) != 1 {
		t.Errorf("raised anew: %+v", l.p.Escalations)
	}
}

// While words of a patient were neither understood, nor answered by the safety
// question, nor read by a person, no evening's advice goes forward, whatever
// else is said and done.
func TestNoStepOverUnheardWords(t *testing.T) {
	steps, held := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		l := active(t)
		waiting := map[string]bool{} // reasons with words that nobody has read
		say := func(r reading.Reading) { l.say("x", r) }
		mix := func(name string) {
			switch rapid.IntRange(0, 11).Draw(rt, name) {
			case 0:
				say(reading.Reading{Rest: true, Calm: rapid.Bool().Draw(rt, "calm")})
				waiting[WhyMessage] = true
			case 1:
				l.on(Other{Chat: l.p.Chat, Gen: l.p.Gen, Kind: rapid.SampledFrom([]string{"voice", "photo", "video"}).Draw(rt, "kind")})
				waiting[WhyOther] = true
			case 2, 3:
				if l.p.Talk.Ask == AskSafety {
					l.word(reading.WordNone)
					clear(waiting)
				}
			case 4, 5:
				why := rapid.SampledFrom([]string{WhyMessage, WhyOther}).Draw(rt, "why")
				if esc := l.open(why); esc != nil {
					l.order("sasst", Order{Op: rapid.SampledFrom([]OrderOp{OrderAck, OrderNote, OrderResolve}).Draw(rt, "op"), Esc: esc.N,
						Text: "read"})
					clear(waiting) // one card shows both
				}
			case 6:
				l.word(reading.WordThanks)
			case 7:
				l.order("sclin", Order{Op: OrderContact, Text: "rang"})
				clear(waiting)
			}
		}
		for night := monday(); night < monday()+12; night++ {
			l.now = civil.Wall{Date: night, Clock: 21 * 60}
			mix("before")
			l.on(Due{Name: "evening", Scheduled: l.now})
			mix("between")
			was := l.p.Course.Advice.Number
			say(reading.Reading{Tokens: []reading.Token{{Field: chart.Wrong, Value: chart.Num(chart.No)}}, Understood: reading.InFull})
			say(reading.Reading{Tokens: []reading.Token{{Field: chart.Driving, Value: chart.Num(chart.DrivingNo)}}, Understood: reading.InFull})
			l.later(RemindAfter).on(Due{Name: "commit", Scheduled: l.now})
			if a := l.p.Course.Advice; a.Number != was && a.Action == chart.Forward {
				steps++
				if len(waiting) > 0 {
					rt.Fatalf("a step forward over unheard words: %+v", a)
				}
			} else if len(waiting) > 0 {
				held++
			}
			l.word(reading.WordStands)
			l.now = civil.Wall{Date: night + 1, Clock: 7*60 + 30}
			l.on(Due{Name: "morning", Scheduled: l.now})
			say(reading.Reading{Understood: reading.InFull, Tokens: []reading.Token{{Field: chart.Worn, Value: chart.Num(chart.WornAll)},
				{Field: chart.Pain, Value: chart.Num(0)}, {Field: chart.Snoring, Value: chart.Num(7)},
				{Field: chart.Bite, Value: chart.Num(chart.BiteBoth)}, {Field: chart.Guide, Value: chart.Num(chart.Yes)},
				{Field: chart.GuideMinutes, Value: chart.Num(5)}}})
			mix("day")
		}
	})
	if steps == 0 || held == 0 {
		t.Errorf("%d steps, %d evenings with unheard words", steps, held)
	}
}

// Beside an open emergency nothing of the day is asked, whatever is said; what would have been asked back reaches people.
func TestNoDayBesideAnEmergency(t *testing.T) {
	l := active(t)
	l.now = civil.Wall{Date: monday() + 1, Clock: 7 * 60}
	l.on(Due{Name: "morning", Scheduled: l.now})
	l.say("can't breathe", reading.Reading{Sure: reading.SetOf(reading.DangerBreath)})
	for _, r := range []reading.Reading{{Rest: true}, {Tokens: []reading.Token{{Field: chart.Snoring, Value: chart.Num(3)}}},
		{Doubt: reading.IsRange, About: chart.Pain}} {
		l.say("my husband drives me there", r)
		for _, x := range l.out {
			if s, ok := x.(Send); ok && s.Chat == 0 && slices.ContainsFunc(s.Msg.Lines, func(m message.Line) bool { return strings.HasPrefix(m.Key, "ask.") }) {
				t.Errorf("asked of the day: %v", s.Msg.Lines)
			}
		}
	}
	if esc := l.must(WhyMessage); !strings.Contains(esc.Quote, "my husband") {
		t.Errorf("nobody reads %+v", esc)
	}
}

// A question or thanks beside an open doubt are answered, the words go to its card, and it is asked again; a "yes" after an emergency
// answers nothing of the day.
func TestADoubtStandsBesideQuestions(t *testing.T) {
	l := active(t).say("a funny feeling in my chest", unsure(reading.DangerChest))
	l.say("yes, still there, but how do I clean it?", reading.Reading{Word: reading.WordHow, Topic: reading.HowClean}).want(0, "howto.clean").want(0, "doubt.ask")
	if esc := l.must("chest"); !strings.Contains(esc.Quote, "still there") || l.p.Talk.Ask != AskDanger {
		t.Errorf("%+v, asks %v", esc, l.p.Talk.Ask)
	}
	l.word(reading.WordThanks).want(0, "doubt.ask")

	l = active(t)
	l.now = civil.Wall{Date: monday(), Clock: 21 * 60}
	l.on(Due{Name: "evening", Scheduled: l.now})
	l.say("my chest hurts", reading.Reading{Features: reading.FChest})
	if k := &l.p.Talk; k.CheckIn != NoCheckIn || k.Open != chart.NoField {
		t.Errorf("the check-in goes on: %v, %v", k.CheckIn, k.Open)
	}
	l.word(reading.WordYes).wantNot(0, "saved.one")
	if e, _ := l.p.Course.Entry(monday()); e.V[chart.Wrong].Known() || l.p.Talk.Ask == AskWrong {
		t.Errorf("yes is an answer of the day: %v", e.V[chart.Wrong])
	}
}

// Of several dangers that a text perhaps says, all as urgent, the likeliest is named; one that is less urgent never is.
func TestTheLikeliestIsNamed(t *testing.T) {
	two := reading.SetOf(reading.DangerFaint, reading.DangerSwellAirway, reading.DangerSwelling)
	for d, want := range map[reading.Danger]string{reading.DangerSwellAirway: "swelling.airway", reading.DangerFaint: "faint", reading.DangerSwelling: "faint"} {
		l := active(t).say("my lip swelled up", reading.Reading{Rest: true, Unsure: two, Likeliest: d})
		if l.p.Talk.Doubt != want {
			t.Errorf("%v: asked about %q, want %q", d, l.p.Talk.Doubt, want)
		}
	}
}
