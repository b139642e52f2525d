package rehearsal

import (
	"bytes"
	"compress/flate"
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"slices"
)

// saved is what a link holds.
type saved struct {
	Scene string `json:"scene,omitempty"`
	Acts  []Act  `json:"acts"`
}

// The most that a link may hold.
const (
	mostSaved = 1 << 20 // bytes
	mostActs  = 5000
)

// kept gives the scene so far, as a link's fragment and as a script.
func (s *server) kept(w http.ResponseWriter, _ *http.Request, g *play) {
	defer s.turn()()
	raw, err := json.Marshal(saved{g.scene, g.acts})
	if err != nil {
		fail(w, 500, err.Error())
		return
	}
	var b bytes.Buffer
	z, _ := flate.NewWriter(&b, flate.BestCompression) // a level that there is
	_, _ = z.Write(raw)
	_ = z.Close()
	reply(w, 200, map[string]any{"link": base64.RawURLEncoding.EncodeToString(b.Bytes()), "talk": g.world.Talk(),
		"acts": len(g.acts)})
}

// turn waits until nobody acts.
func (s *server) turn() func() {
	s.act.Lock()
	return s.act.Unlock
}

func unpack(link string) (in saved, err error) {
	raw, err := base64.RawURLEncoding.DecodeString(link)
	if err != nil {
		return in, err
	}
	if raw, err = io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(raw)), mostSaved)); err != nil {
		return in, err
	}
	if err = json.Unmarshal(raw, &in); err == nil && len(in.Acts) > mostActs {
		err = errors.New("too many acts")
	}
	return in, err
}

// again opens the scene of a link and plays what was done in it.
func (s *server) again(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Link string `json:"link"`
	}
	if !read(w, r, &in) {
		return
	}
	what, err := unpack(in.Link)
	if err != nil {
		fail(w, 400, "this link holds no scene: "+err.Error())
		return
	}
	s.raise(w, r.Context(), what)
}

// open starts a scene.
func (s *server) open(w http.ResponseWriter, r *http.Request) {
	scene := r.PathValue("scene")
	if scene == opening {
		scene = ""
	}
	s.raise(w, r.Context(), saved{Scene: scene})
}

// opening is how the scene without a name goes in an address.
const opening = "opening"

// raise puts another world in the place of the one that is open.
func (s *server) raise(w http.ResponseWriter, ctx context.Context, what saved) {
	if what.Scene != "" && !slices.Contains(s.house.Scenes(), what.Scene) {
		fail(w, 404, ErrNoScene.Error())
		return
	}
	end, ok := s.acting(w, s.current()) // nobody else opens one between the two
	if !ok {
		return
	}
	defer end()
	world, err := s.house.Open(ctx, what.Scene)
	if err != nil {
		fail(w, 500, "the scene does not open: "+err.Error())
		return
	}
	g := newPlay(world, what.Scene, s.house.Languages())
	for _, a := range what.Acts {
		_, _, err := g.perform(ctx, a)
		if err == nil && a.To != "" {
			g.keep(a)
		}
		if err == nil {
			_, err = g.look(ctx)
		}
		if err != nil {
			world.Close()
			fail(w, 409, "what was kept does not play again: "+err.Error())
			return
		}
	}
	g.opened = true
	if err := g.save(); err != nil {
		world.Close()
		fail(w, 500, err.Error())
		return
	}
	s.swap.Lock()
	old := s.play
	s.play = g
	s.swap.Unlock()
	old.world.Close()
	reply(w, 200, g.now(false))
}

// scenes lists what can be opened.
func (s *server) scenes(w http.ResponseWriter, r *http.Request) {
	type scene struct {
		ID    string `json:"id"`
		Name  string `json:"name"`
		Story string `json:"story"`
	}
	words, out := s.house.Words(s.lang(r)), []scene{}
	for _, id := range s.house.Scenes() {
		out = append(out, scene{id, words["scene."+id+".name"], words["scene."+id+".story"]})
	}
	reply(w, 200, out)
}
