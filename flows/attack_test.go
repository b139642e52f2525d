package flows

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// A night worker goes to bed in the morning: the reminder still commits the
// advice, and what is told after it still makes the advice stricter.
func TestANightWorkersEvening(t *testing.T) {
	for _, hours := range []struct{ evening, morning, boundary Clock }{
		{8*60 + 30, 16 * 60, 18 * 60},
		{8*60 + 30, 16 * 60, 6 * 60},
		{4*60 + 30, 13 * 60, 16 * 60},
		{30, 9 * 60, 12 * 60},
		{21 * 60, 7 * 60, 12 * 60},
	} {
		l := active(t)
		l.p.Plan.Evening, l.p.Plan.Morning, l.p.Plan.Boundary = hours.evening, hours.morning, hours.boundary
		night := l.p.Plan.Night(l.now) + 2
		l.now = l.p.Plan.eveningAt(night)
		l.on(Due{Name: "evening", Scheduled: l.now})
		l.later(remindAfter).on(Due{Name: "commit", Scheduled: l.now})
		if a := l.p.Course.Advice; a.Night != night || a.Action == NoAction {
			t.Errorf("%v: the reminder gives night %s %v, want night %s", hours, a.Night, a.Action, night)
			continue
		}
		l.later(5).say("swollen", Reading{Features: FMissing}) // a piece is missing
		if a := l.p.Course.Advice; len(l.p.Course.Flags) == 0 || a.Action != LeaveOut {
			t.Errorf("%v: a flag after the advice leaves %v with %v", hours, a.Action, l.p.Course.Flags)
		}
	}
}

