package replay

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows"
)

// Row is one night of a diary.
type Row struct {
	Line   int // of the file, from 1
	Night  flows.Date
	Cells  []Cell
	Events []Event
}

// Cell is one known answer of a row.
type Cell struct {
	Field flows.Field
	Value flows.Value
}

// Event is something that the desk did before the evening's advice.
type Event struct {
	Op EventOp
	To flows.Steps // of visit, release, grant and order
}

// EventOp is what the desk did.
type EventOp uint8

// The events of the desk, as the column desk_event writes them.
const (
	NoEvent EventOp = iota
	Visit           // "visit 5": the setting is now 5
	Release         // "release 4": all flags, at most at setting 4
	Grant           // "grant 8": up to setting 8
	Order           // "order 6": on to setting 6 after a test
	PlanRevised
	Pause
	Resume
	Test
)

var eventWords = [...]string{Visit: "visit", Release: "release", Grant: "grant", Order: "order", PlanRevised: "plan", Pause: "pause", Resume: "resume", Test: "test"}

// takes tells whether the event names a setting.
func (o EventOp) takes() bool { return o >= Visit && o <= Order }

const eventExpects = "visit N, release N, grant N, order N, plan, pause, resume or test, several separated by ;"

// BadCell says where a diary cannot be read, and what was expected there.
type BadCell struct {
	Line   int
	Column string // empty where the whole line is meant
	Said   string
	Want   string
}

func (b *BadCell) Error() string {
	at := "line " + strconv.Itoa(b.Line)
	if b.Column != "" {
		at += ", column " + b.Column
	}
	if b.Said == "" {
		return fmt.Sprintf("%s: expected %s", at, b.Want)
	}
	return fmt.Sprintf("%s: %q: expected %s", at, b.Said, b.Want)
}

// oldest and newest are the days a diary may speak of: day 0 means none.
const (
	oldest flows.Date = 1
	newest flows.Date = 84005
)

const longest = 4000 // nights of one diary

// Read reads a diary: a header row with the columns' names in any order, then
// a row a night, the oldest first. An empty cell is unknown. The rows before
// the first bad one come back with its error, a *BadCell.
func Read(r io.Reader) ([]Row, error) {
	in := csv.NewReader(r)
	in.FieldsPerRecord = -1
	in.TrimLeadingSpace = true
	head, err := in.Read()
	if err != nil {
		return nil, unread(err, 1, "a header row with the column night")
	}
	head[0] = strings.TrimPrefix(head[0], "\ufeff")
	cols, err := columns(head)
	if err != nil {
		return nil, err
	}
	var rows []Row
	for {
		rec, err := in.Read()
		if errors.Is(err, io.EOF) {
			if len(rows) == 0 {
				return nil, &BadCell{Line: 2, Want: "at least one night"}
			}
			return rows, nil
		}
		if err != nil {
			return rows, unread(err, 0, "a row of cells after RFC 4180")
		}
		line, _ := in.FieldPos(0)
		row, err := cols.row(rec, line, rows)
		if err != nil {
			return rows, err
		}
		rows = append(rows, row)
	}
}

func unread(err error, line int, want string) error {
	var p *csv.ParseError
	if errors.As(err, &p) {
		return &BadCell{Line: p.Line, Said: p.Err.Error(), Want: want}
	}
	if errors.Is(err, io.EOF) {
		return &BadCell{Line: line, Want: want}
	}
	return fmt.Errorf("reading the diary: %w", err)
}

// column reads one cell into a row.
type column struct {
	name string
	read func(*Row, string) error
}

type columnSet []column

// columns finds the reader of each column of the header.
func columns(head []string) (columnSet, error) {
	cols := make(columnSet, len(head))
	seen := map[string]bool{}
	for i, name := range head {
		name = strings.ToLower(strings.TrimSpace(name))
		read := reader(name)
		switch {
		case read == nil:
			return nil, &BadCell{Line: 1, Column: strconv.Itoa(i + 1), Said: name, Want: "one of " + strings.Join(known(), ", ")}
		case seen[name]:
			return nil, &BadCell{Line: 1, Column: name, Want: "each column once"}
		}
		seen[name] = true
		cols[i] = column{name, read}
	}
	if !seen["night"] {
		return nil, &BadCell{Line: 1, Want: "a column night"}
	}
	if seen["setting"] && seen["setting_left"] {
		return nil, &BadCell{Line: 1, Column: "setting", Want: "setting, or setting_left and setting_right"}
	}
	return cols, nil
}

// known lists the columns that a diary may have.
func known() []string {
	names := []string{"night", "setting", "desk_event", "note"}
	for _, c := range flows.Columns() {
		names = append(names, c.Name)
	}
	return names
}

// exported are the columns of an exported diary that say nothing to the rules.
var exported = []string{"version", "patient", "zone"}

func reader(name string) func(*Row, string) error {
	switch {
	case name == "night":
		return readNight
	case name == "desk_event":
		return readEvents
	case name == "note", slices.Contains(exported, name):
		return func(*Row, string) error { return nil }
	case name == "setting":
		name = "setting_left"
	}
	for _, c := range flows.Columns() {
		if c.Name == name {
			return func(row *Row, cell string) error {
				v, err := c.Parse(cell)
				if err != nil {
					return &BadCell{Said: cell, Want: c.Expects()}
				}
				if v != flows.Unknown {
					row.Cells = append(row.Cells, Cell{c.Field, v})
				}
				return nil
			}
		}
	}
	return nil
}

func readNight(row *Row, cell string) error {
	d, err := flows.ParseDate(cell)
	if err != nil || d < oldest || d > newest {
		return &BadCell{Said: cell, Want: "a date, YYYY-MM-DD, of 1970 to 2199"}
	}
	row.Night = d
	return nil
}

func readEvents(row *Row, cell string) error {
	for _, part := range strings.Split(cell, ";") {
		words := strings.Fields(strings.ToLower(part))
		if len(words) == 0 {
			continue
		}
		bad := &BadCell{Said: strings.TrimSpace(part), Want: eventExpects}
		at := slices.Index(eventWords[1:], words[0])
		if at < 0 {
			return bad
		}
		e := Event{Op: EventOp(at + 1)}
		if e.Op.takes() != (len(words) == 2) || len(words) > 2 {
			return bad
		}
		if e.Op.takes() {
			n, err := strconv.Atoi(words[1])
			if err != nil || n < 0 || n > 999 {
				return bad
			}
			e.To = flows.Steps(n)
		}
		row.Events = append(row.Events, e)
	}
	return nil
}

// row reads one record. Nights come in order, each once.
func (cols columnSet) row(rec []string, line int, before []Row) (Row, error) {
	row := Row{Line: line}
	if len(rec) != len(cols) {
		return row, &BadCell{Line: line, Want: strconv.Itoa(len(cols)) + " cells, as the header has"}
	}
	for i, c := range cols {
		if err := c.read(&row, strings.TrimSpace(rec[i])); err != nil {
			var b *BadCell
			if errors.As(err, &b) {
				b.Line, b.Column = line, c.name
			}
			return row, err
		}
	}
	if n := len(before); n > 0 {
		last := before[n-1].Night
		switch {
		case row.Night <= last:
			return row, &BadCell{Line: line, Column: "night", Said: row.Night.String(), Want: "a night after " + last.String()}
		case row.Night-before[0].Night >= longest:
			return row, &BadCell{Line: line, Column: "night", Said: row.Night.String(), Want: "a diary of at most " + strconv.Itoa(longest) + " nights"}
		}
	}
	return row, nil
}
