package main

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
// the people came, each in the order sent.
func (k *talk) print() []string {
	all := k.on.heard()
	k.seen = append(k.seen, all...)
	slices.SortStableFunc(all, func(a, b heard) int { return slices.Index(k.order, a.chat) - slices.Index(k.order, b.chat) })
	var out []string
	for _, m := range all {
		if shown := k.show(m); m.chat != k.fold {
			out = append(out, shown...)
		}
	}
	if k.mute {
		return nil
	}
	k.last = out
	return out
}

// nameWidth is how wide the column of names is.
const nameWidth = 10

// show writes one message: its text, then quick answers in round and buttons
// in square brackets, a row a line.
func (k *talk) show(m heard) []string {
	name := "?"
	for _, p := range k.people {
		if p.id == m.chat {
			name = p.name
		}
	}
	head := "> " + name + strings.Repeat(" ", max(nameWidth-len(name), 0)) + " | "
	rest := "> " + strings.Repeat(" ", max(nameWidth, len(name))) + " "
	text := m.text
	if m.media != "" {
		text = strings.TrimSuffix("("+m.media+")\n"+text, "\n")
	}
	var out []string
	for i, line := range strings.Split(k.hide(text), "\n") {
		if i == 0 {
			out = append(out, strings.TrimRight(head+line, " "))
		} else {
			out = append(out, strings.TrimRight(rest+"| "+line, " "))
		}
	}
	for _, row := range m.keys {
		out = append(out, rest+"( "+strings.Join(row, " ) ( ")+" )")
	}
	for _, row := range m.buttons {
		labels := make([]string, len(row))
		for i, b := range row {
			labels[i] = k.hide(b.label)
		}
		out = append(out, rest+"[ "+strings.Join(labels, " ] [ ")+" ]")
	}
	return out
}

// hide puts the word CODE where a code stands, and remembers the code.
func (k *talk) hide(text string) string {
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
