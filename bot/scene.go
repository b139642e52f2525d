package main

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"time"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/scheduler"
	"duskdawn/store"
)

//go:embed scenario/*.toml
var scenario embed.FS

// sceneNow is where the rehearsal's clock stands when the page opens: the
// Monday before the clocks go forward where the practice is. sceneFrom is when
// the patients who are on their way were fitted.
var (
	sceneNow  = time.Date(2026, 3, 2, 15, 0, 0, 0, time.UTC)
	sceneFrom = time.Date(2026, 2, 9, 15, 0, 0, 0, time.UTC)
)

// The invented people's accounts at the stand-in.
const (
	userClinician = 101
	userAssistant = 102
	userPatient   = 201 // and on
	userStranger  = 301
)

// persona is an invented patient and how the days so far went.
type persona struct {
	file  string
	lang  string
	late  bool // is fitted only when the page opens
	snore func(setting int) int
	user  int64
	label string
}

func personas() []persona {
	return []persona{
		{file: "one.toml", lang: "en", late: true},
		{file: "two.toml", lang: "en", snore: func(n int) int { return max(9-n/2, 4) }},
		{file: "three.toml", lang: "es", snore: func(n int) int { return max(8-2*n, 2) }},
	}
}

// scene is a stage with the invented people on it.
type scene struct {
	*stage
	people []rehearsal.Chat
	doctor practice.Staff
}

// newScene brings the practice and its people in and plays the days so far, by
// the same talk a person would have.
func newScene(ctx context.Context, st store.Store, log *slog.Logger) (*scene, error) {
	g, err := newStage(ctx, st, sceneFrom, log)
	if err != nil {
		return nil, err
	}
	s := &scene{stage: g}
	if err := s.open(ctx); err != nil {
		g.close()
		return nil, fmt.Errorf("playing the days so far: %w", err)
	}
	return s, nil
}

func (s *scene) open(ctx context.Context) error {
	raw, err := scenario.ReadFile("scenario/practice.toml")
	if err != nil {
		return err
	}
	pr, faults := setup.Practice(raw, s.words.Languages())
	if setup.Refused(faults) {
		return errors.New("the scenario's practice is refused")
	}
	if err := bringPractice(ctx, s.runner, pr, raw); err != nil {
		return err
	}
	if s.doctor, err = s.joinStaff(ctx, practice.Staff{ID: "sclinician", Label: "Dr Osprey", Role: practice.Clinician},
		userClinician); err != nil {
		return err
	}
	if _, err = s.joinStaff(ctx, practice.Staff{ID: "sassistant", Label: "Ms Plover", Role: practice.Assistant},
		userAssistant); err != nil {
		return err
	}
	cast := personas()
	for i := range cast {
		cast[i].user = userPatient + int64(i)
		if !cast[i].late {
			if err := s.joinPatient(ctx, &cast[i]); err != nil {
				return err
			}
		}
	}
	if err := s.live(ctx, cast, sceneNow); err != nil {
		return err
	}
	for i := range cast {
		if cast[i].late {
			if err := s.joinPatient(ctx, &cast[i]); err != nil {
				return err
			}
		}
		s.people = append(s.people, rehearsal.Chat{ID: cast[i].user, Who: cast[i].label, Role: "patient",
			Patient: cast[i].label, User: cast[i].user})
	}
	s.platform.AddUser(standin.User{ID: userStranger, Name: "somebody", Language: "en"})
	s.people = append(s.people, rehearsal.Chat{ID: userStranger, Who: "a stranger", Role: "stranger", User: userStranger})
	for i := range s.people { // nobody of the cast lives elsewhere: the page shows the hours that the messages name
		s.people[i].Zone = pr.Zone
	}
	return s.quiet(ctx)
}

// joinStaff adds a person and uses the code.
func (s *scene) joinStaff(ctx context.Context, who practice.Staff, user int64) (practice.Staff, error) {
	var fresh [16]byte
	copy(fresh[:], who.ID)
	code := flows.NewCode(flows.StaffHead, fresh)
	err := s.runner.Handle(ctx, scheduler.PracticeRef(), "scene/"+who.ID, flows.StaffChange{Op: flows.StaffAdd, Staff: who,
		Code: practice.Code{Hash: s.runner.StaffKey(code), Staff: who.ID, Ends: s.clock.Now().Add(codeLife).Unix()}})
	if err != nil {
		return who, err
	}
	s.platform.AddUser(standin.User{ID: user, Name: who.Label, Language: "en"})
	s.people = append(s.people, rehearsal.Chat{ID: user, Who: who.Label, Role: who.Role.String(), User: user})
	if err := s.say(ctx, user, "/start "+code); err != nil {
		return who, err
	}
	pr, err := s.practice(ctx)
	if err != nil {
		return who, err
	}
	joined, ok := pr.ByID(who.ID)
	if !ok || joined.Chat != user {
		return who, fmt.Errorf("%s did not get in", who.Label)
	}
	return joined, nil
}

// joinPatient enrols a patient, who joins and agrees, and whom staff confirm.
func (s *scene) joinPatient(ctx context.Context, who *persona) error {
	raw, err := scenario.ReadFile("scenario/" + who.file)
	if err != nil {
		return err
	}
	pr, err := s.practice(ctx)
	if err != nil {
		return err
	}
	e, faults := setup.Plan(raw, &pr, s.runner.Today(pr.Zone))
	if setup.Refused(faults) {
		return fmt.Errorf("the scenario's plan %s is refused: %v", who.file, faults)
	}
	return s.admit(ctx, who, e)
}

