package danger

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// Outputs is how many outputs the net has: a danger each in the order of their numbers, then Seeming for what looks
// like a danger and is none now, Nothing for what is neither that nor an answer, and an output for each matter that an
// answer may be about.
const (
	Seeming = int(reading.NumDangers) + iota
	Nothing
	firstMatter
	Outputs = firstMatter + int(NumMatters)
)

// Matter is what an answer is about: questions that are answered in one breath are one matter.
type Matter uint8

// The matters.
const (
	MatterWorn Matter = iota
	MatterReason
	MatterSnoring
	MatterPain
	MatterGone
	MatterGuide
	MatterBite
	MatterSleepiness
	MatterDriving
	MatterPauses
	MatterHeadache
	MatterSetting
	NumMatters
)

// Output is the net's output for answers about a matter.
func (m Matter) Output() int { return firstMatter + int(m) }

var matters = [chart.NumFields]Matter{
	chart.NoField: NumMatters, chart.Worn: MatterWorn, chart.WornMinutes: MatterWorn, chart.NotWorn: MatterReason,
	chart.Snoring: MatterSnoring, chart.Reporter: MatterSnoring, chart.Pain: MatterPain, chart.Woken: MatterPain,
	chart.Where: MatterPain, chart.Gone: MatterGone, chart.Guide: MatterGuide, chart.GuideMinutes: MatterGuide,
	chart.Bite: MatterBite, chart.BiteMinutes: MatterBite, chart.Nose: NumMatters, chart.Sleepiness: MatterSleepiness,
	chart.Driving: MatterDriving, chart.Pauses: MatterPauses, chart.Headache: MatterHeadache,
	chart.SettingLeft: MatterSetting, chart.SettingRight: MatterSetting, chart.Wrong: NumMatters,
}

// MatterOf is the matter of a question; NumMatters for those of which no sentence speaks.
func MatterOf(f chart.Field) Matter {
	if f < chart.NumFields {
		return matters[f]
	}
	return NumMatters
}
