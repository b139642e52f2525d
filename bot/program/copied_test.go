package program_test

import (
	"testing"
	"time"

	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
)

// What a patient sent that is no text reaches staff by reference, once, also where the program ended before the
// platform took the copy.
func TestAPictureIsCopiedOnceOverARestart(t *testing.T) {
	t.Parallel()
	s, path := talktest.OnFile(t)
	pictures := func() (n int) {
		for _, m := range s.Platform.Messages(stage.UserAssistant) {
			if m.Bot && m.Kind == "photo" && string(m.Data) == "lip" && m.Protected {
				n++
			}
		}
		return n
	}
	s.Platform.Inject(standin.Fault{Kind: standin.Unreachable, Method: "copyMessage", Times: -1})
	if _, err := s.Platform.Post(standin.Post{Chat: stage.Heron, From: stage.Heron, Kind: "photo", Data: []byte("lip"),
		Text: "my jaw is locked and I cannot open my mouth"}); err != nil {
		t.Fatal(err)
	}
	s.Goes(t, s.Hands.Now().Add(time.Minute))
	if n := pictures(); n != 0 {
		t.Fatalf("%d pictures came through", n)
	}
	s.Halt()
	<-s.Over()
	s.Platform.Mend()
	s.Restart(t, path)
	s.Goes(t, s.Hands.Now().Add(2*time.Minute))
	if n := pictures(); n != 1 {
		t.Errorf("%d pictures", n)
	}
}
