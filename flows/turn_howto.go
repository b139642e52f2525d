package flows

// HowTo is the general card of a topic, with what is known of this patient's
// appliance: for where the practice has no card of its own. What was shown at
// the chair counts more, and the last line says so.
func (p *Patient) HowTo(topic Topic) []Line {
	a := &p.Appliance
	var lines []Line
	say := func(key string, args ...Arg) { lines = append(lines, Say(key, args...)) }
	switch topic {
	case HowPutIn:
		say("howto.putin")
		say("howto.putin.rinse")
		say("howto.putin.press")
		say("howto.putin.force")
	case HowTakeOut:
		say("howto.takeout")
		say("howto.takeout.hands")
		say("howto.takeout.parts")
		say("howto.takeout.stuck")
	case HowStep:
		say("howto.step")
		say("howto.step.when")
		say("howto.step.tool")
		if a.StepWord != "" {
			say("howto.step.word", ArgS("step", a.StepWord))
		}
		if a.Forward != "" {
			say("howto.step.forward", ArgS("forward", a.Forward))
		}
		say("howto.step.back")
		if a.TwoSided {
			say("howto.step.sides")
		}
		say("howto.step.count")
	case HowLipSeal:
		say("howto.lipseal")
		say("howto.lipseal.nose")
		say("howto.lipseal.blocked")
		say("howto.lipseal.off")
	case HowGuide:
		say("howto.guide")
		say("howto.guide.when")
		if a.GuideMin > 0 {
			say("howto.guide.minutes", ArgN("count", int(a.GuideMin)))
		}
		say("howto.guide.gently")
		say("howto.guide.check")
	case HowClean:
		say("howto.clean")
		say("howto.clean.rinse")
		say("howto.clean.heat")
		say("howto.clean.ask")
		say("howto.clean.keep")
	case HowFirstWeek:
		say("howto.firstweek")
		say("howto.firstweek.feel")
		say("howto.firstweek.fade")
		say("howto.firstweek.hours")
		say("howto.firstweek.tell")
	default:
		return nil
	}
	say("howto.chair")
	return lines
}
