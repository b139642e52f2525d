package telegram

import (
	"context"

	"github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
)

// Edit gives a message of the bot a new text and the inline buttons of m;
// none in m takes the buttons away. An empty text changes the buttons alone.
func (c *Client) Edit(ctx context.Context, chat, message int64, m Message) Result {
	if no := m.check(); no != "" {
		return Result{Outcome: Rejected, Class: no}
	}
	if m.File != nil || len(m.Keyboard) > 0 || m.RemoveKeyboard {
		return Result{Outcome: Rejected, Class: "an edit takes a text and inline buttons"}
	}
	r := c.do(ctx, func(ctx context.Context) (int, error) {
		var sent *models.Message
		var err error
		if m.Text == "" {
			sent, err = c.api.EditMessageReplyMarkup(ctx, &bot.EditMessageReplyMarkupParams{ChatID: chat,
				MessageID: int(message), ReplyMarkup: m.markup()})
		} else {
			sent, err = c.api.EditMessageText(ctx, &bot.EditMessageTextParams{
				ChatID: chat, MessageID: int(message), Text: m.Text, ReplyMarkup: m.markup(),
				LinkPreviewOptions: &models.LinkPreviewOptions{IsDisabled: bot.True()},
			})
		}
		if err != nil {
			return 0, err
		}
		return sent.ID, nil
	})
	if r.Outcome == Sent {
		r.MessageID = message
	}
	return r
}

// Answer ends the wait of a tap, with a short notice or none.
func (c *Client) Answer(ctx context.Context, callbackID, text string, alert bool) Result {
	return c.do(ctx, func(ctx context.Context) (int, error) {
		_, err := c.api.AnswerCallbackQuery(ctx, &bot.AnswerCallbackQueryParams{CallbackQueryID: callbackID, Text: text,
			ShowAlert: alert})
		return 0, err
	})
}

// Delete takes a message out of a chat. The platform lets a bot do that with what
// somebody wrote in a private chat, for two days.
func (c *Client) Delete(ctx context.Context, chat, message int64) Result {
	return c.do(ctx, func(ctx context.Context) (int, error) {
		_, err := c.api.DeleteMessage(ctx, &bot.DeleteMessageParams{ChatID: chat, MessageID: int(message)})
		return 0, err
	})
}

// Leave leaves a group.
func (c *Client) Leave(ctx context.Context, chat int64) Result {
	return c.do(ctx, func(ctx context.Context) (int, error) {
		_, err := c.api.LeaveChat(ctx, &bot.LeaveChatParams{ChatID: chat})
		return 0, err
	})
}

// Command is one entry of the menu of commands: a name of a-z, 0-9 and _, and a
// description.
type Command struct{ Name, Description string }

// Commands sets the menu of one chat, or of everybody where chat is 0, for a
// two-letter language, or for all where it is empty.
func (c *Client) Commands(ctx context.Context, chat int64, lang string, list []Command) Result {
	p := &bot.SetMyCommandsParams{LanguageCode: lang, Commands: []models.BotCommand{},
		Scope: &models.BotCommandScopeDefault{}}
	if chat != 0 {
		p.Scope = &models.BotCommandScopeChat{ChatID: chat}
	}
	for _, k := range list {
		p.Commands = append(p.Commands, models.BotCommand{Command: k.Name, Description: k.Description})
	}
	return c.do(ctx, func(ctx context.Context) (int, error) {
		_, err := c.api.SetMyCommands(ctx, p)
		return 0, err
	})
}

// Description sets the text of the empty chat, which a person reads before the
// first word.
func (c *Client) Description(ctx context.Context, lang, text string) Result {
	return c.do(ctx, func(ctx context.Context) (int, error) {
		_, err := c.api.SetMyDescription(ctx, &bot.SetMyDescriptionParams{LanguageCode: lang, Description: text})
		return 0, err
	})
}

// SetWebhook asks the platform to deliver to an address, with a secret of
// 1-256 letters, digits, _ and -; DropWebhook ends that. Neither forgets a
// waiting update.
func (c *Client) SetWebhook(ctx context.Context, address string, secret Secret) Result {
	return c.do(ctx, func(ctx context.Context) (int, error) {
		_, err := c.api.SetWebhook(ctx, &bot.SetWebhookParams{URL: address, SecretToken: string(secret),
			AllowedUpdates: allowed()})
		return 0, err
	})
}

// DropWebhook ends delivery to an address, which forbids polling.
func (c *Client) DropWebhook(ctx context.Context) Result {
	return c.do(ctx, func(ctx context.Context) (int, error) {
		_, err := c.api.DeleteWebhook(ctx, &bot.DeleteWebhookParams{})
		return 0, err
	})
}
