package program

import (
	"context"
	"sync"
	"time"

	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// Where the store takes no write, nothing that a person writes is answered: no
// answer goes out before its commit. An emergency cannot wait for that. Its
// caution is a fixed text, so it goes out past the store, and staff are told by
// the same way. When the store is back the update is handled like any other: the
// same words come once more, and with them the card.

const (
	pastFor   = 20 * time.Second // of one message past the store, with its repeats
	pastReads = 3 * time.Second  // for a look into a store that may hang
)

// past says the caution of an emergency that waits to be stored, and tells staff
// of it. What is no emergency of a patient's, or no text, waits.
func (p *Program) past(ctx context.Context, u telegram.Update) {
	if !u.Private || u.Text == "" {
		return
	}
	pr, ok := p.Runner.LastPractice()
	if !ok {
		return
	}
	one, body, ok := p.speaker(ctx, u)
	if !ok {
		return
	}
	fx := p.Runner.Would(&pr, one, body)
	caution, ok := flows.Emergency(fx)
	if !ok {
		return
	}
	p.log.Error("past the store")
	p.metrics.PastStore()
	var all sync.WaitGroup
	defer all.Wait()
	all.Go(func() { p.sayPast(ctx, u.Chat, one.Lang, caution) })
	for _, x := range fx {
		if s, ok := x.(flows.Send); ok && s.Lane == flows.LaneUrgent && s.Msg.View == message.ViewEscalation &&
			s.Chat != pr.Group {
			all.Go(func() { p.sayPast(ctx, s.Chat, s.Lang, desked(one)) })
		}
	}
}

// desked is what staff are told of it.
func desked(one flows.Patient) message.Message {
	label := one.Label
	if label == "" {
		label = "?"
	}
	return message.Message{Lines: []message.Line{message.Say("past.desk", message.ArgS("label", label))}}
}

// speaker is whose chat an update came from, as far as that can be read, and what
// was said. Where nothing can be read it may be a patient's: it counts as one.
func (p *Program) speaker(ctx context.Context, u telegram.Update) (one flows.Patient, body flows.Body, ok bool) {
	ctx, cancel := context.WithTimeout(ctx, pastReads)
	defer cancel()
	c, err := p.Inbound.Chat(ctx, u.Chat)
	if err == nil && c.Patient == "" {
		return one, nil, false
	}
	body = p.Inbound.Body(u, c)
	if err == nil {
		if one, err = p.Patient(ctx, c.Patient); err == nil {
			return one, body, body != nil
		}
	}
	one = flows.Patient{ID: "00", Chat: u.Chat, Gen: c.Gen}
	one.Lang, _ = p.Words.Choose(u.Language)
	one.Course.State = chart.Settling
	return one, body, body != nil
}

// sayPast sends one message past the store, and again until it is confirmed.
func (p *Program) sayPast(ctx context.Context, chat int64, lang string, m message.Message) {
	ctx, cancel := context.WithTimeout(ctx, pastFor)
	defer cancel()
	pr, _ := p.Runner.LastPractice()
	text := p.Words.Default(pr.Lang).Text(language(lang, pr), m)
	for pause := time.Second; ctx.Err() == nil; pause *= 2 {
		switch r := p.api.Send(ctx, telegram.Message{Chat: chat, Text: text}); r.Outcome {
		case telegram.Sent, telegram.Blocked, telegram.Rejected, telegram.Moved:
			return
		}
		select {
		case <-time.After(pause):
		case <-ctx.Done():
		}
	}
}

func language(lang string, pr practice.Practice) string {
	if lang == "" {
		return pr.Lang
	}
	return lang
}
