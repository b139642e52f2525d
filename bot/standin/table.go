package standin

import "strings"

// table is every method the stand-in knows. The names are those of the Bot API
// (core.telegram.org/bots/api), less the parameters the bot has no use for:
// one of those, such as parse_mode, would be a mistake, so it is refused.
func (s *Server) table() map[string]method {
	const out = " disable_notification:bool protect_content:bool reply_markup:json reply_parameters:json"
	const edit = "chat_id:int! message_id:int! reply_markup:json"
	all := []method{
		spec("getMe", "", s.getMe),
		spec("getUpdates", "offset:int limit:int timeout:int allowed_updates:json", nil),
		spec("setWebhook", "url:str! secret_token:str max_connections:int allowed_updates:json drop_pending_updates:bool",
			s.setWebhook),
		spec("deleteWebhook", "drop_pending_updates:bool", s.deleteWebhook),
		spec("sendMessage", "chat_id:int! text:str! link_preview_options:json"+out, s.sendMessage),
		spec("sendPhoto", "chat_id:int! photo:file! caption:str"+out, s.sendMedia("photo", 10<<20)),
		spec("sendDocument", "chat_id:int! document:file! caption:str disable_content_type_detection:bool"+out,
			s.sendMedia("document", 50<<20)),
		spec("sendVideo", "chat_id:int! video:file! caption:str supports_streaming:bool"+out, s.sendMedia("video", 50<<20)),
		spec("copyMessage", "chat_id:int! from_chat_id:int! message_id:int! caption:str disable_notification:bool protect_content:bool",
			s.copyMessage),
		spec("editMessageText", "text:str! link_preview_options:json "+edit, s.editText),
		spec("editMessageCaption", "caption:str "+edit, s.editCaption),
		spec("editMessageReplyMarkup", edit, s.editMarkup),
		spec("deleteMessage", "chat_id:int! message_id:int!", s.deleteMessage),
		spec("answerCallbackQuery", "callback_query_id:str! text:str show_alert:bool", s.answerTap),
		spec("sendChatAction", "chat_id:int! action:str!", s.chatAction),
		spec("leaveChat", "chat_id:int!", s.leaveChat),
		spec("setMyCommands", "commands:json! scope:json language_code:str", s.setCommands),
		spec("setMyDescription", "description:str language_code:str", s.setDescription),
		spec("getFile", "file_id:str!", s.getFile),
	}
	t := make(map[string]method, len(all))
	for _, m := range all {
		t[strings.ToLower(m.name)] = m // the platform reads method names in any case
	}
	return t
}

func (s *Server) getMe(*form) (any, *refusal) { return s.me(), nil }

func (s *Server) me() map[string]any {
	return map[string]any{
		"id": s.id, "is_bot": true, "first_name": "Duskdawn", "username": s.opt.Username,
		"can_join_groups": true, "can_read_all_group_messages": false, "supports_inline_queries": false,
	}
}
