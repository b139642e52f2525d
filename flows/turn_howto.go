package flows

import (
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// HowTo is the general card of a topic, with what is known of this patient's
// appliance: for where the practice has no card of its own. What was shown at
// the chair counts more, and the last line says so.
func (p *Patient) HowTo(topic reading.Topic) []message.Line {
	a := &p.Appliance
	var lines []message.Line
	say := func(key string, args ...message.Arg) { lines = append(lines, message.Say(key, args...)) }
	switch topic {
	case reading.HowPutIn:
		say("howto.putin")
		say("howto.putin.rinse")
		say("howto.putin.press")
		say("howto.putin.force")
	case reading.HowTakeOut:
		say("howto.takeout")
		say("howto.takeout.hands")
		say("howto.takeout.parts")
		say("howto.takeout.stuck")
	case reading.HowStep:
		say("howto.step")
		say("howto.step.when")
		say("howto.step.tool")
		if a.StepWord != "" {
			say("howto.step.word", message.ArgS("step", a.StepWord))
		}
		if a.Forward != "" {
			say("howto.step.forward", message.ArgS("forward", a.Forward))
		}
		say("howto.step.back")
		if a.TwoSided {
			say("howto.step.sides")
		}
		say("howto.step.count")
	case reading.HowLipSeal:
		say("howto.lipseal")
		say("howto.lipseal.nose")
		say("howto.lipseal.blocked")
		say("howto.lipseal.off")
	case reading.HowGuide:
		say("howto.guide")
		say("howto.guide.when")
		if a.GuideMin > 0 {
			say("howto.guide.minutes", message.ArgN("count", int(a.GuideMin)))
		}
		say("howto.guide.gently")
		say("howto.guide.check")
	case reading.HowClean:
		say("howto.clean")
		say("howto.clean.rinse")
		say("howto.clean.heat")
		say("howto.clean.ask")
		say("howto.clean.keep")
	case reading.HowFirstWeek:
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
