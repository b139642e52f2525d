package pacing

import (
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/redflag"
	"duskdawn/flows/relapse"
)

// Course is what pacing remembers of one patient: the last nights, where the
// appliance stands, and what the table needs. The rules are functions of it.
//
// Counts are not kept but worked out of the nights remembered, so that a
// corrected answer corrects them too; only what leaves the window of nights is
// folded into the Fold fields, Good and Heard.
type Course struct {
	State  chart.State     `cbor:"1,keyasint,omitempty"`
	N      uint8           `cbor:"2,keyasint,omitempty"` // entries in Nights
	Nights [28]chart.Entry `cbor:"-"`                    // oldest first, one per calendar night up to the newest; stored as a list of N

	Left    chart.Steps  `cbor:"4,keyasint,omitempty"` // last confirmed setting, the left or only side
	Right   chart.Steps  `cbor:"5,keyasint,omitempty"`
	SetOn   civil.Date   `cbor:"6,keyasint,omitempty"` // the night it was confirmed for
	Low     chart.Steps  `cbor:"7,keyasint,omitempty"` // the lowest and the highest setting the appliance may stand at
	High    chart.Steps  `cbor:"8,keyasint,omitempty"`
	InDoubt bool         `cbor:"9,keyasint,omitempty"` // the count is in doubt until confirmed
	Advised chart.Steps  `cbor:"10,keyasint,omitempty"`
	Advice  chart.Advice `cbor:"11,keyasint,omitempty"` // the one in force
	Advices int32        `cbor:"12,keyasint,omitempty"` // given so far

	Flags []redflag.Flag `cbor:"13,keyasint,omitempty"` // open ones

	Path    chart.State `cbor:"14,keyasint,omitempty"` // the state beneath Stopped and Paused; ask OnPath
	Pausing bool        `cbor:"15,keyasint,omitempty"` // a pause was asked for and not ended
	Eve     Position    `cbor:"16,keyasint,omitempty"` // the position before the advice of EveOn: what that advice was worked out from
	EveOn   civil.Date  `cbor:"17,keyasint,omitempty"`
	Arrived civil.Date  `cbor:"18,keyasint,omitempty"` // since when it is at this setting; 0 while it never moved from fitting day
	Acted   civil.Date  `cbor:"19,keyasint,omitempty"` // last go-back or visit: mornings before it count no more in P07's two of seven
	Named   civil.Date  `cbor:"20,keyasint,omitempty"` // a person last named the setting: visit, release, order
	Visited civil.Date  `cbor:"21,keyasint,omitempty"` // last visit
	Seen    civil.Date  `cbor:"22,keyasint,omitempty"` // last recorded clinician contact
	Lapsed  bool        `cbor:"23,keyasint,omitempty"` // 14 nights not known worn: a clinician names the setting

	SettleFrom civil.Date  `cbor:"24,keyasint,omitempty"` // settle nights count from here
	RestFrom   civil.Date  `cbor:"25,keyasint,omitempty"` // the night the rest began
	RestTo     chart.State `cbor:"26,keyasint,omitempty"` // what comes after the rest: settling or stepping
	RestHits   uint8       `cbor:"27,keyasint,omitempty"` // sore mornings (P07) of this rest, the one that began it included
	StartHits  uint8       `cbor:"28,keyasint,omitempty"` // sore mornings at the start since the last visit or forward step
	LastHit    civil.Date  `cbor:"29,keyasint,omitempty"` // the night of the last sore morning counted
	Doubled    bool        `cbor:"30,keyasint,omitempty"` // the interval is longer after a rest ...
	DoubledTo  chart.Steps `cbor:"31,keyasint,omitempty"` // ... until a comfortable night at this setting or further: one beyond where it rested

	Good      chart.Steps `cbor:"32,keyasint,omitempty"` // last comfortable setting among the nights no longer remembered
	GoodOn    civil.Date  `cbor:"33,keyasint,omitempty"` // its night; 0 for none
	Limited   bool        `cbor:"34,keyasint,omitempty"`
	Limit     chart.Steps `cbor:"35,keyasint,omitempty"` // comfort limit, with Limited
	Backed    marks       `cbor:"36,keyasint,omitempty"` // settings gone back from once
	Reviewed  marks       `cbor:"37,keyasint,omitempty"` // settings a review was asked at
	FoldWorn  uint8       `cbor:"38,keyasint,omitempty"` // worn nights since Arrived no longer remembered
	FoldSet   uint8       `cbor:"39,keyasint,omitempty"` // settle nights no longer remembered
	FoldUnrun uint8       `cbor:"40,keyasint,omitempty"` // nights not known worn, in a row, at the end of those

	GrantTo    chart.Steps `cbor:"41,keyasint,omitempty"` // what a review granted: up to this setting; 0 for nothing
	GrantUntil civil.Date  `cbor:"42,keyasint,omitempty"` // the last night it counts; 0 for no end
	GrantBy    string      `cbor:"43,keyasint,omitempty"` // staff id
	OrderTo    chart.Steps `cbor:"44,keyasint,omitempty"` // ordered: P13, P14 and P17 are off below this setting, and it is a limit; 0 for nothing
	Freed      chart.Steps `cbor:"45,keyasint,omitempty"` // the one setting whose step a person released
	TestAt     chart.Steps `cbor:"46,keyasint,omitempty"` // the setting worn at the last test; before one, that of Snore and Sleepy
	TestOn     civil.Date  `cbor:"47,keyasint,omitempty"` // its night; 0 for none

	Runs     [numRules]uint8 `cbor:"48,keyasint,omitempty"` // evenings in a row that each rule spoke, by its number
	Unsure   uint16          `cbor:"49,keyasint,omitempty"` // evenings on which P11 spoke, the newest in bit 0
	UnsureOn civil.Date      `cbor:"50,keyasint,omitempty"` // when seven of fourteen of them were last told
	SnoreOn  civil.Date      `cbor:"51,keyasint,omitempty"` // when snoring that returned was last told
	Heard    [32]uint32      `cbor:"52,keyasint,omitempty"` // snoring by reporter and setting of nights no longer remembered; heard.go
	Breaches int32           `cbor:"53,keyasint,omitempty"` // advices the guard refused: bugs
	Began    civil.Date      `cbor:"54,keyasint,omitempty"` // the first night

	Unsettled bool       `cbor:"55,keyasint,omitempty"` // settle nights are still to be worn, whatever the state
	Rested    civil.Date `cbor:"56,keyasint,omitempty"` // the evening the last rest was complete
	HoldFrom  civil.Date `cbor:"57,keyasint,omitempty"` // the evening it began to hold
	Idle      uint8      `cbor:"58,keyasint,omitempty"` // evenings without a move, a notice or an act of the desk
	Flat      uint8      `cbor:"59,keyasint,omitempty"` // evenings at this setting on which P17 spoke

	Snore  relapse.Chart `cbor:"60,keyasint,omitempty"` // snoring at the proved setting, of nights no longer remembered
	Sleepy relapse.Chart `cbor:"61,keyasint,omitempty"` // ... and daytime sleepiness
	Rose   civil.Date    `cbor:"62,keyasint,omitempty"` // the evening its chart rose, until that is told; 0 for none
}

