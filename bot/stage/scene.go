package stage

import (
	"cmp"
	"context"
	"embed"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"time"

	"duskdawn/bot/program"
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

//go:embed scenario
var Scenario embed.FS

// Opens is where the rehearsal's clock stands when the page opens: the
// Monday before the clocks go forward where the practice is. sceneFrom is when
// the patients who are on their way were fitted.
var (
	Opens     = time.Date(2026, 3, 2, 15, 0, 0, 0, time.UTC)
	sceneFrom = time.Date(2026, 2, 9, 15, 0, 0, 0, time.UTC)
)

// The invented people's accounts at the stand-in.
const (
	UserClinician = 101
	UserAssistant = 102
	UserPatient   = 201 // and on
	UserStranger  = 301
	UserHost      = 302
	UserGroup     = 9001 // a chat of the page, one each of the staff in the group
)

// Scene is a stage with the invented people on it.
type Scene struct {
	*Stage
	People []rehearsal.Chat
	Doctor practice.Staff
	zone   string // of the practice
	focus  int64  // who a scene is about
	free   bool   // no flood limit

	folk     sync.Mutex // guards that People grows
	commands Commands   // of the host; nil where there is none

	reading sync.Mutex
	read    map[chart.PatientID]revised
}

// revised is a patient as it was read, at its revision of the store.
type revised struct {
	rev     int64
	patient *flows.Patient
}

// NewScene brings the practice and its people in and plays the days so far, by
// the same talk a person would have.
func NewScene(ctx context.Context, st store.Store, log *slog.Logger) (*Scene, error) {
	return sceneWith(ctx, st, log, 0)
}

// sceneWith is NewScene with a crowd of so many besides.
func sceneWith(ctx context.Context, st store.Store, log *slog.Logger, crowd int) (*Scene, error) {
	g, err := New(ctx, st, sceneFrom, log)
	if err != nil {
		return nil, err
	}
	s := &Scene{Stage: g}
	if err := s.open(ctx, crowd); err != nil {
		g.Close()
		return nil, fmt.Errorf("playing the days so far: %w", err)
	}
	return s, nil
}

// staffed brings in the practice, with values of its own for some of its keys,
// and the staff.
func (s *Scene) staffed(ctx context.Context, put map[string]string) error {
	raw, err := Scenario.ReadFile("scenario/practice.toml")
	if err != nil {
		return err
	}
	raw = With(raw, put)
	pr, faults := setup.Practice(raw, s.Words.Languages())
	if setup.Refused(faults) {
		return errors.New("the scenario's practice is refused")
	}
	return s.practised(ctx, pr, raw)
}

// practised brings in a practice that was read, and the staff.
func (s *Scene) practised(ctx context.Context, pr practice.Practice, raw []byte) (err error) {
	if err := program.BringPractice(ctx, s.Runner, pr, raw); err != nil {
		return err
	}
	s.zone = pr.Zone
	if s.Doctor, err = s.JoinStaff(ctx, practice.Staff{ID: "sclinician", Label: "Dr Osprey", Role: practice.Clinician},
		UserClinician); err != nil {
		return err
	}
	_, err = s.JoinStaff(ctx, practice.Staff{ID: "sassistant", Label: "Ms Plover", Role: practice.Assistant},
		UserAssistant)
	return err
}

// stranger is somebody whom nobody knows, who can join by a code.
func (s *Scene) stranger() {
	s.Platform.AddUser(standin.User{ID: UserStranger, Name: "somebody", Language: "en"})
	s.People = append(s.People, rehearsal.Chat{ID: UserStranger, Who: "a stranger", Role: "stranger", User: UserStranger,
		Name: "stranger"})
}

// gather makes the group chat of the staff, which hears of escalations too.
func (s *Scene) gather(ctx context.Context) error {
	group := s.Platform.AddGroup("Tern Quay", UserClinician, UserAssistant)
	s.Platform.Admin(group)
	code := flows.NewCode(flows.GroupHead, [16]byte{4})
	if err := s.Runner.Handle(ctx, scheduler.PracticeRef(), "scene/group", flows.StaffChange{Op: flows.StaffGroup,
		Code: practice.Code{Hash: s.Runner.StaffKey(code), Ends: s.Clock.Now().Add(program.CodeLife).Unix()}}); err != nil {
		return err
	}
	for i, c := range s.People[:2] {
		s.People = append(s.People, rehearsal.Chat{ID: UserGroup + int64(i), Who: c.Who, Role: "group", Room: group,
			User: c.User, Name: c.Name})
	}
	if _, err := s.Platform.Post(standin.Post{Chat: group, From: UserClinician, Text: "/start " + code}); err != nil {
		return err
	}
	return s.Quiet(ctx)
}

func (s *Scene) open(ctx context.Context, crowd int) error {
	if err := s.staffed(ctx, nil); err != nil {
		return err
	}
	cast := Personas()
	for i := range cast {
		cast[i].User = UserPatient + int64(i)
		if !cast[i].late {
			if err := s.JoinPatient(ctx, &cast[i]); err != nil {
				return err
			}
		}
	}
	if err := s.fill(ctx, cast, crowd); err != nil {
		return err
	}
	if err := s.Live(ctx, cast, Opens); err != nil {
		return err
	}
	for i := range cast {
		if cast[i].late {
			if err := s.JoinPatient(ctx, &cast[i]); err != nil {
				return err
			}
		}
		s.People = append(s.People, rehearsal.Chat{ID: cast[i].User, Who: cast[i].Label, Role: "patient",
			Patient: cast[i].Label, User: cast[i].User})
	}
	slices.SortStableFunc(s.People, func(a, b rehearsal.Chat) int { return cmp.Compare(min(a.User, userCrowd), min(b.User, userCrowd)) })
	s.stranger()
	for i := range s.People { // nobody of the cast lives elsewhere: the page shows the hours that the messages name
		s.People[i].Zone = s.zone
	}
	return s.Quiet(ctx)
}

// JoinStaff adds a person and uses the code.
func (s *Scene) JoinStaff(ctx context.Context, who practice.Staff, user int64) (practice.Staff, error) {
	var fresh [16]byte
	copy(fresh[:], who.ID)
	code := flows.NewCode(flows.StaffHead, fresh)
	err := s.Runner.Handle(ctx, scheduler.PracticeRef(), "scene/"+who.ID, flows.StaffChange{Op: flows.StaffAdd, Staff: who,
		Code: practice.Code{Hash: s.Runner.StaffKey(code), Staff: who.ID, Ends: s.Clock.Now().Add(program.CodeLife).Unix()}})
	if err != nil {
		return who, err
	}
	s.Platform.AddUser(standin.User{ID: user, Name: who.Label, Language: "en"})
	s.People = append(s.People, rehearsal.Chat{ID: user, Who: who.Label, Role: who.Role.String(), User: user, Zone: s.zone,
		Name: who.Role.String()})
	if err := s.Say(ctx, user, "/start "+code); err != nil {
		return who, err
	}
	pr, err := s.Practice(ctx)
	if err != nil {
		return who, err
	}
	joined, ok := pr.ByID(who.ID)
	if !ok || joined.Chat != user {
		return who, fmt.Errorf("%s did not get in", who.Label)
	}
	return joined, nil
}

// JoinPatient enrols a patient, who joins and agrees, and whom staff confirm.
func (s *Scene) JoinPatient(ctx context.Context, who *Persona) error {
	raw, err := Scenario.ReadFile("scenario/" + who.file)
	if err != nil {
		return err
	}
	pr, err := s.Practice(ctx)
	if err != nil {
		return err
	}
	e, faults := setup.Plan(raw, &pr, s.Runner.Today(pr.Zone))
	if setup.Refused(faults) {
		return fmt.Errorf("the scenario's plan %s is refused: %v", who.file, faults)
	}
	return s.Admit(ctx, who, e)
}

// Admit takes a patient from the signed enrolment to the first night.
func (s *Scene) Admit(ctx context.Context, who *Persona, e chart.Enrolment) error {
	who.Label = e.Label
	id, code, err := program.Enrol(ctx, s.Runner, s.Doctor, e, false)
	if err != nil {
		return err
	}
	s.Platform.AddUser(standin.User{ID: who.User, Name: e.Label, Language: who.Lang})
	if err := s.Say(ctx, who.User, "/start "+code); err != nil {
		return err
	}
	for range 2 { // of age; agreed
		if err := s.Say(ctx, who.User, s.Words.Label(who.Lang, message.Choice{Word: reading.WordYes})); err != nil {
			return err
		}
	}
	if err := s.Runner.Handle(ctx, scheduler.PatientRef(id), "scene/confirm/"+string(id),
		flows.Order{Op: flows.OrderConfirm,
			Actor: flows.Actor{ID: s.Doctor.ID, Name: s.Doctor.Label, Chat: s.Doctor.Chat, Role: s.Doctor.Role},
			Chat:  s.Doctor.Chat}); err != nil {
		return err
	}
	if err := s.Quiet(ctx); err != nil {
		return err
	}
	if p, err := s.Patient(ctx, id); err != nil || p.Course.State != chart.Settling {
		return fmt.Errorf("%s did not start: %s", who.Label, p.Course.State)
	}
	return nil
}

// ByChat reads the patient of a chat.
func (s *Scene) ByChat(user int64) (flows.Patient, error) {
	ctx := context.Background()
	c, err := s.Inbound.Chat(ctx, user)
	if err != nil {
		return flows.Patient{}, err
	}
	return s.Patient(ctx, c.Patient)
}

// look is ByChat for who only reads: what has not changed is not read again. Nil
// where the chat is no patient's.
func (s *Scene) look(user int64) *flows.Patient {
	ctx := context.Background()
	c, err := s.Inbound.Chat(ctx, user)
	if err != nil || c.Patient == "" {
		return nil
	}
	a, err := s.Store.Get(ctx, scheduler.PatientRef(c.Patient))
	if err != nil {
		return nil
	}
	s.reading.Lock()
	defer s.reading.Unlock()
	if was, ok := s.read[c.Patient]; ok && was.rev == a.Rev {
		return was.patient
	}
	p, err := store.DecodePatient(a.Body)
	if err != nil || p.ID == "" {
		return nil
	}
	if s.read == nil {
		s.read = map[chart.PatientID]revised{}
	}
	s.read[c.Patient] = revised{a.Rev, &p}
	return &p
}

func (s *Scene) Say(ctx context.Context, user int64, text string) error {
	if _, err := s.Platform.Say(user, strings.TrimSpace(text)); err != nil {
		return err
	}
	return s.Quiet(ctx)
}

const Heron = UserPatient + 1 // settled into stepping, reads English

// BotSaid is what the bot has told a chat after its first so many messages.
func (s *Scene) BotSaid(user int64, after int) string {
	var b strings.Builder
	for _, m := range s.Platform.Messages(user)[after:] {
		if m.Bot {
			b.WriteString(m.Text + "\n")
		}
	}
	return b.String()
}

// Heard counts the messages of a chat, of both sides.
func (s *Scene) Heard(user int64) int { return len(s.Platform.Messages(user)) }
