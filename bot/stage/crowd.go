package stage

import (
	"context"
	"fmt"
	"hash/fnv"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/setup"
)

// userCrowd is the account of the first of a crowd.
const userCrowd = 10_001

// Fill lets the opening have so many invented patients besides, fitted today,
// so that a desk has a week's work.
func (h *House) Fill(n int) { h.crowd = n }

var birds = [...]string{"Avocet", "Bittern", "Curlew", "Dunlin", "Eider", "Fulmar", "Gannet", "Hobby", "Ibis", "Jacana",
	"Knot", "Lapwing", "Merlin", "Nuthatch", "Oriole", "Pipit", "Quail", "Redstart", "Siskin", "Turnstone"}

// fill brings a crowd in. Each joins and agrees by the same talk as a person would.
func (s *Scene) fill(ctx context.Context, n int) error {
	base, err := Scenario.ReadFile("scenario/two.toml")
	if err != nil || n <= 0 {
		return err
	}
	pr, err := s.Practice(ctx)
	if err != nil {
		return err
	}
	today := s.Runner.Today(pr.Zone)
	for i := range n {
		put := map[string]string{"label": fmt.Sprintf("%s-%03d", birds[i%len(birds)], i+1), "zone": s.zone,
			"phone":  fmt.Sprintf("+1 212 555 %04d", 100+i%100), // kept for fiction
			"fitted": today.String(), "evening": fmt.Sprintf("%d:%02d", 20+i%3, i%4*15)}
		if i%7 == 3 {
			put["language"] = "es"
		}
		if i%9 == 4 {
			put["reporter"] = "nobody"
		}
		e, faults := setup.Plan(With(base, put), &pr, today)
		if setup.Refused(faults) {
			return fmt.Errorf("the plan of %s is refused: %v", put["label"], faults)
		}
		who := Persona{User: userCrowd + int64(i), Lang: e.Lang}
		if err := s.Admit(ctx, &who, e); err != nil {
			return err
		}
		s.add(rehearsal.Chat{ID: who.User, Who: who.Label, Role: "patient", Patient: who.Label, User: who.User, Zone: e.Zone})
	}
	return nil
}

// mood is how somebody of a crowd is at this check-in, always the same on the same day:
// of a hundred five say nothing and four are sore.
func (w *World) mood(who *Persona) {
	if who.User < userCrowd {
		return
	}
	z, err := w.zones.Load(w.zone)
	if err != nil {
		return
	}
	at := z.Wall(w.Now())
	h := fnv.New32a()
	fmt.Fprintf(h, "%d %s %v", who.User, at.Date, at.Clock < 12*60)
	switch n := h.Sum32() % 100; {
	case n < 5:
		who.mute = true
	case n < 9:
		who.pain = 4 + int(n)%3
	}
}