// TestOneAdviceANight lives through weeks of talk, staff acts and outages: each
// night has one advice, replaced only by a stricter one, and every advice that
// is told is the one in force.
func TestOneAdviceANight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pr, p, now := lifePractice(), Patient{ID: "07TESTTESTTESTTEST"}, Wall{monday(), 10 * 60}
		n := byte(0)
		var out []Effect
		do := func(b Body) {
			n++
			e := Event{At: time.Unix(int64(now.Date)*86400+int64(now.Clock)*60, 0), Wall: now, Office: now, Body: b}
			e.Seed[0], e.Seed[12] = n, n
			was := p.Course.Advice
			left := p.Course.Left
			p, out = Next(pr, p, e)
			a := p.Course.Advice
			_, ordered := b.(Order)
			if was.Night == a.Night && was.Action != NoAction && a.Action != NoAction && !ordered {
				if a != was && (a.Number != was.Number+1 || !a.saferThan(&was)) {
					t.Fatalf("%+v replaces %+v on %+v", a, was, b)
				}
			}
			if a.Action == Forward && a.Number != was.Number && a.To > max(left, p.Course.Eve.Left)+1 {
				t.Fatalf("%+v from %d on %+v", a, left, b)
			}
			if a.Breach {
				t.Fatalf("breach %+v on %+v", a, b)
			}
			told := false
			for _, x := range out {
				s, ok := x.(Send)
				if !ok || s.Chat != 0 && s.Chat != p.Chat {
					continue
				}
				if s.Lane == LaneUrgent {
					told = true
				}
				for _, line := range s.Msg.Lines {
					switch line.Key {
					case "advice.set", "advice.out":
						told = true
						for _, arg := range line.Args {
							if arg.Name == "n" && int(arg.N) != int(a.To) || arg.Name == "date" && Date(arg.N) != a.Night {
								t.Fatalf("told %+v, in force %+v", line, a)
							}
						}
					}
				}
			}
			if a.Number != was.Number && !told && !ordered && p.Chat != 0 && !p.Bounced && !pr.Rival && p.trustedNow() && a.Night == p.Plan.Coming(now) {
				if d, due := b.(Due); !due || d.Late < lateEvening-remindAfter && !weeklyState(p.Course.Under()) {
					t.Fatalf("%+v: %+v (was %+v) is not told in state %s: %+v", b, a, was, p.Course.State, out)
				}
			}
		}
		do(Enrol{Enrolment: lifeEnrolment(), Actor: Actor{ID: "sclin"}, Code: testCode, Chat: chatClin})
		do(Join{Chat: chatPatient, Code: testCode, Gen: 1})
		for range 2 {
			do(Tap{Chat: chatPatient, Gen: p.Gen, Op: opPath, Arg: "yes", Nonce: p.Talk.Nonce})
		}
		do(Order{Actor: Actor{ID: "sclin"}, Op: OrderConfirm})
		token := func() Token {
			f := rapid.SampledFrom([]Field{Worn, Pain, Pain, Snoring, Bite, BiteMinutes, Gone, Guide, Wrong, NotWorn, SettingLeft, SettingLeft, SettingLeft}).Draw(t, "field")
			tok := Token{Field: f, Value: Num(rapid.IntRange(0, 6).Draw(t, "value"))}
			switch f {
			case SettingLeft:
				tok.Value = Num(int(p.Course.Left) + rapid.IntRange(-1, 1).Draw(t, "off"))
			case BiteMinutes:
				tok.Value = Num(rapid.SampledFrom([]int{5, 50, 70, 400}).Draw(t, "m"))
			}
			if rapid.IntRange(0, 4).Draw(t, "dated") == 0 {
				tok.Night = now.Date - Date(rapid.IntRange(-1, 4).Draw(t, "ago"))
			}
			return tok
		}
		talk := func() {
			r := Reading{}
			switch rapid.IntRange(0, 9).Draw(t, "what") {
			case 0:
				r.Word = rapid.SampledFrom([]Word{WordUndo, WordUndo, WordSkip, WordStands, WordStill, WordWrong, WordYes, WordNo, WordToday, WordPause, WordResume, WordStop}).Draw(t, "word")
			case 1:
				r.Bare = Num(rapid.IntRange(0, 8).Draw(t, "bare"))
			case 2:
				r.Features = rapid.SampledFrom([]Features{FMissing, FChest, FBroken, 0, 0, 0, 0}).Draw(t, "flag")
			default:
				for range rapid.IntRange(1, 4).Draw(t, "tokens") {
					r.Tokens = append(r.Tokens, token())
				}
			}
			wall := now
			if rapid.IntRange(0, 9).Draw(t, "delayed") == 0 {
				wall = now.Add(-rapid.IntRange(1, 2000).Draw(t, "by"))
			}
			do(Said{Chat: p.Chat, Gen: p.Gen, Reading: r, Text: "x", Wall: wall, Edited: rapid.IntRange(0, 9).Draw(t, "edited") == 0})
		}
		act := func() {
			op := rapid.SampledFrom([]OrderOp{OrderRelease, OrderRelease, OrderVisit, OrderGrant, OrderHold, OrderResume, OrderPlan, OrderContact, OrderReopen, OrderTranscribe, OrderStep}).Draw(t, "op")
			o := Order{Actor: Actor{ID: "sclin"}, Op: op, Text: "words", Chat: chatClin, To: p.Course.Left, Has: op != OrderRelease, Base: p.Plan.Rev}
			plan := p.Plan
			plan.Limits.Ceiling = max(plan.Limits.Ceiling-1, 1)
			o.Plan = &plan
			o.Entry = &Entry{Night: now.Date - 1}
			o.Entry.V[Pain] = Num(rapid.IntRange(0, 9).Draw(t, "p"))
			do(o)
		}
		last := monday() + Date(rapid.IntRange(2, 25).Draw(t, "days"))
		for day := monday(); day < last; day++ {
			for _, at := range []struct {
				clock Clock
				name  string
			}{{21 * 60, "evening"}, {22*60 + 15, "commit"}, {1440 + 7*60 + 30, "morning"}} {
				for range rapid.IntRange(0, 2).Draw(t, "between") {
					now = now.Add(rapid.IntRange(0, 60).Draw(t, "minutes"))
					if rapid.IntRange(0, 12).Draw(t, "who") == 0 {
						act()
					} else {
						talk()
					}
				}
				when := Wall{day, 0}.Add(int(at.clock))
				if now.Before(when) {
					now = when
				}
				if rapid.IntRange(0, 15).Draw(t, "lost") > 0 {
					late := int32(minutesTo(when, now))
					do(Due{Name: at.name, Scheduled: when, Late: late})
				}
				if at.name != "commit" && rapid.IntRange(0, 2).Draw(t, "quick") > 0 { // a usual answer
					do(Said{Chat: p.Chat, Gen: p.Gen, Wall: now, Text: "x", Reading: Reading{Tokens: []Token{{Field: Worn, Value: Num(WornAll)}, {Field: Pain, Value: Num(0)}, {Field: Snoring, Value: Num(7)}, {Field: Bite, Value: Num(BiteBoth)}, {Field: Guide, Value: Num(Yes)}, {Field: GuideMinutes, Value: Num(5)}, {Field: Wrong, Value: Num(No)}}}})
					if p.Talk.Open == SettingLeft {
						do(Said{Chat: p.Chat, Gen: p.Gen, Wall: now, Text: "x", Reading: Reading{Word: WordStands}})
					}
				}
			}
		}
	})
}

func (p *Patient) trustedNow() bool {
	return p.Sure == p.Gen && p.Course.State > Consented && p.Course.State != Ended && !p.Course.Pausing
}

func weeklyState(s State) bool { return s >= Holding && s <= Recall }