// admit takes a patient from the signed enrolment to the first night.
func (s *scene) admit(ctx context.Context, who *persona, e chart.Enrolment) error {
	who.label = e.Label
	id, code, err := enrolOne(ctx, s.runner, s.doctor, e)
	if err != nil {
		return err
	}
	s.platform.AddUser(standin.User{ID: who.user, Name: e.Label, Language: who.lang})
	if err := s.say(ctx, who.user, "/start "+code); err != nil {
		return err
	}
	for range 2 { // of age; agreed
		if err := s.say(ctx, who.user, s.words.Label(who.lang, message.Choice{Word: reading.WordYes})); err != nil {
			return err
		}
	}
	if err := s.runner.Handle(ctx, scheduler.PatientRef(id), "scene/confirm/"+string(id),
		flows.Order{Op: flows.OrderConfirm,
			Actor: flows.Actor{ID: s.doctor.ID, Name: s.doctor.Label, Chat: s.doctor.Chat, Role: s.doctor.Role},
			Chat:  s.doctor.Chat}); err != nil {
		return err
	}
	if err := s.quiet(ctx); err != nil {
		return err
	}
	if p, err := s.patient(ctx, id); err != nil || p.Course.State != chart.Settling {
		return fmt.Errorf("%s did not start: %s", who.label, p.Course.State)
	}
	return nil
}

// live plays the days until an instant: each question that is asked is answered.
func (s *scene) live(ctx context.Context, cast []persona, until time.Time) error {
	for s.hands.Now().Before(until) {
		next, err := s.stage.next(ctx)
		if err != nil {
			return err
		}
		if next.IsZero() || next.After(until) {
			next = until
		}
		if err := s.move(ctx, next); err != nil {
			return err
		}
		for _, who := range cast {
			if who.label != "" {
				if err := s.answerAll(ctx, who); err != nil {
					return err
				}
				if err := s.attend(ctx, who); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// attend is the practice doing its work: what waits for a person is resolved.
func (s *scene) attend(ctx context.Context, who persona) error {
	p, err := s.byChat(who.user)
	if err != nil {
		return err
	}
	for _, esc := range p.Escalations {
		err := s.runner.Handle(ctx, scheduler.PatientRef(p.ID), fmt.Sprintf("scene/resolve/%s/%d", p.ID, esc.N),
			flows.Order{Op: flows.OrderResolve, Esc: esc.N,
				Text: "spoken with", Actor: flows.Actor{ID: s.doctor.ID, Name: s.doctor.Label, Chat: s.doctor.Chat, Role: s.doctor.Role}, Chat: s.doctor.Chat})
		if err != nil {
			return err
		}
	}
	return s.quiet(ctx)
}

// answerAll presses quick answers while the newest message offers some.
func (s *scene) answerAll(ctx context.Context, who persona) error {
	for range 20 {
		told := s.platform.Messages(who.user)
		if len(told) == 0 || !told[len(told)-1].Bot || len(told[len(told)-1].Keyboard) == 0 {
			return nil
		}
		label := s.choose(told[len(told)-1].Keyboard, who)
		if label == "" {
			return nil
		}
		if _, err := s.platform.Press(who.user, who.user, label); err != nil {
			return err
		}
		if err := s.quiet(ctx); err != nil {
			return err
		}
	}
	return nil
}

// choose is the answer of somebody who has a quiet course.
func (s *scene) choose(rows [][]string, who persona) string {
	setting := 0
	if p, err := s.byChat(who.user); err == nil {
		setting = int(p.Course.Left)
	}
	want := map[chart.Field]int{
		chart.Worn: chart.WornAll, chart.Snoring: who.snore(setting), chart.Pain: 0, chart.Guide: chart.Yes,
		chart.GuideMinutes: 5, chart.Bite: chart.BiteBoth,
		chart.Wrong: chart.No, chart.Sleepiness: 4, chart.Driving: chart.DrivingNo, chart.Pauses: chart.No,
		chart.Headache: chart.No, chart.Nose: chart.Yes,
		chart.Reporter: chart.ReporterPartner, chart.Woken: chart.No, chart.Gone: chart.GoneMorning,
		chart.SettingLeft: setting, chart.SettingRight: setting,
	}
	for _, row := range rows {
		for _, label := range row {
			r := s.words.Read(label)
			if r.Word == reading.WordStands {
				return label
			}
			for _, t := range r.Tokens {
				if v, ok := want[t.Field]; ok && t.Value.Is(v) {
					return label
				}
			}
		}
	}
	return ""
}

// byChat reads the patient of a chat.
func (s *scene) byChat(user int64) (flows.Patient, error) {
	ctx := context.Background()
	c, err := s.in.Chat(ctx, user)
	if err != nil {
		return flows.Patient{}, err
	}
	return s.patient(ctx, c.Patient)
}

func (s *scene) say(ctx context.Context, user int64, text string) error {
	if _, err := s.platform.Say(user, strings.TrimSpace(text)); err != nil {
		return err
	}
	return s.quiet(ctx)
}
