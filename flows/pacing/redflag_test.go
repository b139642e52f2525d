package pacing

import (
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
)

// heard raises what a text says, on a fresh course that stands at 0.
func heard(t *testing.T, f reading.Features, change ...func(*chart.Plan, *chart.Appliance, *chart.Baseline)) (*bench,
	[]redflag.Raised) {
	k := trial(t, change...)
	return k, k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, f, "said")
}

func drives(_ *chart.Plan, _ *chart.Appliance, b *chart.Baseline) { b.Drives = chart.Num(chart.Yes) }

// Each row by name: class, wear, and the caution the patient hears first. The
// urgencies are the design's; what has a source has it in the table.
func TestFlagRows(t *testing.T) {
	for name, x := range map[string]struct {
		said  reading.Features
		id    string
		class redflag.Class
		wear  redflag.Wear
	}{
		"trouble breathing":                         {reading.FBreath, "breath", redflag.ClassE, redflag.WearOut},
		"chest pain":                                {reading.FChest, "chest", redflag.ClassE, redflag.WearOut},
		"fainting":                                  {reading.FFaint, "faint", redflag.ClassE, redflag.WearOut},
		"stroke signs":                              {reading.FStroke, "stroke", redflag.ClassE, redflag.WearOut},
		"tongue swelling":                           {reading.FSwelling | reading.FMouthFace, "swelling.airway", redflag.ClassE, redflag.WearOut},
		"tongue is swelling, cannot swallow":        {reading.FSwelling | reading.FMouthFace | reading.FSwallow, "swelling.airway", redflag.ClassE, redflag.WearOut},
		"hives with breathing trouble":              {reading.FHives | reading.FBreath, "swelling.airway", redflag.ClassE, redflag.WearOut},
		"swollen gum with trouble swallowing":       {reading.FSwelling | reading.FGum | reading.FSwallow | reading.FFever, "swelling.airway", redflag.ClassE, redflag.WearOut},
		"cannot find the piece and coughing":        {reading.FBroken | reading.FMissing | reading.FCough, "piece.airway", redflag.ClassE, redflag.WearOut},
		"swallowed a piece, hard to breathe":        {reading.FSwallowed | reading.FBreath, "piece.airway", redflag.ClassE, redflag.WearOut},
		"broken, and coughing":                      {reading.FBroken | reading.FCough, "piece.airway", redflag.ClassE, redflag.WearOut},
		"choking":                                   {reading.FCough | reading.FChoke, "choking", redflag.ClassE, redflag.WearOut},
		"locked, with breathing trouble":            {reading.FLocked | reading.FBreath, "jaw.airway", redflag.ClassE, redflag.WearOut},
		"stuck open":                                {reading.FOpenLock, "jaw.open", redflag.ClassE, redflag.WearOut},
		"stuck in the mouth with vomiting":          {reading.FStuck | reading.FVomit, "stuck.airway", redflag.ClassE, redflag.WearOut},
		"stuck in the mouth with breathing trouble": {reading.FStuck | reading.FBreath, "stuck.airway", redflag.ClassE, redflag.WearOut},
		"bleeding that pressure does not stop":      {reading.FBleeding | reading.FNotStopping, "bleeding.heavy", redflag.ClassE, redflag.WearOut},
		"sudden severe headache":                    {reading.FHeadache, "headache.sudden", redflag.ClassE, redflag.WearOut},
		"self-harm":                                 {reading.FSelfHarm, "crisis", redflag.ClassE, redflag.WearKeep},
		"ambulance":                                 {reading.FUrgent, "urgent", redflag.ClassE, redflag.WearOut},
		"severe pain":                               {reading.FPain, "pain.severe", redflag.ClassS, redflag.WearOut},
		"jaw locked, breathing fine":                {reading.FLocked, "jaw.locked", redflag.ClassS, redflag.WearOut},
		"jaw catching":                              {reading.FCatch, "jaw.catch", redflag.ClassS, redflag.WearOut},
		"a missing piece without symptoms":          {reading.FMissing, "piece.missing", redflag.ClassS, redflag.WearOut},
		"screw came off, I have it here":            {reading.FBroken, "piece.broken", redflag.ClassS, redflag.WearOut},
		"stuck in the mouth":                        {reading.FStuck, "stuck", redflag.ClassS, redflag.WearOut},
		"swelling with fever":                       {reading.FSwelling | reading.FFever, "swelling.fever", redflag.ClassS, redflag.WearOut},
		"gum swelling with fever":                   {reading.FSwelling | reading.FGum | reading.FFever, "swelling.fever", redflag.ClassS, redflag.WearOut},
		"swelling somewhere":                        {reading.FSwelling, "swelling", redflag.ClassS, redflag.WearOut},
		"hives":                                     {reading.FHives, "hives", redflag.ClassS, redflag.WearOut},
		"trouble swallowing":                        {reading.FSwallow, "swallow", redflag.ClassS, redflag.WearOut},
		"numb lip":                                  {reading.FNumb, "numb", redflag.ClassS, redflag.WearOut},
		"could not breathe with the lip-seal part":  {reading.FLipSeal, "lipseal", redflag.ClassS, redflag.WearKeep},
		"sudden hearing loss":                       {reading.FHearing, "hearing", redflag.ClassS, redflag.WearKeep},
		"accident":                                  {reading.FHarm, "accident", redflag.ClassS, redflag.WearOut},
		"fell asleep at the wheel":                  {reading.FWheel, "driving.asleep", redflag.ClassS, redflag.WearKeep},
		"nearly fell asleep at the wheel":           {reading.FWheelNear, "driving.nearly", redflag.ClassN, redflag.WearKeep},
		"broken tooth, painful":                     {reading.FToothBroken | reading.FPain, "tooth.painful", redflag.ClassS, redflag.WearOut},
		"broken tooth":                              {reading.FToothBroken, "tooth.broken", redflag.ClassN, redflag.WearKeep},
		"loose tooth":                               {reading.FTooth, "tooth.loose", redflag.ClassN, redflag.WearOut},
		"bite off all day":                          {reading.FBiteOff, "bite.changed", redflag.ClassN, redflag.WearKeep},
		"red patches":                               {reading.FRash, "mouth.rash", redflag.ClassN, redflag.WearOut},
		"swollen gum, no other therapy":             {reading.FSwelling | reading.FGum, "swelling.gum", redflag.ClassN, redflag.WearKeep},
		"seizure":                                   {reading.FSeizure, "seizure", redflag.ClassE, redflag.WearOut},
		"a blow to the jaw":                         {reading.FHarm | reading.FCrash, "accident", redflag.ClassS, redflag.WearOut},
		"crashed, or nearly":                        {reading.FCrash, "driving.crash", redflag.ClassS, redflag.WearKeep},
		"fell asleep and crashed":                   {reading.FCrash | reading.FWheel, "driving.asleep", redflag.ClassS, redflag.WearKeep},
		"a new gap":                                 {reading.FGap, "tooth.gap", redflag.ClassN, redflag.WearKeep},
		"a sore of three weeks":                     {reading.FSore | reading.FUlcer, "ulcer", redflag.ClassN, redflag.WearKeep},
		"hopeless":                                  {reading.FMood, "lowmood", redflag.ClassN, redflag.WearKeep},
		"bleeding":                                  {reading.FBleeding, "bleeding", redflag.ClassN, redflag.WearKeep},
		"does not seat":                             {reading.FSeat, "appliance.seat", redflag.ClassN, redflag.WearOut},
		"lost":                                      {reading.FLost, "appliance.lost", redflag.ClassN, redflag.WearOut},
		"vomiting":                                  {reading.FVomit, "vomit", redflag.ClassN, redflag.WearTonight},
		"pauses where there were none":              {reading.FPauses, "pauses", redflag.ClassN, redflag.WearKeep},
		"sores":                                     {reading.FSore, "mouth.sore", redflag.ClassR, redflag.WearKeep},
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
		if hot := x.class.Worse(redflag.ClassN); (k.c.State == chart.Stopped) != hot {
			t.Errorf("%s: state %v", name, k.c.State)
		}
		if a := k.evening(); x.class.Worse(redflag.ClassR) && (a.Action == chart.Forward || !a.Fired.Has(2) ||
			(a.Action == chart.LeaveOut) != (x.wear != redflag.WearKeep)) {
			t.Errorf("%s: %+v", name, a)
		}
	}
}

