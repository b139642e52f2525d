package talktest

import (
	"strings"
	"testing"

	"duskdawn/bot/program"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
)

// Words that a practice enters are shown as they are, whatever they look like.
func TestOddWordsOfThePractice(t *testing.T) {
	t.Parallel()
	s := Play(t)
	odd := []string{`{{.number}}`, `=1+1|x`, `<b>Wren</b> & co`, "O'Neill\"; DROP TABLE patients;--", `Heron`, `Heron-0`,
		"p2", "queue", "%s%d%n", "\u202Egnp.exe", strings.Repeat("W", 40)}
	for i, label := range odd {
		user := int64(400 + i)
		id := s.enrolAs(t, user, map[string]string{"label": label, "step-word": label, "forward": label, "mechanism": label,
			"fallback": label, "setting-labels": ""})
		if id == "" {
			continue
		}
		s.Hears(t, user, "swollen tongue")
		s.Hears(t, user, label)
		for _, word := range []string{"today", "diary", "data"} {
			if got := s.Hears(t, user, word); got == "" {
				t.Errorf("%q: %s has no answer", label, word)
			}
		}
		got := s.Hears(t, stage.UserClinician, "/find "+label)
		if shown := strings.TrimLeft(label, "\u202E"); !strings.Contains(got, shown) {
			t.Errorf("finding %q tells %q", label, got)
		}
		s.orderOf(t, id, flows.Order{Op: flows.OrderHold})
		s.orderOf(t, id, flows.Order{Op: flows.OrderEnd, Text: label})
	}
	for _, word := range []string{"queue", "patients", "/find", "cancel"} {
		if got := s.Hears(t, stage.UserClinician, word); got == "" {
			t.Errorf("%s has no answer", word)
		}
	}
	if n := s.unsent(); n > 0 {
		t.Errorf("%d messages could not be sent", n)
	}
}

