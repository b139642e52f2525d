package standin

import (
	"encoding/json"
	"regexp"
	"slices"
	"strings"
)

// The smaller methods: what the bot does and says about itself.

var actions = strings.Fields("typing upload_photo record_video upload_video record_voice upload_voice upload_document choose_sticker find_location record_video_note upload_video_note")

func (s *Server) chatAction(f *form) (any, *refusal) {
	if _, no := s.reach(f.int("chat_id")); no != nil {
		return nil, no
	}
	if !slices.Contains(actions, f.str("action")) {
		return nil, bad("wrong parameter action in request")
	}
	return true, nil
}

func (s *Server) leaveChat(f *form) (any, *refusal) {
	r, no := s.reach(f.int("chat_id"))
	if no != nil {
		return nil, no
	}
	if r.kind == "private" {
		return nil, bad("chat member status can't be changed in private chats")
	}
	r.left = true
	s.member(r, s.id, "member", "left")
	return true, nil
}

var (
	commandName = regexp.MustCompile(`^[a-z0-9_]{1,32}$`)
	language    = regexp.MustCompile(`^([a-z]{2})?$`)
)

func (s *Server) setCommands(f *form) (any, *refusal) {
	var list []struct {
		Command     string `json:"command"`
		Description string `json:"description"`
	}
	if json.Unmarshal([]byte(f.str("commands")), &list) != nil || len(list) > 100 {
		return nil, bad("can't parse commands")
	}
	for _, c := range list {
		if !commandName.MatchString(c.Command) {
			return nil, bad("BOT_COMMAND_INVALID")
		}
		if n := units(c.Description); n < 1 || n > 256 {
			return nil, bad("BOT_COMMAND_DESCRIPTION_INVALID")
		}
	}
	scope := struct {
		Type string `json:"type"`
		Chat int64  `json:"chat_id"`
	}{Type: "default"}
	if raw := f.str("scope"); raw != "" && json.Unmarshal([]byte(raw), &scope) != nil {
		return nil, bad("can't parse BotCommandScope")
	}
	switch scope.Type {
	case "default", "all_private_chats", "all_group_chats":
	case "chat":
		if _, no := s.reach(scope.Chat); no != nil {
			return nil, no
		}
	default:
		return nil, bad("unsupported BotCommandScope type")
	}
	return s.menu("commands "+f.str("scope"), f, f.str("commands"))
}

func (s *Server) setDescription(f *form) (any, *refusal) {
	if units(f.str("description")) > 512 {
		return nil, bad("description is too long")
	}
	text, _ := json.Marshal(f.str("description"))
	return s.menu("description", f, string(text))
}

func (s *Server) menu(key string, f *form, body string) (any, *refusal) {
	if !language.MatchString(f.str("language_code")) {
		return nil, bad("invalid language_code")
	}
	s.menus[key+" "+f.str("language_code")] = json.RawMessage(body)
	return true, nil
}

// Description is what the bot last said of itself in a language.
func (s *Server) Description(lang string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var text string
	_ = json.Unmarshal(s.menus["description "+lang], &text)
	return text
}
