package desk

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"

	"pgregory.net/rapid"
)

var (
	ondine = practice.Staff{ID: "s1", Label: "Ondine", Role: practice.Clinician}
	teal   = practice.Staff{ID: "s2", Label: "Teal", Role: practice.Assistant}
	nobody = practice.Staff{}
)

func loaded() flows.Patient {
	p := samplePatient()
	p.Course.Flags = []redflag.Flag{{ID: redflag.Rows()[0].ID, Class: redflag.ClassS, Wear: redflag.WearOut,
		At: civil.Wall{Date: 20512, Clock: 480}, Resume: 2, Esc: 2}}
	p.Escalations = []flows.Escalation{
		{N: 1, Class: redflag.ClassN, Reason: "P09", Raised: civil.Wall{Date: 20511, Clock: 600}, Deadline: 50, AckBy: "s2"},
		{N: 2, Class: redflag.ClassS, Reason: "message", Raised: civil.Wall{Date: 20512, Clock: 480}, Deadline: 90, Quote: "my jaw is locked", Count: 3, Told: "desk.card.waits"},
	}
	c := &p.Course
	c.State, c.InDoubt, c.Low, c.High = chart.Stopped, true, 2, 4
	c.Advice = chart.Advice{Night: 20512, Action: chart.GoBack, To: 2, Rule: 7, Reason: "desk.card.waits", Ready: true}
	c.N = 9
	for i := range c.Nights[:c.N] {
		e := &c.Nights[i]
		e.Night = civil.Date(20504 + i)
		e.V[chart.Pain], e.V[chart.Snoring], e.V[chart.Worn] = chart.Num(i), chart.Unknown, chart.Num(chart.WornAll)
		e.V[chart.SettingLeft], e.Action, e.Rule = chart.Num(3), chart.Stay, 10
	}
	c.Nights[8].V[chart.Pain] = chart.Skipped
	c.Nights[7].V[chart.WornMinutes] = chart.Num(430)
	return p
}

func keysOf(lines []message.Line) string {
	var keys []string
	for _, l := range lines {
		keys = append(keys, strings.TrimPrefix(l.Key, "desk.card."))
	}
	return strings.Join(keys, " ")
}

func argOf(t *testing.T, lines []message.Line, key, name string) message.Arg {
	t.Helper()
	for _, l := range lines {
		for _, a := range l.Args {
			if l.Key == key && a.Name == name {
				return a
			}
		}
	}
	t.Fatalf("no %s in %s", name, key)
	return message.Arg{}
}

func argIn(t *testing.T, l message.Line, name string) message.Arg {
	t.Helper()
	for _, a := range l.Args {
		if a.Name == name {
			return a
		}
	}
	t.Fatalf("no %s in %s", name, l.Key)
	return message.Arg{}
}

// A card says that the patient was told only of what reached the chat.
func TestCardOfWhatWasNotDelivered(t *testing.T) {
	for _, c := range []struct {
		via   int32
		heard bool
		want  string
	}{{2, false, "undelivered"}, {2, true, "told"}, {0, false, "words"}} {
		p := loaded()
		p.Escalations[1].Via, p.Escalations[1].Heard = c.via, c.heard
		lines, _ := Show(newWorld(t).pr, ondine, message.Message{View: message.ViewCard}, p, nil)
		if got := keysOf(lines); !strings.Contains(got, "quote "+c.want+" waits") {
			t.Errorf("%+v: card %s", c, got)
		}
	}
}

// One card shows what a caller needs.
func TestCard(t *testing.T) {
	p := loaded()
	pr := newWorld(t).pr
	lines, buttons := Show(pr, ondine, message.Message{View: message.ViewCard}, p, nil)
	want := "head.class phone nochat esc times quote words waits waits esc rule.P09.desk ack flag setting doubt advice words waits ready night night night night night night night plan"
	if got := keysOf(lines); got != want {
		t.Errorf("card %s", got)
	}
	var pain, worn []string
	for _, l := range lines {
		if l.Key == "desk.card.night" {
			pain, worn = append(pain, argIn(t, l, "pain").S), append(worn, argIn(t, l, "worn").S)
		}
	}
	// the skipped last night is a dash, never a nought
	if got := strings.Join(pain, " "); got != "2 3 4 5 6 7 –" {
		t.Errorf("pain %q", got)
	}
	if got := strings.Join(worn, " "); got != "● ● ● ● ● 7h ●" {
		t.Errorf("worn %q", got)
	}
	last := &p.Course.Nights[p.Course.N-2]
	last.V[chart.Where] = chart.Num(chart.SiteTooth)
	hurt, _ := Show(pr, ondine, message.Message{View: message.ViewCard}, p, nil)
	if a := argOf(t, hurt, "desk.card.night.where", "place"); a.S != "label.where.3" {
		t.Errorf("it hurts at %q", a.S)
	}
	if a := argOf(t, hurt, "desk.card.night.where", "night"); a.N != int64(last.Night) {
		t.Errorf("it hurt on %d", a.N)
	}
	if a := argOf(t, lines, "desk.card.setting", "place"); a.N != 4750 {
		t.Errorf("place %d", a.N)
	}
	if a := argOf(t, lines, "desk.card.setting", "share"); a.N != 594 { // 4.75 of 8.0 mm
		t.Errorf("share %d", a.N)
	}
	if a := argOf(t, lines, "desk.card.advice", "rule"); a.S != "rule.P07.name" {
		t.Errorf("rule %q", a.S)
	}
	if got := opsOf(buttons); got != "ack note takeover resolve note release visit why why why estimate contact transcr diary course notes showplan more" {
		t.Errorf("buttons %s", got)
	}
	if _, buttons := Show(pr, teal, message.Message{View: message.ViewCard}, p, nil); strings.Contains(opsOf(buttons),
		opRelease) {
		t.Error("an assistant is offered a release")
	}
}

