package flows

import (
	"strconv"
	"strings"
)

// Figure is a number that no blank of the plan sets, or a definition by which an
// outcome is named: fixed in the program, or a setting of the practice. Its
// words are the message "figure.<ID>".
type Figure struct {
	ID       string // a practice's setting goes by its key in the practice's file
	Value    Arg    // named "value"; none for a definition
	Practice bool   // the practice sets it, between Min and Max
	Min, Max int
	Basis    Basis
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

func whole(n int) Arg   { return ArgN("value", n) }
func minutes(n int) Arg { return Arg{Name: "value", Kind: ArgMinutes, N: int64(n)} }

var figureTable = [...]Figure{
	// How soon a person must look.
	{ID: "minutes-emergency", Value: minutes(usualE), Practice: true, Min: 1, Max: 60, Basis: "urgency-signed"},
	{ID: "minutes-same-day", Value: minutes(usualS), Practice: true, Min: 5, Max: 240, Basis: "urgency-signed"},
	{ID: "deadline-next-day", Basis: "urgency-signed"},
	{ID: "deadline-routine", Value: whole(weekDays), Basis: "urgency-signed"},
	{ID: "ring-again", Value: ArgS("value", ringText()), Basis: "urgency-signed"},
	{ID: "silent-nights", Value: whole(callSilence), Basis: "common"},
	{ID: "plan-nights", Value: whole(PlanNights), Practice: true, Min: 14, Max: LongestPlan, Basis: "plan-review"},
	{ID: "contact-most", Value: whole(mostContact), Basis: "contact-payer contact-guideline"},

	// The check-ins.
	{ID: "reminder", Value: minutes(remindAfter), Basis: "common"},
	{ID: "recheck", Value: minutes(recheckAfter), Basis: "bite-hour"},
	{ID: "late-evening", Value: minutes(lateEvening), Basis: "common"},
	{ID: "late-morning", Value: minutes(lateMorning), Basis: "common"},
	{ID: "late-advice", Value: minutes(lateAdvice), Basis: "common"},
	{ID: "quiet-nights", Value: whole(quietNights), Basis: "common"},
	{ID: "code-minutes", Value: minutes(codeMinutes), Basis: "common"},

	// Pain and bite.
	{ID: "pain-mild", Value: whole(mildPain), Basis: "pain-moderate"},
	{ID: "pain-modest", Value: whole(modestPain), Basis: "pain-severe"},
	{ID: "bite-late", Value: minutes(lateBite), Basis: "bite-minutes"},
	{ID: "bite-away", Value: minutes(awayBite), Basis: "bite-hour"},
	{ID: "bite-midday", Value: minutes(BiteMidday), Basis: "common"},

	// Wear and silence.
	{ID: "gap-nights", Value: whole(gapNights), Basis: "silent-unknown table-design"},
	{ID: "lapse-nights", Value: whole(lapseNights), Basis: "silent-unknown table-design"},
	{ID: "weekly-late", Value: whole(weeklyLate), Basis: "table-design"},

	// Steps.
	{ID: "pace-most", Value: ArgUM("value", TopPace), Basis: "pace-fastest"},
	{ID: "step-big", Value: ArgUM("value", BigStep), Basis: "interval-seven"},
	{ID: "share-half", Value: ArgP("value", halfRange), Basis: "place-half"},
	{ID: "share-most", Value: ArgP("value", mostRange), Basis: "place-level"},

	// Snoring and sleepiness.
	{ID: "reports-few", Value: whole(fewReports), Basis: "night-error table-design"},
	{ID: "reports-pool", Value: whole(poolNights), Basis: "nights-four"},
	{ID: "gain-after", Value: ArgUM("value", noGain), Basis: "table-design"},
	{ID: "gain-fall", Value: ArgP("value", leastFall), Basis: "fall-quarter"},
	{ID: "sleepier", Value: whole(sleepierBy), Basis: "table-design"},

	// Outcomes.
	{ID: "severity", Basis: "severity-bands"},
	{ID: "response", Basis: "response-half"},
	{ID: "success", Basis: "response-half"},
	{ID: "resolved", Basis: "resolved-five"},
	{ID: "strict", Basis: "response-strict"},
	{ID: "partial", Basis: "response-partial"},
	{ID: "unresolved", Basis: "response-partial"},
	{ID: "alleviation", Basis: "alleviation-formula"},
	{ID: "snoring-change", Value: whole(poolNights), Basis: "nights-four fall-quarter"},
	{ID: "pain-change", Value: ArgP("value", painFall), Basis: "pain-fall"},
	{ID: "adherence-payer", Value: minutes(payerMinutes), Basis: "worn-payer"},
	{ID: "adherence-dental", Value: ArgP("value", dentalShare), Basis: "adherence-dental"},
}

// ringText is the table of rings as people read it.
func ringText() string {
	var s []string
	for _, m := range rings {
		s = append(s, strconv.Itoa(m))
	}
	return strings.Join(s, ", ")
}
