package enrol

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/evidence"
)

// What follows is the one table of everything a clinician enters at the chair.
// The guided form, pasted lines and the TOML file all read it. Bounds are hard:
// beyond them the form refuses, and says why. What bounds and defaults rest on
// are claims of claim.go; "common" is common practice without a source, shown
// as a default that the clinician signs.
const (
	common     evidence.Basis = "common"
	sanity     evidence.Basis = "sanity"
	scoreZero  evidence.Basis = "score-eleven"
	stepBasis  evidence.Basis = "step-most step-trial step-thread"
	paceBasis  evidence.Basis = "pace-fastest pace-laboratory pace-one-night"
	placeBasis evidence.Basis = "place-half severe-more place-level step-stages"
	rangeBasis evidence.Basis = "range-students range-patients sanity"
	loudBasis  evidence.Basis = "nights-four snoring-mild"
	wornBasis  evidence.Basis = "worn-payer"
)

// NumFormFields is how many blanks there are.
const NumFormFields = len(Table)

// FormFields returns the blanks in the order they are asked and filled.
func FormFields() []FormField { return Table[:] }

// Order lists the places of all blanks in the order they are asked: by part.
func Order(fields []FormField) []int {
	out := make([]int, 0, len(fields))
	for n := range NumParts {
		part := (n + PartFirst) % NumParts
		for i := range fields {
			if fields[i].Part == part {
				out = append(out, i)
			}
		}
	}
	return out
}

// FormIndex returns the place of a key in the table; -1 where there is none.
func FormIndex(fields []FormField, key string) int {
	for i := range fields {
		if fields[i].Key == key {
			return i
		}
	}
	return -1
}