// Signs of too little treatment raise their flag in every state, long after the last step
// too, and leave the state as it is.
func TestSymptomsFlagInEveryState(t *testing.T) {
	for state := chart.Settling; state <= chart.Recall; state++ {
		for id, ask := range map[string]struct {
			field chart.Field
			value int
		}{"pauses": {chart.Pauses, chart.Yes}, "sleepy": {chart.Sleepiness, 7}} {
			k := trial(t, func(_ *chart.Plan, _ *chart.Appliance, b *chart.Baseline) { b.Sleepy = chart.Num(5) })
			k.nights(4, fine())
			k.c.walk(state)
			k.c.Answer(k.f, k.d, ask.field, chart.Num(ask.value), chart.FromPatient)
			if !k.c.Open() || k.c.Flags[0].ID != id || k.c.OnPath() != state {
				t.Errorf("%v, %s: %v, %v", state, id, k.c.Flags, k.c.OnPath())
			}
		}
	}
}

// Where the patient drives for work it is the same day.
func TestFlagsOfDrivers(t *testing.T) {
	for said, id := range map[reading.Features]string{reading.FWheelNear: "driving.nearly", reading.FPauses: "pauses"} {
		if _, rs := heard(t, said, drives); len(rs) != 1 || rs[0].ID != id || rs[0].Class != redflag.ClassS {
			t.Errorf("%s: %v", id, rs)
		}
	}
}

