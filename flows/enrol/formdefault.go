package enrol

import (
	"slices"
	"strconv"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// half and most of the protrusive range, in tenths of a per cent: beyond half
// no gain was seen (doi 10.1007/s11325-015-1307-7), near 70 % it levels off
// (doi 10.5664/jcsm.8556).
const (
	HalfRange = 500
	MostRange = 700
)

// PlanNights is how long a plan runs unless practice or clinician say
// otherwise: review at 90 days even if unfinished (common practice, no source).
const PlanNights = 90

// BigStep is the step from which seven nights between steps are the default:
// two of them in a week are the fastest home pace read, doi 10.1378/chest.125.5.1761.
const BigStep chart.Micrometres = 500

// DefaultFor gives what one tap takes for a blank, as it would be typed; empty
// where there is none. It knows the practice's own defaults and what stands in
// the form so far.
func (f FormField) DefaultFor(pr *practice.Practice, e *chart.Enrolment, today civil.Date) string {
	if text := pr.Usual(e.Template, f.Key); text != "" && !(f.Key == "timetable" && e.Baseline.Reporter.Is(chart.ReporterNobody)) {
		return text
	}
	switch f.Key {
	case "template":
		if len(pr.Templates) == 1 {
			return pr.Templates[0].Name
		}
	case "language":
		return pr.Lang
	case "zone":
		return pr.Zone
	case "evening":
		if pr.Evening != 0 {
			return pr.Evening.String()
		}
	case "morning":
		if pr.Morning != 0 {
			return pr.Morning.String()
		}
	case "fitted":
		return today.String()
	case "ends":
		days := PlanNights
		if pr.PlanDays > 0 {
			days = int(pr.PlanDays)
		}
		if e.Plan.Fitted != 0 {
			today = e.Plan.Fitted
		}
		return (today + civil.Date(days)).String()
	case "interval":
		if e.Appliance.Step >= BigStep {
			return "7"
		}
	case "timetable":
		if e.Baseline.Reporter.Is(chart.ReporterNobody) {
			return "yes"
		}
	case "ceiling":
		n := settingAt(e, MostRange)
		if n > 0 && int64(n) < int64(e.Appliance.Travel) {
			return percent.Typed(MostRange) + " %" // it moves with the start and the step
		}
		return typedSteps(n)
	case "timetable-top":
		return typedSteps(timetableTop(e))
	}
	if f.Part == PartLimits && pr.Defaults.Settle != 0 { // the practice's own are filled as a whole
		own := chart.Enrolment{Plan: chart.Plan{Limits: pr.Defaults}}
		if text := f.Text(&own); text != "" {
			return text
		}
	}
	return f.Default
}

// percent writes tenths of a per cent.
var percent = FormField{Kind: FormTenths}

func typedSteps(n chart.Steps) string {
	if n <= 0 {
		return ""
	}
	return strconv.Itoa(int(n))
}

// settingAt is the highest setting at or under a share of the range that the
// mechanism can reach; 0 where there is none.
func settingAt(e *chart.Enrolment, tenths int) chart.Steps {
	if e.Appliance.Step <= 0 || e.Baseline.Max <= 0 || e.Baseline.Zero == chart.ZeroUnset {
		return 0
	}
	room := chart.PlaceOf(&e.Baseline, tenths) - e.Baseline.Start
	if room <= 0 {
		return 0
	}
	return min(chart.Steps(min(room/e.Appliance.Step, 1000)), e.Appliance.Travel)
}

// timetableTop is half of the range, or half of the way to the ceiling where
// the start is beyond that; never above the ceiling.
func timetableTop(e *chart.Enrolment) chart.Steps {
	ceiling := e.Plan.Limits.Ceiling
	if top := settingAt(e, HalfRange); top > 0 {
		return min(top, ceiling)
	}
	return (ceiling + 1) / 2
}

// moderateAHI10 is where moderate apnoea begins, 15 an hour, in tenths: doi
// 10.1186/s13063-019-3698-4. From there on nobody is left without another
// therapy unseen.
const moderateAHI10 = 150

// Asked reports whether a blank applies, given what stands in the form so far.
func (f FormField) Asked(e *chart.Enrolment) bool {
	switch f.Key {
	case "offset":
		return e.Appliance.TwoSided
	case "guide-minutes":
		return e.Appliance.Guide
	case "retruded-mm":
		return e.Baseline.Zero == chart.ZeroRetruded
	case "snoring":
		return !e.Baseline.Reporter.Is(chart.ReporterNobody)
	case "timetable-top":
		return e.Plan.Limits.Timetable
	case "ahi-test", "ahi-rule", "ahi-date":
		return e.Baseline.Test.AHI10.Known()
	case "no-other":
		return e.Plan.Fallback == "" && e.Baseline.Test.AHI10.AtLeast(moderateAHI10) && e.Plan.Rev == 0
	}
	return true
}

// Unused names what was given and is not used, as the rest stands: nothing of it is
// dropped unsaid.
func (f *Filled) Unused(fields []FormField) (out []Problem) {
	for i, field := range fields {
		text := field.Text(&f.Enrolment)
		if !f.Has(i) || slices.Contains(f.Usual, int16(i)) || field.Asked(&f.Enrolment) || field.Key == "no-other" || text == "" || text == "0" {
			continue
		}
		out = append(out, Problem{Field: field.Key, Key: "enrol.flag.unused", Soft: true, Args: []message.Arg{field.Shown(&f.Enrolment, "said"),
			message.ArgK("why", "enrol.unused."+field.Key)}})
	}
	return out
}

// Offered reports whether the default is only offered and never taken by itself:
// the ceiling is what a clinician signs above all, so it is always named.
func (f FormField) Offered() bool { return f.Key == "ceiling" }

// Templated reports whether a template may say what is usual in a blank: never of
// one person, of one day, or of how far it may go.
func (f FormField) Templated() bool {
	switch f.Part {
	case PartAppliance:
		return f.Key != "setting-labels"
	case PartRange:
		return f.Key == zeroKey
	case PartLimits, PartPlan:
		return f.Habit()
	}
	return false
}

// Habit reports whether a practice may have a default of its own for a blank of the
// plan.
func (f FormField) Habit() bool {
	switch f.Key {
	case "ceiling", "timetable", "timetable-top", "fitted", "ends", "fallback", "checklist", "goal", "no-other":
		return false
	}
	return f.Part == PartLimits || f.Part == PartPlan
}

// Take fills every open blank that has a default, but for those that ask names:
// they are asked all the same. What it filled before is worked out anew, so that a
// default follows what was answered since. It says what no longer fits.
func (f *Filled) Take(fields []FormField, pr *practice.Practice, today civil.Date, ask func(i int) bool) []Problem {
	for _, at := range f.Usual {
		f.Open(int(at))
	}
	f.Usual = nil
	var out []Problem
	for _, i := range Order(fields) {
		field := fields[i]
		if f.Has(i) || f.Waiting(i) || field.Offered() || ask(i) || !field.Asked(&f.Enrolment) {
			continue
		}
		text := field.DefaultFor(pr, &f.Enrolment, today)
		if text == "" || len(f.Put(fields, i, text)) > 0 { // one that does not fit is asked
			continue
		}
		f.Usual = append(f.Usual, int16(i))
		out = append(out, f.Follow(fields)...)
	}
	return out
}

// Complete takes the defaults of all blanks left open and names those that
// have none and are needed.
func (f *Filled) Complete(fields []FormField, pr *practice.Practice, today civil.Date) []Problem {
	out := f.Take(fields, pr, today, func(int) bool { return false })
	for i := range fields {
		if fields[i].Need && !f.Has(i) && !f.Waiting(i) && fields[i].Asked(&f.Enrolment) {
			out = append(out, Problem{Field: fields[i].Key, Key: "enrol.bad.missing"})
		}
	}
	return out
}
