package replay

import (
	"slices"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/pacing"
)

// Late says that a cell was not yet so when the advice that would have used it
// was worked out. Before, it held Was; what holds from then on is the cell
// itself, or the Was of the cell's next mark.
//
// In the column came_late a mark is "pain 2026-03-05" (known from the advice of
// that night on) or "pain after 2026-03-05" (told that very evening, after its
// advice), and " was 3" where it replaced something; several are separated by |.
type Late struct {
	Name  string // the cell's column
	For   civil.Date
	After bool
	Was   string // as its column writes it; empty for unknown
}

func (l Late) String() string {
	s := l.Name
	if l.After {
		s += " after"
	}
	s += " " + l.For.String()
	if l.Was != "" {
		s += " was " + l.Was
	}
	return s
}

// LateCell writes marks as one cell.
func LateCell(marks []Late) string {
	parts := make([]string, len(marks))
	for i, l := range marks {
		parts[i] = l.String()
	}
	return strings.Join(parts, " | ")
}

const lateExpects = "marks as export writes them: COLUMN NIGHT or COLUMN after NIGHT, then was VALUE where it replaced one, several separated by |"

// parseLate reads a cell of the column came_late.
func parseLate(cell string) ([]Late, error) {
	var out []Late
	for _, part := range strings.Split(cell, "|") {
		said, was, replaced := strings.Cut(strings.TrimSpace(part), " was ")
		words := strings.Fields(said)
		if len(words) == 0 && !replaced {
			continue
		}
		bad := &BadCell{Said: strings.TrimSpace(part), Want: lateExpects}
		after := len(words) == 3 && words[1] == "after"
		if len(words) != 2 && !after {
			return nil, bad
		}
		d, err := civil.ParseDate(words[len(words)-1])
		l := Late{Name: words[0], For: d, After: after, Was: strings.TrimSpace(was)}
		if err != nil || d < oldest || d > newest || !l.reads() {
			return nil, bad
		}
		out = append(out, l)
	}
	slices.SortStableFunc(out, func(a, b Late) int {
		if a.For != b.For {
			return int(a.For - b.For)
		}
		switch {
		case a.After == b.After:
			return 0
		case b.After:
			return -1
		}
		return 1
	})
	return out, nil
}

// reads reports whether the mark's column is one that may come late, and can
// hold what it was.
func (l Late) reads() bool {
	if l.Name == eventColumn {
		_, err := parseEvents(l.Was)
		return err == nil
	}
	for _, c := range chart.Columns() {
		if c.Name == l.Name {
			_, err := c.Parse(l.Was)
			return err == nil
		}
	}
	return false
}

// pending is what becomes known of a night later than it should have.
type pending struct {
	night  civil.Date
	line   int
	row    civil.Date // the night of whose evening it is known
	after  bool       // the advice was given by then
	field  chart.Field
	value  chart.Answer
	events []Event
}

// postpone splits a row into what was known in time and what came late.
func (r *Run) postpone(row *Row) (cells []Cell, events []Event) {
	cells, events = slices.Clone(row.Cells), row.Events
	if len(row.Late) == 0 {
		return cells, events
	}
	for _, c := range chart.Columns() {
		final := chart.Unknown
		at := slices.IndexFunc(cells, func(x Cell) bool { return x.Field == c.Field })
		if at >= 0 {
			final = cells[at].Value
		}
		marks := row.marks(c.Name)
		for i := range marks {
			was, _ := c.Parse(marks[i].Was)
			if i == 0 {
				cells = put(cells, c.Field, was)
			} else {
				r.waiting[len(r.waiting)-1].value = was
			}
			r.waiting = append(r.waiting, pending{night: row.Night, line: row.Line, row: marks[i].For, after: marks[i].After,
				field: c.Field, value: final})
		}
	}
	marks := row.marks(eventColumn)
	for i := range marks {
		was, _ := parseEvents(marks[i].Was)
		n := min(len(was), len(row.Events))
		if i == 0 {
			events = row.Events[:n]
		} else {
			last := &r.waiting[len(r.waiting)-1]
			last.events = last.events[:max(0, len(last.events)-len(row.Events)+n)]
		}
		r.waiting = append(r.waiting, pending{night: row.Night, line: row.Line, row: marks[i].For, after: marks[i].After,
			events: row.Events[n:]})
	}
	return cells, events
}

// marks are the marks of one column, in the order of time.
func (row *Row) marks(name string) (out []Late) {
	for _, l := range row.Late {
		if l.Name == name {
			out = append(out, l)
		}
	}
	return out
}

// put sets a cell, or takes it away.
func put(cells []Cell, f chart.Field, v chart.Answer) []Cell {
	cells = slices.DeleteFunc(cells, func(c Cell) bool { return c.Field == f })
	if v != chart.Unknown {
		cells = append(cells, Cell{f, v})
	}
	return cells
}

// arrive lets in what is known by the evening of a night, before its advice or
// after it. It reports whether anything came.
func (r *Run) arrive(night civil.Date, after bool) (came bool, err error) {
	var left []pending
	for _, p := range r.waiting {
		if p.row > night || p.row == night && p.after && !after {
			left = append(left, p)
			continue
		}
		came = true
		if p.field != chart.NoField {
			r.Course.Answer(r.facts, p.night, p.field, p.value, chart.Transcribed)
		}
		for _, e := range p.events {
			if no := r.act(p.night, e); no != pacing.Done {
				return came, &Refused{Line: p.line, Said: e.String(), Why: no}
			}
		}
	}
	r.waiting = left
	return came, nil
}
