package flows

// What follows is the one table of everything a clinician enters at the chair.
// The guided form, pasted lines and the TOML file all read it. Bounds are hard:
// beyond them the form refuses, and says why. Sources, by DOI where there is
// one; "common practice" means common practice, no source, shown as a default
// that the clinician signs.
const (
	common     = "common practice, no source"
	sanity     = "sanity check of a measurement, no source"
	scoreZero  = "eleven-point rating scale, doi 10.2147/JPR.S75192"
	stepBasis  = "a step of 1 mm or less: doi 10.15331/jdsm.3738 (figure from memory); 0.5 mm in a trial: doi 10.1378/chest.125.5.1761; half turns of a 0.5 mm thread: " + common
	paceBasis  = "fastest published pace, 1.0 mm in 7 nights: doi 10.1378/chest.125.5.1761"
	placeBasis = "no gain seen beyond 50 % of the range: doi 10.1007/s11325-015-1307-7; levelling off near 70 %: doi 10.5664/jcsm.8556"
	rangeBasis = "means of 8.0 mm (316 students) and 8.8 mm (500 patients), 5 mm or more needed for an appliance: J Adv Prosthodont 2014;6(6) and Swiss Dent J; upper bound: " + sanity
	loudBasis  = "four or more nights of a partner's score before it is read: doi 10.1111/j.1749-4486.2010.02127.x; 3 or less: " + common
	wornBasis  = "4 hours is the payer rule beside the clinical one: doi 10.15331/jdsm.7204"
)

// NumFormFields is how many blanks there are.
const NumFormFields = len(formFields)

// FormFields returns the blanks in the order they are asked and filled.
func FormFields() []FormField { return formFields[:] }

// FormIndex returns the place of a key in the table; -1 where there is none.
func FormIndex(fields []FormField, key string) int {
	for i := range fields {
		if fields[i].Key == key {
			return i
		}
	}
	return -1
}

