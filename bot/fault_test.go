package main

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/standin"
	"duskdawn/flows/chart"
	"duskdawn/store/memory"
)

func play(t *testing.T) *scene {
	t.Helper()
	s, err := newScene(t.Context(), memory.New(), nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.close)
	return s
}

func (s *scene) botSaid(user int64, after int) string {
	var b strings.Builder
	for _, m := range s.platform.Messages(user)[after:] {
		if m.Bot {
			b.WriteString(m.Text + "\n")
		}
	}
	return b.String()
}

func (s *scene) heard(user int64) int { return len(s.platform.Messages(user)) }

// An update that cannot be read is set aside alone; the rest of its batch goes on.
func TestAPoisonedUpdateIsSetAsideAlone(t *testing.T) {
	s := play(t)
	n := s.heard(userPatient)
	s.platform.Raw("message", json.RawMessage(`{"message_id": "seven"}`))
	if err := s.say(t.Context(), userPatient, "today"); err != nil {
		t.Fatal(err)
	}
	if s.botSaid(userPatient, n) == "" {
		t.Error("the next message has no answer")
	}
	asides := 0
	for x, err := range s.store.Asides(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		asides++
		if len(x.Raw) == 0 || x.Class == "" {
			t.Errorf("set aside as %+v", x)
		}
	}
	if asides != 1 {
		t.Errorf("%d set aside", asides)
	}
}

// The platform took the message and its answer was lost: it is said once more,
// with the same words (platform.md's delivery table: questions and advice).
func TestALostAnswerRepeatsTheSameWords(t *testing.T) {
	s := play(t)
	n := s.heard(userPatient)
	s.platform.Inject(standin.Fault{Kind: standin.Lost, Method: "sendMessage", Chat: userPatient})
	if err := s.say(t.Context(), userPatient, "today"); err != nil {
		t.Fatal(err)
	}
	if err := s.move(t.Context(), s.hands.Now().Add(2*time.Minute)); err != nil {
		t.Fatal(err)
	}
	var told []string
	for _, m := range s.platform.Messages(userPatient)[n:] {
		if m.Bot {
			told = append(told, m.Text)
		}
	}
	if len(told) != 2 || told[0] != told[1] {
		t.Errorf("told %q", told)
	}
}

// 429: the answer comes after the wait, and once.
func TestAFloodedChatIsWaitedFor(t *testing.T) {
	s := play(t)
	n := s.heard(userPatient)
	s.platform.Inject(standin.Fault{Kind: standin.TooMany, Method: "sendMessage", Chat: userPatient, RetryAfter: 30})
	if err := s.say(t.Context(), userPatient, "today"); err != nil {
		t.Fatal(err)
	}
	if got := s.botSaid(userPatient, n); got != "" {
		t.Fatalf("it came at once: %q", got)
	}
	if err := s.move(t.Context(), s.hands.Now().Add(31*time.Second)); err != nil {
		t.Fatal(err)
	}
	if got := s.heard(userPatient) - n; got != 2 { // the question and its one answer
		t.Errorf("%d messages", got)
	}
}

// A patient blocks the bot: prompts stop and staff are told the same day.
func TestABlockedChatReachesStaff(t *testing.T) {
	s := play(t)
	n := s.heard(userAssistant)
	if err := s.platform.Block(userPatient); err != nil {
		t.Fatal(err)
	}
	if err := s.quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := s.botSaid(userAssistant, n); !strings.Contains(got, "Wren-17") {
		t.Errorf("staff hear %q", got)
	}
	p, err := s.byChat(userPatient)
	if err != nil || !p.Bounced {
		t.Errorf("the patient is reachable: %v", err)
	}
	n = s.heard(userPatient)
	if err := s.move(t.Context(), s.hands.Now().Add(30*time.Hour)); err != nil {
		t.Fatal(err)
	}
	if got := s.botSaid(userPatient, n); got != "" {
		t.Errorf("a blocked chat was written to: %q", got)
	}
}

