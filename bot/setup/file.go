package setup

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"

	"github.com/BurntSushi/toml"
)

// file is a TOML file taken apart: its values, and the line of each key.
type file struct {
	root   map[string]any
	lines  map[string]int // by path, "hours.mon", "rota[1].from"
	used   map[string]bool
	faults []Fault
}

func readTOML(raw []byte) *file {
	f := &file{lines: keyLines(string(raw)), used: map[string]bool{}}
	if err := toml.Unmarshal(raw, &f.root); err != nil {
		var p toml.ParseError
		line := 0
		if errors.As(err, &p) {
			line = p.Position.Line
		}
		f.root = nil
		f.faults = append(f.faults, fault("", line, "setup.bad.toml", message.ArgS("reason", reasonOf(err, p))))
	}
	return f
}

// reasonOf is the parser's own short message, without the file's text.
func reasonOf(err error, p toml.ParseError) string {
	if p.Message != "" {
		return p.Message
	}
	return err.Error()
}

// keyLines finds the line of every key, since the parser keeps none. It knows
// sections, arrays of sections and multi-line strings, which is all that our
// files have.
func keyLines(text string) map[string]int {
	out, section, count, quoted := map[string]int{}, "", map[string]int{}, ""
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if quoted != "" {
			if strings.Contains(line, quoted) {
				quoted = ""
			}
			continue
		}
		switch {
		case line == "" || line[0] == '#':
		case strings.HasPrefix(line, "[["):
			name := strings.Trim(strings.SplitN(line, "#", 2)[0], "[] \t")
			section = fmt.Sprintf("%s[%d].", name, count[name])
			count[name]++
			out[strings.TrimSuffix(section, ".")] = i + 1
		case line[0] == '[':
			name := strings.Trim(strings.SplitN(line, "#", 2)[0], "[] \t")
			out[name], section = i+1, name+"."
		default:
			key, value, ok := strings.Cut(line, "=")
			if !ok {
				continue
			}
			out[section+strings.Trim(strings.TrimSpace(key), `"'`)] = i + 1
			for _, q := range []string{`"""`, `'''`} {
				if strings.Count(value, q) == 1 {
					quoted = q
				}
			}
		}
	}
	return out
}

func (f *file) bad(path, id string, args ...message.Arg) {
	f.faults = append(f.faults, fault(path, f.lines[path], id, args...))
}

// table is one table of the file, with the path in front of its keys.
type table struct {
	f    *file
	path string
	m    map[string]any
}

func (f *file) top() table { return table{f, "", f.root} }

func (t table) take(key string) (any, string, bool) {
	path := t.path + key
	v, ok := t.m[key]
	t.f.used[path] = true
	return v, path, ok
}

// text reads a string, cleaned; most is the longest it may be, in runes.
func (t table) text(key string, most int) string {
	v, path, ok := t.take(key)
	if !ok {
		return ""
	}
	s, isText := v.(string)
	if !isText {
		t.f.bad(path, "setup.bad.text")
		return ""
	}
	if s = strings.TrimSpace(s); strings.IndexFunc(s, func(r rune) bool {
		return invisible(r) && (r != '\n' || most <= oneLine)
	}) >= 0 {
		t.f.bad(path, "setup.bad.text")
	}
	if n := len([]rune(s)); n > most {
		t.f.bad(path, "setup.bad.long", message.ArgN("said", n), message.ArgN("most", most))
	}
	return s
}

// oneLine is how long a text may be that has one line.
const oneLine = 200

// invisible reports whether a sign changes how a line looks and shows nothing itself:
// ends of lines, and what turns the direction of a text.
func invisible(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029'
}

func (t table) need(key string, most int) string {
	s := t.text(key, most)
	if _, there := t.m[key]; s == "" && (!there || t.m[key] == "") {
		t.f.bad(t.path+key, "setup.bad.missing")
	}
	return s
}

// whole reads a whole number within bounds; usual where it is not there.
func (t table) whole(key string, least, most, usual int) int {
	v, path, ok := t.take(key)
	if !ok {
		return usual
	}
	n, isWhole := v.(int64)
	if !isWhole || n < int64(least) || n > int64(most) {
		t.f.bad(path, "setup.bad.whole", message.ArgN("least", least), message.ArgN("most", most))
		return usual
	}
	return int(n)
}

func (t table) clock(key string, usual civil.Clock) civil.Clock {
	v, path, ok := t.take(key)
	if !ok {
		return usual
	}
	c, ok := enrol.ParseClock(typed(v))
	if !ok {
		t.f.bad(path, "setup.bad.clock")
		return usual
	}
	return c
}

func (t table) yes(key string) bool {
	v, path, ok := t.take(key)
	b, isBool := v.(bool)
	if ok && !isBool {
		t.f.bad(path, "setup.bad.yes")
	}
	return b
}

// list reads an array of strings or dates, as typed.
func (t table) list(key string) []string {
	v, path, ok := t.take(key)
	if !ok {
		return nil
	}
	a, isList := v.([]any)
	if !isList {
		t.f.bad(path, "setup.bad.list")
		return nil
	}
	out := make([]string, len(a))
	for i, x := range a {
		out[i] = typed(x)
	}
	return out
}

// sub reads a table within, and each an array of tables.
func (t table) sub(key string) table {
	v, path, ok := t.take(key)
	m, isTable := v.(map[string]any)
	if ok && !isTable {
		t.f.bad(path, "setup.bad.table")
	}
	return table{t.f, path + ".", m}
}

func (t table) each(key string) []table {
	v, path, ok := t.take(key)
	a, isList := v.([]map[string]any)
	if ok && !isList {
		t.f.bad(path, "setup.bad.tables")
	}
	out := make([]table, len(a))
	for i, m := range a {
		out[i] = table{t.f, fmt.Sprintf("%s[%d].", path, i), m}
	}
	return out
}

// leftOver reports the keys that nobody asked for.
func (t table) leftOver() {
	for _, key := range slices.Sorted(maps.Keys(t.m)) {
		if path := t.path + key; !t.f.used[path] {
			t.f.bad(path, "setup.bad.key")
		}
	}
}

// typed writes a value of the file as it would be typed into the form.
func typed(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case int64:
		return strconv.FormatInt(v, 10)
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64)
	case time.Time:
		if v.Location().String() == "time-local" {
			return v.Format("15:04")
		}
		return v.Format(time.DateOnly)
	case []any:
		parts := make([]string, len(v))
		for i, x := range v {
			parts[i] = typed(x)
		}
		return strings.Join(parts, " | ")
	}
	return fmt.Sprint(v)
}
