package flows

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
)

// MediaCourse begins the media of a message that goes with a picture of the
// Subject's course: "course.plain" for the patient, "course.whole" for staff. The
// text says by itself what is most needed, for who cannot see the picture, and
// stands alone where there is none.
const (
	MediaCourse      = "course."
	MediaCoursePlain = MediaCourse + "plain"
	MediaCourseWhole = MediaCourse + "whole"
)

// week is how many nights a mean of the patient's own course is made of.
const week = 7

// course shows the patient the nights so far: as a picture, and the last of them
// in words.
func (t *turn) course() {
	c := &t.p.Course
	nights := c.Nights[:min(int(c.N), len(c.Nights))]
	if !slices.ContainsFunc(nights, shown) {
		t.say("diary.empty")
		t.goOn()
		return
	}
	m := message.Message{Media: MediaCoursePlain, Subject: t.p.ID}
	m.Lines = append(m.Lines, message.Say("mycourse.head", message.ArgN("count", len(nights)),
		message.ArgD("from", nights[0].Night), message.ArgD("to", nights[len(nights)-1].Night)), placeLine(nights, c))
	recent := nights[max(0, len(nights)-week):]
	m.Lines = append(m.Lines, snoringLine(nights[:len(nights)-len(recent)], recent), painLine(recent),
		message.Say("mycourse.proof"))
	t.send(Send{Lane: LaneReply, Msg: m})
	t.goOn()
}

// shown reports whether a night has a mark in the picture.
func shown(e chart.Entry) bool {
	return e.At(chart.SettingLeft).Known() || e.At(chart.Snoring).Known() || e.At(chart.Pain).Known()
}

// placeLine tells how the setting has moved in these nights.
func placeLine(nights []chart.Entry, c *pacing.Course) message.Line {
	now := message.ArgN("n", int(c.Left))
	if c.InDoubt {
		return message.Say("mycourse.doubt", now)
	}
	for i := range nights {
		if v := nights[i].At(chart.SettingLeft); v.Known() {
			if v.N() == int(c.Left) {
				break
			}
			return message.Say("mycourse.moved", message.ArgN("from", v.N()), now)
		}
	}
	return message.Say("mycourse.place", now)
}

// snoringLine compares the last week of nights with those before it.
func snoringLine(before, recent []chart.Entry) message.Line {
	is, known := mean(recent, chart.Snoring)
	was, knew := mean(before, chart.Snoring)
	switch {
	case !known:
		return message.Say("mycourse.snoring.none")
	case !knew:
		return message.Say("mycourse.snoring", tenths("is", is))
	}
	return message.Say("mycourse.snoring.was", tenths("is", is), tenths("was", was))
}

// painLine is the worst of the last week of nights.
func painLine(recent []chart.Entry) message.Line {
	worst := -1
	for i := range recent {
		if v := recent[i].At(chart.Pain); v.Known() {
			worst = max(worst, v.N())
		}
	}
	if worst < 0 {
		return message.Say("mycourse.pain.none")
	}
	return message.Say("mycourse.pain", message.ArgN("worst", worst))
}

// mean is that of the answers to a field, in tenths, rounded half up; false
// where there is none.
func mean(nights []chart.Entry, f chart.Field) (int, bool) {
	sum, n := 0, 0
	for i := range nights {
		if v := nights[i].At(f); v.Known() {
			sum, n = sum+v.N(), n+1
		}
	}
	if n == 0 {
		return 0, false
	}
	return (20*sum + n) / (2 * n), true
}

func tenths(name string, n int) message.Arg {
	return message.Arg{Name: name, Kind: message.ArgTenths, N: int64(n)}
}