// Another program polls with our token: prompts stop, replies and red flags go on.
func TestASecondPollerStopsPrompts(t *testing.T) {
	s := play(t)
	n := s.heard(userClinician)
	for range 3 {
		s.conflict()
	}
	if err := s.quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := s.heard(userClinician) - n; got != 1 {
		t.Errorf("the clinician is told %d times", got)
	}
	n = s.heard(userPatient)
	if err := s.say(t.Context(), userPatient, "today"); err != nil {
		t.Fatal(err)
	}
	if s.botSaid(userPatient, n) == "" {
		t.Error("a reply waits")
	}
	n = s.heard(userAssistant)
	if err := s.say(t.Context(), userPatient, "my tongue is swelling and I cannot breathe"); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(s.botSaid(userAssistant, n), "Wren-17") {
		t.Error("a red flag waits")
	}
}

// After a start a question with buttons is asked again, since a tap may have
// been lost; who was asked nothing hears nothing.
func TestAfterAStartOpenQuestionsAreAskedAgain(t *testing.T) {
	s := play(t)
	if err := s.say(t.Context(), userPatient, "stop"); err != nil {
		t.Fatal(err)
	}
	n, other := s.heard(userPatient), s.heard(userPatient+1)
	s.away.Store(int64(leastGap))
	s.regain(t.Context())
	if err := s.quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	told := s.platform.Messages(userPatient)
	if len(told) == n || len(told[len(told)-1].Buttons) == 0 {
		t.Errorf("%d messages to who was asked, the last with %v", len(told)-n, told[len(told)-1].Buttons)
	}
	if got := s.heard(userPatient+1) - other; got != 0 {
		t.Errorf("%d messages to who was not", got)
	}
}

// Every kind of message of a known person gets an answer, and nothing crashes.
func TestEveryMessageIsAnswered(t *testing.T) {
	s := play(t)
	posts := []standin.Post{
		{Kind: "voice"}, {Kind: "photo", Data: []byte{1}}, {Kind: "sticker"}, {Kind: "document", Data: []byte{1}}, {Kind: "video"}, {Kind: "location"}, {Kind: "contact"}, {Kind: "poll"}, {Kind: "dice"},
		{Text: strings.Repeat("\U0001F600", 2000)}, {Text: strings.Repeat("a", 4096)}, {Text: "."}, {Text: "3-4"}, {Text: "3,5"}, {Text: "٣"}, {Text: "hello", Forwarded: true},
		{Text: "/start"}, {Text: "/nonsense"}, {Text: "<b>x</b>"}, {Text: "=1+1"}, {Text: "\u202Etxet"},
	}
	for _, p := range posts {
		for _, user := range []int64{userPatient, userClinician} {
			p.Chat, p.From = user, user
			n := s.heard(user)
			if _, err := s.platform.Post(p); err != nil {
				t.Fatalf("%+v: %v", p, err)
			}
			if err := s.quiet(t.Context()); err != nil {
				t.Fatal(err)
			}
			if s.botSaid(user, n) == "" {
				t.Errorf("%s %.20q of %d has no answer", p.Kind, p.Text, user)
			}
		}
	}
}

// A tap that no button of ours had, and one of somebody else's card, change nothing.
func TestForgedTaps(t *testing.T) {
	s := play(t)
	p, err := s.byChat(userPatient + 1)
	if err != nil {
		t.Fatal(err)
	}
	var last int64
	for _, m := range s.platform.Messages(userStranger) {
		last = m.ID
	}
	if last == 0 {
		if err := s.say(t.Context(), userStranger, "hello"); err != nil {
			t.Fatal(err)
		}
		for _, m := range s.platform.Messages(userStranger) {
			last = m.ID
		}
	}
	for _, data := range []string{"1|release|1||" + string(p.ID), "1|ack|1||" + string(p.ID), "1|end|||" + string(p.ID),
		"9|x", "", "1||||"} {
		if data == "" {
			continue
		}
		if _, err := s.platform.ForceTap(userStranger, userStranger, last, data); err != nil {
			t.Fatalf("%q: %v", data, err)
		}
		if err := s.quiet(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	q, err := s.byChat(userPatient + 1)
	if err != nil || q.Course.State != p.Course.State || len(q.Escalations) != len(p.Escalations) ||
		q.Plan.Rev != p.Plan.Rev {
		t.Errorf("a stranger changed a patient: %s -> %s, %v", p.Course.State, q.Course.State, err)
	}
	if p.Course.State == chart.NoState {
		t.Error("no patient was there to change")
	}
}
