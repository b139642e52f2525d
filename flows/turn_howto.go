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
		return p.answer(topic)
	}
	say("howto.chair")
	return lines
}

// mostAsked are the lines of what patients ask most, as common practice has it and from
// memory: each says what to stop, leaves what a clinician decides to the practice, and
// names no product. Where one concerns a part, it is said to who has the part.
var mostAsked = map[reading.Topic][]string{
	reading.HowFaster:  {"no", "sore", "tell"},
	reading.HowMissed:  {"again", "never", "pain", "week"},
	reading.HowLong:    {"night", "while", "stop"},
	reading.HowMouth:   {"common", "water", "tell"},
	reading.HowCold:    {"nose", "seal", "out", "ask"},
	reading.HowAlcohol: {"worse", "seal", "tablets", "tell"},
	reading.HowDental:  {"before", "fit", "step"},
	reading.HowTravel:  {"pack", "wear", "zone", "abroad"},
	reading.HowTeeth:   {"change", "morning", "guide", "tell", "visits"},
	reading.HowTest:    {"quiet", "test", "wear", "drive"},
}

// answer is the card of what patients ask; nil for no such topic.
func (p *Patient) answer(topic reading.Topic) []message.Line {
	if !topic.Asked() {
		return nil
	}
	key := "howto." + topic.String()
	lines := []message.Line{message.Say(key)}
	for _, part := range mostAsked[topic] {
		if part == "seal" && !p.Appliance.LipSeal || part == "guide" && !p.Appliance.Guide {
			continue
		}
		lines = append(lines, message.Say(key+"."+part))
	}
	return lines
}
