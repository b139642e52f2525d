package rehearsal

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"duskdawn/bot/standin"
)

// message is one line of a talk in the interface.
type message struct {
	ID       int64      `json:"id"`
	From     string     `json:"from"` // bot or user
	Text     string     `json:"text"`
	At       time.Time  `json:"at"`
	Edited   bool       `json:"edited,omitempty"`
	Kind     string     `json:"kind"`    // text, photo, voice, ...
	Mine     bool       `json:"mine"`    // written by the person who is played
	Buttons  [][]button `json:"buttons"` // what can be pressed now
	Photo    string     `json:"photo,omitempty"`
	Document string     `json:"document,omitempty"`
	Name     string     `json:"name,omitempty"` // of the document
}

// button has data where it is tapped, and none where its label is said.
type button struct {
	Label string `json:"label"`
	Data  string `json:"data"`
}

func (s *server) messages(w http.ResponseWriter, r *http.Request) {
	c, ok := s.find(w, r)
	if !ok {
		return
	}
	after := int64(0)
	if text := r.URL.Query().Get("after"); text != "" {
		n, err := strconv.ParseInt(text, 10, 64)
		if err != nil || n < 0 {
			fail(w, 400, "after is the number of a message: "+strconv.Quote(text))
			return
		}
		after = n
	}
	out := []message{}
	for _, m := range s.platform.Messages(c.room()) {
		if m.ID > after && !m.Deleted && m.Kind != "service" {
			out = append(out, show(c, m))
		}
	}
	reply(w, 200, out)
}

func show(c Chat, m standin.Message) message {
	out := message{ID: m.ID, From: "user", Text: m.Text, At: m.At.UTC(), Edited: !m.Edited.IsZero(), Kind: m.Kind,
		Mine: m.From == c.User, Buttons: [][]button{}}
	if m.Bot {
		out.From = "bot"
	}
	for _, row := range m.Buttons {
		var line []button
		for _, b := range row {
			line = append(line, button{b.Label, b.Data})
		}
		out.Buttons = append(out.Buttons, line)
	}
	if m.Shown {
		for _, row := range m.Keyboard {
			var line []button
			for _, label := range row {
				line = append(line, button{Label: label})
			}
			out.Buttons = append(out.Buttons, line)
		}
	}
	if len(m.Data) > 0 {
		path := fmt.Sprintf("/rehearsal/chats/%d/files/%d", c.ID, m.ID)
		if m.Kind == "photo" {
			out.Photo = path
		} else {
			out.Document, out.Name = path, m.Filename
		}
	}
	return out
}

// reading is how long a person takes to read and to answer: the clock moves by
// it with every text, since a bare number sent in the second of its question
// is taken for the answer to an earlier one.
const reading = 3 * time.Second

func (s *server) say(w http.ResponseWriter, r *http.Request) {
	c, ok := s.find(w, r)
	var in struct {
		Text string `json:"text"`
	}
	if !ok || !read(w, r, &in) {
		return
	}
	if strings.TrimSpace(in.Text) == "" {
		fail(w, 400, "text is empty")
		return
	}
	s.act.Lock()
	defer s.act.Unlock()
	if err := s.move(r.Context(), s.course.Now().Add(reading)); err != nil {
		fail(w, 500, err.Error())
		return
	}
	var id int64
	var err error
	if pressed(s.platform.Keyboard(c.room()), in.Text) {
		id, err = s.platform.Press(c.room(), c.User, in.Text)
	} else {
		id, err = s.platform.Post(standin.Post{Chat: c.room(), From: c.User, Text: in.Text})
	}
	if err != nil {
		fail(w, 409, err.Error())
		return
	}
	s.settle(w, r, map[string]int64{"message": id})
}

func pressed(keys [][]string, text string) bool {
	return slices.ContainsFunc(keys, func(row []string) bool { return slices.Contains(row, text) })
}

func (s *server) tap(w http.ResponseWriter, r *http.Request) {
	c, ok := s.find(w, r)
	var in struct {
		Message int64  `json:"message"`
		Data    string `json:"data"`
	}
	if !ok || !read(w, r, &in) {
		return
	}
	if in.Data == "" {
		fail(w, 400, "data is empty: a button without data is pressed by saying its label")
		return
	}
	s.act.Lock()
	defer s.act.Unlock()
	id, err := s.platform.Tap(c.room(), c.User, in.Message, in.Data)
	if err != nil {
		fail(w, 409, err.Error())
		return
	}
	if !s.quiet(w, r.Context()) {
		return
	}
	t, _ := s.platform.Tapped(id)
	reply(w, 200, map[string]any{"notice": t.Text, "alert": t.Alert})
}