// Whoever has taken an item has a button by which the words that came to it since are read.
func TestWordsReadByTheirHolder(t *testing.T) {
	pr := newWorld(t).pr
	for unread, want := range map[bool]bool{true: true, false: false} {
		p := flows.Patient{ID: "p", Label: "Heron-04", Escalations: []flows.Escalation{{N: 3, Class: 'N', Reason: flows.WhyMessage, AckBy: ondine.ID, Unread: unread}}}
		_, card := Show(pr, ondine, message.Message{View: message.ViewCard}, p, nil)
		_, ring := Show(pr, ondine, message.Message{View: message.ViewEscalation, MediaOf: "3"}, p, nil)
		_, other := Show(pr, teal, message.Message{View: message.ViewCard}, p, nil)
		for where, rows := range map[string][][]message.Button{"card": card, "ring": ring} {
			b := rows[0][0]
			if got := b.Op == opAck && b.Label.Key == "desk.b.read"; got != want {
				t.Errorf("unread %v, %s: %v", unread, where, b)
			}
		}
		if strings.Contains(opsOf(other), opAck) {
			t.Errorf("somebody else is offered to have read it: %s", opsOf(other))
		}
	}
}

// In a hold of everything no assistant is offered to resume one patient: that could only fail.
func TestResumeInAHold(t *testing.T) {
	w := newWorld(t)
	p := samplePatient()
	p.Held = true
	offered := func(reader practice.Staff) bool {
		_, rows := Show(w.pr, reader, message.Message{View: message.ViewCard, MediaOf: opMore}, p, nil)
		return strings.Contains(" "+opsOf(rows)+" ", " "+opResume+" ")
	}
	if !offered(teal) {
		t.Error("an assistant may not resume one")
	}
	if w.pr.Held = true; offered(teal) || !offered(ondine) {
		t.Error("resume in a hold of everything")
	}
}

func opsOf(rows [][]message.Button) string {
	var ops []string
	for _, row := range rows {
		for _, b := range row {
			ops = append(ops, b.Op)
		}
	}
	return strings.Join(ops, " ")
}

// Every flag, rule and reason has a name in every language.
func TestReasons(t *testing.T) {
	w := newWorld(t)
	reasons := []string{flows.WhyMessage, flows.WhyCall, flows.WhySilence, flows.WhyBounce, flows.WhyStop, flows.WhyPause,
		flows.WhyLeave, flows.WhyConsent, flows.WhyDecline, flows.WhyMinor, flows.WhyUnused, flows.WhySecond,
		flows.WhyWrong, flows.WhyOther, flows.WhyGap, flows.WhyReview, flows.WhyPlanEnd, flows.WhyMile, flows.WhyRecall,
		flows.WhyTest, flows.WhyLetter, flows.WhyAfter, flows.WhyCouple, flows.WhyForward}
	for _, rule := range pacing.Rules() {
		reasons = append(reasons, rule.Rule.ID())
	}
	for _, row := range redflag.Rows() {
		reasons = append(reasons, row.ID)
	}
	for _, r := range reasons {
		w.check(message.Message{Lines: []message.Line{message.Say(flows.ReasonKey(r))}})
	}
}

