package flows

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// pictured is the message of a turn that goes with a picture of the course.
func pictured(out []Effect) (m message.Message, ok bool) {
	for _, x := range out {
		if s, is := x.(Send); is && s.Msg.Media == MediaCoursePlain {
			return s.Msg, true
		}
	}
	return m, false
}

// The patient's own course is a picture and says the same in words; before the
// first answer there is nothing to draw, and before anybody said that this is the
// right person nothing is shown.
func TestMyCourse(t *testing.T) {
	l := active(t).word(reading.WordCourse).want(0, "diary.empty")
	if _, ok := pictured(l.out); ok {
		t.Error("a picture of nothing")
	}
	c := &l.p.Course
	c.N = 10
	for i := range 10 {
		e := &c.Nights[i]
		e.Night = l.now.Date + civil.Date(i-10)
		e.V[chart.SettingLeft], e.V[chart.Snoring] = chart.Num(i/3), chart.Num(9-i/2)
		e.V[chart.Pain] = chart.Num(i % 4)
	}
	c.Left = 3
	m, ok := pictured(l.word(reading.WordCourse).out)
	if !ok || m.Subject != l.p.ID {
		t.Fatalf("no picture: %+v", l.out)
	}
	// By hand: 8 7 7 6 6 5 5 are 44, over seven 6.29; 9 9 8 before them are 26, over three 8.67.
	want := map[string][]message.Arg{
		"mycourse.moved":       {message.ArgN("from", 0), message.ArgN("n", 3)},
		"mycourse.snoring.was": {tenths("is", 63), tenths("was", 87)},
		"mycourse.pain":        {message.ArgN("worst", 3)},
		"mycourse.proof":       nil,
	}
	for _, line := range m.Lines {
		args, ok := want[line.Key]
		if ok && len(args) == len(line.Args) {
			for i := range args {
				if args[i] != line.Args[i] {
					t.Errorf("%s: %+v, want %+v", line.Key, line.Args, args)
				}
			}
			delete(want, line.Key)
		}
	}
	if len(want) > 0 {
		t.Errorf("nothing says %v: %+v", want, m.Lines)
	}
	c.InDoubt = true
	l.word(reading.WordCourse).want(0, "mycourse.doubt")
	l.p.Sure = 0
	if _, ok := pictured(l.word(reading.WordCourse).out); ok {
		t.Error("somebody who was not confirmed sees the course")
	}
}

// A mean is in tenths and rounded half up; what is not known counts for nothing.
func TestMeanOfAnswers(t *testing.T) {
	for _, x := range []struct {
		scores []int
		want   int
	}{{[]int{1, 2}, 15}, {[]int{1, 1, 2}, 13}, {[]int{1, 2, 2}, 17}, {[]int{0, 0, 0, 1}, 3}, {nil, 0}} {
		nights := make([]chart.Entry, len(x.scores)+1)
		for i, n := range x.scores {
			nights[i].V[chart.Pain] = chart.Num(n)
		}
		if got, ok := mean(nights, chart.Pain); got != x.want || ok != (len(x.scores) > 0) {
			t.Errorf("%v: %d, %v", x.scores, got, ok)
		}
	}
}
