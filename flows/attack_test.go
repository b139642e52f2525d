package flows

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// A night worker goes to bed in the morning: the reminder still commits the
// advice, and what is told after it still makes the advice stricter.
func TestANightWorkersEvening(t *testing.T) {
	for _, hours := range []struct{ evening, morning, boundary civil.Clock }{
		{8*60 + 30, 16 * 60, 18 * 60},
		{8*60 + 30, 16 * 60, 6 * 60},
		{4*60 + 30, 13 * 60, 16 * 60},
		{30, 9 * 60, 12 * 60},
		{21 * 60, 7 * 60, 12 * 60},
	} {
		l := active(t)
		l.p.Plan.Evening, l.p.Plan.Morning, l.p.Plan.Boundary = hours.evening, hours.morning, hours.boundary
		night := l.p.Plan.Night(l.now) + 2
		l.now = l.p.Plan.EveningAt(night)
		l.on(Due{Name: "evening", Scheduled: l.now})
		l.later(RemindAfter).on(Due{Name: "commit", Scheduled: l.now})
		if a := l.p.Course.Advice; a.Night != night || a.Action == chart.NoAction {
			t.Errorf("%v: the reminder gives night %s %v, want night %s", hours, a.Night, a.Action, night)
			continue
		}
		l.later(5).say("swollen", reading.Reading{Features: reading.FMissing}) // a piece is missing
		if a := l.p.Course.Advice; len(l.p.Course.Flags) == 0 || a.Action != chart.LeaveOut {
			t.Errorf("%v: a flag after the advice leaves %v with %v", hours, a.Action, l.p.Course.Flags)
		}
	}
}

