package program_test

import (
	"encoding/json"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
	"duskdawn/flows/chart"
)

// An update that cannot be read is set aside alone; the rest of its batch goes on.
func TestAPoisonedUpdateIsSetAsideAlone(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	n := s.Heard(stage.UserPatient)
	s.Platform.Raw("message", json.RawMessage(`{"message_id": "seven"}`))
	if err := s.Say(t.Context(), stage.UserPatient, "today"); err != nil {
		t.Fatal(err)
	}
	if s.BotSaid(stage.UserPatient, n) == "" {
		t.Error("the next message has no answer")
	}
	asides := 0
	for x, err := range s.Store.Asides(t.Context()) {
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
	t.Parallel()
	s := talktest.Play(t)
	n := s.Heard(stage.UserPatient)
	s.Platform.Inject(standin.Fault{Kind: standin.Lost, Method: "sendMessage", Chat: stage.UserPatient})
	if err := s.Say(t.Context(), stage.UserPatient, "today"); err != nil {
		t.Fatal(err)
	}
	if err := s.Move(t.Context(), s.Hands.Now().Add(2*time.Minute)); err != nil {
		t.Fatal(err)
	}
	var told []string
	for _, m := range s.Platform.Messages(stage.UserPatient)[n:] {
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
	t.Parallel()
	s := talktest.Play(t)
	n := s.Heard(stage.UserPatient)
	s.Platform.Inject(standin.Fault{Kind: standin.TooMany, Method: "sendMessage", Chat: stage.UserPatient, RetryAfter: 30})
	if err := s.Say(t.Context(), stage.UserPatient, "today"); err != nil {
		t.Fatal(err)
	}
	if got := s.BotSaid(stage.UserPatient, n); got != "" {
		t.Fatalf("it came at once: %q", got)
	}
	if err := s.Move(t.Context(), s.Hands.Now().Add(31*time.Second)); err != nil {
		t.Fatal(err)
	}
	if got := s.Heard(stage.UserPatient) - n; got != 2 { // the question and its one answer
		t.Errorf("%d messages", got)
	}
}

// A patient blocks the bot: prompts stop and staff are told the same day.
func TestABlockedChatReachesStaff(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	n := s.Heard(stage.UserAssistant)
	if err := s.Platform.Block(stage.UserPatient); err != nil {
		t.Fatal(err)
	}
	if err := s.Quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := s.BotSaid(stage.UserAssistant, n); !strings.Contains(got, "Wren-17") {
		t.Errorf("staff hear %q", got)
	}
	p, err := s.ByChat(stage.UserPatient)
	if err != nil || !p.Bounced {
		t.Errorf("the patient is reachable: %v", err)
	}
	n = s.Heard(stage.UserPatient)
	if err := s.Move(t.Context(), s.Hands.Now().Add(30*time.Hour)); err != nil {
		t.Fatal(err)
	}
	if got := s.BotSaid(stage.UserPatient, n); got != "" {
		t.Errorf("a blocked chat was written to: %q", got)
	}
}

// Another program polls with our token: prompts stop, replies and red flags go on.
func TestASecondPollerStopsPrompts(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	n := s.Heard(stage.UserClinician)
	for range 3 {
		s.Conflict()
	}
	if err := s.Quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := s.Heard(stage.UserClinician) - n; got != 1 {
		t.Errorf("the clinician is told %d times", got)
	}
	n = s.Heard(stage.UserPatient)
	if err := s.Say(t.Context(), stage.UserPatient, "today"); err != nil {
		t.Fatal(err)
	}
	if s.BotSaid(stage.UserPatient, n) == "" {
		t.Error("a reply waits")
	}
	n = s.Heard(stage.UserAssistant)
	if err := s.Say(t.Context(), stage.UserPatient, "my tongue is swelling and I cannot breathe"); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(s.BotSaid(stage.UserAssistant, n), "Wren-17") {
		t.Error("a red flag waits")
	}
}

// After a start a question with buttons is asked again, since a tap may have
// been lost; who was asked nothing hears nothing.
func TestAfterAStartOpenQuestionsAreAskedAgain(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	if err := s.Say(t.Context(), stage.UserPatient, "stop"); err != nil {
		t.Fatal(err)
	}
	n, other := s.Heard(stage.UserPatient), s.Heard(stage.UserPatient+1)
	s.Gap(t.Context(), program.LeastGap)
	s.Regain(t.Context())
	if err := s.Quiet(t.Context()); err != nil {
		t.Fatal(err)
	}
	told := s.Platform.Messages(stage.UserPatient)
	if len(told) == n || len(told[len(told)-1].Buttons) == 0 {
		t.Errorf("%d messages to who was asked, the last with %v", len(told)-n, told[len(told)-1].Buttons)
	}
	if got := s.Heard(stage.UserPatient+1) - other; got != 0 {
		t.Errorf("%d messages to who was not", got)
	}
}

// Every kind of message of a known person gets an answer, and nothing crashes.
func TestEveryMessageIsAnswered(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	posts := []standin.Post{
		{Kind: "voice"}, {Kind: "photo", Data: []byte{1}}, {Kind: "sticker"}, {Kind: "document", Data: []byte{1}}, {Kind: "video"}, {Kind: "location"}, {Kind: "contact"}, {Kind: "poll"}, {Kind: "dice"},
		{Text: strings.Repeat("\U0001F600", 2000)}, {Text: strings.Repeat("a", 4096)}, {Text: "."}, {Text: "3-4"}, {Text: "3,5"}, {Text: "٣"}, {Text: "hello", Forwarded: true},
		{Text: "/start"}, {Text: "/nonsense"}, {Text: "<b>x</b>"}, {Text: "=1+1"}, {Text: "\u202Etxet"},
	}
	for _, p := range posts {
		for _, user := range []int64{stage.UserPatient, stage.UserClinician} {
			p.Chat, p.From = user, user
			n := s.Heard(user)
			if _, err := s.Platform.Post(p); err != nil {
				t.Fatalf("%+v: %v", p, err)
			}
			if err := s.Quiet(t.Context()); err != nil {
				t.Fatal(err)
			}
			if s.BotSaid(user, n) == "" {
				t.Errorf("%s %.20q of %d has no answer", p.Kind, p.Text, user)
			}
		}
	}
}

// A tap that no button of ours had, and one of somebody else's card, change nothing.
func TestForgedTaps(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	p, err := s.ByChat(stage.UserPatient + 1)
	if err != nil {
		t.Fatal(err)
	}
	var last int64
	for _, m := range s.Platform.Messages(stage.UserStranger) {
		last = m.ID
	}
	if last == 0 {
		if err := s.Say(t.Context(), stage.UserStranger, "hello"); err != nil {
			t.Fatal(err)
		}
		for _, m := range s.Platform.Messages(stage.UserStranger) {
			last = m.ID
		}
	}
	for _, data := range []string{"1|release|1||" + string(p.ID), "1|ack|1||" + string(p.ID), "1|end|||" + string(p.ID),
		"9|x", "", "1||||"} {
		if data == "" {
			continue
		}
		if _, err := s.Platform.ForceTap(stage.UserStranger, stage.UserStranger, last, data); err != nil {
			t.Fatalf("%q: %v", data, err)
		}
		if err := s.Quiet(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	q, err := s.ByChat(stage.UserPatient + 1)
	if err != nil || q.Course.State != p.Course.State || len(q.Escalations) != len(p.Escalations) ||
		q.Plan.Rev != p.Plan.Rev {
		t.Errorf("a stranger changed a patient: %s -> %s, %v", p.Course.State, q.Course.State, err)
	}
	if p.Course.State == chart.NoState {
		t.Error("no patient was there to change")
	}
}

// A token that the platform refuses is found out by the first thing that is sent;
// a 401 to one method alone is none.
func TestReadyzNamesARefusedToken(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	ready := func() string {
		h, err := s.Handler("")
		if err != nil {
			t.Fatal(err)
		}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest("GET", "/readyz", nil))
		return w.Body.String()
	}
	if body := ready(); strings.Contains(body, "token:") {
		t.Fatalf("it says %s", body)
	}
	s.Platform.Inject(standin.Fault{Kind: standin.Unauthorized, Method: "sendMessage"})
	if err := s.Say(t.Context(), stage.UserPatient, "today"); err != nil {
		t.Fatal(err)
	}
	if body := ready(); strings.Contains(body, "token:") {
		t.Errorf("of one 401 it says %s", body)
	}
	s.Platform.Inject(standin.Fault{Kind: standin.Unauthorized, Times: -1})
	if err := s.Say(t.Context(), stage.UserPatient, "today"); err != nil {
		t.Fatal(err)
	}
	if body := ready(); !strings.Contains(body, "token: the platform refuses it\n") {
		t.Errorf("it says %s", body)
	}
}
