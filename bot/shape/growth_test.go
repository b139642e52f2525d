package shape

import (
	"slices"
	"strings"
	"testing"

	"duskdawn/store"
)

// small is a program that stores something.
const small = `package small

type State uint8

const (
	NoState State = iota
	Waiting
	Walking
	NumStates
)

type Class byte

const (
	ClassE Class = 'E'
	ClassS Class = 'S'
)

type Mark uint64

const (
	Sore Mark = 1 << iota
	Loose
)

const numRuns = 3

type Course struct {
	State State            ` + "`cbor:\"1,keyasint,omitempty\"`" + `
	Runs  [numRuns]uint8   ` + "`cbor:\"2,keyasint,omitempty\"`" + `
	By    [NumStates]int16 ` + "`cbor:\"3,keyasint,omitempty\"`" + `
	Last  *Night           ` + "`cbor:\"4,keyasint,omitempty\"`" + `
	night int
}

type Night struct {
	On   int32  ` + "`cbor:\"1,keyasint\"`" + `
	Note string ` + "`cbor:\"2,keyasint\"`" + `
}
`

// formOf reads the stored form of a program of one file, changed by pairs of
// what is written and what is written instead.
func formOf(t *testing.T, changes ...string) ([]string, error) {
	t.Helper()
	text := small
	for i := 0; i < len(changes); i += 2 {
		if strings.Count(text, changes[i]) != 1 {
			t.Fatalf("%q is there %d times", changes[i], strings.Count(text, changes[i]))
		}
		text = strings.Replace(text, changes[i], changes[i+1], 1)
	}
	s := newSources()
	if err := s.add("small", map[string]string{"small.go": text}); err != nil {
		t.Fatal(err)
	}
	return storedForm(s)
}

// What is put behind what is there is growth, and what was stored means the
// same; what takes the place of another is a change.
func TestFormGrows(t *testing.T) {
	old, err := formOf(t)
	if err != nil || len(old) != 16 {
		t.Fatalf("%d lines, %v: %q", len(old), err, old)
	}
	for name, c := range map[string][]string{
		"a name at the end":    {"\tWalking\n", "\tWalking\n\tRunning\n"},
		"a letter":             {"'S'\n", "'S'\n\tClassN Class = 'N'\n"},
		"a mark":               {"\tLoose\n", "\tLoose\n\tSwollen\n"},
		"a field with its key": {"\tnight int\n", "\tnight int\n\tNew string `cbor:\"5,keyasint\"`\n"},
		"the same in between":  {"\tLast ", "\tNew string `cbor:\"5,keyasint\"`\n\tLast "},
		"a longer list":        {"numRuns = 3", "numRuns = 4"},
		"a wider number":       {"type State uint8", "type State uint16"},
		"a type":               {"type Night", "type Other struct {\n\tA int `cbor:\"1,keyasint\"`\n}\n\ntype Night"},
	} {
		now, err := formOf(t, c...)
		if wrong := changed(old, now); len(wrong) > 0 || err != nil {
			t.Errorf("%s is growth: %q, %v", name, wrong, err)
		}
		if slices.Equal(old, now) {
			t.Errorf("%s does not show in the form", name)
		}
	}
	for name, c := range map[string][]string{
		"a pointer less":     {"*Night ", "Night "},
		"what is not stored": {"\tnight int\n", "\tnight string\n"},
		"a variable":         {"\tnight int\n}", "\tnight int\n}\n\nvar Here State = Walking"},
	} {
		if now, err := formOf(t, c...); !slices.Equal(old, now) || err != nil {
			t.Errorf("%s makes another form: %q, %v", name, now, err)
		}
	}
	for name, c := range map[string]struct {
		change []string
		want   []string // what each complaint names, in any order
	}{
		"a name in between":        {[]string{"\tWaiting\n", "\tNew\n\tWaiting\n"}, []string{`"number State 1 Waiting": that is "number State 1 New"`, `"number State 2 Walking": that is`}},
		"two names exchanged":      {[]string{"\tWaiting\n\tWalking\n", "\tWalking\n\tWaiting\n"}, []string{`"number State 1 Waiting": that is "number State 1 Walking"`, `"number State 2 Walking": that is "number State 2 Waiting"`}},
		"a name taken away":        {[]string{"\tWalking\n", ""}, []string{`"number State 2 Walking": it is gone`, `"field Course 3 By [3]int16": it is [2]int16 now`}},
		"another letter":           {[]string{"'S'", "'T'"}, []string{`"number Class 83 ClassS": it is gone`}},
		"marks moved up":           {[]string{"1 << iota", "2 << iota"}, []string{`"number Mark 1 Sore": it is gone`, `"number Mark 2 Loose": that is "number Mark 2 Sore"`}},
		"a key given to another":   {[]string{"\tNote string", "\tWhere string"}, []string{`"field Night 2 Note string": that is "field Night 2 Where string"`}},
		"another key":              {[]string{"\"2,keyasint\"`\n}", "\"3,keyasint\"`\n}"}, []string{`"field Night 2 Note string": it is gone`}},
		"a field taken away":       {[]string{"\tOn   int32  `cbor:\"1,keyasint\"`\n", ""}, []string{`"field Night 1 On int32": it is gone`}},
		"another type of field":    {[]string{"On   int32", "On   string"}, []string{`"field Night 1 On int32": it is string now`}},
		"without its sign":         {[]string{"On   int32", "On   uint32"}, []string{`"field Night 1 On int32": it is uint32 now`}},
		"a shorter list":           {[]string{"numRuns = 3", "numRuns = 2"}, []string{`"field Course 2 Runs [3]uint8": it is [2]uint8 now`}},
		"a list of something else": {[]string{"[numRuns]uint8", "[numRuns]string"}, []string{`"field Course 2 Runs [3]uint8": it is [3]string now`}},
		"a narrower number":        {[]string{"type State uint8", "type State int8"}, []string{`"type State uint8": it is int8 now`}},
		"a type called otherwise":  {[]string{"Last  *Night ", "Last  *Day ", "type Night struct", "type Day struct"}, []string{`"field Course 4 Last Night": it is Day now`, `"field Night 1 On int32": it is gone`, `"field Night 2 Note string": it is gone`}},
	} {
		now, err := formOf(t, c.change...)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		wrong := changed(old, now)
		if len(wrong) != len(c.want) {
			t.Errorf("%s: %d complaints, not %d: %q", name, len(wrong), len(c.want), wrong)
		}
		for _, want := range c.want {
			if !slices.ContainsFunc(wrong, func(w string) bool { return strings.HasPrefix(w, want) }) {
				t.Errorf("%s: none of %q begins with %q", name, wrong, want)
			}
		}
	}
	for want, change := range map[string][]string{
		"stored and has no key":  {"\"2,keyasint\"`\n}", "\"2,keyasint\"`\n\tLate int\n}"},
		"have one key, 1":        {"\"2,keyasint\"`\n}", "\"1,keyasint\"`\n}"},
		"Walking are one number": {"\tWalking\n", "\tWalking State = 1 + 0*iota\n"},
		"ClassS are one number":  {"'S'", "'E'"},
	} {
		if _, err := formOf(t, change...); err == nil || !strings.Contains(strings.Join(strings.Fields(err.Error()), " "), want) {
			t.Errorf("%q: %v", want, err)
		}
	}
}