// Position is where the appliance stands, as far as it is known.
type Position struct {
	Left    chart.Steps `cbor:"1,keyasint,omitempty"`
	Right   chart.Steps `cbor:"2,keyasint,omitempty"`
	Low     chart.Steps `cbor:"3,keyasint,omitempty"`
	High    chart.Steps `cbor:"4,keyasint,omitempty"`
	Advised chart.Steps `cbor:"5,keyasint,omitempty"`
	SetOn   civil.Date  `cbor:"6,keyasint,omitempty"`
	Arrived civil.Date  `cbor:"7,keyasint,omitempty"`
	InDoubt bool        `cbor:"8,keyasint,omitempty"`
}

// marks is a set of settings, 0 to 255.
type marks [4]uint64

func (m *marks) has(s chart.Steps) bool { return s >= 0 && s < 256 && m[s/64]&(1<<(s%64)) != 0 }

func (m *marks) add(s chart.Steps) {
	if s >= 0 && s < 256 {
		m[s/64] |= 1 << (s % 64)
	}
}

// Open reports whether a flag of class E, S or N is open.
func (c *Course) Open() bool {
	for i := range c.Flags {
		if c.Flags[i].Class.Worse(redflag.ClassR) {
			return true
		}
	}
	return false
}

// OnPath is the state on the path, also while it is hidden by Stopped or Paused.
func (c *Course) OnPath() chart.State {
	switch {
	case c.State >= chart.Settling && c.State <= chart.Recall:
		return c.State
	case c.Path >= chart.Settling && c.Path <= chart.Recall:
		return c.Path
	}
	return chart.Resting
}

