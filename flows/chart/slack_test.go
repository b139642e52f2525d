package chart

import (
	"testing"

	"duskdawn/flows/civil"
)

// However a plan's hours lie, a check-in that comes later by its slack is still
// of the same night, its evening before its morning.
func TestACheckinThatComesLaterIsStillItsOwn(t *testing.T) {
	const night = civil.Date(20_000)
	short := 0
	for _, boundary := range []civil.Clock{0, 5 * 60, 18 * 60} {
		for evening := civil.Clock(0); evening < 1440; evening += 7 {
			for morning := civil.Clock(0); morning < 1440; morning += 13 {
				p := Plan{Evening: evening, Morning: morning, Boundary: boundary}
				after := func(c civil.Clock) civil.Clock { return (c - p.boundary() + 1440) % 1440 }
				if after(evening) >= after(morning) {
					continue // refused when it is signed
				}
				for i, at := range []civil.Wall{p.EveningAt(night), p.MorningAt(night)} {
					slack := p.Slack(at)
					if slack < 0 || slack > CheckinSlack {
						t.Fatalf("%v-%v: slack %d", evening, morning, slack)
					}
					was, wasMorning := p.Half(at)
					if on, m := p.Half(at.Add(slack)); on != was || m != wasMorning {
						t.Fatalf("%v-%v, the night ends at %v: check-in %d, %d minutes later, is of night %d", evening, morning,
							p.boundary(), i, slack, on-night)
					}
					if slack < CheckinSlack {
						short++
					}
				}
			}
		}
	}
	if short == 0 {
		t.Error("no plan's hours were too close to an end for the whole slack")
	}
}
