package replay

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// Row is one night of a diary.
type Row struct {
	Line   int // of the file, from 1
	Night  civil.Date
	Cells  []Cell
	Both   bool // its setting stands for both sides, as signed
	Events []Event
	Late   []Late      // what of it came late; nothing of a diary kept on paper
	Under  chart.Under // what its advice was given under
	Silent bool        // no advice was given that night: what is said of it is not what anybody heard
}

// Cell is one known answer of a row.
type Cell struct {
	Field chart.Field
	Value chart.Answer
}

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
	oldest civil.Date = 1
	newest civil.Date = 84005
)

const longest = 4000 // nights of one diary

// Read reads a diary: a header row with the columns' names in any order, then
// a row a night, the oldest first. An empty cell is unknown, a row of empty
// cells is passed over. The rows before the first bad one come back with its
// error, a *BadCell.
func Read(r io.Reader) ([]Row, error) {
	text := bufio.NewReader(r)
	switch mark, _ := text.Peek(3); { // a file too short for one shows itself below
	case strings.HasPrefix(string(mark), "\xff\xfe"), strings.HasPrefix(string(mark), "\xfe\xff"):
		return nil, &BadCell{Line: 1, Want: "text in UTF-8; this file is in UTF-16"}
	case string(mark) == "\xef\xbb\xbf":
		text.Discard(len(mark))
	}
	in := csv.NewReader(text)
	in.FieldsPerRecord = -1
	in.TrimLeadingSpace = true
	head, err := in.Read()
	if err != nil {
		return nil, unread(err, 1, "a header row with the column night")
	}
	if len(head) == 1 && strings.ContainsAny(head[0], ";\t") {
		return nil, &BadCell{Line: 1, Said: clip(head[0]), Want: "columns separated by commas"}
	}
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
		if !slices.ContainsFunc(rec, func(cell string) bool { return strings.TrimSpace(cell) != "" }) {
			continue
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
	if seen["setting"] && (seen["setting_left"] || seen["setting_right"]) {
		return nil, &BadCell{Line: 1, Column: "setting", Want: "setting, or setting_left and setting_right"}
	}
	return cols, nil
}

// known lists the columns that a diary may have.
func known() []string {
	names := []string{"night", "setting", eventColumn, "note"}
	for _, c := range chart.Columns() {
		names = append(names, c.Name)
	}
	return names
}

// eventColumn holds what the desk did, lateColumn what came late, and
// eveningColumn what the advice was given under.
const (
	eventColumn   = "desk_event"
	lateColumn    = "came_late"
	eveningColumn = "evening"
)

// exported are the columns of an exported diary that say nothing to the rules.
var exported = []string{"version", "patient", "zone", "note", "action", "setting_advised", "rule", "not_asked",
	"source", "revisions", "written_at"}

func reader(name string) func(*Row, string) error {
	switch {
	case name == "night":
		return readNight
	case name == eventColumn:
		return func(row *Row, cell string) (err error) {
			row.Events, err = parseEvents(cell)
			return err
		}
	case name == lateColumn:
		return func(row *Row, cell string) (err error) {
			row.Late, err = parseLate(cell)
			return err
		}
	case name == eveningColumn:
		return readEvening
	case slices.Contains(exported, name):
		return func(*Row, string) error { return nil }
	}
	both := name == "setting"
	if both {
		name = "setting_left"
	}
	for _, c := range chart.Columns() {
		if c.Name == name {
			return func(row *Row, cell string) error {
				v, err := c.Parse(cell)
				if err != nil {
					return &BadCell{Said: clip(cell), Want: c.Expects()}
				}
				if v != chart.Unknown {
					row.Cells = append(row.Cells, Cell{c.Field, v})
					row.Both = row.Both || both
				}
				return nil
			}
		}
	}
	return nil
}

// clip cuts what is quoted back to a length that fits an error's line.
func clip(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "..."
	}
	return s
}

// evenings are the words of the column evening.
var evenings = [...]struct {
	word string
	bit  chart.Under
}{{"unanswered", chart.UnderUnheard}, {"held", chart.UnderHeld}, {"in_doubt", chart.UnderDoubt},
	{"restored", chart.UnderRestored}, {"halted", chart.UnderHalted}, {"unread", chart.UnderUnread}}

const silentWord = "no_advice"

// EveningCell writes what a night's advice was given under, or that there was
// none, as the column evening holds it.
func EveningCell(u chart.Under, advised bool) string {
	if !advised {
		return silentWord
	}
	var words []string
	for _, x := range evenings {
		if u&x.bit != 0 {
			words = append(words, x.word)
		}
	}
	return strings.Join(words, " ")
}

func readEvening(row *Row, cell string) error {
next:
	for _, word := range strings.Fields(strings.ToLower(cell)) {
		if word == silentWord {
			row.Silent = true
			continue
		}
		for _, x := range evenings {
			if x.word == word {
				row.Under |= x.bit
				continue next
			}
		}
		return &BadCell{Said: clip(cell), Want: "unanswered, held, in_doubt, restored, halted, unread, no_advice, or nothing"}
	}
	return nil
}

func readNight(row *Row, cell string) error {
	d, err := civil.ParseDate(cell)
	if err != nil || d < oldest || d > newest {
		return &BadCell{Said: cell, Want: "a date, YYYY-MM-DD, of 1970 to 2199"}
	}
	row.Night = d
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
	for _, l := range row.Late {
		if l.For < row.Night || l.For == row.Night && !l.After {
			return row, &BadCell{Line: line, Column: lateColumn, Said: l.String(), Want: "a night after the row's own"}
		}
	}
	if n := len(before); n > 0 {
		last := before[n-1].Night
		switch {
		case row.Night == last:
			return row, &BadCell{Line: line, Column: "night", Said: row.Night.String(), Want: "each night once"}
		case row.Night < last:
			return row, &BadCell{Line: line, Column: "night", Said: row.Night.String(), Want: "a night after " + last.String() +
				", the oldest first"}
		case row.Night-before[0].Night >= longest:
			return row, &BadCell{Line: line, Column: "night", Said: row.Night.String(), Want: "a diary of at most " +
				strconv.Itoa(longest) + " nights"}
		}
	}
	return row, nil
}
