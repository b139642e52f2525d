package flows

import (
	"strings"
	"testing"
)

// heard raises what a text says, on a fresh course that stands at 0.
func heard(t *testing.T, f Features, change ...func(*Plan, *Appliance, *Baseline)) (*bench, []Raised) {
	k := trial(t, change...)
	return k, k.c.Hear(k.f, Wall{k.d, 1200}, f, "said")
}

func drives(_ *Plan, _ *Appliance, b *Baseline) { b.Drives = Num(Yes) }

// Each row by name: class, wear, and the caution the patient hears first. The
// urgencies are the design's; what has a source has it in the table.
func TestFlagRows(t *testing.T) {
	for name, x := range map[string]struct {
		said  Features
		id    string
		class Class
		wear  Wear
	}{
		"trouble breathing":                         {FBreath, "breath", ClassE, WearOut},
		"chest pain":                                {FChest, "chest", ClassE, WearOut},
		"fainting":                                  {FFaint, "faint", ClassE, WearOut},
		"stroke signs":                              {FStroke, "stroke", ClassE, WearOut},
		"tongue swelling":                           {FSwelling | FMouthFace, "swelling.airway", ClassE, WearOut},
		"tongue is swelling, cannot swallow":        {FSwelling | FMouthFace | FSwallow, "swelling.airway", ClassE, WearOut},
		"hives with breathing trouble":              {FHives | FBreath, "swelling.airway", ClassE, WearOut},
		"swollen gum with trouble swallowing":       {FSwelling | FGum | FSwallow | FFever, "swelling.airway", ClassE, WearOut},
		"cannot find the piece and coughing":        {FBroken | FMissing | FCough, "piece.airway", ClassE, WearOut},
		"swallowed a piece, hard to breathe":        {FSwallowed | FBreath, "piece.airway", ClassE, WearOut},
		"broken, and coughing":                      {FBroken | FCough, "piece.airway", ClassE, WearOut},
		"choking":                                   {FCough, "choking", ClassE, WearOut},
		"locked, with breathing trouble":            {FLocked | FBreath, "jaw.airway", ClassE, WearOut},
		"stuck open":                                {FOpenLock, "jaw.open", ClassE, WearOut},
		"stuck in the mouth with vomiting":          {FStuck | FVomit, "stuck.airway", ClassE, WearOut},
		"stuck in the mouth with breathing trouble": {FStuck | FBreath, "stuck.airway", ClassE, WearOut},
		"bleeding that pressure does not stop":      {FBleeding | FNotStopping, "bleeding.heavy", ClassE, WearOut},
		"sudden severe headache":                    {FHeadache, "headache.sudden", ClassE, WearOut},
		"self-harm":                                 {FSelfHarm, "crisis", ClassE, WearKeep},
		"ambulance":                                 {FUrgent, "urgent", ClassE, WearOut},
		"severe pain":                               {FPain, "pain.severe", ClassS, WearOut},
		"jaw locked, breathing fine":                {FLocked, "jaw.locked", ClassS, WearOut},
		"jaw catching":                              {FCatch, "jaw.catch", ClassS, WearOut},
		"a missing piece without symptoms":          {FMissing, "piece.missing", ClassS, WearOut},
		"screw came off, I have it here":            {FBroken, "piece.broken", ClassS, WearOut},
		"stuck in the mouth":                        {FStuck, "stuck", ClassS, WearOut},
		"swelling with fever":                       {FSwelling | FFever, "swelling.fever", ClassS, WearOut},
		"gum swelling with fever":                   {FSwelling | FGum | FFever, "swelling.fever", ClassS, WearOut},
		"swelling somewhere":                        {FSwelling, "swelling", ClassS, WearOut},
		"hives":                                     {FHives, "hives", ClassS, WearOut},
		"trouble swallowing":                        {FSwallow, "swallow", ClassS, WearOut},
		"numb lip":                                  {FNumb, "numb", ClassS, WearOut},
		"could not breathe with the lip-seal part":  {FLipSeal, "lipseal", ClassS, WearOut},
		"sudden hearing loss":                       {FHearing, "hearing", ClassS, WearOut},
		"accident":                                  {FHarm, "accident", ClassS, WearOut},
		"fell asleep at the wheel":                  {FWheel, "driving.asleep", ClassS, WearKeep},
		"nearly fell asleep at the wheel":           {FWheelNear, "driving.nearly", ClassN, WearKeep},
		"broken tooth, painful":                     {FToothBroken | FPain, "tooth.painful", ClassS, WearOut},
		"broken tooth":                              {FToothBroken, "tooth.broken", ClassN, WearKeep},
		"loose tooth":                               {FTooth, "tooth.loose", ClassN, WearOut},
		"bite off all day":                          {FBiteOff, "bite.changed", ClassN, WearKeep},
		"red patches":                               {FRash, "mouth.rash", ClassN, WearOut},
		"swollen gum":                               {FSwelling | FGum, "swelling.gum", ClassN, WearOut},
		"bleeding":                                  {FBleeding, "bleeding", ClassN, WearKeep},
		"does not seat":                             {FSeat, "appliance.seat", ClassN, WearOut},
		"lost":                                      {FLost, "appliance.lost", ClassN, WearOut},
		"vomiting":                                  {FVomit, "vomit", ClassN, WearTonight},
		"pauses where there were none":              {FPauses, "pauses", ClassN, WearKeep},
		"sores":                                     {FSore, "mouth.sore", ClassR, WearKeep},
	} {
		k, rs := heard(t, x.said)
		if len(rs) == 0 {
			t.Errorf("%s: nothing", name)
			continue
		}
		if r := rs[0]; r.ID != x.id || r.Class != x.class || r.Wear != x.wear || !r.Flag || !r.New || r.Caution == "" {
			t.Errorf("%s: %+v", name, r)
		}
		for i := 1; i < len(rs); i++ {
			if rs[i].Class.Worse(rs[i-1].Class) {
				t.Errorf("%s: %s behind %s", name, rs[i].ID, rs[i-1].ID)
			}
		}
		if hot := x.class.Worse(ClassN); (k.c.State == Stopped) != hot {
			t.Errorf("%s: state %v", name, k.c.State)
		}
		if a := k.evening(); x.class.Worse(ClassR) && (a.Action == Forward || !a.Fired.Has(2) || (a.Action == LeaveOut) != (x.wear != WearKeep)) {
			t.Errorf("%s: %+v", name, a)
		}
	}
}