// Buttons of a card work for whoever may, once, and for nobody else.
func TestOtherPeoplesButtons(t *testing.T) {
	t.Parallel()
	s := Play(t)
	const user = stage.UserPatient + 1
	p, err := s.ByChat(user)
	if err != nil {
		t.Fatal(err)
	}
	s.Hears(t, user, "my jaw is locked")
	flagged, _ := s.Patient(t.Context(), p.ID)
	if len(flagged.Course.Flags) == 0 {
		t.Fatal("nothing to release")
	}
	group := s.Platform.AddGroup("foyer", stage.UserAssistant, stage.UserStranger, user)
	s.Platform.Admin(group)
	place := flows.NewCode(flows.GroupHead, [16]byte{5})
	if err := s.Runner.Handle(t.Context(), scheduler.PracticeRef(), "attack/group", flows.StaffChange{Op: flows.StaffGroup,
		Code: practice.Code{Hash: s.Runner.StaffKey(place), Ends: s.Clock.Now().Add(program.CodeLife).Unix()}}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Platform.Post(standin.Post{Chat: group, From: stage.UserAssistant, Text: "/start " + place}); err != nil {
		t.Fatal(err)
	}
	s.Hush(t)
	if pr, err := s.Practice(t.Context()); err != nil || pr.Group != group {
		t.Fatalf("the group is %d: %v", pr.Group, err)
	}
	s.Inbound.Stranger = nil // the budget of strangers is another test's
	same := func(what string) {
		t.Helper()
		q, err := s.Patient(t.Context(), p.ID)
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
		told := s.Platform.Messages(user)
		if len(told) == 0 {
			return 1
		}
		return told[len(told)-1].ID
	}
	tap := func(chat, user int64, data string) {
		t.Helper()
		if _, err := s.Platform.ForceTap(chat, user, last(chat), data); err != nil {
			t.Fatal(err)
		}
		s.Hush(t)
	}
	ops := []string{"ack", "release", "plan", "grant", "visit", "step", "test", "testing", "setting", "steady", "recall",
		"end", "reopen", "hold", "resume", "deny", "unbind", "rebind", "move", "card", "diary", "transcr", "resolve", "f", "m", "path", "draft"}
	s.Hears(t, stage.UserStranger, "hello")
	for _, op := range ops {
		for _, arg := range []string{"", "1", "yes"} {
			data := "1|" + op + "|" + arg + "||" + string(p.ID)
			tap(stage.UserStranger, stage.UserStranger, data)
			tap(stage.UserPatient+2, stage.UserPatient+2, data)
			tap(user, user, data)
			tap(group, stage.UserStranger, data)
			tap(group, user, data)
		}
	}
	same("a tap by another")
	for _, op := range []string{"release", "plan", "grant", "visit", "step", "test", "testing", "setting", "steady",
		"recall", "end", "reopen"} {
		tap(stage.UserAssistant, stage.UserAssistant, "1|"+op+"|||"+string(p.ID))
		s.Hears(t, stage.UserAssistant, "0")
		s.Hears(t, stage.UserAssistant, "yes")
	}
	s.Hears(t, stage.UserAssistant, "cancel")
	same("an assistant's tap")
	n := s.Heard(group)
	for _, text := range []string{"queue", "/find " + p.Label, p.Label, "enrol"} {
		for _, from := range []standin.Post{{From: stage.UserAssistant, Anonymous: true}, {From: stage.UserStranger}, {From: user},
			{From: stage.UserAssistant}} {
			from.Chat, from.Text = group, text
			if _, err := s.Platform.Post(from); err != nil {
				t.Fatal(err)
			}
			s.Hush(t)
		}
	}
	if got := s.BotSaid(group, n); strings.Contains(got, "0104") || strings.Contains(got, "Pain") ||
		strings.Contains(got, "jaw is locked") {
		t.Errorf("the group reads %q", got)
	}
	if err := s.Runner.Handle(t.Context(), scheduler.PracticeRef(), "attack/remove",
		flows.StaffChange{Op: flows.StaffRemove, Staff: practice.Staff{ID: "sassistant"}}); err != nil {
		t.Fatal(err)
	}
	s.Hush(t)
	for _, op := range ops {
		n := s.Heard(stage.UserAssistant)
		tap(stage.UserAssistant, stage.UserAssistant, "1|"+op+"|1||"+string(p.ID))
		if got := s.BotSaid(stage.UserAssistant, n); got == "" || strings.Contains(got, p.Label) {
			t.Errorf("%s of a removed person is answered %q", op, got)
		}
	}
	same("a removed person's tap")
	tap(stage.UserClinician, stage.UserClinician, "1|ack|||"+string(p.ID))
	q, _ := s.Patient(t.Context(), p.ID)
	if q.Escalations[0].AckBy == "" && q.Escalations[len(q.Escalations)-1].AckBy == "" {
		t.Error("the clinician's tap does nothing, so the others prove nothing")
	}
}

// A code is one person's, once: tried again, late, in a group, or by staff.
func TestCodesOfOthers(t *testing.T) {
	t.Parallel()
	s := Play(t)
	const user = stage.UserPatient + 1
	p, err := s.ByChat(user)
	if err != nil {
		t.Fatal(err)
	}
	code := flows.NewCode(string(p.ID)[:2], [16]byte{77})
	s.order(t, user, flows.Order{Op: flows.OrderRebind, Code: code})
	for _, text := range []string{"/start " + code, code, "code " + code} {
		s.Hears(t, stage.UserClinician, text)
		s.Hears(t, stage.UserPatient+2, text)
	}
	if q, _ := s.Patient(t.Context(), p.ID); q.Chat != 0 {
		t.Errorf("chat %d got in", q.Chat)
	}
	if q, err := s.ByChat(stage.UserPatient + 2); err != nil || q.ID == p.ID {
		t.Error("another patient became this one")
	}
	s.Hears(t, stage.UserStranger, strings.ToLower(code[:2]+" "+code[2:6]+"-"+code[6:10]+" "+code[10:]))
	if q, _ := s.Patient(t.Context(), p.ID); q.Chat != stage.UserStranger {
		t.Error("a code read out in pieces is not taken")
	}
	s.Platform.AddUser(standin.User{ID: 555, Name: "late", Language: "en"})
	s.Hears(t, 555, "/start "+code)
	if q, _ := s.Patient(t.Context(), p.ID); q.Chat != stage.UserStranger {
		t.Error("a used code was taken")
	}
	for i := range 8 {
		s.Hears(t, 555, "/start "+flows.NewCode(string(p.ID)[:2], [16]byte{byte(i), 3}))
	}
	again := flows.NewCode(string(p.ID)[:2], [16]byte{78})
	s.orderOf(t, p.ID, flows.Order{Op: flows.OrderRebind, Code: again})
	s.Hears(t, 555, "/start "+again)
	if q, _ := s.Patient(t.Context(), p.ID); q.Chat != 0 {
		t.Error("a sixth try within the hour was taken")
	}
}