// Two in one message: the higher class first; each is raised.
func TestHigherClassWins(t *testing.T) {
	k, rs := heard(t, reading.FSore|reading.FTooth|reading.FLocked|reading.FChest)
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
	k, _ := heard(t, reading.FWheelNear)
	drives(nil, nil, k.f.Baseline)
	rs := k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1230}, reading.FWheelNear, "again")
	if len(rs) != 1 || rs[0].New || rs[0].Class != redflag.ClassS || len(k.c.Flags) != 1 || k.c.Flags[0].Times != 2 {
		t.Errorf("%v, %v", rs, k.c.Flags)
	}
	k.f.Baseline.Drives = chart.Num(chart.No)
	if rs = k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1240}, reading.FWheelNear,
		"again"); rs[0].Class != redflag.ClassS || k.c.State != chart.Stopped {
		t.Errorf("downgraded: %v", rs)
	}
	if rs := k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1250}, 0, "ignore that"); rs != nil || !k.c.Open() {
		t.Error("ignoring lifted it")
	}
}

// Answers past a threshold raise their rows at once.
func TestThresholds(t *testing.T) {
	for name, x := range map[string]struct {
		field chart.Field
		n     int
		id    string // empty: nothing
		class redflag.Class
	}{
		"pain 7":                  {chart.Pain, 7, "", 0},
		"pain 8":                  {chart.Pain, 8, "pain.severe", redflag.ClassS},
		"woken":                   {chart.Woken, chart.Yes, "pain.woken", redflag.ClassS},
		"not woken":               {chart.Woken, chart.No, "", 0},
		"bite after 60":           {chart.BiteMinutes, 60, "", 0},
		"bite after 61":           {chart.BiteMinutes, 61, "bite.late", redflag.ClassN},
		"bite not back by midday": {chart.BiteMinutes, chart.BiteMidday, "bite.notback", redflag.ClassN},
		"bite not back":           {chart.BiteMinutes, chart.BiteNot, "bite.notback", redflag.ClassN},
		"broken or lost":          {chart.NotWorn, chart.ReasonBroken, "appliance.seat", redflag.ClassN},
		"forgot":                  {chart.NotWorn, chart.ReasonForgot, "", 0},
		"sleepiness 1 above":      {chart.Sleepiness, 6, "", 0},
		"sleepiness 2 above":      {chart.Sleepiness, 7, "sleepy", redflag.ClassN},
		"pauses":                  {chart.Pauses, chart.Yes, "pauses", redflag.ClassN},
		"a morning headache":      {chart.Headache, chart.Yes, "", 0},
		"two mornings":            {chart.HeadacheDays, chart.DaysTwo, "", 0},
		"three mornings or more":  {chart.HeadacheDays, chart.DaysMore, "headache.morning", redflag.ClassN},
		"dental work":             {chart.New, chart.NewDental, "new.dental", redflag.ClassN},
		"nothing new":             {chart.New, chart.NewNothing, "", 0},
		"did not drive":           {chart.Driving, chart.DrivingNoDrive, "", 0},
		"nearly":                  {chart.Driving, chart.DrivingNearly, "driving.nearly", redflag.ClassN},
		"nodded off":              {chart.Driving, chart.DrivingYes, "driving.asleep", redflag.ClassS},
	} {
		k := trial(t)
		k.evening()
		rs := k.c.Answer(k.f, k.d, x.field, chart.Num(x.n), chart.FromPatient)
		switch {
		case x.id == "" && len(rs) > 0:
			t.Errorf("%s: %v", name, rs)
		case x.id != "" && (len(rs) != 1 || rs[0].ID != x.id || rs[0].Class != x.class || !k.c.Open()):
			t.Errorf("%s: %v", name, rs)
		}
		if again := k.c.Answer(k.f, k.d, x.field, chart.Num(x.n), chart.FromPatient); again != nil {
			t.Errorf("%s: said twice raised twice", name)
		}
		open := len(k.c.Flags)
		k.c.Answer(k.f, k.d, x.field, chart.Unknown, chart.FromUndo)
		if len(k.c.Flags) != open {
			t.Errorf("%s: an undo lifted it", name)
		}
	}
}