// Where the patient drives for work it is the same day.
func TestFlagsOfDrivers(t *testing.T) {
	for said, id := range map[Features]string{FWheelNear: "driving.nearly", FPauses: "pauses"} {
		if _, rs := heard(t, said, drives); len(rs) != 1 || rs[0].ID != id || rs[0].Class != ClassS {
			t.Errorf("%s: %v", id, rs)
		}
	}
}

// Two in one message: the higher class first; each is raised.
func TestHigherClassWins(t *testing.T) {
	k, rs := heard(t, FSore|FTooth|FLocked|FChest)
	var ids []string
	for _, r := range rs {
		ids = append(ids, r.ID)
	}
	if got := strings.Join(ids, " "); got != "chest jaw.locked tooth.loose mouth.sore" {
		t.Error(got)
	}
	if len(k.c.Flags) != 3 {
		t.Errorf("%v", k.c.Flags)
	}
}

// Said again while open: not new, counted, never downgraded, never lifted.
func TestSaidAgain(t *testing.T) {
	k, _ := heard(t, FWheelNear)
	drives(nil, nil, k.f.Baseline)
	rs := k.c.Hear(k.f, Wall{k.d, 1230}, FWheelNear, "again")
	if len(rs) != 1 || rs[0].New || rs[0].Class != ClassS || len(k.c.Flags) != 1 || k.c.Flags[0].Times != 2 {
		t.Errorf("%v, %v", rs, k.c.Flags)
	}
	k.f.Baseline.Drives = Num(No)
	if rs = k.c.Hear(k.f, Wall{k.d, 1240}, FWheelNear, "again"); rs[0].Class != ClassS || k.c.State != Stopped {
		t.Errorf("downgraded: %v", rs)
	}
	if rs := k.c.Hear(k.f, Wall{k.d, 1250}, 0, "ignore that"); rs != nil || !k.c.Open() {
		t.Error("ignoring lifted it")
	}
}

// Answers past a threshold raise their rows at once.
func TestThresholds(t *testing.T) {
	for name, x := range map[string]struct {
		field Field
		n     int
		id    string // empty: nothing
		class Class
	}{
		"pain 7":                  {Pain, 7, "", 0},
		"pain 8":                  {Pain, 8, "pain.severe", ClassS},
		"woken":                   {Woken, Yes, "pain.woken", ClassS},
		"not woken":               {Woken, No, "", 0},
		"bite after 60":           {BiteMinutes, 60, "", 0},
		"bite after 61":           {BiteMinutes, 61, "bite.late", ClassN},
		"bite not back by midday": {BiteMinutes, BiteMidday, "bite.notback", ClassN},
		"bite not back":           {BiteMinutes, BiteNot, "bite.notback", ClassN},
		"broken or lost":          {NotWorn, ReasonBroken, "appliance.seat", ClassN},
		"forgot":                  {NotWorn, ReasonForgot, "", 0},
		"sleepiness 1 above":      {Sleepiness, 6, "", 0},
		"sleepiness 2 above":      {Sleepiness, 7, "sleepy", ClassN},
		"pauses":                  {Pauses, Yes, "pauses", ClassN},
		"morning headache alone":  {Headache, Yes, "headache.morning", ClassN},
		"did not drive":           {Driving, DrivingNoDrive, "", 0},
		"nearly":                  {Driving, DrivingNearly, "driving.nearly", ClassN},
		"nodded off":              {Driving, DrivingYes, "driving.asleep", ClassS},
	} {
		k := trial(t)
		k.evening()
		rs := k.c.Answer(k.f, k.d, x.field, Num(x.n), FromPatient)
		switch {
		case x.id == "" && len(rs) > 0:
			t.Errorf("%s: %v", name, rs)
		case x.id != "" && (len(rs) != 1 || rs[0].ID != x.id || rs[0].Class != x.class || !k.c.Open()):
			t.Errorf("%s: %v", name, rs)
		}
		if again := k.c.Answer(k.f, k.d, x.field, Num(x.n), FromPatient); again != nil {
			t.Errorf("%s: said twice raised twice", name)
		}
		open := len(k.c.Flags)
		k.c.Answer(k.f, k.d, x.field, Unknown, FromUndo)
		if len(k.c.Flags) != open {
			t.Errorf("%s: an undo lifted it", name)
		}
	}
}

