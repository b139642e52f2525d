package stage

import (
	"strings"
	"testing"
	"time"

	"duskdawn/bot/rehearsal"
	"duskdawn/flows/chart"
)

func house(t *testing.T) *House {
	t.Helper()
	h, err := NewHouse(nil)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// Every scene opens at the moment that its story tells of.
func TestEveryScene(t *testing.T) {
	h := house(t)
	for _, id := range h.Scenes() {
		t.Run(id, func(t *testing.T) {
			began := time.Now()
			opened, err := h.Open(t.Context(), id)
			if err != nil {
				t.Fatal(err)
			}
			defer opened.Close()
			w := opened.(*World)
			for _, lang := range h.Languages() {
				words := h.Words(lang)
				if words["scene."+id+".name"] == "" || words["scene."+id+".story"] == "" {
					t.Errorf("%s has no words for it", lang)
				}
			}
			if id == "enrolment" {
				return
			}
			p, err := w.ByChat(w.focus)
			if err != nil {
				t.Fatal(err)
			}
			c := p.Course
			t.Logf("%s at %d, %s by %s, flags %v, open %d; %.0f ms", c.State, c.Left, c.Advice.Action, c.Advice.Rule.ID(), c.Flags,
				len(p.Escalations), float64(time.Since(began).Milliseconds()))
			w.People = w.Chats()
		})
	}
	_ = chart.NoState
	_ = rehearsal.Chat{}
	_ = strings.Cut
}
