package program

import (
	"context"
	"crypto/rand"
	"fmt"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
)

// CodeLife is how long a printed code may be used.
const CodeLife = 15 * time.Minute

// Enrol commits one signed enrolment. From the host's command the caller shows the
// code, and the clinician is told what was signed.
func Enrol(ctx context.Context, r *scheduler.Runner, by practice.Staff, e chart.Enrolment, host bool) (chart.PatientID,
	string, error) {
	var idSeed, codeSeed [16]byte
	rand.Read(idSeed[:])
	rand.Read(codeSeed[:])
	id := flows.NewPatientID(idSeed)
	code := flows.NewCode(string(id[:2]), codeSeed)
	actor := flows.Actor{ID: by.ID, Name: by.Label, Chat: by.Chat, Role: by.Role}
	if taken, err := r.LabelTaken(ctx, id, e.Label); err != nil {
		return "", "", err
	} else if taken {
		return "", "", fmt.Errorf("another patient goes by the label %q", e.Label)
	}
	err := r.Handle(ctx, scheduler.PatientRef(id), "enrol/"+string(id), flows.Enrol{Enrolment: e, Actor: actor, Code: code,
		Chat: by.Chat, Host: host})
	return id, code, err
}