// TestOneAdviceANight lives through weeks of talk, staff acts and outages: each
// night has one advice, replaced only by a stricter one, and every advice that
// is told is the one in force.
func TestOneAdviceANight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pr, p, now := lifePractice(), Patient{ID: "07TESTTESTTESTTEST"}, civil.Wall{Date: monday(), Clock: 10 * 60}
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
			if was.Night == a.Night && was.Action != chart.NoAction && a.Action != chart.NoAction && !ordered {
				if a != was && (a.Number != was.Number+1 || !a.SaferThan(&was)) {
					t.Fatalf("%+v replaces %+v on %+v", a, was, b)
				}
			}
			if a.Action == chart.Forward && a.Number != was.Number && a.To > max(left, p.Course.Eve.Left)+1 {
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
							if arg.Name == "n" && int(arg.N) != int(a.To) || arg.Name == "date" && civil.Date(arg.N) != a.Night {
								t.Fatalf("told %+v, in force %+v", line, a)
							}
						}
					}
				}
			}
			if a.Number != was.Number && !told && !ordered && p.Chat != 0 && !p.Bounced && !pr.Rival && p.trustedNow() &&
				a.Night == p.Plan.Coming(now) {
				if d, due := b.(Due); !due || d.Late < LateEvening-RemindAfter && !weeklyState(p.Course.OnPath()) {
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
		token := func() reading.Token {
			f := rapid.SampledFrom([]chart.Field{chart.Worn, chart.Pain, chart.Pain, chart.Snoring, chart.Bite,
				chart.BiteMinutes, chart.Gone, chart.Guide, chart.Wrong, chart.NotWorn, chart.SettingLeft, chart.SettingLeft,
				chart.SettingLeft}).Draw(t, "field")
			tok := reading.Token{Field: f, Value: chart.Num(rapid.IntRange(0, 6).Draw(t, "value"))}
			switch f {
			case chart.SettingLeft:
				tok.Value = chart.Num(int(p.Course.Left) + rapid.IntRange(-1, 1).Draw(t, "off"))
			case chart.BiteMinutes:
				tok.Value = chart.Num(rapid.SampledFrom([]int{5, 50, 70, 400}).Draw(t, "m"))
			}
			if rapid.IntRange(0, 4).Draw(t, "dated") == 0 {
				tok.Night = now.Date - civil.Date(rapid.IntRange(-1, 4).Draw(t, "ago"))
			}
			return tok
		}
		talk := func() {
			r := reading.Reading{}
			switch rapid.IntRange(0, 9).Draw(t, "what") {
			case 0:
				r.Word = rapid.SampledFrom([]reading.Word{reading.WordUndo, reading.WordUndo, reading.WordSkip, reading.WordStands,
					reading.WordStill, reading.WordWrong, reading.WordYes, reading.WordNo, reading.WordToday, reading.WordPause,
					reading.WordResume, reading.WordStop}).Draw(t, "word")
			case 1:
				r.Bare = chart.Num(rapid.IntRange(0, 8).Draw(t, "bare"))
			case 2:
				r.Features = rapid.SampledFrom([]reading.Features{reading.FMissing, reading.FChest, reading.FBroken, 0, 0, 0,
					0}).Draw(t, "flag")
			default:
				for range rapid.IntRange(1, 4).Draw(t, "tokens") {
					r.Tokens = append(r.Tokens, token())
				}
			}
			wall := now
			if rapid.IntRange(0, 9).Draw(t, "delayed") == 0 {
				wall = now.Add(-rapid.IntRange(1, 2000).Draw(t, "by"))
			}
			do(Said{Chat: p.Chat, Gen: p.Gen, Reading: r, Text: "x", Wall: wall,
				Edited: rapid.IntRange(0, 9).Draw(t, "edited") == 0})
		}
		act := func() {
			op := rapid.SampledFrom([]OrderOp{OrderRelease, OrderRelease, OrderVisit, OrderGrant, OrderHold, OrderResume,
				OrderPlan, OrderContact, OrderReopen, OrderTranscribe, OrderStep}).Draw(t, "op")
			o := Order{Actor: Actor{ID: "sclin"}, Op: op, Text: "words", Chat: chatClin, To: p.Course.Left,
				Has: op != OrderRelease, Base: p.Plan.Rev}
			plan := p.Plan
			plan.Limits.Ceiling = max(plan.Limits.Ceiling-1, 1)
			o.Plan = &plan
			o.Entry = &chart.Entry{Night: now.Date - 1}
			o.Entry.V[chart.Pain] = chart.Num(rapid.IntRange(0, 9).Draw(t, "p"))
			do(o)
		}
		last := monday() + civil.Date(rapid.IntRange(2, 25).Draw(t, "days"))
		for day := monday(); day < last; day++ {
			for _, at := range []struct {
				clock civil.Clock
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
				when := civil.Wall{Date: day, Clock: 0}.Add(int(at.clock))
				if now.Before(when) {
					now = when
				}
				if rapid.IntRange(0, 15).Draw(t, "lost") > 0 {
					late := int32(minutesTo(when, now))
					do(Due{Name: at.name, Scheduled: when, Late: late})
				}
				if at.name != "commit" && rapid.IntRange(0, 2).Draw(t, "quick") > 0 { // a usual answer
					do(Said{Chat: p.Chat, Gen: p.Gen, Wall: now, Text: "x",
						Reading: reading.Reading{Tokens: []reading.Token{{Field: chart.Worn, Value: chart.Num(chart.WornAll)},
							{Field: chart.Pain, Value: chart.Num(0)}, {Field: chart.Snoring, Value: chart.Num(7)}, {Field: chart.Bite, Value: chart.Num(chart.BiteBoth)}, {Field: chart.Guide, Value: chart.Num(chart.Yes)}, {Field: chart.GuideMinutes, Value: chart.Num(5)}, {Field: chart.Wrong, Value: chart.Num(chart.No)}}}})
					if p.Talk.Open == chart.SettingLeft {
						do(Said{Chat: p.Chat, Gen: p.Gen, Wall: now, Text: "x", Reading: reading.Reading{Word: reading.WordStands}})
					}
				}
			}
		}
	})
}

func (p *Patient) trustedNow() bool {
	return p.Sure == p.Gen && p.Course.State > chart.Consented && p.Course.State != chart.Ended && !p.Course.Pausing
}

func weeklyState(s chart.State) bool { return s >= chart.Holding && s <= chart.Recall }
