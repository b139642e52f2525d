package main

import (
	"fmt"
	"strings"
	"testing"

	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// unsent counts messages that the platform refused or that could not be put
// into words.
func (s *scene) unsent() (n int64) {
	for lane := store.LaneUrgent; lane <= store.LaneAll; lane++ {
		n += s.runner.Stats.Tries(lane, store.Rejected)
	}
	return n
}

// enrolAs enrols, joins and confirms a patient whose plan is one of the
// scenario's with some lines replaced.
func (s *scene) enrolAs(t *testing.T, user int64, lines map[string]string) chart.PatientID {
	t.Helper()
	raw, err := scenario.ReadFile("scenario/two.toml")
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for line := range strings.Lines(string(raw)) {
		key, _, _ := strings.Cut(line, " ")
		if v, ok := lines[key]; ok {
			line = fmt.Sprintf("%s = '''%s'''\n", key, v)
			delete(lines, key)
		}
		b.WriteString(line)
	}
	for key, v := range lines {
		fmt.Fprintf(&b, "%s = '''%s'''\n", key, v)
	}
	pr, err := s.practice(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	e, faults := setup.Plan([]byte(b.String()), &pr, s.runner.Today(pr.Zone))
	if setup.Refused(faults) {
		t.Logf("%q refused: %v", e.Label, faults)
		return ""
	}
	id, code, err := enrolOne(t.Context(), s.runner, s.doctor, e)
	if err != nil {
		t.Fatal(err)
	}
	s.platform.AddUser(standin.User{ID: user, Name: "p", Language: "en"})
	s.hears(t, user, "/start "+code)
	s.hears(t, user, "yes")
	s.hears(t, user, "yes")
	s.orderOf(t, id, flows.Order{Op: flows.OrderConfirm})
	return id
}

// Words that a practice enters are shown as they are, whatever they look like.
func TestOddWordsOfThePractice(t *testing.T) {
	s := play(t)
	odd := []string{`{{.number}}`, `=1+1|x`, `<b>Wren</b> & co`, "O'Neill\"; DROP TABLE patients;--", `Heron`, `Heron-0`,
		"p2", "queue", "%s%d%n", "\u202Egnp.exe", strings.Repeat("W", 40)}
	for i, label := range odd {
		user := int64(400 + i)
		id := s.enrolAs(t, user, map[string]string{"label": label, "step-word": label, "forward": label, "mechanism": label,
			"fallback": label, "setting-labels": ""})
		if id == "" {
			continue
		}
		s.hears(t, user, "swollen tongue")
		s.hears(t, user, label)
		for _, word := range []string{"today", "diary", "data"} {
			if got := s.hears(t, user, word); got == "" {
				t.Errorf("%q: %s has no answer", label, word)
			}
		}
		got := s.hears(t, userClinician, "/find "+label)
		if shown := strings.TrimLeft(label, "\u202E"); !strings.Contains(got, shown) {
			t.Errorf("finding %q tells %q", label, got)
		}
		s.orderOf(t, id, flows.Order{Op: flows.OrderHold})
		s.orderOf(t, id, flows.Order{Op: flows.OrderEnd, Text: label})
	}
	for _, word := range []string{"queue", "patients", "/find", "cancel"} {
		if got := s.hears(t, userClinician, word); got == "" {
			t.Errorf("%s has no answer", word)
		}
	}
	if n := s.unsent(); n > 0 {
		t.Errorf("%d messages could not be sent", n)
	}
}

// Buttons of a card work for whoever may, once, and for nobody else.
func TestOtherPeoplesButtons(t *testing.T) {
	s := play(t)
	const user = userPatient + 1
	p, err := s.byChat(user)
	if err != nil {
		t.Fatal(err)
	}
	s.hears(t, user, "my jaw is locked")
	flagged, _ := s.patient(t.Context(), p.ID)
	if len(flagged.Course.Flags) == 0 {
		t.Fatal("nothing to release")
	}
	group := s.platform.AddGroup("foyer", userAssistant, userStranger, user)
	s.platform.Admin(group)
	place := flows.NewCode(flows.GroupHead, [16]byte{5})
	if err := s.runner.Handle(t.Context(), scheduler.PracticeRef(), "attack/group", flows.StaffChange{Op: flows.StaffGroup,
		Code: practice.Code{Hash: s.runner.StaffKey(place), Ends: s.clock.Now().Add(codeLife).Unix()}}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.platform.Post(standin.Post{Chat: group, From: userAssistant, Text: "/start " + place}); err != nil {
		t.Fatal(err)
	}
	s.hush(t)
	if pr, err := s.practice(t.Context()); err != nil || pr.Group != group {
		t.Fatalf("the group is %d: %v", pr.Group, err)
	}
	same := func(what string) {
		t.Helper()
		q, err := s.patient(t.Context(), p.ID)
		if err != nil {
			t.Fatal(err)
		}
		if q.Course.State != flagged.Course.State || len(q.Course.Flags) != len(flagged.Course.Flags) ||
			q.Chat != flagged.Chat || q.Held != flagged.Held ||
			q.Plan.Rev != flagged.Plan.Rev || len(q.Escalations) != len(flagged.Escalations) ||
			q.Escalations[0].AckBy != flagged.Escalations[0].AckBy || q.Course.Left != flagged.Course.Left {
			t.Errorf("%s changed the patient", what)
		}
	}
	last := func(user int64) int64 {
		told := s.platform.Messages(user)
		if len(told) == 0 {
			return 1
		}
		return told[len(told)-1].ID
	}
	tap := func(chat, user int64, data string) {
		t.Helper()
		if _, err := s.platform.ForceTap(chat, user, last(chat), data); err != nil {
			t.Fatal(err)
		}
		s.hush(t)
	}
	ops := []string{"ack", "release", "plan", "grant", "visit", "step", "test", "testing", "setting", "steady", "recall",
		"end", "reopen", "hold", "resume", "deny", "unbind", "rebind", "move", "card", "diary", "transcr", "resolve", "f", "m", "path", "draft"}
	s.hears(t, userStranger, "hello")
	for _, op := range ops {
		for _, arg := range []string{"", "1", "yes"} {
			data := "1|" + op + "|" + arg + "||" + string(p.ID)
			tap(userStranger, userStranger, data)
			tap(userPatient+2, userPatient+2, data)
			tap(user, user, data)
			tap(group, userStranger, data)
			tap(group, user, data)
		}
	}
	same("a tap by another")
	for _, op := range []string{"release", "plan", "grant", "visit", "step", "test", "testing", "setting", "steady",
		"recall", "end", "reopen"} {
		tap(userAssistant, userAssistant, "1|"+op+"|||"+string(p.ID))
		s.hears(t, userAssistant, "0")
		s.hears(t, userAssistant, "yes")
	}
	s.hears(t, userAssistant, "cancel")
	same("an assistant's tap")
	n := s.heard(group)
	for _, text := range []string{"queue", "/find " + p.Label, p.Label, "enrol"} {
		for _, from := range []standin.Post{{From: userAssistant, Anonymous: true}, {From: userStranger}, {From: user},
			{From: userAssistant}} {
			from.Chat, from.Text = group, text
			if _, err := s.platform.Post(from); err != nil {
				t.Fatal(err)
			}
			s.hush(t)
		}
	}
	if got := s.botSaid(group, n); strings.Contains(got, "0104") || strings.Contains(got, "Pain") ||
		strings.Contains(got, "jaw is locked") {
		t.Errorf("the group reads %q", got)
	}
	if err := s.runner.Handle(t.Context(), scheduler.PracticeRef(), "attack/remove",
		flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "sassistant"}}); err != nil {
		t.Fatal(err)
	}
	s.hush(t)
	for _, op := range ops {
		n := s.heard(userAssistant)
		tap(userAssistant, userAssistant, "1|"+op+"|1||"+string(p.ID))
		if got := s.botSaid(userAssistant, n); got == "" || strings.Contains(got, p.Label) {
			t.Errorf("%s of a removed person is answered %q", op, got)
		}
	}
	same("a removed person's tap")
	tap(userClinician, userClinician, "1|ack|||"+string(p.ID))
	q, _ := s.patient(t.Context(), p.ID)
	if q.Escalations[0].AckBy == "" && q.Escalations[len(q.Escalations)-1].AckBy == "" {
		t.Error("the clinician's tap does nothing, so the others prove nothing")
	}
}

// A code is one person's, once: tried again, late, in a group, or by staff.
func TestCodesOfOthers(t *testing.T) {
	s := play(t)
	const user = userPatient + 1
	p, err := s.byChat(user)
	if err != nil {
		t.Fatal(err)
	}
	code := flows.NewCode(string(p.ID)[:2], [16]byte{77})
	s.order(t, user, flows.Order{Op: flows.OrderRebind, Code: code})
	for _, text := range []string{"/start " + code, code, "code " + code} {
		s.hears(t, userClinician, text)
		s.hears(t, userPatient+2, text)
	}
	if q, _ := s.patient(t.Context(), p.ID); q.Chat != 0 {
		t.Errorf("chat %d got in", q.Chat)
	}
	if q, err := s.byChat(userPatient + 2); err != nil || q.ID == p.ID {
		t.Error("another patient became this one")
	}
	s.hears(t, userStranger, strings.ToLower(code[:2]+" "+code[2:6]+"-"+code[6:10]+" "+code[10:]))
	if q, _ := s.patient(t.Context(), p.ID); q.Chat != userStranger {
		t.Error("a code read out in pieces is not taken")
	}
	s.platform.AddUser(standin.User{ID: 555, Name: "late", Language: "en"})
	s.hears(t, 555, "/start "+code)
	if q, _ := s.patient(t.Context(), p.ID); q.Chat != userStranger {
		t.Error("a used code was taken")
	}
	for i := range 8 {
		s.hears(t, 555, "/start "+flows.NewCode(string(p.ID)[:2], [16]byte{byte(i), 3}))
	}
	again := flows.NewCode(string(p.ID)[:2], [16]byte{78})
	s.orderOf(t, p.ID, flows.Order{Op: flows.OrderRebind, Code: again})
	s.hears(t, 555, "/start "+again)
	if q, _ := s.patient(t.Context(), p.ID); q.Chat != 0 {
		t.Error("a sixth try within the hour was taken")
	}
}