// In the group a patient is a label, a class and a number.
func TestGroupSeesLittle(t *testing.T) {
	p := loaded()
	pr := newWorld(t).pr
	for _, v := range []message.View{message.ViewCard, message.ViewQueue, message.ViewFind, message.ViewList,
		message.ViewDiary, message.ViewCourse, message.ViewPlan, message.ViewEscalation} {
		for _, reader := range []practice.Staff{nobody, {ID: "s9", Role: practice.Clinician, Removed: true}} {
			lines, buttons := Show(pr, reader, message.Message{View: v, MediaOf: "2"}, p, []flows.Patient{p})
			text := fmt.Sprint(lines, buttons)
			for _, secret := range []string{"my jaw", "locked", "P09", "600 000", "pain", "Ondine", "setting"} {
				if strings.Contains(text, secret) {
					t.Errorf("view %d shows %q to %+v: %s", v, secret, reader, text)
				}
			}
		}
	}
}

func TestQueueOrder(t *testing.T) {
	mk := func(label string, class redflag.Class, deadline int64, ack string) flows.Patient {
		p := samplePatient()
		p.ID, p.Label = chart.PatientID("00"+label), label
		p.Escalations = []flows.Escalation{{N: 1, Class: class, Reason: "call", Deadline: deadline, AckBy: ack}}
		return p
	}
	ps := []flows.Patient{mk("n", redflag.ClassN, 10, ""), mk("s2", redflag.ClassS, 90, ""),
		mk("sTaken", redflag.ClassS, 5, "s1"), mk("e", redflag.ClassE, 99, ""), mk("s1", redflag.ClassS, 80, ""),
		samplePatient()}
	var got []string
	for _, q := range sorted(ps) {
		got = append(got, q.p.Label)
	}
	if s := strings.Join(got, " "); s != "e s1 s2 sTaken n" {
		t.Errorf("order %s", s)
	}
	if lines, _ := Show(practice.Practice{}, teal, message.Message{View: message.ViewQueue}, flows.Patient{},
		nil); lines[0].Key != "desk.queue.empty" {
		t.Errorf("%+v", lines)
	}
}

// In the queue and in each list of the digest the most urgent comes first: E, S, flags,
// what is asked for, calls that are due; then the oldest. A flag that joined an older
// item lifts it.
func TestMostUrgentFirst(t *testing.T) {
	w := newWorld(t)
	old := civil.Date(w.now.Unix()/86400) - 1
	mk := func(label string, escs ...flows.Escalation) flows.Patient {
		p := samplePatient()
		p.ID, p.Label = chart.PatientID("00"+label), label
		for i := range escs {
			escs[i].N, escs[i].Raised = int32(i+1), civil.Wall{Date: old}
			escs[i].RaisedAt += w.now.Unix() - 90000
		}
		p.Escalations = escs
		return p
	}
	esc := func(class redflag.Class, reason string, at int64) flows.Escalation {
		return flows.Escalation{Class: class, Reason: reason, RaisedAt: at, Deadline: 100}
	}
	today := mk("07 today's E", esc(redflag.ClassE, "chest", 900))
	today.Escalations[0].Raised.Date = old + 1
	ps := []flows.Patient{
		mk("00 call due", esc(redflag.ClassN, flows.WhyMile, 1)), mk("01 call", esc(redflag.ClassN, flows.WhyCall, 2)),
		mk("02 later flag", esc(redflag.ClassN, "tooth.loose", 9)), mk("03 flag", esc(redflag.ClassN, "bite.changed", 5)),
		mk("04 joined", esc(redflag.ClassN, flows.WhyMile, 3), esc(redflag.ClassN, "tooth.loose", 4)),
		mk("05 S", esc(redflag.ClassS, "swelling", 7)), mk("06 E", esc(redflag.ClassE, "chest", 8)), today}
	want := "06 E|07 today's E|05 S|04 joined|03 flag|02 later flag|01 call|00 call due"
	labels := func(lines []message.Line) string {
		var out []string
		for _, l := range lines {
			for _, a := range l.Args {
				if a.Name == "label" {
					out = append(out, a.S)
				}
			}
		}
		return strings.Join(out, "|")
	}
	lines, _ := Show(w.pr, teal, message.Message{View: message.ViewQueue}, flows.Patient{}, ps)
	if got := labels(lines); got != want {
		t.Errorf("queue\n%s\n%s", got, want)
	}
	lines, _ = w.digestOf("overdue", 0, ps)
	if got := labels(lines); got != want {
		t.Errorf("not taken\n%s\n%s", got, want)
	}
}

func TestPages(t *testing.T) {
	var ps []flows.Patient
	for i := range 25 {
		p := samplePatient()
		p.Label = fmt.Sprintf("P%02d", i)
		ps = append(ps, p)
	}
	seen := map[string]bool{}
	for page := range 4 {
		lines, buttons := Show(practice.Practice{}, teal,
			message.Message{View: message.ViewList, MediaOf: strconv.Itoa(page)}, flows.Patient{}, ps)
		for _, l := range lines[1:] {
			seen[l.Args[0].S] = true
		}
		if page == 0 && !strings.HasSuffix(opsOf(buttons), opMenu) {
			t.Error("no next page")
		}
	}
	if len(seen) != 25 {
		t.Errorf("%d patients on the pages", len(seen))
	}
}

