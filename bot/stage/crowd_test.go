package stage

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// The opening can have a crowd that came in day by day: some are on their way, some have
// been silent for days and some sore, and the desk has something to do.
func TestCrowd(t *testing.T) {
	h := house(t)
	h.Fill(28)
	opened, err := h.Open(t.Context(), "")
	if err != nil {
		t.Fatal(err)
	}
	w := opened.(*World)
	t.Cleanup(w.Close)
	crowd, sore, silent, open := 0, 0, 0, 0
	fitted, states := map[civil.Date]bool{}, map[chart.State]bool{}
	for _, c := range w.Chats() {
		if c.User < userCrowd || c.Room != 0 {
			continue
		}
		crowd++
		p, err := w.ByChat(c.User)
		if err != nil || p.Course.State < chart.Settling {
			t.Errorf("%s is %s, %v", c.Who, p.Course.State, err)
		}
		fitted[p.Plan.Fitted], states[p.Course.State] = true, true
		open += len(p.Escalations)
		if p.Talk.Silent >= 2 {
			silent++
		}
		for _, e := range p.Course.Nights[:max(int(p.Course.N)-1, 0)] {
			if v := e.At(chart.Pain); v.Known() && v.N() >= 4 {
				sore++
			}
		}
	}
	if crowd != 28 || sore == 0 || silent == 0 || open == 0 || len(fitted) < 14 || len(states) < 2 {
		t.Errorf("%d in the crowd, fitted on %d days, in %d states; %d sore mornings, %d silent, %d open", crowd, len(fitted), len(states), sore, silent, open)
	}
}
