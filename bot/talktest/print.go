package talktest

import (
	"regexp"
	"slices"
	"strings"
)

// codes are random, so a talk shows the word CODE where one stands.
var (
	codeText   = regexp.MustCompile(`\b(?:\d\d|S0|G0)[0-9A-HJKMNP-TV-Z]{12}\b`)
	codeSpaced = regexp.MustCompile(`\b(\d\d|S0|G0) ([0-9A-HJKMNP-TV-Z]{4}) ([0-9A-HJKMNP-TV-Z]{4}) ([0-9A-HJKMNP-TV-Z]{4})\b`)
)

// print gives what everybody heard since the last time, by chat in the order
// the people came, each in the order sent. Who hears the same is named together.
func (k *talk) print() []string {
	all := append(k.kept, k.on.heard()...)
	k.kept = nil
	k.seen = append(k.seen, all...)
	var out []string
	var said [][]string // of each chat in order
	for _, chat := range k.order {
		var bodies []string
		for _, m := range all {
			if m.chat == chat {
				body := k.body(m)
				bodies = append(bodies, strings.Join(body, "\n"))
			}
		}
		if chat == k.fold {
			bodies = nil
		}
		said = append(said, bodies)
	}
	for i, bodies := range said {
		if len(bodies) == 0 {
			continue
		}
		name := k.nameOf(k.order[i])
		for j := i + 1; j < len(said); j++ {
			if slices.Equal(said[j], bodies) {
				name += ", " + k.nameOf(k.order[j])
				said[j] = nil
			}
		}
		for _, body := range bodies {
			out = append(out, named(name, strings.Split(body, "\n"))...)
		}
	}
	if k.mute {
		return nil
	}
	k.last = out
	return out
}

func (k *talk) nameOf(chat int64) string {
	for _, p := range k.people {
		if p.id == chat {
			return p.name
		}
	}
	return "?"
}

// nameWidth is how wide the column of names is.
const nameWidth = 10

// named writes the lines of one message beside a name.
func named(name string, body []string) []string {
	out := make([]string, len(body))
	for i, line := range body {
		if i > 0 {
			name = ""
		}
		out[i] = strings.TrimRight("> "+name+strings.Repeat(" ", max(nameWidth-len(name), 0))+" "+line, " ")
	}
	return out
}

// body writes one message: its text behind a bar, then quick answers in round
// and buttons in square brackets, a row a line.
func (k *talk) body(m heard) (out []string) {
	text := m.text
	if m.media != "" {
		text = strings.TrimSuffix("("+m.media+")\n"+text, "\n")
	}
	for _, line := range strings.Split(k.hide(text), "\n") {
		out = append(out, "| "+line)
	}
	for _, row := range m.keys {
		out = append(out, "( "+strings.Join(row, " ) ( ")+" )")
	}
	for _, row := range m.buttons {
		labels := make([]string, len(row))
		for i, b := range row {
			labels[i] = k.hide(b.label)
		}
		out = append(out, "[ "+strings.Join(labels, " ] [ ")+" ]")
	}
	return out
}

// numbers are values that go with many texts of a talk, whether they name them
// or not; a talk shows them once, where one is all there is.
var numbers = regexp.MustCompile(` number="911" phone="555 0100" practice="[^"]*" fallback="[^"]*"( wear=[a-z.]+)?( crisis=[a-z.]+)?`)

// hide puts the word CODE where a code stands, and remembers the code.
func (k *talk) hide(text string) string {
	text = numbers.ReplaceAllString(text, " ...")
	if m := codeSpaced.FindStringSubmatch(text); m != nil {
		k.code = strings.Join(m[1:], "")
		text = codeSpaced.ReplaceAllString(text, "CODE")
	}
	if c := codeText.FindString(text); c != "" {
		k.code = c
		text = codeText.ReplaceAllString(text, "CODE")
	}
	return text
}
