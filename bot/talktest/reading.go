package talktest

import (
	"slices"
	"strings"
	"testing"
)

// inWords is a talk as people read it.
func (s Script) inWords(t *testing.T, lang string) string {
	lines := slices.DeleteFunc(s.Play(t, NewPure(t), lang, false), func(line string) bool {
		word, _, _ := strings.Cut(line, " ")
		return slices.Contains(assertions, word)
	})
	return strings.Join(lines, "\n") + "\n"
}

// assertions begin the lines of a script that a reader can do without.
var assertions = strings.Fields("rule fired unfired advice setting between doubt state open escalation flag flags ready plan zone breach heard unheard silence also")
