package cohort

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// invented sentences, one for each answer that there may be.
func everyAnswer() (s Speech) {
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		row := f.Row()
		for n := row.Least; n <= max(row.Least+10, 480); n++ {
			s.Diary = append(s.Diary, Sentence{Text: "diary", Tells: []reading.Token{{Field: f, Value: chart.Num(n)}}})
		}
	}
	s.Vague, s.Small = []Sentence{{Text: "vague"}}, []Sentence{{Text: "small talk"}}
	return s
}

// What somebody types of a night is what was answered of it, whichever question it
// answers; a third is small talk.
func TestTypesWhatWasLived(t *testing.T) {
	speech := everyAnswer()
	said, told, kinds := 0, map[chart.Field]int{}, map[string]int{}
	tr := &Trial{Plan: Usual(), Nights: 60, Seed: 3}
	pl := tr.Player()
	tr.Says = func(n int, l *Lived) *Sentence {
		x := speech.Say(n, l)
		said++
		kinds[x.Text]++
		e, _ := pl.p.Course.Entry(pl.night - 1)
		for _, a := range x.Tells {
			told[a.Field]++
			was, by := e.At(a.Field), 0
			switch a.Field {
			case chart.Snoring:
				by = nearSnoring
			case chart.WornMinutes:
				by = nearPart
			case chart.BiteMinutes:
				by = nearMinutes
			case chart.Gone: // it had not gone when the morning was answered
				was = chart.Unknown
			case chart.SettingLeft:
				if a.Value.N() != int(pl.stands) {
					t.Errorf("setting %d, where it stands at %d", a.Value.N(), pl.stands)
				}
				was = chart.Unknown // miscounted, now and then
			case chart.Bite, chart.Headache, chart.Pauses, chart.Sleepiness: // asked anew, or drawn when asked
				was = chart.Unknown
			}
			if was.Known() && !within(a.Value.N(), was.N(), by) {
				t.Errorf("%s: types %d, answered %d", a.Field.Row().Name, a.Value.N(), was.N())
			}
		}
		return &Sentence{Text: "hm", Reading: reading.Reading{Rest: true}} // the course goes on as if nothing was told
	}
	for n := range 120 {
		pl.Live(n)
	}
	for _, f := range []chart.Field{chart.Worn, chart.WornMinutes, chart.NotWorn, chart.Snoring, chart.Reporter, chart.Pain,
		chart.Woken, chart.Where, chart.Gone, chart.Guide, chart.GuideMinutes, chart.Bite, chart.BiteMinutes, chart.Nose,
		chart.Sleepiness, chart.Driving, chart.Headache, chart.Pauses, chart.SettingLeft, chart.Wrong} {
		if told[f] == 0 {
			t.Errorf("nobody types of %s", f.Row().Name)
		}
	}
	if small := kinds["small talk"] * 100 / said; small < 28 || small > 50 || kinds["vague"] == 0 || kinds["diary"] < said/3 {
		t.Errorf("of %d: %v", said, kinds)
	}
}

// An answer that is not true is not said, nor two of which one is not.
func TestTypesNothingUntrue(t *testing.T) {
	tr := &Trial{Plan: Usual(), Nights: 1}
	pl := tr.Player()
	pl.night, pl.morning = tr.fitted()+1, told{worn: chart.WornAll, pain: 3, gone: chart.GoneMorning, guide: true, bite: 10}
	l := &Lived{pl}
	three, four := reading.Token{Field: chart.Pain, Value: chart.Num(3)}, reading.Token{Field: chart.Pain, Value: chart.Num(4)}
	if !l.True([]reading.Token{three}) || l.True([]reading.Token{four}) || l.True([]reading.Token{three, four}) || l.True(nil) {
		t.Error("pain of 3")
	}
	if l.True([]reading.Token{{Field: chart.Snoring, Value: chart.Num(0)}}) {
		t.Error("nobody was there to hear")
	}
	if pl.night = tr.fitted(); l.True([]reading.Token{three}) {
		t.Error("of a night before the first")
	}
}
