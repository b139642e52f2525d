package program

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"

	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/scheduler"
	"duskdawn/store"
)

// An update that is set aside is told to people: to its sender, at once and past
// the store, and to staff, once a day for each patient. So is a patient's record
// that cannot be read (damage.go of the scheduler), whose updates are set aside;
// its timers and messages stay for the day when it is repaired, and check names it.

// setAside keeps an update that cannot be read, whole, so that it alone is
// taken out of the row and a person can look at it.
func (p *Program) setAside(ctx context.Context, raw json.RawMessage, class string) error {
	p.log.Error("set aside", "class", class)
	p.metrics.SetAside()
	if err := p.Store.SetAside(ctx, fmt.Sprintf("%x", sha256.Sum256(raw)), class, raw, p.Clock.Now()); err != nil {
		return err
	}
	u, _ := telegram.Decode(raw) // what it gives beside an error is enough
	if err := p.tellAside(ctx, u); err != nil {
		return err
	}
	if u.Private && u.Chat != 0 {
		p.sorry(ctx, u.Chat)
	}
	return nil
}

// tellAside tells staff that a message is set aside, and whose, once a day for
// each patient, and once a day for whoever is none.
func (p *Program) tellAside(ctx context.Context, u telegram.Update) error {
	pr, err := p.Practice(ctx)
	if err != nil {
		return err
	}
	told := flows.Manage{Op: flows.ManageAside}
	event := fmt.Sprintf("aside/%s", p.Runner.Today(pr.Zone))
	if c, err := p.Inbound.Chat(ctx, u.Chat); err == nil && c.Patient != "" && u.Private {
		one, err := p.Patient(ctx, c.Patient)
		if errors.Is(err, store.ErrCorrupt) {
			one.Label, err = p.Runner.LabelOf(ctx, scheduler.PatientRef(c.Patient)), nil
		}
		if err != nil {
			return err
		}
		told.Label, event = one.Label, event+"/"+string(c.Patient)
	}
	return p.Runner.Handle(ctx, scheduler.PracticeRef(), event, told)
}

// sorry tells whoever wrote what is set aside, past the store and best effort:
// it may have been urgent.
func (p *Program) sorry(ctx context.Context, chat int64) {
	pr, err := p.Practice(ctx)
	if err != nil {
		return
	}
	m := message.Message{Lines: []message.Line{message.Say("aside.sorry", message.ArgS("number", pr.Emergency),
		message.ArgS("phone", pr.Phone))}}
	p.api.Send(ctx, telegram.Message{Chat: chat, Text: p.Words.Text(pr.Lang, m)})
}