// What was so before the first night is no flag; sleepiness without a baseline
// neither.
func TestThresholdsAgainstTheBaseline(t *testing.T) {
	k := trial(t, func(_ *chart.Plan, _ *chart.Appliance, b *chart.Baseline) {
		b.Pauses, b.Headache, b.Sleepy = chart.Num(chart.Yes), chart.Num(chart.Yes), chart.Unknown
	})
	for _, x := range []struct {
		f chart.Field
		n int
	}{{chart.Pauses, chart.Yes}, {chart.HeadacheDays, chart.DaysMore}, {chart.Headache, chart.Yes}, {chart.Sleepiness, 6}} { // from 7 on it is a card, and still no flag
		if rs := k.c.Answer(k.f, k.d, x.f, chart.Num(x.n), chart.FromPatient); rs != nil {
			t.Errorf("%v", rs)
		}
	}
	if rs := k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, reading.FPauses, ""); rs != nil {
		t.Errorf("%v", rs)
	}
	k = trial(t, drives)
	for _, f := range []chart.Field{chart.Sleepiness, chart.Pauses, chart.Driving} {
		rs := k.c.Answer(k.f, k.d, f, chart.Num(map[chart.Field]int{chart.Sleepiness: 7, chart.Pauses: chart.Yes,
			chart.Driving: chart.DrivingNearly}[f]), chart.FromPatient)
		if len(rs) != 1 || rs[0].Class != redflag.ClassS {
			t.Errorf("drives for work: %v", rs)
		}
	}
}

// Ids are for ever and unique; every row has its caution, its source and
// somebody who may release it; every feature of danger leads to a row.
func TestFlagTable(t *testing.T) {
	seen := map[string]bool{}
	var all reading.Features
	last := redflag.ClassE
	for _, r := range redflag.Rows() {
		if seen[r.ID] || r.Caution == "" || r.Source == "" || r.Role == practice.NoRole || r.Class == redflag.NoClass {
			t.Errorf("%+v", r)
		}
		if r.Class.Worse(last) {
			t.Errorf("%s stands behind a less urgent row", r.ID)
		}
		seen[r.ID], last = true, r.Class
		if (r.Reached == nil) != (r.Field == chart.NoField) {
			t.Errorf("%s: a threshold and the answer it is of go together", r.ID)
		}
		for _, combo := range r.Said {
			all |= combo
		}
		if got := redflag.Find(r.ID); got == nil || got.ID != r.ID {
			t.Errorf("%s is not found", r.ID)
		}
	}
	for f := reading.FBreath; f <= reading.FUrgent; f <<= 1 {
		if all&f == 0 {
			t.Errorf("feature %b leads to no flag", f)
		}
	}
	if redflag.Find("no.such") != nil {
		t.Error("found what is not there")
	}
	for r := P01; r < numRules; r++ {
		if row := RuleRow(r); row.Rule != r || row.Source == "" || row.Role == practice.NoRole || row.Name != "rule."+r.ID()+
			".name" {
			t.Errorf("%+v", row)
		}
	}
	if RuleRow(0).Rule != 0 || RuleRow(numRules).Rule != 0 {
		t.Error("a rule that is not there")
	}
}