// formFields is the table. A blank keeps its place: stored forms count on it,
// so new ones go at the end of the table and Part alone orders what is asked.
var formFields = [...]FormField{
	{Key: "label", Part: PartPatient, Kind: FormText, Max: 40, Need: true, Basis: common, at: func(e *Enrolment) any { return &e.Label }},
	{Key: "adult", Part: PartPatient, Kind: FormYes, Need: true, Min: Yes, Max: Yes, Basis: "the method is for adults: doi 10.15331/jdsm.7158", at: func(e *Enrolment) any { return &e.Adult }},
	{Key: "language", Part: PartPatient, Kind: FormLang, Need: true, Basis: common, at: func(e *Enrolment) any { return &e.Lang }},
	{Key: "zone", Part: PartPatient, Kind: FormZone, Need: true, Basis: common, at: func(e *Enrolment) any { return &e.Zone }},
	{Key: "phone", Part: PartPatient, Kind: FormPhone, Need: true, Basis: common, at: func(e *Enrolment) any { return &e.Phone }},
	{Key: "physician", Part: PartPatient, Kind: FormText, Max: 80, Basis: "the loop back to the physician: doi 10.5664/jcsm.4858", at: func(e *Enrolment) any { return &e.Physician }},

	{Key: "mechanism", Part: PartAppliance, Kind: FormText, Max: 60, Need: true, Basis: common, at: func(e *Enrolment) any { return &e.Appliance.Mechanism }},
	{Key: "step-word", Part: PartAppliance, Kind: FormText, Max: 24, Need: true, Basis: common, at: func(e *Enrolment) any { return &e.Appliance.StepWord }},
	{Key: "step-mm", Part: PartAppliance, Kind: FormMM, Min: 100, Max: 1000, Need: true, Basis: stepBasis, at: func(e *Enrolment) any { return &e.Appliance.Step }},
	{Key: "forward", Part: PartAppliance, Kind: FormText, Max: 60, Need: true, Basis: common, at: func(e *Enrolment) any { return &e.Appliance.Forward }},
	{Key: "travel", Part: PartAppliance, Kind: FormTravel, Min: 1, Max: 200, Need: true, Basis: "read from the appliance; " + sanity, at: func(e *Enrolment) any { return &e.Appliance.Travel }},
	{Key: "setting-labels", Part: PartAppliance, Kind: FormList, Max: 60, Basis: common, at: func(e *Enrolment) any { return &e.Appliance.Labels }},
	{Key: "two-sided", Part: PartAppliance, Kind: FormYes, Default: "no", Basis: common, at: func(e *Enrolment) any { return &e.Appliance.TwoSided }},
	{Key: "offset", Part: PartAppliance, Kind: FormWhole, Min: -20, Max: 20, Default: "0", Basis: "the same number of turns on both sides, unless signed: " + common, at: func(e *Enrolment) any { return &e.Appliance.Offset }},
	{Key: "guide", Part: PartAppliance, Kind: FormYes, Default: "yes", Basis: common, at: func(e *Enrolment) any { return &e.Appliance.Guide }},
	{Key: "guide-minutes", Part: PartAppliance, Kind: FormWhole, Min: 2, Max: 25, Default: "5", Basis: "2 to 25 minutes: practice sheets, " + common, at: func(e *Enrolment) any { return &e.Appliance.GuideMin }},
	{Key: "lip-seal", Part: PartAppliance, Kind: FormYes, Default: "no", Basis: common, at: func(e *Enrolment) any { return &e.Appliance.LipSeal }},

	{Key: "zero", Part: PartRange, Kind: FormChoice, Choices: []string{"habitual", "retruded"}, Need: true, Basis: "habitual bite as in the Flinders dose-response work; most retruded as bite gauges read: doi 10.1186/s12903-019-0783-8", at: func(e *Enrolment) any { return &e.Baseline.Zero }},
	{Key: "max-mm", Part: PartRange, Kind: FormMM, Min: 1, Max: 20000, Need: true, Basis: rangeBasis, at: func(e *Enrolment) any { return &e.Baseline.Max }},
	{Key: "retruded-mm", Part: PartRange, Kind: FormMM, Min: -10000, Max: 0, Basis: sanity, at: func(e *Enrolment) any { return &e.Baseline.Retruded }},
	{Key: "start", Part: PartRange, Kind: FormPlace, Min: -10000, Max: 20000, Need: true, Basis: placeBasis, at: func(e *Enrolment) any { return &e.Baseline.Start }},
	{Key: "overjet-mm", Part: PartRange, Kind: FormMM, Min: -15000, Max: 20000, Basis: sanity, at: func(e *Enrolment) any { return &e.Baseline.Overjet }},
	{Key: "overbite-mm", Part: PartRange, Kind: FormMM, Min: -15000, Max: 20000, Basis: sanity, at: func(e *Enrolment) any { return &e.Baseline.Overbite }},
	{Key: "opening-mm", Part: PartRange, Kind: FormWhole, Min: 5, Max: 90, Basis: sanity, at: func(e *Enrolment) any { return &e.Baseline.Opening }},

	{Key: "jaw-pain", Part: PartBaseline, Kind: FormWhole, Max: 10, Basis: scoreZero, at: func(e *Enrolment) any { return &e.Baseline.Pain }},
	{Key: "clicking", Part: PartBaseline, Kind: FormYes, Basis: common, at: func(e *Enrolment) any { return &e.Baseline.Clicking }},
	{Key: "loose-teeth", Part: PartBaseline, Kind: FormYes, Basis: common, at: func(e *Enrolment) any { return &e.Baseline.Loose }},
	{Key: "implants", Part: PartBaseline, Kind: FormYes, Basis: common, at: func(e *Enrolment) any { return &e.Baseline.Implants }},
	{Key: "allergies", Part: PartBaseline, Kind: FormText, Max: 120, Basis: common, at: func(e *Enrolment) any { return &e.Baseline.Allergies }},
	{Key: "reporter", Part: PartBaseline, Kind: FormChoice, Choices: []string{"partner", "self", "recorder", "nobody"}, Need: true, Basis: "a partner's score: doi 10.1111/j.1749-4486.2010.02127.x", at: func(e *Enrolment) any { return &e.Baseline.Reporter }},
	{Key: "snoring", Part: PartBaseline, Kind: FormWhole, Max: 10, Basis: loudBasis, at: func(e *Enrolment) any { return &e.Baseline.Snoring }},
	{Key: "sleepiness", Part: PartBaseline, Kind: FormWhole, Max: 10, Basis: "a single 0 to 10 question of our own", at: func(e *Enrolment) any { return &e.Baseline.Sleepy }},
	{Key: "headache", Part: PartBaseline, Kind: FormYes, Basis: common, at: func(e *Enrolment) any { return &e.Baseline.Headache }},
	{Key: "pauses", Part: PartBaseline, Kind: FormYes, Basis: common, at: func(e *Enrolment) any { return &e.Baseline.Pauses }},
	{Key: "drives", Part: PartBaseline, Kind: FormYes, Need: true, Basis: "drivers with sleepiness are warned at once: Strohl 2013, rccm.201304-0726ST", at: func(e *Enrolment) any { return &e.Baseline.Drives }},
	{Key: "ahi", Part: PartBaseline, Kind: FormTenths, Max: 2000, Basis: sanity, at: func(e *Enrolment) any { return &e.Baseline.Test.AHI10 }},
	{Key: "ahi-test", Part: PartBaseline, Kind: FormText, Max: 40, Basis: "the kind of test is named beside its number: doi 10.5664/jcsm.4858", at: func(e *Enrolment) any { return &e.Baseline.Test.Kind }},
	{Key: "ahi-rule", Part: PartBaseline, Kind: FormText, Max: 40, Basis: "scoring rules change the number: PMC4661335", at: func(e *Enrolment) any { return &e.Baseline.Test.Rule }},
	{Key: "ahi-date", Part: PartBaseline, Kind: FormDate, Basis: common, at: func(e *Enrolment) any { return &e.Baseline.Test.On }},
	{Key: "scores", Part: PartBaseline, Kind: FormScores, Basis: "an instrument's name and total only; items are licensed", at: func(e *Enrolment) any { return &e.Baseline.Scores }},

	{Key: "ceiling", Part: PartLimits, Kind: FormSetting, Min: 1, Max: 200, Need: true, Basis: placeBasis, at: func(e *Enrolment) any { return &e.Plan.Limits.Ceiling }},
	{Key: "settle", Part: PartLimits, Kind: FormWhole, Min: 1, Max: 14, Default: "3", Basis: "two or three nights, sheets up to seven: " + common, at: func(e *Enrolment) any { return &e.Plan.Limits.Settle }},
	{Key: "interval", Part: PartLimits, Kind: FormWhole, Min: 2, Max: 14, Default: "3", Basis: "three nights: " + common + "; seven in doi 10.1378/chest.125.5.1761", at: func(e *Enrolment) any { return &e.Plan.Limits.Interval }},
	{Key: "rest-mornings", Part: PartLimits, Kind: FormWhole, Min: 2, Max: 7, Default: "3", Basis: "three pain-free days, a practice sheet: " + common, at: func(e *Enrolment) any { return &e.Plan.Limits.RestMornings }},
	{Key: "target", Part: PartLimits, Kind: FormWhole, Max: 4, Default: "3", Basis: loudBasis, at: func(e *Enrolment) any { return &e.Plan.Limits.Target }},
	{Key: "loud", Part: PartLimits, Kind: FormWhole, Min: 5, Max: 10, Default: "7", Basis: common, at: func(e *Enrolment) any { return &e.Plan.Limits.Loud }},
	{Key: "worn-hours", Part: PartLimits, Kind: FormHours, Min: 60, Max: 720, Default: "4", Basis: wornBasis, at: func(e *Enrolment) any { return &e.Plan.Limits.WornMinutes }},
	{Key: "pace-mm", Part: PartLimits, Kind: FormMM, Min: 100, Max: 1000, Default: "1", Basis: paceBasis, at: func(e *Enrolment) any { return &e.Plan.Limits.Pace }},
	{Key: "timetable", Part: PartLimits, Kind: FormYes, Default: "no", Basis: common, at: func(e *Enrolment) any { return &e.Plan.Limits.Timetable }},
	{Key: "timetable-top", Part: PartLimits, Kind: FormSetting, Min: 1, Max: 200, Basis: "no gain seen beyond 50 % of the range: doi 10.1007/s11325-015-1307-7", at: func(e *Enrolment) any { return &e.Plan.Limits.TimetableTop }},
	{Key: "release-by-person", Part: PartLimits, Kind: FormYes, Default: "no", Basis: common, at: func(e *Enrolment) any { return &e.Plan.Limits.ReleaseByHand }},
	{Key: "driving-nightly", Part: PartLimits, Kind: FormYes, Default: "no", Basis: common, at: func(e *Enrolment) any { return &e.Plan.Limits.DrivingNightly }},
	{Key: "contact-days", Part: PartLimits, Kind: FormWhole, Min: 7, Max: 90, Default: "90", Basis: "payer's and guideline's three months: " + common, at: func(e *Enrolment) any { return &e.Plan.Limits.ContactDays }},
	{Key: "weekly-needed", Part: PartLimits, Kind: FormYes, Default: "no", Basis: common, at: func(e *Enrolment) any { return &e.Plan.Limits.WeeklyNeeded }},

	{Key: "fitted", Part: PartPlan, Kind: FormDate, Need: true, Basis: common, at: func(e *Enrolment) any { return &e.Plan.Fitted }},
	{Key: "ends", Part: PartPlan, Kind: FormDate, Need: true, Basis: "review at 90 days even if unfinished; 30 to 120 usual: " + common, at: func(e *Enrolment) any { return &e.Plan.Ends }},
	{Key: "evening", Part: PartPlan, Kind: FormClock, Need: true, Default: "21:00", Basis: common, at: func(e *Enrolment) any { return &e.Plan.Evening }},
	{Key: "morning", Part: PartPlan, Kind: FormClock, Need: true, Default: "07:30", Basis: common, at: func(e *Enrolment) any { return &e.Plan.Morning }},
	{Key: "night-ends", Part: PartPlan, Kind: FormClock, Min: 1, Max: 1439, Default: "12:00", Basis: common, at: func(e *Enrolment) any { return &e.Plan.Boundary }},
	{Key: "fallback", Part: PartPlan, Kind: FormText, Max: 80, Basis: common, at: func(e *Enrolment) any { return &e.Plan.Fallback }},
	{Key: "checklist", Part: PartPlan, Kind: FormMarks, Choices: []string{"seats", "smooth", "easy", "turned", "guide"}, Need: true, Basis: common, at: func(e *Enrolment) any { return &e.Checklist }},
}
