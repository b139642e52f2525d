package estimate

import (
	"duskdawn/flows/chart"
)

// NoHold: it does not hold, so that no test is near.
const NoHold Withheld = "estimate.no.hold"

// What a test asks for: seven worn nights at the setting (a proposal, no source),
// and the payer's 90 days of fitting and adjustment (from memory).
const (
	testNights = 7
	testWindow = 14
	testDay    = 90
)

// Ready is how ready a patient is for the test with the appliance in place.
type Ready struct {
	No      Withheld
	Worn    int          // nights at the setting that is held, of at least testNights
	Payer   chart.Nights // of the last 14 nights, by the payer's rule
	Regular bool         // the payer's rule is met by all fourteen: a night that is not known does not count
	Dental  chart.Weeks  // ... and by the dental rule
	Days    int          // since fitting day, of testDay
}

// Readiness is given while it holds or a test is arranged.
func (r *Record) Readiness() Ready {
	if r.State != chart.Holding && r.State != chart.Testing {
		return Ready{No: NoHold}
	}
	last := r.newest(testWindow)
	payer := chart.CountPayer(last)
	every := chart.Nights{Counted: payer.Counted, Calendar: testWindow}
	return Ready{Worn: r.wornHere(), Payer: payer, Regular: every.PayerRegular(), Dental: chart.CountDental(last, int(r.Baseline.Test.Asleep)),
		Days: max(int(r.Tonight-r.Plan.Fitted), 0)}
}
