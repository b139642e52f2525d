package program

import (
	"context"
	"errors"
	"time"

	"duskdawn/bot/telegram"
	"duskdawn/flows/message"
)

// IntroduceBeside is Introduce beside everything else, tried again until the
// platform has told the bot's name: nothing of it may keep anybody waiting who
// writes. It returns when the context ends, at the latest.
func (p *Program) IntroduceBeside(ctx context.Context) {
	for pause := time.Second; ctx.Err() == nil; pause = min(2*pause, introduceMost) {
		if p.Introduce(ctx) == nil {
			return
		}
		select {
		case <-time.After(pause):
		case <-ctx.Done():
		}
	}
}

const introduceMost = 5 * time.Minute

// Introduce learns the bot's name, and sets what people see before the first
// message: that the chat is not watched, and the menu of commands.
func (p *Program) Introduce(ctx context.Context) error {
	_, name, r := p.api.Me(ctx)
	if r.Outcome == telegram.Revoked {
		return telegram.ErrRevoked
	}
	if r.Outcome != telegram.Sent {
		return errors.New("the platform does not tell the bot's name")
	}
	pr, err := p.Practice(ctx)
	if err != nil {
		return err
	}
	if name != "" && name != pr.BotName {
		pr.BotName = name
		if err := BringPractice(ctx, p.Runner, pr, []byte("name "+name)); err != nil {
			return err
		}
	}
	for _, lang := range p.Words.Languages() {
		about := message.Message{Lines: []message.Line{message.Say("bot.about"), message.Say("bot.unwatched")}}
		if pr.Emergency != "" && pr.Phone != "" {
			about.Lines = append(about.Lines, message.Say("bot.call", message.ArgS("emergency", pr.Emergency),
				message.ArgS("phone", pr.Phone)))
		}
		p.api.Description(ctx, lang, p.Words.Text(lang, about))
		var menu []telegram.Command // best effort, as the description: help says the same
		for _, c := range []string{"today", "help", "undo", "how", "call", "pause", "stop"} {
			menu = append(menu, telegram.Command{Name: c, Description: p.Words.Line(lang, message.Say("bot.menu."+c))})
		}
		p.api.Commands(ctx, 0, lang, menu)
	}
	return nil
}
