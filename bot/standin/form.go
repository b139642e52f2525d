package standin

import (
	"encoding/json"
	"io"
	"mime"
	"net/http"
	"slices"
	"strconv"
	"strings"
)

// maxBody bounds a request: the platform takes documents of 50 MB.
const maxBody = 52 << 20

// form is a request's parameters, whatever body carried them.
type form struct {
	values map[string]string // text, numbers, true and false, or JSON
	files  map[string]file
}

func (f *form) str(name string) string { return f.values[name] }
func (f *form) int(name string) int64  { n, _ := number(f.values[name]); return n }
func (f *form) bool(name string) bool  { b, _ := strconv.ParseBool(f.values[name]); return b }
func (f *form) has(name string) bool   { _, ok := f.values[name]; return ok }

func number(s string) (int64, error) { return strconv.ParseInt(s, 10, 64) }

// readForm reads a JSON, form or multipart body, or the address's query.
func readForm(w http.ResponseWriter, r *http.Request) (*form, *refusal) {
	f := &form{values: map[string]string{}, files: map[string]file{}}
	if r.Method != http.MethodPost && r.Method != http.MethodGet {
		return nil, &refusal{code: 405, text: "Method Not Allowed"}
	}
	r.Body = http.MaxBytesReader(w, r.Body, maxBody)
	kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	switch kind {
	case "application/json":
		return f, f.readJSON(r.Body)
	case "multipart/form-data":
		return f, f.readMultipart(r)
	default:
		if err := r.ParseForm(); err != nil {
			return nil, bad("can't parse the form")
		}
		for k, v := range r.Form {
			f.values[k] = v[0]
		}
		return f, nil
	}
}

func (f *form) readJSON(body io.Reader) *refusal {
	var raw map[string]json.RawMessage
	data, err := io.ReadAll(body)
	if err != nil || (len(data) > 0 && json.Unmarshal(data, &raw) != nil) {
		return bad("can't parse the JSON body")
	}
	for k, v := range raw {
		var text string
		if json.Unmarshal(v, &text) == nil && string(v) != "null" {
			f.values[k] = text
		} else if string(v) != "null" {
			f.values[k] = string(v)
		}
	}
	return nil
}

func (f *form) readMultipart(r *http.Request) *refusal {
	parts, err := r.MultipartReader()
	if err != nil {
		return bad("can't parse the multipart body")
	}
	for {
		p, err := parts.NextPart()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			// The library closes the body without a boundary where a method
			// has no parameter at all; the platform takes that as none.
			if len(f.values)+len(f.files) == 0 {
				return nil
			}
			return bad("can't parse the multipart body")
		}
		data, err := io.ReadAll(p)
		if err != nil {
			return bad("can't read the multipart body")
		}
		if p.FileName() != "" {
			f.files[p.FormName()] = file{name: p.FileName(), data: data}
		} else {
			f.values[p.FormName()] = string(data)
		}
	}
}

// method is one entry of the table: the parameters it knows, and what it does.
type method struct {
	name     string
	params   map[string]string // name to kind
	required []string
	do       func(*form) (any, *refusal)
}

// spec reads "chat_id:int! text:str": a name, its kind, and ! where required.
func spec(name, params string, do func(*form) (any, *refusal)) method {
	m := method{name: name, params: map[string]string{}, do: do}
	for _, p := range strings.Fields(params) {
		n, kind, _ := strings.Cut(p, ":")
		if k, ok := strings.CutSuffix(kind, "!"); ok {
			kind = k
			m.required = append(m.required, n)
		}
		m.params[n] = kind
	}
	return m
}

// check holds a request against the table, by name and kind.
func (m method) check(f *form) *refusal {
	for n, v := range f.values {
		kind, ok := m.params[n]
		var err error
		switch {
		case !ok:
			return bad("unknown parameter " + strconv.Quote(n) + " of " + m.name)
		case kind == "int":
			_, err = number(v)
		case kind == "bool":
			if v != "true" && v != "false" {
				err = io.ErrUnexpectedEOF
			}
		case kind == "json" && !json.Valid([]byte(v)):
			err = io.ErrUnexpectedEOF
		}
		if err != nil {
			return bad("parameter " + n + " must be of kind " + kind)
		}
	}
	for n := range f.files {
		if m.params[n] != "file" {
			return bad("unknown file " + strconv.Quote(n) + " of " + m.name)
		}
	}
	for _, n := range m.required {
		_, isFile := f.files[n]
		if !f.has(n) && !isFile {
			if n == "text" {
				return bad("message text is empty")
			}
			return bad("parameter " + n + " is required")
		}
	}
	return nil
}

func (m method) sends() bool { return slices.Contains(strings.Fields(sending), m.name) }
func (m method) edits() bool { return strings.HasPrefix(m.name, "edit") }

const sending = "sendMessage sendPhoto sendDocument sendVideo"
