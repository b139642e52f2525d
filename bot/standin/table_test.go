package standin

import (
	"reflect"
	"strings"
	"testing"

	"github.com/go-telegram/bot"
)

// TestTableAgainstTheLibrary holds the table's names against those of an
// independent reading of the Bot API: the library's parameter types (Bot API
// 9.4). A parameter that the library always writes is required here.
func TestTableAgainstTheLibrary(t *testing.T) {
	types := map[string]any{
		"sendMessage": bot.SendMessageParams{}, "sendPhoto": bot.SendPhotoParams{}, "sendDocument": bot.SendDocumentParams{}, "sendVideo": bot.SendVideoParams{},
		"editMessageText": bot.EditMessageTextParams{}, "editMessageCaption": bot.EditMessageCaptionParams{}, "editMessageReplyMarkup": bot.EditMessageReplyMarkupParams{},
		"deleteMessage": bot.DeleteMessageParams{}, "answerCallbackQuery": bot.AnswerCallbackQueryParams{}, "sendChatAction": bot.SendChatActionParams{},
		"leaveChat": bot.LeaveChatParams{}, "setMyCommands": bot.SetMyCommandsParams{}, "setMyDescription": bot.SetMyDescriptionParams{},
		"getFile": bot.GetFileParams{}, "copyMessage": bot.CopyMessageParams{}, "setWebhook": bot.SetWebhookParams{}, "deleteWebhook": bot.DeleteWebhookParams{},
	}
	for _, m := range New(Options{}).methods {
		sample, ok := types[m.name]
		if !ok {
			if m.name != "getMe" && m.name != "getUpdates" { // the library has no type for these
				t.Error("no type for", m.name)
			}
			continue
		}
		delete(types, m.name)
		names, always := map[string]bool{}, map[string]bool{}
		for f := range reflect.TypeOf(sample).Fields() {
			name, more, _ := strings.Cut(f.Tag.Get("json"), ",")
			names[name] = true
			always[name] = !strings.Contains(more, "omitempty")
		}
		for p := range m.params {
			if !names[p] {
				t.Errorf("%s: the library knows no %s", m.name, p)
			}
		}
		required := map[string]bool{}
		for _, p := range m.required {
			required[p] = true
		}
		for p, on := range always {
			if on && !required[p] {
				t.Errorf("%s: %s is not required here", m.name, p)
			}
		}
	}
	for name := range types {
		t.Error("not in the table:", name)
	}
}