// Every view of any patient, for any reader: texts in every language, buttons
// that fit, and never an act that the reader's role does not allow.
func TestShowProperty(t *testing.T) {
	w := newWorld(t)
	rapid.Check(t, func(rt *rapid.T) {
		p := loaded()
		p.Course.State = chart.State(rapid.IntRange(0, int(chart.Ended)).Draw(rt, "state"))
		p.Appliance.TwoSided = rapid.Bool().Draw(rt, "two")
		p.Appliance.Labels = rapid.SampledFrom([][]string{nil, {"A", "B"}, {"A", "B", "C", "D", "E"}}).Draw(rt, "labels")
		p.Course.N = rapid.Uint8Range(0, 40).Draw(rt, "nights")
		p.Course.Left = chart.Steps(rapid.IntRange(-3, 300).Draw(rt, "left"))
		p.Baseline.Zero = chart.Zero(rapid.IntRange(0, 3).Draw(rt, "zero"))
		p.Baseline.Max = chart.Micrometres(rapid.IntRange(-1, 20000).Draw(rt, "max"))
		p.Chat, p.Held, p.Bounced = rapid.Int64Range(0, 1).Draw(rt, "chat"), rapid.Bool().Draw(rt, "held"),
			rapid.Bool().Draw(rt, "bounced")
		p.Tests = []chart.SleepTest{{Kind: "x", AHI10: chart.Answer(rapid.IntRange(0, 300).Draw(rt, "ahi")),
			ODI10: chart.Num(3), InPlace: rapid.Bool().Draw(rt, "in"), By: rapid.SampledFrom([]string{"", "Dr Alder"}).Draw(rt,
				"by")}}
		p.Course.Flags[0].Wear = redflag.Wear(rapid.IntRange(0, 5).Draw(rt, "wear"))
		p.Course.Advice.Action = chart.Action(rapid.IntRange(0, 4).Draw(rt, "action"))
		row := redflag.Rows()[rapid.IntRange(0, len(redflag.Rows())-1).Draw(rt, "row")]
		p.Course.Flags[0].ID, p.Escalations[1].Told = row.ID, row.Caution
		p.Escalations[0].Reason = rapid.SampledFrom([]string{row.ID, "P01", "P09", "P18", flows.WhyCall,
			flows.WhyReview}).Draw(rt, "reason")
		p.Course.Advice.Rule = chart.Rule(rapid.IntRange(0, 20).Draw(rt, "rule"))
		reader := rapid.SampledFrom([]practice.Staff{ondine, teal, nobody}).Draw(rt, "reader")
		m := message.Message{View: message.View(rapid.IntRange(0, 9).Draw(rt, "view")),
			MediaOf: rapid.SampledFrom([]string{"", "1", "2", "3", "x", opMore, "-1"}).Draw(rt, "of")}
		lines, buttons := Show(w.pr, reader, m, p, []flows.Patient{p, samplePatient()})
		if m.View != message.NoView && m.View <= message.ViewEscalation && len(lines) == 0 {
			rt.Fatalf("view %d shows nothing", m.View)
		}
		w.check(message.Message{Lines: lines, Inline: buttons})
		for _, row := range buttons {
			for _, b := range row {
				if i := actIndex(b.Op); i >= 0 && acts[i].role > max(reader.Role, practice.Assistant) {
					rt.Fatalf("%+v is offered %s", reader, b.Op)
				}
			}
		}
	})
}

// The head of a card has the most urgent that is open, a flag's class too.
func TestHeadOfAFlagWithoutItem(t *testing.T) {
	p := samplePatient()
	p.Escalations = []flows.Escalation{{N: 1, Class: redflag.ClassR, Reason: flows.WhyMessage}}
	p.Course.Flags = []redflag.Flag{{ID: "bite.changed", Class: redflag.ClassN}}
	pr := newWorld(t).pr
	if l := Card(&pr, &p)[0]; l.Args[0].S != "desk.class.n" {
		t.Errorf("%+v", l)
	}
}

// Where a person named the setting since the last advice, the card says that in its place.
func TestCardHasNoAdviceThatWasReplaced(t *testing.T) {
	p := samplePatient()
	pr := newWorld(t).pr
	p.Chat, p.Sure, p.Gen = 5, 1, 1
	p.Course.Advice = chart.Advice{Night: 20520, Action: chart.LeaveOut, Rule: pacing.P02}
	key := func() string { return adviceLines(&pr, &p)[0].Key }
	if key() != "desk.card.advice" {
		t.Error(key())
	}
	if p.Course.Named = 20521; key() != "desk.card.ahead" {
		t.Error(key())
	}
}
