package stage

import (
	"testing"

	"duskdawn/flows/chart"
)

// The opening can have a crowd: each has joined, and within three days some have been
// silent and some sore, while the others went on.
func TestCrowd(t *testing.T) {
	h := house(t)
	h.Fill(14)
	opened, err := h.Open(t.Context(), "")
	if err != nil {
		t.Fatal(err)
	}
	w := opened.(*World)
	t.Cleanup(w.Close)
	for range 4 {
		for _, half := range []string{"evening", "morning"} {
			at, ok := w.Moment(w.Chats()[0], half)
			if !ok {
				t.Fatal("no hour")
			}
			if err := w.Move(t.Context(), at.Add(2*60*60*1e9)); err != nil {
				t.Fatal(err)
			}
			if err := w.Answer(t.Context()); err != nil {
				t.Fatal(err)
			}
		}
	}
	crowd, sore, unanswered := 0, 0, 0
	for _, c := range w.Chats() {
		if c.User < userCrowd || c.Room != 0 {
			continue
		}
		crowd++
		p, err := w.ByChat(c.User)
		if err != nil || p.Course.State < chart.Settling {
			t.Errorf("%s is %s, %v", c.Who, p.Course.State, err)
		}
		for _, e := range p.Course.Nights[:max(int(p.Course.N)-1, 0)] {
			switch v := e.At(chart.Pain); {
			case !v.Known():
				unanswered++
			case v.N() >= 4:
				sore++
			}
		}
	}
	if crowd != 14 || sore == 0 || unanswered == 0 {
		t.Errorf("%d in the crowd, %d sore mornings, %d unanswered", crowd, sore, unanswered)
	}
}
