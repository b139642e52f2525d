// Package sentence reads labelled sentences: what a person might type, and what a careful nurse would do with it.
//
// A file has one sentence a line: class, text and expected values, apart by tabs. The class is E, S or N with the
// dangers named ("E:breath+chest"), D for a diary answer, Q for what looks like a danger and is none now (a question,
// a condition, somebody else, a film, long past, an animal, an idiom, a negation), H for what is harmless, and "-"
// for a sentence without danger that nobody sorted further. Lines that begin with "# kind:" say who writes the lines
// that follow; other lines with a # in front are remarks.
package sentence

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"duskdawn/flows/reading"
)

// Sentence is one line of a file.
type Sentence struct {
	File     string          // its file's name, where Folder read it; it begins with the language: "en.one.tsv"
	Line     int             // in its file, from 1
	Kind     string          // who writes so; empty where the file does not say
	Class    byte            // 'E', 'S', 'N', 'D', 'Q', 'H' or '-'
	Dangers  reading.Dangers // of E, S and N
	Text     string
	Expected string // of D: "worn=all pain=2", "none"; empty where the file does not say
}

// Danger reports whether staff must hear of it.
func (s *Sentence) Danger() bool { return s.Class == 'E' || s.Class == 'S' || s.Class == 'N' }

// Lang is the language of its file, "en"; empty where the file's name does not say.
func (s *Sentence) Lang() string {
	lang, _, ok := strings.Cut(path.Base(s.File), ".")
	if !ok || len(lang) != 2 {
		return ""
	}
	return lang
}

// Folder reads every .tsv file of a folder, in the order of their names.
func Folder(folder fs.FS) ([]Sentence, error) {
	names, err := fs.Glob(folder, "*.tsv")
	if err != nil {
		return nil, err
	}
	slices.Sort(names)
	var all []Sentence
	for _, name := range names {
		f, err := folder.Open(name)
		if err != nil {
			return nil, err
		}
		part, err := Read(f)
		if err = errors.Join(err, f.Close()); err != nil {
			return nil, fmt.Errorf("%s, %w", name, err)
		}
		for i := range part {
			part[i].File = name
		}
		all = append(all, part...)
	}
	return all, nil
}

// longest is the longest line that is read, in bytes; the platform's longest message is 4,096 UTF-16 units.
const longest = 64 << 10

// Read reads a file. An error names the line.
func Read(r io.Reader) ([]Sentence, error) {
	var all []Sentence
	kind, line := "", 0
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, longest)
	for lines.Scan() {
		line++
		row := strings.TrimRight(lines.Text(), "\r")
		if line == 1 {
			row = strings.TrimPrefix(row, "\ufeff")
		}
		switch {
		case strings.TrimSpace(row) == "":
			continue
		case strings.HasPrefix(row, "#"):
			if k, ok := strings.CutPrefix(row, "# kind:"); ok {
				kind = strings.TrimSpace(k)
			}
			continue
		}
		s, err := parse(row)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", line, err)
		}
		s.Line, s.Kind = line, kind
		all = append(all, s)
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("after line %d: %w", line, err)
	}
	return all, nil
}

func parse(row string) (Sentence, error) {
	label, rest, ok := strings.Cut(row, "\t")
	text, expected, _ := strings.Cut(rest, "\t")
	s := Sentence{Text: strings.TrimSpace(text), Expected: strings.TrimSpace(expected)}
	if !ok || s.Text == "" {
		return s, fmt.Errorf("wanted class, text and expected values, apart by tabs")
	}
	class, topics, named := strings.Cut(strings.TrimSpace(label), ":")
	if len(class) != 1 || !strings.Contains("ESNDQH-", class) {
		return s, fmt.Errorf("no class is called %q; there are E, S, N, D, Q, H and -", class)
	}
	s.Class = class[0]
	if !named {
		return s, nil
	}
	if !s.Danger() {
		return s, fmt.Errorf("the class %s has no dangers, and %q is named", class, topics)
	}
	for _, name := range strings.Split(topics, "+") {
		d, ok := reading.DangerNamed(name)
		if !ok {
			return s, fmt.Errorf("no danger is called %q", name)
		}
		s.Dangers |= reading.SetOf(d)
	}
	if worst := s.Dangers.Class(); worst != s.Class {
		return s, fmt.Errorf("%s is of class %c, not %s", topics, worst, class)
	}
	return s, nil
}
