package standin

import (
	"bytes"
	"encoding/json"
	"strings"
	"unicode/utf16"
)

// markup is a reply_markup, one of its four kinds.
type markup struct {
	Inline [][]struct {
		Text string `json:"text"`
		Data string `json:"callback_data"`
	} `json:"inline_keyboard"`
	Keyboard [][]struct {
		Text string `json:"text"`
	} `json:"keyboard"`
	Remove      bool   `json:"remove_keyboard"`
	ForceReply  bool   `json:"force_reply"`
	OneTime     bool   `json:"one_time_keyboard"`
	Resize      bool   `json:"resize_keyboard"`
	Persistent  bool   `json:"is_persistent"`
	Selective   bool   `json:"selective"`
	Placeholder string `json:"input_field_placeholder"`
}

// dress puts a checked reply_markup on a message. An edit may only carry
// inline buttons, and one without any takes them away.
func dress(m *Message, raw string, edit bool) *refusal {
	m.Buttons = nil
	if raw == "" {
		return nil
	}
	var k markup
	d := json.NewDecoder(bytes.NewReader([]byte(raw)))
	d.DisallowUnknownFields()
	if err := d.Decode(&k); err != nil {
		return bad("can't parse reply keyboard markup JSON object")
	}
	if edit && (k.Keyboard != nil || k.Remove || k.ForceReply) {
		return bad("inline keyboard expected")
	}
	if k.Keyboard != nil && k.Inline != nil {
		return bad("one kind of keyboard expected")
	}
	if no := m.inline(&k); no != nil {
		return no
	}
	if no := m.keyboard(&k); no != nil {
		return no
	}
	if units(k.Placeholder) > 64 {
		return bad("input field placeholder is too long")
	}
	m.OneTime, m.Removes = k.OneTime, k.Remove
	return nil
}

// inline takes over the buttons under a message. How many there may be is from
// memory.
func (m *Message) inline(k *markup) *refusal {
	count := 0
	for _, row := range k.Inline {
		if len(row) == 0 {
			continue
		}
		var line []Button
		for _, b := range row {
			switch {
			case strings.TrimSpace(b.Text) == "":
				return bad("inline keyboard button text must be non-empty")
			case len(b.Data) < 1 || len(b.Data) > 64:
				return bad("BUTTON_DATA_INVALID")
			}
			line = append(line, Button{Label: b.Text, Data: b.Data})
		}
		if count += len(row); len(row) > 8 || count > 100 {
			return bad("too many inline keyboard buttons")
		}
		m.Buttons = append(m.Buttons, line)
	}
	return nil
}

// keyboard takes over the buttons in place of the phone's own keyboard. How
// many there may be is from memory.
func (m *Message) keyboard(k *markup) *refusal {
	count := 0
	for _, row := range k.Keyboard {
		var line []string
		for _, b := range row {
			if strings.TrimSpace(b.Text) == "" {
				return bad("keyboard button text must be non-empty")
			}
			line = append(line, b.Text)
		}
		if count += len(row); len(row) > 12 || count > 300 {
			return bad("too many keyboard buttons")
		}
		if line != nil {
			m.Keyboard = append(m.Keyboard, line)
		}
	}
	if k.Keyboard != nil && m.Keyboard == nil {
		return bad("keyboard must have buttons")
	}
	return nil
}

// units counts as the platform counts, by the standard library and not as the
// program under test does.
func units(s string) int { return len(utf16.Encode([]rune(s))) }