// walk changes the state on the path and leaves what hides it alone.
func (c *Course) walk(to chart.State) {
	if c.State >= chart.Settling && c.State <= chart.Recall {
		c.State = to
	}
	c.Path = to
}

// restate brings the state in line with flags and pause: an open E or S flag
// stops, a pause pauses, else it is the state on the path. Before the first
// night, and after the end, nothing changes.
func (c *Course) restate() {
	if c.State < chart.Settling || c.State == chart.Ended {
		return
	}
	c.Path = c.OnPath()
	switch {
	case c.stops():
		c.State = chart.Stopped
	case c.Pausing:
		c.State = chart.Paused
	default:
		c.State = c.Path
	}
}

// stops reports whether a flag of class E or S is open.
func (c *Course) stops() bool {
	for i := range c.Flags {
		if c.Flags[i].Class.Worse(redflag.ClassN) {
			return true
		}
	}
	return false
}

func (c *Course) position() Position {
	return Position{Left: c.Left, Right: c.Right, Low: c.Low, High: c.High, Advised: c.Advised, SetOn: c.SetOn,
		Arrived: c.Arrived, InDoubt: c.InDoubt}
}

// arrive starts the count of worn nights at a setting anew.
func (c *Course) arrive(night civil.Date) { c.Arrived, c.FoldWorn, c.Flat = night, 0, 0 }

// unsettle starts the count of settle nights anew.
func (c *Course) unsettle(night civil.Date) { c.SettleFrom, c.FoldSet, c.Unsettled = night, 0, true }

// ConfirmedOn is the newest night for which a person said that it stands where it is
// taken to stand, the patient or whoever set it. What it is left out for confirms
// nothing, although nothing can have been turned. Where nobody has said so since
// fitting both are 0; where it was longer ago than is remembered, since is the oldest
// night that is.
func (c *Course) ConfirmedOn() (on, since civil.Date) {
	n := min(int(c.N), len(c.Nights))
	for i := n - 1; i >= 0; i-- {
		if e := &c.Nights[i]; e.V[chart.SettingLeft].Is(int(c.Left)) {
			return e.Night, 0
		}
	}
	switch {
	case c.SetOn < c.Began, n == 0:
		return 0, 0
	case c.SetOn < c.Nights[0].Night:
		return c.SetOn, 0
	}
	return 0, c.Nights[0].Night
}

// LeftOut reports whether an open flag has it left out until it is released.
func (c *Course) LeftOut() bool {
	return slices.ContainsFunc(c.Flags, func(f redflag.Flag) bool { return f.Wear == redflag.WearOut })
}

// WearKey names what the open flags together say of wear, for a caution that
// would say "keep wearing it": another flag may have it left out.
func (c *Course) WearKey() string {
	most := redflag.WearKeep
	for i := range c.Flags {
		most = max(most, c.Flags[i].Wear)
	}
	switch most {
	case redflag.WearKeep:
		return "caution.wear.keep"
	case redflag.WearOut:
		return "caution.wear.out"
	}
	return "caution.wear.as" // set back, or out for one night
}