// Table is the table. A blank keeps its place: stored forms count on it,
// so new ones go at the end of the table and Part alone orders what is asked.
var Table = [...]FormField{
	{Key: "label", Part: PartPatient, Kind: FormText, Max: 40, Need: true, Basis: common, at: func(e *chart.Enrolment) any { return &e.Label }},
	{Key: "adult", Part: PartFirst, Kind: FormYes, Need: true, Min: chart.Yes, Max: chart.Yes, Basis: "adult-method", at: func(e *chart.Enrolment) any { return &e.Adult }},
	{Key: "language", Part: PartPatient, Kind: FormLang, Need: true, Basis: common, at: func(e *chart.Enrolment) any { return &e.Lang }},
	{Key: "zone", Part: PartPatient, Kind: FormZone, Need: true, Basis: common, at: func(e *chart.Enrolment) any { return &e.Zone }},
	{Key: "phone", Part: PartPatient, Kind: FormPhone, Need: true, Basis: common, at: func(e *chart.Enrolment) any { return &e.Phone }},
	{Key: "physician", Part: PartPatient, Kind: FormText, Max: 80, Basis: "physician-loop standards-practice guideline-europe", at: func(e *chart.Enrolment) any { return &e.Physician }},

	{Key: "mechanism", Part: PartAppliance, Kind: FormText, Max: 60, Need: true, Basis: common, at: func(e *chart.Enrolment) any { return &e.Appliance.Mechanism }},
	{Key: "step-word", Part: PartAppliance, Kind: FormText, Max: 24, Need: true, Basis: common, at: func(e *chart.Enrolment) any { return &e.Appliance.StepWord }},
	{Key: "step-mm", Part: PartAppliance, Kind: FormMM, Min: 100, Max: 1000, Need: true, Basis: stepBasis, at: func(e *chart.Enrolment) any { return &e.Appliance.Step }},
	{Key: "forward", Part: PartAppliance, Kind: FormText, Max: 60, Need: true, Basis: common, at: func(e *chart.Enrolment) any { return &e.Appliance.Forward }},
	{Key: "travel", Part: PartAppliance, Kind: FormTravel, Min: 1, Max: 200, Need: true, Basis: "read-appliance sanity", at: func(e *chart.Enrolment) any { return &e.Appliance.Travel }},
	{Key: "setting-labels", Part: PartAppliance, Kind: FormList, Max: 60, Basis: common, at: func(e *chart.Enrolment) any { return &e.Appliance.Labels }},
	{Key: "two-sided", Part: PartAppliance, Kind: FormYes, Default: "no", Basis: common, at: func(e *chart.Enrolment) any { return &e.Appliance.TwoSided }},
	{Key: "offset", Part: PartAppliance, Kind: FormWhole, Min: -20, Max: 20, Default: "0", Basis: "sides-same", at: func(e *chart.Enrolment) any { return &e.Appliance.Offset }},
	{Key: "guide", Part: PartAppliance, Kind: FormYes, Default: "yes", Basis: common, at: func(e *chart.Enrolment) any { return &e.Appliance.Guide }},
	{Key: "guide-minutes", Part: PartAppliance, Kind: FormWhole, Min: 2, Max: 25, Default: "5", Basis: "guide-minutes", at: func(e *chart.Enrolment) any { return &e.Appliance.GuideMin }},
	{Key: "lip-seal", Part: PartAppliance, Kind: FormYes, Default: "no", Basis: common, at: func(e *chart.Enrolment) any { return &e.Appliance.LipSeal }},

	{Key: "zero", Part: PartRange, Kind: FormChoice, Choices: []string{"habitual", "retruded"}, Need: true, Basis: "zero-habitual zero-retruded", at: func(e *chart.Enrolment) any { return &e.Baseline.Zero }},
	{Key: "max-mm", Part: PartRange, Kind: FormMM, Min: 1, Max: 20000, Need: true, Basis: rangeBasis, at: func(e *chart.Enrolment) any { return &e.Baseline.Max }},
	{Key: "retruded-mm", Part: PartRange, Kind: FormMM, Min: -10000, Max: 0, Basis: sanity, at: func(e *chart.Enrolment) any { return &e.Baseline.Retruded }},
	{Key: "start", Part: PartRange, Kind: FormPlace, Min: -10000, Max: 20000, Need: true, Basis: placeBasis, at: func(e *chart.Enrolment) any { return &e.Baseline.Start }},
	{Key: "overjet-mm", Part: PartRange, Kind: FormMM, Min: -15000, Max: 20000, Basis: sanity, at: func(e *chart.Enrolment) any { return &e.Baseline.Overjet }},
	{Key: "overbite-mm", Part: PartRange, Kind: FormMM, Min: -15000, Max: 20000, Basis: sanity, at: func(e *chart.Enrolment) any { return &e.Baseline.Overbite }},
	{Key: "opening-mm", Part: PartRange, Kind: FormWhole, Min: 5, Max: 90, Basis: sanity, at: func(e *chart.Enrolment) any { return &e.Baseline.Opening }},

	{Key: "jaw-pain", Part: PartBaseline, Kind: FormWhole, Max: 10, Basis: scoreZero, at: func(e *chart.Enrolment) any { return &e.Baseline.Pain }},
	{Key: "clicking", Part: PartBaseline, Kind: FormYes, Basis: common, at: func(e *chart.Enrolment) any { return &e.Baseline.Clicking }},
	{Key: "loose-teeth", Part: PartBaseline, Kind: FormYes, Basis: common, at: func(e *chart.Enrolment) any { return &e.Baseline.Loose }},
	{Key: "implants", Part: PartBaseline, Kind: FormYes, Basis: common, at: func(e *chart.Enrolment) any { return &e.Baseline.Implants }},
	{Key: "allergies", Part: PartBaseline, Kind: FormText, Max: 120, Basis: common, at: func(e *chart.Enrolment) any { return &e.Baseline.Allergies }},
	{Key: "reporter", Part: PartBaseline, Kind: FormChoice, Choices: []string{"partner", "self", "recorder", "nobody"}, Need: true, Basis: "partner-score", at: func(e *chart.Enrolment) any { return &e.Baseline.Reporter }},
	{Key: "snoring", Part: PartBaseline, Kind: FormWhole, Max: 10, Basis: loudBasis, at: func(e *chart.Enrolment) any { return &e.Baseline.Snoring }},
	{Key: "sleepiness", Part: PartBaseline, Kind: FormWhole, Max: 10, Need: true, Basis: "own-question", at: func(e *chart.Enrolment) any { return &e.Baseline.Sleepy }},
	{Key: "headache", Part: PartBaseline, Kind: FormYes, Need: true, Basis: common, at: func(e *chart.Enrolment) any { return &e.Baseline.Headache }},
	{Key: "pauses", Part: PartBaseline, Kind: FormYes, Need: true, Basis: common, at: func(e *chart.Enrolment) any { return &e.Baseline.Pauses }},
	{Key: "drives", Part: PartBaseline, Kind: FormYes, Need: true, Basis: "drowsy-warned", at: func(e *chart.Enrolment) any { return &e.Baseline.Drives }},
	{Key: "ahi", Part: PartBaseline, Kind: FormTenths, Max: 2000, Basis: sanity, at: func(e *chart.Enrolment) any { return &e.Baseline.Test.AHI10 }},
	{Key: "ahi-test", Part: PartBaseline, Kind: FormText, Max: 40, Basis: "test-named", at: func(e *chart.Enrolment) any { return &e.Baseline.Test.Kind }},
	{Key: "ahi-rule", Part: PartBaseline, Kind: FormText, Max: 40, Basis: "scoring-rules", at: func(e *chart.Enrolment) any { return &e.Baseline.Test.Rule }},
	{Key: "ahi-date", Part: PartBaseline, Kind: FormDate, Basis: common, at: func(e *chart.Enrolment) any { return &e.Baseline.Test.On }},
	{Key: "scores", Part: PartBaseline, Kind: FormScores, Basis: "totals-only", at: func(e *chart.Enrolment) any { return &e.Baseline.Scores }},

	{Key: "ceiling", Part: PartLimits, Kind: FormSetting, Min: 1, Max: 200, Need: true, Basis: placeBasis, at: func(e *chart.Enrolment) any { return &e.Plan.Limits.Ceiling }},
	{Key: "settle", Part: PartLimits, Kind: FormWhole, Min: 1, Max: 14, Default: "3", Basis: "settle-nights", at: func(e *chart.Enrolment) any { return &e.Plan.Limits.Settle }},
	{Key: "interval", Part: PartLimits, Kind: FormWhole, Min: 2, Max: 14, Default: "3", Basis: "interval-three interval-seven", at: func(e *chart.Enrolment) any { return &e.Plan.Limits.Interval }},
	{Key: "rest-mornings", Part: PartLimits, Kind: FormWhole, Min: 2, Max: 7, Default: "3", Basis: "rest-three", at: func(e *chart.Enrolment) any { return &e.Plan.Limits.RestMornings }},
	{Key: "target", Part: PartLimits, Kind: FormWhole, Max: 4, Default: "3", Basis: loudBasis, at: func(e *chart.Enrolment) any { return &e.Plan.Limits.Target }},
	{Key: "loud", Part: PartLimits, Kind: FormWhole, Min: 5, Max: 10, Default: "7", Basis: common, at: func(e *chart.Enrolment) any { return &e.Plan.Limits.Loud }},
	{Key: "worn-hours", Part: PartLimits, Kind: FormHours, Min: 60, Max: 720, Default: "4", Basis: wornBasis, at: func(e *chart.Enrolment) any { return &e.Plan.Limits.WornMinutes }},
	{Key: "pace-mm", Part: PartLimits, Kind: FormMM, Min: 100, Max: 1000, Default: "1", Basis: paceBasis, at: func(e *chart.Enrolment) any { return &e.Plan.Limits.Pace }},
	{Key: "timetable", Part: PartLimits, Kind: FormYes, Default: "no", Basis: common, at: func(e *chart.Enrolment) any { return &e.Plan.Limits.Timetable }},
	{Key: "timetable-top", Part: PartLimits, Kind: FormSetting, Min: 1, Max: 200, Basis: "place-half severe-more", at: func(e *chart.Enrolment) any { return &e.Plan.Limits.TimetableTop }},
	{Key: "release-by-person", Part: PartLimits, Kind: FormYes, Default: "no", Basis: common, at: func(e *chart.Enrolment) any { return &e.Plan.Limits.ReleaseByHand }},
	{Key: "driving-nightly", Part: PartLimits, Kind: FormYes, Default: "no", Basis: common, at: func(e *chart.Enrolment) any { return &e.Plan.Limits.DrivingNightly }},
	{Key: "contact-days", Part: PartLimits, Kind: FormWhole, Min: 7, Max: 90, Default: "90", Basis: "contact-payer contact-guideline", at: func(e *chart.Enrolment) any { return &e.Plan.Limits.ContactDays }},
	{Key: "weekly-needed", Part: PartLimits, Kind: FormYes, Default: "no", Basis: common, at: func(e *chart.Enrolment) any { return &e.Plan.Limits.WeeklyNeeded }},

	{Key: "fitted", Part: PartPlan, Kind: FormDate, Need: true, Basis: common, at: func(e *chart.Enrolment) any { return &e.Plan.Fitted }},
	{Key: "ends", Part: PartPlan, Kind: FormDate, Need: true, Basis: "plan-review", at: func(e *chart.Enrolment) any { return &e.Plan.Ends }},
	{Key: "evening", Part: PartPlan, Kind: FormClock, Need: true, Default: "21:00", Basis: common, at: func(e *chart.Enrolment) any { return &e.Plan.Evening }},
	{Key: "morning", Part: PartPlan, Kind: FormClock, Need: true, Default: "07:30", Basis: common, at: func(e *chart.Enrolment) any { return &e.Plan.Morning }},
	{Key: "night-ends", Part: PartPlan, Kind: FormClock, Min: 1, Max: 1439, Default: "12:00", Basis: common, at: func(e *chart.Enrolment) any { return &e.Plan.Boundary }},
	{Key: "fallback", Part: PartPlan, Kind: FormText, Max: 80, Basis: common, at: func(e *chart.Enrolment) any { return &e.Plan.Fallback }},
	{Key: "checklist", Part: PartPlan, Kind: FormMarks, Choices: []string{"seats", "smooth", "easy", "turned", "guide"}, Need: true, Basis: common, at: func(e *chart.Enrolment) any { return &e.Checklist }},
	{Key: "goal", Part: PartPlan, Kind: FormTenths, Max: 1000, Basis: "resolved-five response-half", at: func(e *chart.Enrolment) any { return &e.Plan.Goal10 }},
	{Key: "no-other", Part: PartPlan, Kind: FormYes, Need: true, Min: chart.Yes, Max: chart.Yes, Basis: "severity-bands urgency-signed", at: func(e *chart.Enrolment) any { return &e.Plan.Alone }},
	{Key: "rest-easy", Part: PartPlan, Kind: FormWhole, Max: 4, Default: "2", Basis: "rest-three table-design", at: func(e *chart.Enrolment) any { return &e.Plan.Limits.EasyPain }},
	{Key: "rest-factor", Part: PartPlan, Kind: FormTenths, Min: 10, Max: 20, Default: "2", Basis: "slow-titration table-design", at: func(e *chart.Enrolment) any { return &e.Plan.Limits.RestFactor }},
	{Key: "gain-share", Part: PartPlan, Kind: FormWhole, Min: 70, Max: 90, Default: "80", Basis: "table-design", at: func(e *chart.Enrolment) any { return &e.Plan.Limits.GainShare }},
	{Key: "template", Part: PartFirst, Kind: FormText, Max: 40, Basis: common, at: func(e *chart.Enrolment) any { return &e.Template }},
}
