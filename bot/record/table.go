package record

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/flows/replay"
)

// head are the columns before the answers, tail those behind them.
var (
	head = []string{"version", "patient", "night", "zone"}
	tail = []string{"desk_event", "evening", "action", "setting_advised", "rule", "came_late", "not_asked", "source",
		"revisions", "written_at"}
)

// CSV writes the diary after RFC 4180: UTF-8, a header, CRLF, a row a night. An
// empty cell is unknown, "skipped" is skipped. A cell that a spreadsheet would
// run as a formula is kept from running.
func (r Record) CSV(w io.Writer) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	names := append([]string{}, head...)
	for _, c := range chart.Columns() {
		names = append(names, c.Name)
	}
	if err := out.Write(append(names, tail...)); err != nil {
		return fmt.Errorf("writing the diary: %w", err)
	}
	for _, n := range r.Nights {
		row := []string{strconv.Itoa(Version), string(r.Patient.ID), n.Entry.Night.String(), r.Patient.Zone}
		for _, c := range chart.Columns() {
			row = append(row, c.Format(n.Entry.V[c.Field]))
		}
		row = append(row, r.tail(n)...)
		for i := range row {
			row[i] = guard(row[i])
		}
		if err := out.Write(row); err != nil {
			return fmt.Errorf("writing the diary: %w", err)
		}
	}
	out.Flush()
	return out.Error()
}

func (r Record) tail(n Night) []string {
	action, to, rule, at := "", "", "", ""
	if n.Entry.Action != chart.NoAction {
		action, to, rule = n.Entry.Action.String(), strconv.Itoa(int(n.Entry.To)), n.Entry.Rule.ID()
	}
	if !n.At.IsZero() {
		at = n.At.UTC().Format(time.RFC3339)
	}
	return []string{n.Kept.EventCell(), evening(n.Entry), action, to, rule, replay.LateCell(n.Kept.Late), ours(n.Entry),
		n.Source, strconv.Itoa(n.Revisions), at}
}

// evening says what the night's advice was given under, or that there was none.
func evening(e chart.Entry) string {
	return replay.EveningCell(e.Under(), e.Action != chart.NoAction)
}

// late are the marks of what came, or changed, after an advice that would have used it.
func late(n Night) (marks []string) {
	for _, l := range n.Kept.Late {
		marks = append(marks, l.String())
	}
	return marks
}

// ours names the check-ins that were not asked because of us, not left
// unanswered by the patient.
func ours(e chart.Entry) string {
	var s []string
	if e.Asked&4 != 0 {
		s = append(s, "evening")
	}
	if e.Asked&8 != 0 {
		s = append(s, "morning")
	}
	return strings.Join(s, " ")
}

// guard puts a quote before what a spreadsheet would take for a formula. A
// plain negative number is left as it is.
func guard(s string) string {
	if s == "" || !strings.ContainsRune("=+-@\t\r\n", rune(s[0])) {
		return s
	}
	if _, err := strconv.Atoi(s); err == nil {
		return s
	}
	return "'" + s
}

// jsonNight is a night as JSON: an unknown answer is not there, a skipped one
// is the word "skipped".
type jsonNight struct {
	Night     string         `json:"night"`
	Answers   map[string]any `json:"answers"`
	Action    string         `json:"action,omitempty"`
	Setting   *int           `json:"setting_advised,omitempty"`
	Rule      string         `json:"rule,omitempty"`
	Done      string         `json:"desk_event,omitempty"`
	Evening   string         `json:"evening,omitempty"`
	Late      []string       `json:"came_late,omitempty"`
	NotAsked  string         `json:"not_asked,omitempty"`
	Source    string         `json:"source,omitempty"`
	Revisions int            `json:"revisions"`
	WrittenAt *time.Time     `json:"written_at,omitempty"`
}

// JSON writes the diary as one object.
func (r Record) JSON(w io.Writer) error {
	outcomes, err := r.jsonOutcomes()
	if err != nil {
		return err
	}
	doc := struct {
		Version  int           `json:"version"`
		Patient  string        `json:"patient"`
		Zone     string        `json:"zone"`
		State    string        `json:"state"`
		Plan     int32         `json:"plan_revision"`
		Made     time.Time     `json:"made"`
		Basis    string        `json:"basis"`
		Outcomes []jsonOutcome `json:"outcomes"`
		Tests    []jsonTest    `json:"tests"`
		Notes    []jsonNote    `json:"notes"`
		Nights   []jsonNight   `json:"nights"`
	}{Version, string(r.Patient.ID), r.Patient.Zone, r.Patient.Course.State.String(), r.Patient.Plan.Rev, r.Made.UTC(),
		"patient-reported by chat, not measured", outcomes, r.tests(), r.notes(), []jsonNight{}}
	for _, n := range r.Nights {
		j := jsonNight{Night: n.Entry.Night.String(), Answers: map[string]any{}, Done: n.Kept.EventCell(),
			Evening: evening(n.Entry), Late: late(n), NotAsked: ours(n.Entry), Source: n.Source, Revisions: n.Revisions}
		for _, c := range chart.Columns() {
			v := n.Entry.V[c.Field]
			switch {
			case !v.Known() && v != chart.Skipped:
			case v.Known() && len(c.Words) == 0 && c.Field != chart.WornMinutes:
				j.Answers[c.Name] = v.N()
			case v.Known() && c.Field == chart.WornMinutes:
				j.Answers[c.Name] = float64(v.N()) / 60
			default:
				j.Answers[c.Name] = c.Format(v)
			}
		}
		if n.Entry.Action != chart.NoAction {
			to := int(n.Entry.To)
			j.Action, j.Setting, j.Rule = n.Entry.Action.String(), &to, n.Entry.Rule.ID()
		}
		if !n.At.IsZero() {
			at := n.At.UTC()
			j.WrittenAt = &at
		}
		doc.Nights = append(doc.Nights, j)
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	if err := enc.Encode(doc); err != nil {
		return fmt.Errorf("writing the diary: %w", err)
	}
	return nil
}
