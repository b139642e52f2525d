package rehearsal

import (
	"encoding/json"
	"fmt"
	"time"
)

// savedPlay is a play as it is written down, where its world outlives the program.
type savedPlay struct {
	Scene string          `json:"scene"`
	ID    string          `json:"id"`
	Acts  []Act           `json:"acts"`
	Strip []savedItem     `json:"strip"`
	Count int             `json:"count"`
	Seen  map[int64]int64 `json:"seen"`
	Heard map[int64]int64 `json:"heard"`
}

type savedItem struct {
	N     int               `json:"n"`
	At    time.Time         `json:"at"`
	Chat  int64             `json:"chat"`
	Words string            `json:"words,omitempty"`
	Asks  bool              `json:"asks,omitempty"`
	Kind  string            `json:"kind,omitempty"`
	Said  map[string]string `json:"said,omitempty"`
}

// saveEvery is how often a long move is written down on its way: a program that
// is killed in it goes on from there.
const saveEvery = time.Second

// save writes the play down.
func (g *play) save() error {
	g.saved = time.Now()
	if err := g.world.Save(g.written); err != nil {
		return fmt.Errorf("what happened is not written down: %w", err)
	}
	return nil
}

func (g *play) written() ([]byte, error) {
	g.told.Lock()
	defer g.told.Unlock()
	out := savedPlay{Scene: g.scene, ID: g.id, Acts: g.acts, Count: g.count, Seen: g.seen, Heard: g.heard}
	for _, i := range g.strip {
		out.Strip = append(out.Strip, savedItem{i.n, i.at, i.chat, i.words, i.asks, i.kind, i.said})
	}
	return json.Marshal(out)
}

// readPlay is the play that was written down, on its world.
func readPlay(w World, langs []string, raw []byte) (*play, error) {
	var in savedPlay
	if err := json.Unmarshal(raw, &in); err != nil {
		return nil, fmt.Errorf("reading what was played: %w", err)
	}
	g := newPlay(w, in.Scene, langs)
	g.id, g.acts, g.count = in.ID, in.Acts, in.Count
	for id, n := range in.Seen {
		g.seen[id] = n
	}
	for id, n := range in.Heard {
		g.heard[id] = n
	}
	for _, i := range in.Strip {
		g.strip = append(g.strip, stripItem{i.N, i.At, i.Chat, i.Words, i.Asks, i.Kind, i.Said})
	}
	return g, nil
}
