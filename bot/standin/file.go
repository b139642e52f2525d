package standin

import (
	"bytes"
	"image"
	_ "image/jpeg" // a picture is measured before it is taken
	_ "image/png"
	"net/http"
	"strconv"
	"strings"
)

// file is what was uploaded, by the bot or by a person.
type file struct {
	id, name, kind string
	data           []byte
}

// keep gives a file its id; the lock is held.
func (s *Server) keep(kind string, f file) file {
	if f.id == "" {
		s.nextFile++
		f.id, f.kind = "file-"+kind+"-"+strconv.FormatInt(s.nextFile, 10), kind
		s.files[f.id] = f
	}
	return f
}

func measure(data []byte) *refusal {
	c, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return bad("IMAGE_PROCESS_FAILED")
	}
	w, h := c.Width, c.Height
	if w+h > 10_000 || w > 20*h || h > 20*w {
		return bad("PHOTO_INVALID_DIMENSIONS")
	}
	return nil
}

func (s *Server) getFile(f *form) (any, *refusal) {
	up, ok := s.files[f.str("file_id")]
	if !ok {
		return nil, bad("wrong file_id or the file is temporarily unavailable")
	}
	if len(up.data) > 20<<20 {
		return nil, bad("file is too big")
	}
	return map[string]any{"file_id": up.id, "file_unique_id": "u" + up.id, "file_size": len(up.data),
		"file_path": up.kind + "s/" + up.id}, nil
}

func (s *Server) serveFile(w http.ResponseWriter, rest string) {
	token, path, _ := strings.Cut(rest, "/")
	_, id, _ := strings.Cut(path, "/")
	s.mu.Lock()
	up, ok := s.files[id]
	s.mu.Unlock()
	if token != s.opt.Token || !ok {
		refuse(w, &refusal{code: 404, text: "Not Found"})
		return
	}
	_, _ = w.Write(up.data)
}
