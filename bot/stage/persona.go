package stage

import (
	"context"
	"fmt"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/scheduler"
)

// Persona is an invented patient and how the days so far went.
type Persona struct {
	file  string
	Lang  string
	pain  int  // in the morning; 0 on a usual day
	mute  bool // answers nothing
	late  bool // is fitted only when the page opens
	Snore func(setting int) int
	still bool // does not move the appliance
	User  int64
	Label string
}

func Personas() []Persona {
	return []Persona{
		{file: "one.toml", Lang: "en", late: true},
		{file: "two.toml", Lang: "en", Snore: func(n int) int { return max(9-n/2, 4) }},
		{file: "three.toml", Lang: "es", Snore: func(n int) int { return max(8-2*n, 2) }},
	}
}

// Live plays the days until an instant: each question that is asked is answered.
func (s *Scene) Live(ctx context.Context, cast []Persona, until time.Time) error {
	for s.Hands.Now().Before(until) {
		next, err := s.Stage.Next(ctx)
		if err != nil {
			return err
		}
		if next.IsZero() || next.After(until) {
			next = until
		}
		if err := s.Move(ctx, next); err != nil {
			return err
		}
		for _, who := range cast {
			if who.Label != "" {
				if err := s.answerAll(ctx, who); err != nil {
					return err
				}
				if err := s.resolve(ctx, who); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// resolve is the practice doing its work: what waits for a person is resolved.
func (s *Scene) resolve(ctx context.Context, who Persona) error {
	p, err := s.ByChat(who.User)
	if err != nil {
		return err
	}
	for _, esc := range p.Escalations {
		err := s.Runner.Handle(ctx, scheduler.PatientRef(p.ID), fmt.Sprintf("scene/resolve/%s/%d", p.ID, esc.N),
			flows.Order{Op: flows.OrderResolve, Esc: esc.N,
				Text: "spoken with", Chat: s.Doctor.Chat,
				Actor: flows.Actor{ID: s.Doctor.ID, Name: s.Doctor.Label, Chat: s.Doctor.Chat, Role: s.Doctor.Role}})
		if err != nil {
			return err
		}
	}
	return s.Quiet(ctx)
}

// answerAll presses quick answers while the newest message offers some.
func (s *Scene) answerAll(ctx context.Context, who Persona) error {
	_, err := s.answers(ctx, who)
	return err
}

// answers is answerAll, and gives what was pressed.
func (s *Scene) answers(ctx context.Context, who Persona) (said []string, err error) {
	for range 20 {
		newest := s.Platform.Newest(who.User)
		if !newest.Bot || len(newest.Keyboard) == 0 {
			return said, nil
		}
		label := s.Choose(newest.Keyboard, who)
		if label == "" {
			return said, nil
		}
		if _, err := s.Platform.Press(who.User, who.User, label); err != nil {
			return said, err
		}
		if err := s.Quiet(ctx); err != nil {
			return said, err
		}
		said = append(said, label)
	}
	return said, nil
}

// Choose is the answer of somebody who has a quiet course.
func (s *Scene) Choose(rows [][]string, who Persona) string {
	setting := 0
	if p := s.look(who.User); p != nil {
		setting = int(p.Course.Left)
	}
	want := map[chart.Field]int{ // the least answer to every other question
		chart.Worn: chart.WornAll, chart.Snoring: who.Snore(setting), chart.Guide: chart.Yes, chart.GuideMinutes: 5, chart.Pain: who.pain,
		chart.Sleepiness: 4, chart.Nose: chart.Yes, chart.SettingLeft: setting, chart.SettingRight: setting,
	}
	for _, row := range rows {
		for _, label := range row {
			r := s.Words.Read(label)
			if r.Word == reading.WordStands && !who.still {
				return label
			}
			for _, t := range r.Tokens {
				v, ok := want[t.Field]
				if !ok {
					v = t.Field.Row().Least
				}
				if t.Value.Is(v) {
					return label
				}
			}
		}
	}
	return ""
}
