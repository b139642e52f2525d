package redflag

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/evidence"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// Row is one row of the flag table, with all that raises it: what is said (any
// one of its combinations of features), an answer that comes to its threshold,
// or a rule of pacing that names it. Released by a clinician.
type Row struct {
	ID      string
	Class   Class
	Driver  Class // where the patient drives for work; NoClass: the same
	Wear    Wear
	Sole    bool   // worn on where the plan names no other therapy: leaving it out would leave the apnoea untreated
	Beside  bool   // of somebody else, or held by another rule: a person is told, and nothing of this patient's treatment changes
	Doubt   bool   // the count is in doubt with it
	IfNow   string // the row that it is where the patient says that it happens now
	Caution string // message key of what the patient hears at once; of an E row its one fixed act

	Said []reading.Features // any of these combinations in one text ...
	Less reading.Features   // ... unless one of these is said with it, which has a row of its own

	Field   chart.Field                              // the answer ...
	Reached func(chart.Answer, *chart.Baseline) bool // ... that raises it once it has come to this ...
	Below   int                                      // ... unless it is this or more, which has a row of its own; 0: whatever it is
	Before  func(*chart.Baseline) chart.Answer       // the baseline's word of the same: what was so before the first night raises nothing
	Night   func(*chart.Entry) bool                  // ... and only where the night's other answers say so
	Weekly  bool                                     // ... and only where the weekly answer before would have raised it, too
	Ruled   bool                                     // a rule of pacing speaks of that answer first: P02 counts it from the evening after

	Role   practice.Role // who may release it
	Source evidence.Basis
}

const (
	fromMemory evidence.Basis = "emergency-advice"
	proposal   evidence.Basis = "urgency-signed"
	resin      evidence.Basis = "mouth-contact"
	inhaled    evidence.Basis = "piece-inhaled"
	lockedJaw  evidence.Basis = "jaw-week"
	drowsy     evidence.Basis = "drowsy-warned"
	worsening  evidence.Basis = "events-raised"
)

// Rows returns the flag table.
func Rows() []Row { return table[:] }

// Find finds a row of the flag table by its id; nil where there is none.
func Find(id string) *Row {
	for i := range table {
		if table[i].ID == id {
			return &table[i]
		}
	}
	return nil
}

