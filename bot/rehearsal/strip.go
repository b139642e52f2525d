package rehearsal

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"
)

// stripItem is one line of the strip: a message that somebody got, or something
// that the world tells.
type stripItem struct {
	n     int
	at    time.Time
	chat  int64
	words string            // of a message, its first line
	asks  bool              // the message asks something
	kind  string            // of what the world tells; empty for a message
	said  map[string]string // what the world tells, by language
}

// longest is how many lines the strip keeps.
const longest = 400

// look gathers what happened since it was last asked.
func (g *play) look(ctx context.Context) (news []stripItem, err error) {
	told, err := g.world.Look(ctx)
	if err != nil {
		return nil, err
	}
	heard := map[int64]int64{}
	if all := g.world.Chats(); len(all) > len(g.chats) { // somebody was brought in
		g.chats = all
	}
	for _, c := range g.chats {
		for _, m := range g.world.Platform().Since(c.room(), g.seen[c.ID]) {
			g.seen[c.ID] = m.ID
			if m.Bot && m.Kind != "service" && !m.Deleted {
				heard[c.ID]++
				first, _, _ := strings.Cut(m.Text, "\n")
				news = append(news, stripItem{at: m.At, chat: c.ID, words: first, asks: len(m.Keyboard) > 0})
			}
		}
	}
	for _, t := range told {
		said := map[string]string{}
		for _, lang := range g.langs {
			said[lang] = g.world.Say(lang, t)
		}
		news = append(news, stripItem{at: t.At, chat: t.Chat, kind: t.Kind, said: said})
	}
	slices.SortStableFunc(news, func(a, b stripItem) int { return a.at.Compare(b.at) })
	g.told.Lock()
	defer g.told.Unlock()
	for i := range news {
		g.count++
		news[i].n = g.count
	}
	for id, n := range heard {
		g.heard[id] += n
	}
	g.strip = append(g.strip, news...)
	g.strip = g.strip[max(0, len(g.strip)-longest):]
	return news, nil
}

type stripLine struct {
	N    int       `json:"n"`
	At   time.Time `json:"at"`
	Chat int64     `json:"chat"`
	Who  string    `json:"who"`
	Kind string    `json:"kind"` // message, flag, card, step
	Text string    `json:"text"`
}

// stripLines are the newest lines after a number, oldest first.
func (s *server) stripLines(w http.ResponseWriter, r *http.Request, g *play) {
	after, err := strconv.Atoi(r.URL.Query().Get("after"))
	if err != nil && r.URL.Query().Has("after") {
		fail(w, 400, "after is the number of a line: "+strconv.Quote(r.URL.Query().Get("after")))
		return
	}
	lang := s.lang(r)
	g.told.Lock()
	lines := slices.Clone(g.strip)
	g.told.Unlock()
	names := map[int64]string{}
	for _, c := range g.world.Chats() {
		names[c.ID] = c.Who
	}
	out := []stripLine{}
	for _, l := range lines {
		if l.n <= after {
			continue
		}
		line := stripLine{N: l.n, At: l.at.UTC(), Chat: l.chat, Who: names[l.chat], Kind: "message", Text: l.words}
		if l.kind != "" {
			line.Kind, line.Text = l.kind, l.said[lang]
		}
		out = append(out, line)
	}
	reply(w, 200, out)
}

func anyOf(news []stripItem, is func(stripItem) bool) bool { return slices.ContainsFunc(news, is) }
