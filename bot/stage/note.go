package stage

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"duskdawn/bot/rehearsal"
	"duskdawn/flows/message"

	"github.com/BurntSushi/toml"
)

// script is a scene in the language of testdata/talks (its README lists the
// words; a scene uses some of them), as it was opened and as it went on.
type script struct {
	lines []string
	noted time.Time // where the clock of the last line stands
	whole bool      // it holds everything from the start
	quiet bool      // what happens is not noted: a line already tells it
}

// line adds one, after one that moves the clock where it has moved.
func (w *World) line(format string, args ...any) {
	if w.script.quiet {
		return
	}
	if now := w.Now().Truncate(time.Minute); now.After(w.script.noted) {
		z, _ := w.zones.Load(w.zone)
		at := z.Wall(now)
		w.script.lines = append(w.script.lines, fmt.Sprintf("to %s %s", at.Date, at.Clock))
		w.script.noted = now
	}
	w.script.lines = append(w.script.lines, fmt.Sprintf(format, args...))
}

// Note writes an act down. A move of the clock is written with the next thing
// that is said, or at the end.
func (w *World) Note(a rehearsal.Act) {
	for _, c := range w.People {
		if c.ID != a.Chat {
			continue
		}
		name, in := w.called(c), ""
		if c.Room != 0 {
			in = " in group"
		}
		switch {
		case a.Say != "":
			w.line("%s%s: %s", name, in, spoken(a.Say))
		case a.Send != "":
			w.line("%s sends %s", name, a.Send)
		case a.Tap != "":
			w.line("%s taps %s%s", name, w.keyOf(a.Tap), in)
		}
	}
}

// called is a person's name in a script.
func (w *World) called(c rehearsal.Chat) string {
	if c.Name != "" {
		return c.Name
	}
	return strings.ToLower(c.Who)
}

// spoken is a text as a script has it. A code is never the same twice.
func spoken(text string) string {
	if word, _, ok := strings.Cut(text, " "); ok && word == "/start" {
		return "/start CODE"
	}
	return strings.ReplaceAll(text, "\n", `\n`)
}

// keyOf is the key of a button's label, also of one that has a value in it; the
// label itself where it has none.
func (w *World) keyOf(label string) string {
	for _, lang := range w.Words.Languages() {
		texts := w.Words.Topic(lang, buttonKeys...)
		for _, key := range slices.Sorted(maps.Keys(texts)) {
			if texts[key] == label {
				return key
			}
		}
	}
	for _, lang := range w.Words.Languages() {
		for _, key := range valued {
			l := message.Say(key)
			for name := range strings.FieldsSeq("n value place share until field now id who") {
				l.Args = append(l.Args, message.ArgS(name, "QQ"))
			}
			pattern := strings.ReplaceAll(regexp.QuoteMeta(w.Words.Line(lang, l)), "QQ", ".+")
			if is, _ := regexp.MatchString("^"+pattern+"$", label); is {
				return key
			}
		}
	}
	if slices.ContainsFunc(w.Chats(), func(c rehearsal.Chat) bool { return c.Patient == label }) {
		return "desk.b.open"
	}
	return label
}

// buttonKeys begin the keys of what stands on buttons; valued are those whose
// label has a value in it, but for one that is a patient's label alone.
var (
	buttonKeys = strings.Fields("desk.b. desk.yes desk.no desk.lang. esc. enrol.f.")
	valued     = strings.Fields("desk.b.take desk.b.default desk.b.keep desk.b.until desk.b.to desk.b.why")
)

// Talk is the scene so far as a script.
func (w *World) Talk() string {
	if !w.script.whole {
		return ""
	}
	out := slices.Clone(w.script.lines)
	if now := w.Now().Truncate(time.Minute); now.After(w.script.noted) {
		z, _ := w.zones.Load(w.zone)
		at := z.Wall(now)
		out = append(out, fmt.Sprintf("to %s %s", at.Date, at.Clock))
	}
	return strings.Join(out, "\n") + "\n"
}

// values are a plan file's values as a script writes them, but for who it is.
func values(raw []byte) string {
	var file map[string]any
	if err := toml.Unmarshal(raw, &file); err != nil {
		return ""
	}
	var out []string
	for _, key := range slices.Sorted(maps.Keys(file)) {
		if key == "label" || key == "zone" || key == "language" || key == "fitted" {
			continue
		}
		v := fmt.Sprint(file[key])
		if strings.ContainsAny(v, " ") {
			v = strconv.Quote(v)
		}
		out = append(out, key+"="+v)
	}
	return strings.Join(out, " ")
}
