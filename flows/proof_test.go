package flows

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
)

// proving is a patient whose snoring has settled, a week on, on no evening of the week.
func proving(t *testing.T) *life {
	l := active(t)
	c := &l.p.Course
	c.State, c.HoldFrom = chart.Holding, monday()
	l.p.Talk.Weekly, l.p.Talk.WeeklyA = monday()+6, monday()+6
	l.now = civil.Wall{Date: monday() + 8, Clock: 21 * 60}
	l.on(Due{Name: "evening", Scheduled: l.now}).wantNot(0, "prompt.evening")
	return l.dawn()
}

// dawn is the morning prompt after the last evening.
func (l *life) dawn() *life {
	l.now = civil.Wall{Date: l.now.Date + 1, Clock: 7*60 + 30}
	return l.on(Due{Name: "morning", Scheduled: l.now})
}

func (l *life) answer(f chart.Field, n int) *life {
	return l.say("-", reading.Reading{Tokens: []reading.Token{{Field: f, Value: chart.Num(n)}}})
}

// From holding until a test is recorded each morning asks whether it was worn and how
// loud it was, and nothing else; the rest stays weekly.
func TestMorningsUntilTheTest(t *testing.T) {
	l := proving(t).want(0, "ask.worn")
	l.answer(chart.Worn, chart.WornAll).want(0, "ask.snoring")
	l.answer(chart.Snoring, 2).want(0, "morning.proving").wantNot(0, "ask.pain")

	l = proving(t) // not worn: why is asked, nobody could hear it
	l.answer(chart.Worn, chart.WornNo).want(0, "ask.why")
	l.answer(chart.NotWorn, chart.ReasonOtherUse).want(0, "morning.proving").wantNot(0, "ask.snoring")

	l = proving(t)
	l.p.Talk.Weekly = l.now.Date - 1 // the morning after the evening of the week: all of it
	e := &l.p.Course.Nights[l.p.Course.N-1]
	e.Asked = 0
	l.on(Due{Name: "morning", Scheduled: l.now}).want(0, "ask.setting.last")
}

// A relapse chart that has risen has the mornings ask again, however many scores there are.
func TestMorningsAfterTheChartRose(t *testing.T) {
	for _, rose := range []civil.Date{0, monday() + 6} {
		l := proving(t)
		e := &l.p.Course.Nights[l.p.Course.N-1]
		e.Asked = 0
		l.p.Course.State, l.p.Course.TestOn, l.p.Course.Rose = chart.Steady, monday()+3, rose
		if l.on(Due{Name: "morning", Scheduled: l.now}); rose == 0 {
			l.wantNot(0, "ask.worn")
			continue
		}
		l.want(0, "ask.worn").answer(chart.Worn, chart.WornAll).want(0, "ask.snoring")
		l.answer(chart.Snoring, 5).want(0, "morning.rising").wantNot(0, "morning.proving")
	}
}

// Sixteen scores at the setting are enough; once a test of this hold is recorded the
// mornings are weekly again, and one of an earlier hold proves nothing.
func TestMorningsEndWithTheProof(t *testing.T) {
	for scores, asked := range map[int]bool{15: true, 16: false} {
		l := active(t)
		c := &l.p.Course
		f := l.p.Facts(&l.pr, &Event{})
		for n := range civil.Date(scores) {
			c.Reach(&f, monday()+n)
			c.Answer(f, monday()+n, chart.Worn, chart.Num(chart.WornAll), chart.FromPatient)
			c.Answer(f, monday()+n, chart.Reporter, chart.Num(chart.ReporterPartner), chart.FromPatient)
			c.Answer(f, monday()+n, chart.Snoring, chart.Num(2), chart.FromPatient)
		}
		c.State, c.HoldFrom = chart.Holding, monday()
		l.p.Talk.Weekly, l.p.Talk.WeeklyA = monday()+civil.Date(scores), monday()+civil.Date(scores)
		l.now = civil.Wall{Date: monday() + civil.Date(scores) + 1, Clock: 21 * 60}
		l.on(Due{Name: "evening", Scheduled: l.now}).dawn().want(0, "ask.worn")
		if l.answer(chart.Worn, chart.WornAll); asked {
			l.want(0, "ask.snoring")
		} else {
			l.wantNot(0, "ask.snoring").want(0, "morning.proving")
		}
	}
	for _, x := range map[string]struct {
		state chart.State
		test  civil.Date
		asks  bool
	}{
		"arranged":                {chart.Testing, 0, true},
		"a test before this hold": {chart.Holding, monday() - 1, true},
		"tested":                  {chart.Testing, monday() + 3, false},
		"steady":                  {chart.Steady, monday() + 3, false},
	} {
		l := proving(t)
		e := &l.p.Course.Nights[l.p.Course.N-1]
		e.Asked = 0
		l.p.Course.State, l.p.Course.TestOn = x.state, x.test
		l.on(Due{Name: "morning", Scheduled: l.now})
		if x.asks {
			l.want(0, "ask.worn")
		} else {
			l.wantNot(0, "ask.worn")
		}
	}
}

// It is asked what was unusual after a score of 3 or more above the mean of the
// newest four, and then alone; on how many mornings, after a headache.
func TestWhatWasUnusualIsAsked(t *testing.T) {
	for score, asked := range map[int]bool{6: false, 7: true} {
		l := active(t)
		c := &l.p.Course
		f := l.p.Facts(&l.pr, &Event{})
		for n, s := range [...]int{9, 3, 4, 5, 4} { // of the newest four the mean is 4
			c.Reach(&f, monday()+civil.Date(n))
			c.Answer(f, monday()+civil.Date(n), chart.Worn, chart.Num(chart.WornAll), chart.FromPatient)
			c.Answer(f, monday()+civil.Date(n), chart.Reporter, chart.Num(chart.ReporterPartner), chart.FromPatient)
			c.Answer(f, monday()+civil.Date(n), chart.Snoring, chart.Num(s), chart.FromPatient)
		}
		l.now = civil.Wall{Date: monday() + 5, Clock: 21 * 60}
		l.on(Due{Name: "evening", Scheduled: l.now})
		l.now = l.now.Add(RemindAfter)
		l.on(Due{Name: "commit", Scheduled: l.now}).dawn().answer(chart.SettingLeft, 0)
		l.answer(chart.Worn, chart.WornAll)
		if l.answer(chart.Snoring, score); asked {
			l.want(0, "ask.unusual").answer(chart.Unusual, chart.UnusualCold).want(0, "ask.pain")
			if e, _ := c.Entry(monday() + 5); !e.Aside() {
				t.Error("an unusual night is in the reports")
			}
		} else {
			l.wantNot(0, "ask.unusual").want(0, "ask.pain")
		}
	}
}
