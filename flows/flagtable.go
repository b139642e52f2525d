package flows

// Row is one row of the flag table. A row is raised by what is said (any one of
// its combinations of features), by an answer past a threshold (answer.go), or
// by a rule (aftermath.go). Released by a clinician.
type Row struct {
	ID      string
	Class   Class
	Driver  Class // where the patient drives for work; NoClass: the same
	Wear    Wear
	Caution string     // message key: of an E row its one fixed act
	Said    []Features // any of these combinations in one text ...
	Less    Features   // ... unless one of these is said with it, which has a row of its own
	Role    Role       // who may release it
	Source  Basis
}

const (
	fromMemory Basis = "emergency-advice"
	proposal   Basis = "urgency-signed"
	resin      Basis = "resin-swelling"
	inhaled    Basis = "piece-inhaled"
	lockedJaw  Basis = "jaw-week"
	drowsy     Basis = "drowsy-warned"
	worsening  Basis = "events-raised"
)

// Flags returns the flag table.
func Flags() []Row { return flagTable[:] }

// FlagRow finds a row of the flag table by its id.
func FlagRow(id string) (Row, bool) {
	if r := flagRow(id); r != nil {
		return *r, true
	}
	return Row{}, false
}

func flagRow(id string) *Row {
	for i := range flagTable {
		if flagTable[i].ID == id {
			return &flagTable[i]
		}
	}
	return nil
}