// What was so before the first night is no flag; sleepiness without a baseline
// neither.
func TestThresholdsAgainstTheBaseline(t *testing.T) {
	k := trial(t, func(_ *Plan, _ *Appliance, b *Baseline) {
		b.Pauses, b.Headache, b.Sleepy = Num(Yes), Num(Yes), Unknown
	})
	for _, x := range []struct {
		f Field
		n int
	}{{Pauses, Yes}, {Headache, Yes}, {Sleepiness, 10}} {
		if rs := k.c.Answer(k.f, k.d, x.f, Num(x.n), FromPatient); rs != nil {
			t.Errorf("%v", rs)
		}
	}
	if rs := k.c.Hear(k.f, Wall{k.d, 1200}, FPauses, ""); rs != nil {
		t.Errorf("%v", rs)
	}
	k = trial(t, drives)
	for _, f := range []Field{Sleepiness, Pauses, Driving} {
		rs := k.c.Answer(k.f, k.d, f, Num(map[Field]int{Sleepiness: 7, Pauses: Yes, Driving: DrivingNearly}[f]), FromPatient)
		if len(rs) != 1 || rs[0].Class != ClassS {
			t.Errorf("drives for work: %v", rs)
		}
	}
}

// Ids are for ever and unique; every row has its caution, its source and
// somebody who may release it; every feature of danger leads to a row.
func TestFlagTable(t *testing.T) {
	seen := map[string]bool{}
	var all Features
	last := ClassE
	for _, r := range Flags() {
		if seen[r.ID] || r.Caution == "" || r.Source == "" || r.Role == NoRole || r.Class == NoClass {
			t.Errorf("%+v", r)
		}
		if r.Class.Worse(last) {
			t.Errorf("%s stands behind a less urgent row", r.ID)
		}
		seen[r.ID], last = true, r.Class
		for _, combo := range r.Said {
			all |= combo
		}
		if got, ok := FlagRow(r.ID); !ok || got.ID != r.ID {
			t.Errorf("%s is not found", r.ID)
		}
	}
	for f := FBreath; f <= FUrgent; f <<= 1 {
		if all&f == 0 {
			t.Errorf("feature %b leads to no flag", f)
		}
	}
	if _, ok := FlagRow("no.such"); ok {
		t.Error("found what is not there")
	}
	for r := Rule(1); r <= 18; r++ {
		if row := RuleRow(r); row.Rule != r || row.Source == "" || row.Role == NoRole || row.Name != "rule."+r.ID()+".name" {
			t.Errorf("%+v", row)
		}
	}
	if RuleRow(0).Rule != 0 || RuleRow(19).Rule != 0 {
		t.Error("a rule that is not there")
	}
}

// Few flags are kept; the least urgent makes room, what it says of wear stays.
func TestFlagsStayFew(t *testing.T) {
	k := trial(t)
	k.c.Hear(k.f, Wall{k.d, 1200}, FTooth, strings.Repeat("ñ", 300))
	k.c.Hear(k.f, Wall{k.d, 1200}, ^Features(0), "everything")
	if len(k.c.Flags) != mostFlags {
		t.Errorf("%d flags", len(k.c.Flags))
	}
	quotes, out := 0, false
	for _, f := range k.c.Flags {
		if !f.Class.Worse(ClassN) {
			t.Errorf("%s was kept before an emergency", f.ID)
		}
		if f.Quote != "" {
			quotes++
		}
		out = out || f.Wear == WearOut
	}
	if quotes > mostQuotes || !out {
		t.Errorf("%d quotes, %v", quotes, out)
	}
	if k.next(LeaveOut, 0, 2); k.c.State != Stopped {
		t.Error(k.c.State)
	}
}