// table holds every red flag, the most urgent first and, among equals, the
// more particular first: it is the one whose act the patient hears. An id is
// for ever.
var table = [...]Row{
	// Emergency now.
	{ID: "chest", Class: ClassE, Wear: WearOut, Caution: "caution.chest", Said: []reading.Features{reading.FChest}, Role: practice.Clinician, Source: fromMemory},
	{ID: "faint", Class: ClassE, Wear: WearOut, Caution: "caution.faint", Said: []reading.Features{reading.FFaint}, Role: practice.Clinician, Source: fromMemory},
	{ID: "stroke", Class: ClassE, Wear: WearOut, Caution: "caution.stroke", Said: []reading.Features{reading.FStroke}, Role: practice.Clinician, Source: fromMemory},
	{ID: "seizure", Class: ClassE, Wear: WearOut, Caution: "caution.seizure", Said: []reading.Features{reading.FSeizure}, Role: practice.Clinician, Source: fromMemory},
	{ID: "swelling.airway", Class: ClassE, Wear: WearOut, Caution: "caution.swelling.airway", Said: []reading.Features{reading.FSwelling | reading.FMouthFace, reading.FSwelling | reading.FSwallow, reading.FSwelling | reading.FBreath, reading.FHives | reading.FBreath, reading.FHives | reading.FSwallow, reading.FGum | reading.FSwelling | reading.FSwallow}, Role: practice.Clinician, Source: resin + " " + fromMemory},
	{ID: "piece.airway", Class: ClassE, Wear: WearOut, Caution: "caution.piece.airway", Said: []reading.Features{reading.FMissing | reading.FCough, reading.FMissing | reading.FBreath, reading.FSwallowed | reading.FCough, reading.FSwallowed | reading.FBreath, reading.FBroken | reading.FCough, reading.FBroken | reading.FBreath, reading.FMissing | reading.FChoke, reading.FSwallowed | reading.FChoke, reading.FBroken | reading.FChoke}, Less: reading.FChild, Role: practice.Clinician, Source: inhaled},
	{ID: "jaw.airway", Class: ClassE, Wear: WearOut, Caution: "caution.jaw.airway", Said: []reading.Features{reading.FLocked | reading.FBreath, reading.FOpenLock | reading.FBreath}, Role: practice.Clinician, Source: lockedJaw},
	{ID: "jaw.open", Class: ClassE, Wear: WearOut, Caution: "caution.jaw.open", Said: []reading.Features{reading.FOpenLock}, Role: practice.Clinician, Source: lockedJaw},
	{ID: "stuck.airway", Class: ClassE, Wear: WearOut, Caution: "caution.stuck.airway", Said: []reading.Features{reading.FStuck | reading.FBreath, reading.FStuck | reading.FVomit}, Role: practice.Clinician, Source: proposal},
	{ID: "choking", Class: ClassE, Wear: WearOut, Caution: "caution.choking", Said: []reading.Features{reading.FChoke}, Less: reading.FChild, Role: practice.Clinician, Source: fromMemory},
	{ID: "breath", Class: ClassE, Wear: WearOut, Caution: "caution.breath", Said: []reading.Features{reading.FBreath}, Role: practice.Clinician, Source: fromMemory},
	{ID: "bleeding.heavy", Class: ClassE, Wear: WearOut, Caution: "caution.bleeding.heavy", Said: []reading.Features{reading.FBleeding | reading.FNotStopping}, Role: practice.Clinician, Source: fromMemory},
	{ID: "headache.sudden", Class: ClassE, Wear: WearOut, Caution: "caution.headache.sudden", Said: []reading.Features{reading.FHeadache}, Role: practice.Clinician, Source: fromMemory},
	{ID: "crisis", Class: ClassE, Wear: WearKeep, Caution: "caution.crisis", Said: []reading.Features{reading.FSelfHarm}, Role: practice.Clinician, Source: "crisis-line"},
	{ID: "child.part", Class: ClassE, Wear: WearKeep, Beside: true, Caution: "caution.child.part", Said: []reading.Features{reading.FChild}, Role: practice.Clinician, Source: inhaled},
	{ID: "urgent", Class: ClassE, Wear: WearOut, Caution: "caution.urgent", Said: []reading.Features{reading.FUrgent}, Role: practice.Clinician, Source: fromMemory},

	// The same day.
	{ID: "tooth.painful", Class: ClassS, Wear: WearOut, Caution: "caution.tooth.painful", Said: []reading.Features{reading.FToothBroken | reading.FPain}, Role: practice.Clinician, Source: "side-effect-list"},
	{ID: "pain.severe", Class: ClassS, Wear: WearOut, Caution: "caution.pain.severe", Said: []reading.Features{reading.FPain}, Field: chart.Pain, Reached: least(chart.ModestPain + 1), Ruled: true, Role: practice.Clinician, Source: "pain-severe " + proposal},
	{ID: "pain.woken", Class: ClassS, Wear: WearOut, Caution: "caution.pain.woken", Field: chart.Woken, Reached: is(chart.Yes), Night: (*chart.Entry).Severe, Ruled: true, Role: practice.Clinician, Source: proposal},
	{ID: "sore.again", Class: ClassS, Wear: WearOut, Caution: "caution.sore.again", Role: practice.Clinician, Source: "pain-stop " + proposal},
	{ID: "setting.above", Class: ClassS, Wear: WearBack, Caution: "caution.setting.above", Role: practice.Clinician, Source: proposal},
	{ID: "jaw.locked", Class: ClassS, Wear: WearOut, Caution: "caution.jaw.locked", Said: []reading.Features{reading.FLocked}, Role: practice.Clinician, Source: lockedJaw},
	{ID: "jaw.catch", Class: ClassS, Wear: WearOut, Caution: "caution.jaw.catch", Said: []reading.Features{reading.FCatch}, Role: practice.Clinician, Source: lockedJaw},
	{ID: "piece.missing", Class: ClassS, Wear: WearOut, Caution: "caution.piece.missing", Said: []reading.Features{reading.FMissing, reading.FSwallowed}, Less: reading.FChild, Role: practice.Clinician, Source: inhaled},
	{ID: "piece.broken", Class: ClassS, Wear: WearOut, Caution: "caution.piece.broken", Said: []reading.Features{reading.FBroken}, Role: practice.Clinician, Source: "keep-pieces"},
	{ID: "stuck", Class: ClassS, Wear: WearOut, Caution: "caution.stuck", Said: []reading.Features{reading.FStuck}, Role: practice.Clinician, Source: proposal},
	{ID: "swelling.fever", Class: ClassS, Wear: WearOut, Caution: "caution.swelling.fever", Said: []reading.Features{reading.FSwelling | reading.FFever}, Role: practice.Clinician, Source: proposal},
	{ID: "swelling", Class: ClassS, Wear: WearOut, Caution: "caution.swelling", Said: []reading.Features{reading.FSwelling}, Less: reading.FGum, Role: practice.Clinician, Source: resin + " " + proposal},
	{ID: "hives", Class: ClassS, Wear: WearOut, Caution: "caution.hives", Said: []reading.Features{reading.FHives}, Role: practice.Clinician, Source: resin + " " + proposal},
	{ID: "swallow", Class: ClassS, Wear: WearOut, Caution: "caution.swallow", Said: []reading.Features{reading.FSwallow}, Role: practice.Clinician, Source: proposal},
	{ID: "numb", Class: ClassS, Wear: WearOut, Caution: "caution.numb", Said: []reading.Features{reading.FNumb}, Role: practice.Clinician, Source: proposal},
	{ID: "lipseal", Class: ClassS, Wear: WearKeep, Caution: "caution.lipseal", Said: []reading.Features{reading.FLipSeal}, Role: practice.Clinician, Source: proposal},
	{ID: "hearing", Class: ClassS, Wear: WearKeep, Caution: "caution.hearing", Said: []reading.Features{reading.FHearing}, Role: practice.Clinician, Source: proposal},
	{ID: "accident", Class: ClassS, Wear: WearOut, Caution: "caution.accident", Said: []reading.Features{reading.FHarm}, Role: practice.Clinician, Source: proposal},
	{ID: "driving.asleep", Class: ClassS, Wear: WearKeep, Caution: "caution.driving", Said: []reading.Features{reading.FWheel}, Field: chart.Driving, Reached: is(chart.DrivingYes), Role: practice.Clinician, Source: drowsy},
	{ID: "driving.crash", Class: ClassS, Wear: WearKeep, Caution: "caution.driving.crash", Said: []reading.Features{reading.FCrash}, Role: practice.Clinician, Source: drowsy},

	// The next working day.
	{ID: "driving.nearly", Class: ClassN, Driver: ClassS, Wear: WearKeep, Caution: "caution.driving", Said: []reading.Features{reading.FWheelNear}, Field: chart.Driving, Reached: is(chart.DrivingNearly), Role: practice.Clinician, Source: drowsy},
	{ID: "sleepy", Class: ClassN, Driver: ClassS, Wear: WearKeep, Caution: "caution.sleepy", Field: chart.Sleepiness, Reached: sleepier, Role: practice.Clinician, Source: worsening + " " + drowsy},
	{ID: "sleepy.high", Class: ClassN, Wear: WearKeep, Beside: true, Caution: "caution.sleepy.high", Field: chart.Sleepiness, Reached: verySleepy, Role: practice.Clinician, Source: drowsy},
	{ID: "pauses", Class: ClassN, Driver: ClassS, Wear: WearKeep, Caution: "caution.pauses", Said: []reading.Features{reading.FPauses}, Field: chart.Pauses, Reached: is(chart.Yes), Before: pausesBefore, Role: practice.Clinician, Source: worsening},
	{ID: "headache.morning", Class: ClassN, Wear: WearKeep, Caution: "caution.headache.morning", Field: chart.HeadacheDays, Reached: manyMornings, Before: headacheBefore, Role: practice.Clinician, Source: worsening},
	{ID: "headache.weeks", Class: ClassN, Wear: WearKeep, Caution: "caution.headache.morning", Field: chart.Headache, Reached: is(chart.Yes), Weekly: true, Before: headacheBefore, Role: practice.Clinician, Source: worsening},
	{ID: "new.dental", Class: ClassN, Wear: WearKeep, Caution: "caution.new.dental", Field: chart.New, Reached: is(chart.NewDental), Role: practice.Clinician, Source: proposal},
	{ID: "new.tablets", Class: ClassN, Wear: WearKeep, Beside: true, Caution: "caution.new.tablets", Field: chart.New, Reached: is(chart.NewTablets), Role: practice.Clinician, Source: proposal},
	{ID: "new.pregnancy", Class: ClassN, Wear: WearKeep, Beside: true, Caution: "caution.new.pregnancy", Field: chart.New, Reached: is(chart.NewPregnancy), Role: practice.Clinician, Source: proposal},
	{ID: "new.weight", Class: ClassN, Wear: WearKeep, Beside: true, Caution: "caution.new.weight", Field: chart.New, Reached: is(chart.NewWeight), Role: practice.Clinician, Source: proposal},
	{ID: "sore.start", Class: ClassN, Wear: WearKeep, Caution: "caution.sore.start", Role: practice.Clinician, Source: proposal},
	{ID: "sore.twice", Class: ClassN, Wear: WearKeep, Caution: "caution.sore.twice", Role: practice.Clinician, Source: proposal},
	{ID: "pain.roused", Class: ClassN, Wear: WearKeep, Caution: "caution.pain.roused", Field: chart.Woken, Reached: is(chart.Yes), Night: (*chart.Entry).Roused, Ruled: true, Role: practice.Clinician, Source: proposal},
	{ID: "bite.late", Class: ClassN, Wear: WearKeep, Caution: "caution.bite.late", Field: chart.BiteMinutes, Reached: least(chart.AwayBite + 1), Below: chart.BiteMidday, Ruled: true, Role: practice.Clinician, Source: "bite-hour"},
	{ID: "bite.notback", Class: ClassN, Wear: WearKeep, Caution: "caution.bite.notback", Field: chart.BiteMinutes, Reached: least(chart.BiteMidday), Ruled: true, Role: practice.Clinician, Source: "bite-hour"},
	{ID: "bite.changed", Class: ClassN, Wear: WearKeep, Caution: "caution.bite.changed", Said: []reading.Features{reading.FBiteOff}, Role: practice.Clinician, Source: "bite-stays bite-years"},
	{ID: "tooth.loose", Class: ClassN, Wear: WearOut, Caution: "caution.tooth.loose", Said: []reading.Features{reading.FTooth}, Role: practice.Clinician, Source: "side-effect-list"},
	{ID: "tooth.gap", Class: ClassN, Wear: WearKeep, Caution: "caution.tooth.gap", Said: []reading.Features{reading.FGap}, Less: reading.FTooth, Role: practice.Clinician, Source: "side-effect-list"},
	{ID: "tooth.broken", Class: ClassN, Wear: WearKeep, Caution: "caution.tooth.broken", Said: []reading.Features{reading.FToothBroken}, Role: practice.Clinician, Source: "side-effect-list"},
	{ID: "mouth.rash", Class: ClassN, Wear: WearOut, Caution: "caution.mouth.rash", Said: []reading.Features{reading.FRash}, Role: practice.Clinician, Source: resin},
	{ID: "swelling.gum", Class: ClassN, Wear: WearOut, Sole: true, Caution: "caution.swelling.gum", Said: []reading.Features{reading.FSwelling | reading.FGum}, Role: practice.Clinician, Source: proposal},
	{ID: "bleeding", Class: ClassN, Wear: WearKeep, Caution: "caution.bleeding", Said: []reading.Features{reading.FBleeding}, Role: practice.Clinician, Source: proposal},
	{ID: "appliance.seat", Class: ClassN, Wear: WearOut, Caution: "caution.appliance.seat", Said: []reading.Features{reading.FSeat}, Field: chart.NotWorn, Reached: is(chart.ReasonBroken), Role: practice.Clinician, Source: proposal},
	{ID: "appliance.lost", Class: ClassN, Wear: WearOut, Caution: "caution.appliance.lost", Said: []reading.Features{reading.FLost}, Role: practice.Clinician, Source: proposal},
	{ID: "vomit", Class: ClassN, Wear: WearTonight, Caution: "caution.vomit", Said: []reading.Features{reading.FVomit}, Role: practice.Clinician, Source: proposal},
	{ID: "ulcer", Class: ClassN, Wear: WearKeep, Caution: "caution.ulcer", Said: []reading.Features{reading.FUlcer}, Role: practice.Clinician, Source: "ulcer-weeks"},
	{ID: "lowmood", Class: ClassN, Wear: WearKeep, Caution: "caution.lowmood", Said: []reading.Features{reading.FMood}, Less: reading.FSelfHarm, Role: practice.Clinician, Source: "crisis-line"},
	{ID: "turned.wrong", Class: ClassN, Wear: WearKeep, Beside: true, Doubt: true, Caution: "caution.turned.wrong", Said: []reading.Features{reading.FTurned}, Role: practice.Clinician, Source: proposal},
	{ID: "cough", Class: ClassN, Wear: WearKeep, Beside: true, IfNow: "choking", Caution: "caution.cough", Said: []reading.Features{reading.FCough}, Less: reading.FChoke | reading.FBreath, Role: practice.Clinician, Source: fromMemory},

	// Routine, the next visit.
	{ID: "mouth.sore", Class: ClassR, Wear: WearKeep, Caution: "caution.mouth.sore", Said: []reading.Features{reading.FSore}, Less: reading.FUlcer, Role: practice.Assistant, Source: "sore-early"},
}

// SaidBy is the features of a text that the row rests on.
func (r *Row) SaidBy(features reading.Features) (here reading.Features) {
	if r.Less&features != 0 {
		return 0
	}
	for _, combo := range r.Said {
		if features.Has(combo) {
			here |= combo
		}
	}
	return here
}

// ClassFor is the row's class for this patient.
func (r *Row) ClassFor(b *chart.Baseline) Class {
	if r.Driver != NoClass && b.Drives.Is(chart.Yes) {
		return r.Driver
	}
	return r.Class
}
