package chart

// Bounds that concern more than one blank.
const (
	// NarrowRange is the protrusion under which an appliance is doubtful:
	// impaired below 5 mm (500 patients, doi 10.61872/sdj-2020-09-670), needed for an appliance.
	NarrowRange Micrometres = 5000
	// WideRange is where a measured protrusion is taken for a slip.
	WideRange Micrometres = 20000
	// TopPace is the most forward movement in any 7 nights, whoever signs:
	// the fastest home pace among the studies read, doi 10.1378/chest.125.5.1761.
	TopPace Micrometres = 1000
	// LongPlan and LongestPlan are nights from signing: beyond the first the plan is
	// flagged, beyond the second refused (common practice, no source).
	LongPlan    = 120
	LongestPlan = 366
	// FewReports is how many snoring reports a step needs where somebody hears, and
	// NearReports how far behind they may be from where few were heard (a proposal).
	FewReports              = 3
	NearReports Micrometres = 500
	// NarrowOpening is mm: impaired below (500 patients, doi 10.61872/sdj-2020-09-670).
	NarrowOpening = 30
)
