package rehearsal

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"duskdawn/bot/standin"
)

// Act is one thing that whoever plays did. A link is a scene and its acts, so
// that everything in it must mean the same when it is played again: a button goes
// by its label, the clock by an instant.
type Act struct {
	Chat int64  `json:"c,omitempty"`
	Say  string `json:"s,omitempty"`
	Send string `json:"k,omitempty"` // the kind of what is no text
	Tap  string `json:"t,omitempty"` // a button's label
	Back int    `json:"b,omitempty"` // how many newer buttons have the same label
	To   string `json:"to,omitempty"`
	Live bool   `json:"l,omitempty"` // the patients answered on the way
}

// reading is how long a person takes to read and to answer: the clock moves by
// it with every text, since a bare number sent in the second of its question
// is taken for the answer to an earlier one.
const reading = 3 * time.Second

// kinds of what can be sent besides a text.
var kinds = []string{"photo", "voice", "sticker", "location"}

// perform does one act and gives the number of the message that it led to, or the tap's.
func (g *play) perform(ctx context.Context, a Act) (message int64, tap string, err error) {
	if a.To != "" {
		to, err := time.Parse(time.RFC3339, a.To)
		if err != nil {
			return 0, "", err
		}
		return 0, "", g.move(ctx, to, a.Live, nil)
	}
	c, ok := g.chat(a.Chat)
	if !ok {
		return 0, "", fmt.Errorf("no chat %d", a.Chat)
	}
	p := g.world.Platform()
	switch {
	case a.Tap != "":
		id, data, ok := g.button(c, a.Tap, a.Back)
		if !ok {
			return 0, "", fmt.Errorf("no button %q", a.Tap)
		}
		tap, err = p.Tap(c.room(), c.User, id, data)
	case a.Say != "" && c.Role == "owner":
		if err := g.host(ctx, a.Say); err != nil {
			return 0, "", err
		}
	case a.Say != "" || a.Send != "":
		if err := g.move(ctx, g.world.Now().Add(reading), false, nil); err != nil {
			return 0, "", err
		}
		if a.Say != "" && pressed(p.Keyboard(c.room()), a.Say) {
			message, err = p.Press(c.room(), c.User, a.Say)
		} else {
			message, err = p.Post(standin.Post{Chat: c.room(), From: c.User, Kind: a.Send, Text: a.Say, Data: mediaOf(a.Send)})
		}
	default:
		return 0, "", fmt.Errorf("an act that does nothing")
	}
	if err != nil {
		return 0, "", refused{err}
	}
	g.keep(a)
	return message, tap, g.rest(ctx)
}

// hosted is a world whose host takes commands.
type hosted interface {
	Host(ctx context.Context, line string) error
}

// host runs a line of the host's; it takes as long as any text to type.
func (g *play) host(ctx context.Context, line string) error {
	h, ok := g.world.(hosted)
	if !ok {
		return refused{errors.New("nobody is at the host here")}
	}
	if err := g.move(ctx, g.world.Now().Add(reading), false, nil); err != nil {
		return err
	}
	return h.Host(ctx, line)
}

// refused is what the platform would not take.
type refused struct{ error }

// keep notes an act for the link and for the script.
func (g *play) keep(a Act) {
	g.acts = append(g.acts, a)
	g.world.Note(a)
}

// mediaOf is something small of a kind.
func mediaOf(kind string) []byte {
	if kind == "" {
		return nil
	}
	return []byte("rehearsed")
}

func pressed(keys [][]string, text string) bool {
	return slices.ContainsFunc(keys, func(row []string) bool { return slices.Contains(row, text) })
}

// button finds an inline button by its label, the newest first.
func (g *play) button(c Chat, label string, back int) (message int64, data string, ok bool) {
	for _, m := range slices.Backward(g.world.Platform().Messages(c.room())) {
		for _, row := range m.Buttons {
			for _, b := range row {
				if b.Label != label || m.Deleted {
					continue
				}
				if back == 0 {
					return m.ID, b.Data, true
				}
				back--
			}
		}
	}
	return 0, "", false
}

// labelOf is the other way about: how a button that is pressed goes in a link.
func (g *play) labelOf(c Chat, message int64, data string) (label string, back int) {
	seen := map[string]int{}
	for _, m := range slices.Backward(g.world.Platform().Messages(c.room())) {
		for _, row := range m.Buttons {
			for _, b := range row {
				if m.ID == message && b.Data == data {
					return b.Label, seen[b.Label]
				}
				if !m.Deleted {
					seen[b.Label]++
				}
			}
		}
	}
	return "", 0
}

func (g *play) chat(id int64) (Chat, bool) {
	for _, c := range g.world.Chats() {
		if c.ID == id {
			return c, true
		}
	}
	return Chat{}, false
}
