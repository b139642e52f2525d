package talktest

import (
	"os"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
	"duskdawn/bot/standin"
	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/memory"
)

// A clinician enrols by one pasted message, in Spanish words, at the chair: the
// whole program reads it, shows what will be signed, and makes the patient.
func TestPastedEnrolment(t *testing.T) {
	ctx := t.Context()
	s, err := stage.New(ctx, memory.New(), time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	raw, err := os.ReadFile("../../testdata/setup/practice.toml")
	if err != nil {
		t.Fatal(err)
	}
	pr, _ := setup.Practice(raw, s.Words.Languages())
	if err := program.BringPractice(ctx, s.Runner, pr, raw); err != nil {
		t.Fatal(err)
	}
	code := flows.NewCode(flows.StaffHead, [16]byte{9, 8, 7})
	err = s.Runner.Handle(ctx, scheduler.PracticeRef(), "x",
		flows.StaffChange{Op: flows.StaffAdd, Staff: practice.Staff{ID: "sclinic01", Label: "Ondine",
			Role: practice.Clinician, Lang: "es"},
			Code: practice.Code{Hash: s.Runner.StaffKey(code), Ends: s.Clock.Now().Add(15 * time.Minute).Unix()}})
	if err != nil {
		t.Fatal(err)
	}
	s.Platform.AddUser(standin.User{ID: 501, Name: "Ondine", Language: "en"})
	s.Platform.AddUser(standin.User{ID: 601, Name: "somebody", Language: "es"})
	say := func(who int64, text string) string {
		t.Helper()
		n := len(s.Platform.Messages(who))
		if _, err := s.Platform.Say(who, text); err != nil {
			t.Fatal(err)
		}
		if err := s.Quiet(ctx); err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		for _, m := range s.Platform.Messages(who)[n:] {
			if m.Bot {
				b.WriteString(m.Text + "\n")
			}
		}
		return b.String()
	}
	say(501, "/start "+code)
	form := `Etiqueta: nada
label: Garza 31
adult: sí
Idioma del paciente: es
zone: Lima
phone: +51 600 000 031
mechanism: dos tornillos
step-word: cuarto de vuelta
step-mm: 0,2
forward: hacia delante
travel: 30
Punto cero del rango: La mordida habitual es 0
max-mm: 8
start: 50 %
reporter: pareja
drives: no
sleepiness: 4
headache: no
pauses: no
Techo: 5,6 mm
checklist: all`
	got := say(501, form)
	for _, want := range []string{"Línea 1:\netiqueta no es una casilla", "Alta de Garza 31",
		"8 pasos adelante (cuarto de vuelta, 0,2 mm cada uno), en 5,6 mm, 70 %", "noche 25"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	if got = say(501, "settle: 0"); !strings.Contains(got, "está fuera de 1 a 14") {
		t.Errorf("a limit outside its bounds is answered:\n%s", got)
	}
	if got = say(501, "settle: 7"); !strings.Contains(got, "noche 29") {
		t.Errorf("a changed limit is answered:\n%s", got)
	}
	if got = say(501, "sí"); !strings.Contains(got, "8 pasos adelante") {
		t.Errorf("before it is signed, not all of it is shown:\n%s", got)
	}
	say(501, "sí")
	say(501, "402917") // the first signature sets a PIN
	got = say(501, "402917")
	joined := ""
	for st, err := range s.Store.List(ctx, store.Query{}) {
		if err != nil {
			t.Fatal(err)
		}
		a, err := s.Store.Get(ctx, st.Ref)
		if err != nil {
			t.Fatal(err)
		}
		p, err := store.DecodePatient(a.Body)
		if err != nil {
			t.Fatal(err)
		}
		if p.Label != "Garza 31" || p.Zone != "America/Lima" || p.Lang != "es" || p.Plan.Limits.Ceiling != 8 ||
			p.Plan.Limits.Settle != 7 || p.Plan.By != "sclinic01" {
			t.Errorf("enrolled %+v", p)
		}
		joined = p.Code
	}
	if joined == "" {
		t.Fatalf("nobody was enrolled; the answer was\n%s", got)
	}
	if got = say(601, joined); got == "" || strings.Contains(got, "no sirve") {
		t.Errorf("the patient's code is answered:\n%s", got)
	}
	if got = say(501, form); !strings.Contains(got, "Otro paciente tiene la etiqueta Garza 31") ||
		strings.Contains(got, "Alta de") {
		t.Errorf("a label twice is answered:\n%s", got)
	}
	if got = say(501, "Garza 32"); !strings.Contains(got, "Alta de Garza 32") {
		t.Errorf("another label is answered:\n%s", got)
	}
}
