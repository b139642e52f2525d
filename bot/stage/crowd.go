package stage

import (
	"context"
	"fmt"
	"hash/fnv"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/setup"
	"duskdawn/flows/civil"
	"duskdawn/scheduler"
)

// userCrowd is the account of the first of a crowd.
const userCrowd = 10_001

// Fill lets the opening have so many invented patients besides, fitted over the
// weeks before, so that a desk has a week's work.
func (h *House) Fill(n int) { h.crowd = n }

var birds = [...]string{"Avocet", "Bittern", "Curlew", "Dunlin", "Eider", "Fulmar", "Gannet", "Hobby", "Ibis", "Jacana",
	"Knot", "Lapwing", "Merlin", "Nuthatch", "Oriole", "Pipit", "Quail", "Redstart", "Siskin", "Turnstone"}

// What a day of the crowd is, by the practice's clock.
const (
	crowdDawn = 9*60 + 30  // when all have answered who answer in the morning
	crowdDusk = 23*60 + 30 // ... in the evening
	unworked  = 2          // days before the opening of which the desk has done nothing
)

// fill brings a crowd in, some every day until the opening. Each joins and agrees by
// the same talk as a person would, and answers while the cast lives its days.
func (s *Scene) fill(ctx context.Context, cast []Persona, n int) error {
	if n <= 0 {
		return nil
	}
	base, err := Scenario.ReadFile("scenario/two.toml")
	if err != nil {
		return err
	}
	z, err := scheduler.NewZones().Load(s.zone)
	if err != nil {
		return err
	}
	first, last := z.Wall(s.Hands.Now()).Date, z.Wall(Opens).Date
	var crowd []Persona
	for day := first; day < last; day++ {
		for len(crowd) < n*int(day-first+1)/int(last-first) {
			who, err := s.another(ctx, base, len(crowd))
			if err != nil {
				return err
			}
			crowd = append(crowd, who)
		}
		for _, w := range []civil.Wall{{Date: day, Clock: crowdDusk}, {Date: day + 1, Clock: crowdDawn}} {
			if err := s.Live(ctx, cast, z.Instant(w)); err != nil {
				return err
			}
			for _, who := range crowd {
				if who.mood(w); !who.mute {
					err = s.answerAll(ctx, who)
				}
				if err == nil && day < last-unworked {
					err = s.resolve(ctx, who)
				}
				if err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// another is the next of a crowd, fitted today.
func (s *Scene) another(ctx context.Context, base []byte, i int) (who Persona, err error) {
	pr, err := s.Practice(ctx)
	if err != nil {
		return who, err
	}
	today := s.Runner.Today(pr.Zone)
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
		return who, fmt.Errorf("the plan of %s is refused: %v", put["label"], faults)
	}
	who = Persona{User: userCrowd + int64(i), Lang: e.Lang, Snore: snoring}
	if err = s.Admit(ctx, &who, e); err == nil {
		s.add(rehearsal.Chat{ID: who.User, Who: who.Label, Role: "patient", Patient: who.Label, User: who.User, Zone: e.Zone})
	}
	return who, err
}

// mood is how somebody of a crowd is at a check-in, always the same on the same day:
// of a hundred ten say nothing for five days, and five are sore for two.
func (who *Persona) mood(w civil.Wall) {
	share := func(days civil.Date) uint32 {
		h := fnv.New32a()
		fmt.Fprintf(h, "%d %d %d", who.User, days, (w.Date+civil.Date(who.User%7))/days)
		return h.Sum32() % 100
	}
	who.mute = share(5) < 10
	if n := share(2); n < 5 {
		who.pain = 4 + int(n)%3
	}
}
