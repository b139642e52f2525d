package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"duskdawn/bot/stage"
)

// rehearsed are the host's commands that a rehearsal runs on its own world and clock.
var rehearsed = []string{"staff", "enrol", "backup"}

// atHost runs what is typed at the host of a rehearsal: the very commands of the
// program, on the world that is open. The lines below the first are a plan's file.
func atHost(ctx context.Context, w *stage.World, text string) string {
	line, plan, _ := strings.Cut(text, "\n")
	words := inWords(line)
	if len(words) > 0 && words[0] == "./duskdawn" {
		words = words[1:]
	}
	if len(words) == 0 || !slices.Contains(rehearsed, words[0]) {
		return "Here only these are run: " + strings.Join(rehearsed, ", ") + ". Type help."
	}
	if strings.TrimSpace(plan) != "" {
		dir, err := os.MkdirTemp("", "duskdawn")
		if err != nil {
			return err.Error()
		}
		defer os.RemoveAll(dir)
		file := filepath.Join(dir, "plan.toml")
		if err := os.WriteFile(file, []byte(plan), 0o600); err != nil {
			return err.Error()
		}
		words = append(words, "-plan", file)
	}
	var out bytes.Buffer
	for _, c := range commands() {
		if c.name != words[0] {
			continue
		}
		err := c.run(ctx, app{out: &out, err: &out, in: strings.NewReader(""), on: w}, words[1:])
		if code := exitCode(err); code != 0 && code != 2 {
			fmt.Fprintf(&out, "%s: %v\n", c.name, err)
		}
	}
	return out.String()
}

// inWords parts a command line as a shell does that knows nothing but quotes.
func inWords(line string) (words []string) {
	var b strings.Builder
	quote, open := rune(0), false
	for _, r := range line + " " {
		switch {
		case quote == 0 && (r == '"' || r == '\''):
			quote, open = r, true
		case quote != 0 && r == quote:
			quote = 0
		case quote == 0 && (r == ' ' || r == '\t'):
			if open {
				words = append(words, b.String())
				b.Reset()
			}
			open = false
		default:
			b.WriteRune(r)
			open = true
		}
	}
	return words
}
