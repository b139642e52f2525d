package program_test

import (
	"bytes"
	"image/png"
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/picture"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
)

// newest is the newest message of the bot's in a chat, and the picture in it.
func newest(t *testing.T, s *talktest.Scene, chat int64) (m standin.Message, width int) {
	t.Helper()
	m = s.Platform.Newest(chat)
	if m.Kind == "photo" {
		img, err := png.Decode(bytes.NewReader(m.Data))
		if err != nil {
			t.Fatal(err)
		}
		width = img.Bounds().Dx()
	}
	return m, width
}

// tapOn presses the newest button with a label.
func tapOn(t *testing.T, s *talktest.Scene, user int64, label string) {
	t.Helper()
	for _, m := range slices.Backward(s.Platform.Messages(user)) {
		for _, row := range m.Buttons {
			for _, b := range row {
				if b.Label == label {
					defer func() {
						if err := s.Quiet(t.Context()); err != nil {
							t.Fatal(err)
						}
					}()
					if _, err := s.Platform.Tap(user, user, m.ID, b.Data); err != nil {
						t.Fatal(err)
					}
					return
				}
			}
		}
	}
	t.Fatalf("no button %q", label)
}

// A course goes out as a picture whose caption says what is most needed, in the
// reader's language: to the patient, and to staff under the card. Where the
// platform takes no picture its words go out alone.
func TestTheCourseAsAPicture(t *testing.T) {
	t.Parallel()
	s := talktest.Play(t)
	const alondra = stage.UserPatient + 2 // reads Spanish
	s.Hears(t, alondra, "mi evolución")
	m, width := newest(t, s, alondra)
	if m.Kind != "photo" || width != 2*picture.Phone || !strings.Contains(m.Text, "Ronquido, de 0 a 10:") {
		t.Errorf("a patient who reads Spanish gets %s, %d dots wide: %q", m.Kind, width, m.Text)
	}
	s.Hears(t, stage.UserClinician, "Alondra-09")
	tapOn(t, s, stage.UserClinician, "Picture")
	desk, width := newest(t, s, stage.UserClinician)
	if desk.Kind != "photo" || width != 2*picture.Phone || !desk.Protected || len(desk.Buttons) == 0 ||
		!strings.Contains(desk.Text, "Alondra-09") || bytes.Equal(desk.Data, m.Data) {
		t.Errorf("a clinician gets %s, protected %v, %d dots wide: %q", desk.Kind, desk.Protected, width, desk.Text)
	}

	s.Platform.Inject(standin.Fault{Kind: standin.Spoilt, Method: "sendPhoto", Chat: alondra})
	s.Hears(t, alondra, "mi evolución")
	if m := s.Platform.Newest(alondra); m.Kind != "text" || !strings.Contains(m.Text, "Ronquido, de 0 a 10:") ||
		!strings.Contains(m.Text, "No se pudo mostrar la imagen") {
		t.Errorf("with the picture refused: %s %q", m.Kind, m.Text)
	}
}

// A picture that was ordered before the program ended goes out once after it.
func TestACourseGoesOutOnceOverARestart(t *testing.T) {
	t.Parallel()
	s, path := talktest.OnFile(t)
	pictures := func() (n int) {
		for _, m := range s.Platform.Messages(stage.Heron) {
			if m.Bot && m.Kind == "photo" {
				n++
			}
		}
		return n
	}
	s.Platform.Inject(standin.Fault{Kind: standin.Unreachable, Method: "sendPhoto", Times: -1})
	if _, err := s.Platform.Say(stage.Heron, "my course"); err != nil {
		t.Fatal(err)
	}
	s.Goes(t, s.Hands.Now().Add(time.Minute))
	if n := pictures(); n != 0 {
		t.Fatalf("%d pictures came through", n)
	}
	s.Platform.Mend()
	s.Restart(t, path)
	s.Goes(t, s.Hands.Now().Add(2*time.Minute))
	if n := pictures(); n != 1 {
		t.Errorf("%d pictures", n)
	}
}