// was is what a course was stored as; grew, shrank and moved what it became.
type (
	was struct {
		State uint8     `cbor:"1,keyasint,omitempty"`
		Runs  [3]uint8  `cbor:"2,keyasint,omitempty"`
		By    [2]uint32 `cbor:"3,keyasint,omitempty"`
		Note  string    `cbor:"4,keyasint,omitempty"`
	}
	grew struct {
		State uint16    `cbor:"1,keyasint,omitempty"`
		Runs  [5]uint8  `cbor:"2,keyasint,omitempty"`
		By    [4]uint32 `cbor:"3,keyasint,omitempty"`
		Note  string    `cbor:"4,keyasint,omitempty"`
		New   string    `cbor:"5,keyasint,omitempty"`
	}
	shrank struct {
		State uint8     `cbor:"1,keyasint,omitempty"`
		Runs  [1]uint8  `cbor:"2,keyasint,omitempty"`
		By    [1]uint32 `cbor:"3,keyasint,omitempty"`
		Note  string    `cbor:"4,keyasint,omitempty"`
	}
	moved struct {
		State uint8     `cbor:"1,keyasint,omitempty"`
		Runs  [3]uint8  `cbor:"2,keyasint,omitempty"`
		By    [2]uint32 `cbor:"3,keyasint,omitempty"`
		Other string    `cbor:"4,keyasint,omitempty"`
		Note  string    `cbor:"5,keyasint,omitempty"`
	}
)

// Bytes that were stored mean the same to what has grown, and no longer to
// what has shrunk or moved.
func TestStoredBytesGrow(t *testing.T) {
	raw, err := store.Encode(was{3, [3]uint8{1, 2, 0}, [2]uint32{7, 8}, "a note"})
	if err != nil {
		t.Fatal(err)
	}
	read := func(v any) []string {
		t.Helper()
		if err := store.Decode(raw, v); err != nil {
			t.Fatal(err)
		}
		return printed("", v)
	}
	old := read(new(was))
	if len(old) != 6 {
		t.Fatalf("%q", old)
	}
	if missing := unmeant(old, read(new(grew))); len(missing) > 0 {
		t.Errorf("what has grown lost %q", missing)
	}
	lost := []string{".Runs = 010200", ".Runs[:2] = 0102", ".By[1] = 8"}
	if missing := unmeant(old, read(new(shrank))); !slices.Equal(missing, lost) {
		t.Errorf("what has shrunk lost %q", missing)
	}
	if missing := unmeant(old, read(new(moved))); !slices.Equal(missing, []string{`.Note = "a note"`}) {
		t.Errorf("what has moved lost %q", missing)
	}
	if missing := unmeant([]string{".State = 1"}, []string{".State = 100"}); len(missing) == 0 {
		t.Error("1 and 100 are taken for one number")
	}
}
