package stage

import (
	"context"
	"slices"
	"sync"
	"time"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/scheduler"
)

// World is a scene as the rehearsal's page plays it.
type World struct {
	*Scene
	opens   int64 // the chat that is shown first
	script  script
	stands  map[int64]stands // of each patient, when it was last looked at
	courses map[chart.PatientID]*course
	zones   *scheduler.Zones
	behind  sync.Mutex // guards courses
	kept    *place     // nil where whoever opened the store closes it
}

// NewWorld makes one of a scene.
func NewWorld(ctx context.Context, s *Scene, opens int64) (*World, error) {
	w := &World{Scene: s, opens: opens, stands: map[int64]stands{}, courses: map[chart.PatientID]*course{},
		zones: scheduler.NewZones()}
	_, err := w.Look(ctx)
	return w, err
}

// Platform, Now, Next, Set and Opens are what the page plays on.
func (w *World) Platform() *standin.Server { return w.Stage.Platform }
func (w *World) Now() time.Time            { return w.Hands.Now() }
func (w *World) Set(t time.Time)           { w.Hands.Set(t) }
func (w *World) Opens() int64              { return w.opens }
func (w *World) Next() (time.Time, bool) {
	next, err := w.Stage.Next(context.Background())
	return next, err == nil && !next.IsZero()
}

// Chats lists the people. Who joined by a code of the rehearsal's is a patient
// from then on.
func (w *World) Chats() []rehearsal.Chat {
	w.folk.Lock()
	out := slices.Clone(w.People)
	w.folk.Unlock()
	for i := range out {
		c := &out[i]
		if c.Room != 0 || c.Role != "patient" && c.Role != "stranger" {
			continue
		}
		p := w.look(c.User)
		if p == nil {
			if role, label := w.staffOf(*c); c.Role == "stranger" && role != "" {
				c.Role, c.Who = role, label
			}
			continue
		}
		c.Role, c.Who, c.Patient, c.Zone, c.State = "patient", p.Label, p.Label, p.Zone, p.Course.State.String()
		for _, e := range p.Escalations {
			if e.AckBy == "" {
				c.Open++
			}
		}
	}
	return out
}

// Moment is the next morning or evening hour of a patient, or of a day at the
// practice for others.
func (w *World) Moment(c rehearsal.Chat, what string) (time.Time, bool) {
	zone, morning, evening := c.Zone, civil.Clock(8*60), civil.Clock(21*60)
	if p, err := w.ByChat(c.User); err == nil && p.ID != "" && c.Room == 0 {
		zone, morning, evening = p.Zone, p.Plan.Morning, p.Plan.Evening
	}
	z, err := w.zones.Load(zone)
	if err != nil {
		return time.Time{}, false
	}
	at := morning
	if what == "evening" {
		at = evening
	}
	return z.Next(w.Now(), at), true
}

// Answer lets every patient answer what is asked, as on a quiet day.
func (w *World) Answer(ctx context.Context) error {
	for _, c := range w.People {
		if c.Room != 0 || c.Role != "patient" && c.Role != "stranger" {
			continue
		}
		who := Persona{User: c.User, Snore: w.snore(c.User)}
		if z, err := w.zones.Load(w.zone); err == nil && c.User >= userCrowd {
			who.mood(z.Wall(w.Now()))
		}
		if who.mute {
			continue
		}
		said, err := w.answers(ctx, who)
		if err != nil {
			return err
		}
		for _, label := range said {
			w.Note(rehearsal.Act{Chat: c.ID, Say: label})
		}
	}
	return nil
}

// snore is how somebody snores who answers by themselves: as in the cast, else
// less with each step.
func (w *World) snore(user int64) func(int) int {
	for i, who := range Personas() {
		if user == UserPatient+int64(i) && who.Snore != nil {
			return who.Snore
		}
	}
	return snoring
}

// snoring is a partner's score of somebody whom each step helps.
func snoring(setting int) int { return max(8-setting, 2) }

// stands is what Look compares.
type stands struct {
	left, right chart.Steps
	cards       int32
	flags       []string
}

func standsOf(p *flows.Patient) stands {
	s := stands{left: p.Course.Left, right: p.Course.Right, cards: p.EscCount}
	for _, f := range p.Course.Flags {
		s.flags = append(s.flags, f.ID)
	}
	return s
}

// Look tells what is new of every patient: flags, cards, steps.
func (w *World) Look(context.Context) (out []rehearsal.Told, _ error) {
	for _, c := range w.People {
		if c.Room != 0 || c.Role != "patient" && c.Role != "stranger" {
			continue
		}
		p := w.look(c.User)
		if p == nil {
			continue
		}
		was, known := w.stands[c.User]
		is := standsOf(p)
		w.stands[c.User] = is
		if !known {
			continue
		}
		say := func(kind string, l message.Line) {
			out = append(out, rehearsal.Told{At: w.Now(), Chat: c.ID, Kind: kind, What: l})
		}
		for _, id := range is.flags {
			if !slices.Contains(was.flags, id) {
				say("flag", message.Say("page.told.flag", message.ArgK("what", "flag."+id+".name")))
			}
		}
		for _, e := range p.Escalations {
			if e.N > was.cards {
				say("card", message.Say("page.told.card", message.ArgS("class", string([]byte{byte(e.Class)}))))
			}
		}
		if is.left != was.left || is.right != was.right {
			say("step", message.Say("page.told.step", message.ArgN("from", int(was.left)), message.ArgN("n", int(is.left))))
		}
	}
	return out, nil
}

// Say puts what happened into words.
func (w *World) Say(lang string, t rehearsal.Told) string {
	l, _ := t.What.(message.Line)
	return w.Words.Line(lang, l)
}
