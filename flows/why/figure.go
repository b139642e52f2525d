package why

import (
	"strconv"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/enrol"
	"duskdawn/flows/evidence"
	"duskdawn/flows/message"
	"duskdawn/flows/outcome"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
	"duskdawn/flows/relapse"
)

// Figure is a number that no blank of the plan sets, or a definition by which an
// outcome is named: fixed in the program, or a setting of the practice. Its
// words are the message "figure.<ID>".
type Figure struct {
	ID       string      // a practice's setting goes by its key in the practice's file
	Value    message.Arg // named "value"; none for a definition
	Practice bool        // the practice sets it, between Min and Max
	Min, Max int
	Basis    evidence.Basis
}

// Figures returns all of them.
func Figures() []Figure { return figureTable[:] }

// FigureOf finds one by its id.
func FigureOf(id string) (Figure, bool) {
	for i := range figureTable {
		if figureTable[i].ID == id {
			return figureTable[i], true
		}
	}
	return Figure{}, false
}

func whole(n int) message.Arg { return message.ArgN("value", n) }
func minutes(n int) message.Arg {
	return message.Arg{Name: "value", Kind: message.ArgMinutes, N: int64(n)}
}

var figureTable = [...]Figure{
	// How soon a person must look.
	{ID: "minutes-emergency", Value: minutes(practice.UsualE), Practice: true, Min: 1, Max: 60, Basis: "urgency-signed"},
	{ID: "minutes-same-day", Value: minutes(practice.UsualS), Practice: true, Min: 5, Max: 240, Basis: "urgency-signed"},
	{ID: "deadline-next-day", Basis: "urgency-signed"},
	{ID: "deadline-routine", Value: whole(flows.WeekDays), Basis: "urgency-signed"},
	{ID: "ring-again", Value: message.ArgS("value", ringText()), Basis: "urgency-signed"},
	{ID: "silent-nights", Value: whole(flows.CallSilence), Basis: "common"},
	{ID: "plan-nights", Value: whole(enrol.PlanNights), Practice: true, Min: 14, Max: chart.LongestPlan, Basis: "plan-review"},
	{ID: "contact-most", Value: whole(pacing.MostContact), Basis: "contact-payer contact-guideline"},

	// The check-ins.
	{ID: "reminder", Value: minutes(flows.RemindAfter), Basis: "common"},
	{ID: "recheck", Value: minutes(flows.RecheckAfter), Basis: "bite-hour"},
	{ID: "late-evening", Value: minutes(flows.LateEvening), Basis: "common"},
	{ID: "late-morning", Value: minutes(flows.LateMorning), Basis: "common"},
	{ID: "late-advice", Value: minutes(flows.LateAdvice), Basis: "common"},
	{ID: "quiet-nights", Value: whole(flows.QuietNights), Basis: "common"},
	{ID: "code-minutes", Value: minutes(flows.CodeMinutes), Basis: "common"},

	// Pain and bite.
	{ID: "pain-mild", Value: whole(chart.MildPain), Basis: "pain-moderate"},
	{ID: "pain-modest", Value: whole(chart.ModestPain), Basis: "pain-severe"},
	{ID: "bite-late", Value: minutes(chart.LateBite), Basis: "bite-minutes"},
	{ID: "bite-away", Value: minutes(chart.AwayBite), Basis: "bite-hour"},
	{ID: "bite-midday", Value: minutes(chart.BiteMidday), Basis: "common"},
	{ID: "rest-long", Value: whole(pacing.RestLong), Basis: "table-design"},

	// Wear and silence.
	{ID: "gap-nights", Value: whole(pacing.GapNights), Basis: "silent-unknown table-design"},
	{ID: "lapse-nights", Value: whole(pacing.LapseNights), Basis: "silent-unknown table-design"},
	{ID: "weekly-late", Value: whole(pacing.WeeklyLate), Basis: "table-design"},
	{ID: "still-nights", Value: whole(pacing.StillNights), Basis: "silent-unknown table-design"},

	// Steps.
	{ID: "pace-most", Value: message.ArgUM("value", chart.TopPace), Basis: "pace-fastest pace-laboratory pace-one-night"},
	{ID: "step-big", Value: message.ArgUM("value", enrol.BigStep), Basis: "interval-seven"},
	{ID: "share-half", Value: message.ArgP("value", enrol.HalfRange), Basis: "place-half severe-more"},
	{ID: "share-most", Value: message.ArgP("value", enrol.MostRange), Basis: "place-level severe-more"},

	// Snoring and sleepiness.
	{ID: "reports-few", Value: whole(chart.FewReports), Basis: "night-error table-design"},
	{ID: "reports-pool", Value: whole(pacing.PoolNights), Basis: "nights-four"},
	{ID: "reports-nights", Value: whole(pacing.ReportNights), Basis: "table-design"},
	{ID: "reports-near", Value: message.ArgUM("value", chart.NearReports), Basis: "table-design"},
	{ID: "gain-after", Value: message.ArgUM("value", pacing.NoGain), Basis: "table-design"},
	{ID: "gain-evenings", Value: whole(pacing.GainEvenings), Basis: "table-design"},
	{ID: "sleepier", Value: whole(redflag.SleepierBy), Basis: "table-design"},

	// Estimates, which the clinician alone sees.
	{ID: "estimate", Basis: "halved-steps none-third place-level not-apnoea"},
	{ID: "relapse-limit", Value: whole(relapse.Limit / relapse.Thousandth), Basis: "chart-sum chart-patient table-design"},

	// Outcomes.
	{ID: "severity", Basis: "severity-bands"},
	{ID: "response", Basis: "response-half"},
	{ID: "success", Basis: "response-half"},
	{ID: "resolved", Basis: "resolved-five"},
	{ID: "strict", Basis: "response-strict"},
	{ID: "partial", Basis: "response-partial"},
	{ID: "unresolved", Basis: "response-partial"},
	{ID: "alleviation", Basis: "alleviation-formula"},
	{ID: "snoring-change", Value: whole(pacing.PoolNights), Basis: "nights-four fall-quarter"},
	{ID: "pain-change", Value: message.ArgP("value", outcome.PainFall), Basis: "pain-fall"},
	{ID: "adherence-payer", Value: minutes(chart.PayerMinutes), Basis: "worn-payer"},
	{ID: "adherence-dental", Value: message.ArgP("value", chart.DentalShare), Basis: "adherence-dental"},
}

// ringText is the table of rings as people read it.
func ringText() string {
	var s []string
	for _, m := range flows.Rings {
		s = append(s, strconv.Itoa(m))
	}
	return strings.Join(s, ", ")
}
