package rehearsal

import (
	"errors"
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

// messages gives those after a number, or the newest few of them.
func (s *server) messages(w http.ResponseWriter, r *http.Request, g *play) {
	c, ok := g.find(w, r)
	if !ok {
		return
	}
	ask := map[string]int64{"after": 0, "last": 0}
	for name := range ask {
		if text := r.URL.Query().Get(name); text != "" {
			n, err := strconv.ParseInt(text, 10, 64)
			if err != nil || n < 0 {
				fail(w, 400, name+" is the number of a message: "+strconv.Quote(text))
				return
			}
			ask[name] = n
		}
	}
	all := g.world.Platform().Since(c.room(), ask["after"])
	if n := int(min(ask["last"], 1<<30)); n > 0 {
		all = all[max(0, len(all)-n):]
	}
	out := []message{}
	for _, m := range all {
		if !m.Deleted && m.Kind != "service" {
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

func (s *server) say(w http.ResponseWriter, r *http.Request, g *play) {
	c, ok := g.find(w, r)
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
	s.posted(w, r, g, Act{Chat: c.ID, Say: in.Text})
}

// send posts what is no text: a picture, a voice note, a sticker, a place.
func (s *server) send(w http.ResponseWriter, r *http.Request, g *play) {
	c, ok := g.find(w, r)
	var in struct {
		Kind string `json:"kind"`
	}
	if !ok || !read(w, r, &in) {
		return
	}
	if !slices.Contains(kinds, in.Kind) {
		fail(w, 400, "kind is one of "+strings.Join(kinds, ", "))
		return
	}
	s.posted(w, r, g, Act{Chat: c.ID, Send: in.Kind})
}

func (s *server) posted(w http.ResponseWriter, r *http.Request, g *play, a Act) {
	end, ok := s.acting(w, g)
	if !ok {
		return
	}
	defer end()
	id, _, err := g.perform(r.Context(), a)
	if settled(w, r.Context(), g, err) {
		reply(w, 200, map[string]int64{"message": id})
	}
}

func (s *server) tap(w http.ResponseWriter, r *http.Request, g *play) {
	c, ok := g.find(w, r)
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
	end, ok := s.acting(w, g)
	if !ok {
		return
	}
	defer end()
	label, back := g.labelOf(c, in.Message, in.Data)
	if label == "" {
		fail(w, 409, "no such button on message "+strconv.FormatInt(in.Message, 10))
		return
	}
	_, id, err := g.perform(r.Context(), Act{Chat: c.ID, Tap: label, Back: back})
	if settled(w, r.Context(), g, err) {
		t, _ := g.world.Platform().Tapped(id)
		reply(w, 200, map[string]any{"notice": t.Text, "alert": t.Alert})
	}
}

// course draws the chosen person's course. Any further value of the query that
// is a number is a limit to try.
func (s *server) course(w http.ResponseWriter, r *http.Request, g *play) {
	c, ok := g.find(w, r)
	if !ok {
		return
	}
	ask := Ask{Lang: s.lang(r), Try: map[string]int{}}
	for name := range r.URL.Query() {
		n, err := strconv.Atoi(r.URL.Query().Get(name))
		switch {
		case name == "lang":
		case err != nil:
			fail(w, 400, name+" is a number")
			return
		case name == "width":
			ask.Width = n
		default:
			ask.Try[name] = n
		}
	}
	out, err := g.world.Course(r.Context(), c, ask)
	if err != nil {
		fail(w, 500, err.Error())
		return
	}
	reply(w, 200, out)
}

func (s *server) night(w http.ResponseWriter, r *http.Request, g *play) {
	c, ok := g.find(w, r)
	if !ok {
		return
	}
	out, err := g.world.Night(r.Context(), c, s.lang(r), r.PathValue("night"))
	switch {
	case errors.Is(err, ErrNoNight):
		fail(w, 404, err.Error())
	case err != nil:
		fail(w, 500, err.Error())
	default:
		reply(w, 200, out)
	}
}