// Few flags are kept; the least urgent makes room, what it says of wear stays.
func TestFlagsStayFew(t *testing.T) {
	k := trial(t)
	k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, reading.FTooth, strings.Repeat("ñ", 300))
	k.c.Hear(k.f, civil.Wall{Date: k.d, Clock: 1200}, ^reading.Features(0), "everything")
	if len(k.c.Flags) != mostFlags {
		t.Errorf("%d flags", len(k.c.Flags))
	}
	quotes, out := 0, false
	for _, f := range k.c.Flags {
		if !f.Class.Worse(redflag.ClassN) {
			t.Errorf("%s was kept before an emergency", f.ID)
		}
		if f.Quote != "" {
			quotes++
		}
		out = out || f.Wear == redflag.WearOut
	}
	if quotes > mostQuotes || !out {
		t.Errorf("%d quotes, %v", quotes, out)
	}
	if k.next(chart.LeaveOut, 0, 2); k.c.State != chart.Stopped {
		t.Error(k.c.State)
	}
}

// A swollen gum is left out where the plan names another therapy, and worn on where it would leave nothing.
func TestAGumIsLeftOutOnlyBesideAnotherTherapy(t *testing.T) {
	_, rs := heard(t, reading.FSwelling|reading.FGum, func(p *chart.Plan, _ *chart.Appliance, _ *chart.Baseline) {
		p.Fallback = "the mask"
	})
	if len(rs) != 1 || rs[0].ID != "swelling.gum" || rs[0].Wear != redflag.WearOut {
		t.Errorf("%+v", rs)
	}
}

// What is somebody else's, or not yet known to be now, tells a person and holds nothing of this patient's treatment.
func TestWhatIsBesideHoldsNothing(t *testing.T) {
	for _, row := range redflag.Rows() {
		if row.Beside && row.Wear != redflag.WearKeep {
			t.Errorf("%s: wear %d", row.ID, row.Wear)
		}
	}
	for id, said := range map[string]reading.Features{
		"child.part": reading.FChild | reading.FSwallowed | reading.FCough | reading.FChoke,
		"cough":      reading.FCough, "turned.wrong": reading.FTurned,
	} {
		k, rs := heard(t, said)
		if len(rs) != 1 || rs[0].ID != id || !rs[0].Flag || rs[0].Caution == "" {
			t.Errorf("%s: %+v", id, rs)
		}
		if len(k.c.Flags) != 0 || k.c.State != chart.Settling || k.c.InDoubt != (id == "turned.wrong") {
			t.Errorf("%s: flags %v, state %v, in doubt %v", id, k.c.Flags, k.c.State, k.c.InDoubt)
		}
	}
}

// Sleepiness of 7 or more is put before a person whatever it was before the first night, and holds nothing; 2 above the
// baseline it is the flag, and that alone.
func TestVerySleepyIsACardWhateverTheBaseline(t *testing.T) {
	for _, x := range []struct {
		before chart.Answer
		said   int
		want   string
	}{{chart.Num(7), 7, "sleepy.high"}, {chart.Num(6), 7, "sleepy.high"}, {chart.Num(8), 7, "sleepy.high"}, {chart.Unknown, 7, "sleepy.high"},
		{chart.Num(5), 7, "sleepy"}, {chart.Num(7), 6, ""}, {chart.Num(4), 6, "sleepy"}} {
		k := trial(t, func(_ *chart.Plan, _ *chart.Appliance, b *chart.Baseline) { b.Sleepy = x.before })
		rs := k.c.Answer(k.f, k.d, chart.Sleepiness, chart.Num(x.said), chart.FromPatient)
		if x.want == "" && len(rs) != 0 || x.want != "" && (len(rs) != 1 || rs[0].ID != x.want) {
			t.Errorf("%v, then %d: %+v", x.before, x.said, rs)
		}
		if held := len(k.c.Flags) > 0; held != (x.want == "sleepy") {
			t.Errorf("%v, then %d: flags %v", x.before, x.said, k.c.Flags)
		}
	}
}