// flagTable holds every red flag, the most urgent first and, among equals, the
// more particular first: it is the one whose act the patient hears. An id is
// for ever.
var flagTable = [...]Row{
	// Emergency now.
	{ID: "chest", Class: ClassE, Wear: WearOut, Caution: "caution.chest", Said: []Features{FChest}, Role: Clinician, Source: fromMemory},
	{ID: "faint", Class: ClassE, Wear: WearOut, Caution: "caution.faint", Said: []Features{FFaint}, Role: Clinician, Source: fromMemory},
	{ID: "stroke", Class: ClassE, Wear: WearOut, Caution: "caution.stroke", Said: []Features{FStroke}, Role: Clinician, Source: fromMemory},
	{ID: "swelling.airway", Class: ClassE, Wear: WearOut, Caution: "caution.swelling.airway", Said: []Features{FSwelling | FMouthFace, FSwelling | FSwallow, FSwelling | FBreath, FHives | FBreath, FHives | FSwallow, FGum | FSwelling | FSwallow}, Role: Clinician, Source: resin + " " + fromMemory},
	{ID: "piece.airway", Class: ClassE, Wear: WearOut, Caution: "caution.piece.airway", Said: []Features{FMissing | FCough, FMissing | FBreath, FSwallowed | FCough, FSwallowed | FBreath, FBroken | FCough, FBroken | FBreath}, Role: Clinician, Source: inhaled},
	{ID: "jaw.airway", Class: ClassE, Wear: WearOut, Caution: "caution.jaw.airway", Said: []Features{FLocked | FBreath, FOpenLock | FBreath}, Role: Clinician, Source: lockedJaw},
	{ID: "jaw.open", Class: ClassE, Wear: WearOut, Caution: "caution.jaw.open", Said: []Features{FOpenLock}, Role: Clinician, Source: lockedJaw},
	{ID: "stuck.airway", Class: ClassE, Wear: WearOut, Caution: "caution.stuck.airway", Said: []Features{FStuck | FBreath, FStuck | FVomit}, Role: Clinician, Source: proposal},
	{ID: "choking", Class: ClassE, Wear: WearOut, Caution: "caution.choking", Said: []Features{FCough}, Role: Clinician, Source: fromMemory},
	{ID: "breath", Class: ClassE, Wear: WearOut, Caution: "caution.breath", Said: []Features{FBreath}, Role: Clinician, Source: fromMemory},
	{ID: "bleeding.heavy", Class: ClassE, Wear: WearOut, Caution: "caution.bleeding.heavy", Said: []Features{FBleeding | FNotStopping}, Role: Clinician, Source: fromMemory},
	{ID: "headache.sudden", Class: ClassE, Wear: WearOut, Caution: "caution.headache.sudden", Said: []Features{FHeadache}, Role: Clinician, Source: fromMemory},
	{ID: "crisis", Class: ClassE, Wear: WearKeep, Caution: "caution.crisis", Said: []Features{FSelfHarm}, Role: Clinician, Source: "crisis-line"},
	{ID: "urgent", Class: ClassE, Wear: WearOut, Caution: "caution.urgent", Said: []Features{FUrgent}, Role: Clinician, Source: fromMemory},

	// The same day.
	{ID: "tooth.painful", Class: ClassS, Wear: WearOut, Caution: "caution.tooth.painful", Said: []Features{FToothBroken | FPain}, Role: Clinician, Source: "side-effect-list"},
	{ID: "pain.severe", Class: ClassS, Wear: WearOut, Caution: "caution.pain.severe", Said: []Features{FPain}, Role: Clinician, Source: "pain-severe " + proposal},
	{ID: "pain.woken", Class: ClassS, Wear: WearOut, Caution: "caution.pain.woken", Role: Clinician, Source: proposal},
	{ID: "sore.again", Class: ClassS, Wear: WearOut, Caution: "caution.sore.again", Role: Clinician, Source: "pain-stop " + proposal},
	{ID: "setting.above", Class: ClassS, Wear: WearBack, Caution: "caution.setting.above", Role: Clinician, Source: proposal},
	{ID: "jaw.locked", Class: ClassS, Wear: WearOut, Caution: "caution.jaw.locked", Said: []Features{FLocked}, Role: Clinician, Source: lockedJaw},
	{ID: "jaw.catch", Class: ClassS, Wear: WearOut, Caution: "caution.jaw.catch", Said: []Features{FCatch}, Role: Clinician, Source: lockedJaw},
	{ID: "piece.missing", Class: ClassS, Wear: WearOut, Caution: "caution.piece.missing", Said: []Features{FMissing, FSwallowed}, Role: Clinician, Source: inhaled},
	{ID: "piece.broken", Class: ClassS, Wear: WearOut, Caution: "caution.piece.broken", Said: []Features{FBroken}, Role: Clinician, Source: "keep-pieces"},
	{ID: "stuck", Class: ClassS, Wear: WearOut, Caution: "caution.stuck", Said: []Features{FStuck}, Role: Clinician, Source: proposal},
	{ID: "swelling.fever", Class: ClassS, Wear: WearOut, Caution: "caution.swelling.fever", Said: []Features{FSwelling | FFever}, Role: Clinician, Source: proposal},
	{ID: "swelling", Class: ClassS, Wear: WearOut, Caution: "caution.swelling", Said: []Features{FSwelling}, Less: FGum, Role: Clinician, Source: resin + " " + proposal},
	{ID: "hives", Class: ClassS, Wear: WearOut, Caution: "caution.hives", Said: []Features{FHives}, Role: Clinician, Source: resin + " " + proposal},
	{ID: "swallow", Class: ClassS, Wear: WearOut, Caution: "caution.swallow", Said: []Features{FSwallow}, Role: Clinician, Source: proposal},
	{ID: "numb", Class: ClassS, Wear: WearOut, Caution: "caution.numb", Said: []Features{FNumb}, Role: Clinician, Source: proposal},
	{ID: "lipseal", Class: ClassS, Wear: WearOut, Caution: "caution.lipseal", Said: []Features{FLipSeal}, Role: Clinician, Source: proposal},
	{ID: "hearing", Class: ClassS, Wear: WearOut, Caution: "caution.hearing", Said: []Features{FHearing}, Role: Clinician, Source: proposal},
	{ID: "accident", Class: ClassS, Wear: WearOut, Caution: "caution.accident", Said: []Features{FHarm}, Role: Clinician, Source: proposal},
	{ID: "driving.asleep", Class: ClassS, Wear: WearKeep, Caution: "caution.driving", Said: []Features{FWheel}, Role: Clinician, Source: drowsy},

	// The next working day.
	{ID: "driving.nearly", Class: ClassN, Driver: ClassS, Wear: WearKeep, Caution: "caution.driving", Said: []Features{FWheelNear}, Role: Clinician, Source: drowsy},
	{ID: "sleepy", Class: ClassN, Driver: ClassS, Wear: WearKeep, Caution: "caution.sleepy", Role: Clinician, Source: worsening + " " + drowsy},
	{ID: "pauses", Class: ClassN, Driver: ClassS, Wear: WearKeep, Caution: "caution.pauses", Said: []Features{FPauses}, Role: Clinician, Source: worsening},
	{ID: "headache.morning", Class: ClassN, Wear: WearKeep, Caution: "caution.headache.morning", Role: Clinician, Source: worsening},
	{ID: "sore.start", Class: ClassN, Wear: WearKeep, Caution: "caution.sore.start", Role: Clinician, Source: proposal},
	{ID: "bite.late", Class: ClassN, Wear: WearKeep, Caution: "caution.bite.late", Role: Clinician, Source: "bite-hour"},
	{ID: "bite.notback", Class: ClassN, Wear: WearKeep, Caution: "caution.bite.notback", Role: Clinician, Source: "bite-hour"},
	{ID: "bite.changed", Class: ClassN, Wear: WearKeep, Caution: "caution.bite.changed", Said: []Features{FBiteOff}, Role: Clinician, Source: "bite-stays"},
	{ID: "tooth.loose", Class: ClassN, Wear: WearOut, Caution: "caution.tooth.loose", Said: []Features{FTooth}, Role: Clinician, Source: "side-effect-list"},
	{ID: "tooth.broken", Class: ClassN, Wear: WearKeep, Caution: "caution.tooth.broken", Said: []Features{FToothBroken}, Role: Clinician, Source: "side-effect-list"},
	{ID: "mouth.rash", Class: ClassN, Wear: WearOut, Caution: "caution.mouth.rash", Said: []Features{FRash}, Role: Clinician, Source: "mouth-contact"},
	{ID: "swelling.gum", Class: ClassN, Wear: WearOut, Caution: "caution.swelling.gum", Said: []Features{FSwelling | FGum}, Role: Clinician, Source: proposal},
	{ID: "bleeding", Class: ClassN, Wear: WearKeep, Caution: "caution.bleeding", Said: []Features{FBleeding}, Role: Clinician, Source: proposal},
	{ID: "appliance.seat", Class: ClassN, Wear: WearOut, Caution: "caution.appliance.seat", Said: []Features{FSeat}, Role: Clinician, Source: proposal},
	{ID: "appliance.lost", Class: ClassN, Wear: WearOut, Caution: "caution.appliance.lost", Said: []Features{FLost}, Role: Clinician, Source: proposal},
	{ID: "vomit", Class: ClassN, Wear: WearTonight, Caution: "caution.vomit", Said: []Features{FVomit}, Role: Clinician, Source: proposal},

	// Routine, the next visit.
	{ID: "mouth.sore", Class: ClassR, Wear: WearKeep, Caution: "caution.mouth.sore", Said: []Features{FSore}, Role: Assistant, Source: "sore-early"},
}

// said is the features of a text that the row rests on.
func (r *Row) said(features Features) (here Features) {
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

// class is the row's class for this patient.
func (r *Row) class(b *Baseline) Class {
	if r.Driver != NoClass && b.Drives.Is(Yes) {
		return r.Driver
	}
	return r.Class
}

// known tells whether the baseline says that this was so before the first night.
func (r *Row) known(b *Baseline) bool { return r.ID == "pauses" && b.Pauses.Is(Yes) }
