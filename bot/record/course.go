package record

import (
	"bufio"
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/practice"
	"duskdawn/flows/replay"
)

// CourseVersion of the written form of a course.
const CourseVersion = 1

// courseHead is the first line of a course.
type courseHead struct {
	Course  int    `json:"course"` // the version
	Patient string `json:"patient"`
}

// courseLine is one event. Practice and Rules are there where they are not as they
// were on the line before.
type courseLine struct {
	Seq      int64           `json:"seq"`
	At       time.Time       `json:"at"`
	Wall     string          `json:"wall"`   // where the patient is
	Office   string          `json:"office"` // where the practice is
	Seed     string          `json:"seed"`
	Doubt    bool            `json:"doubt,omitempty"`
	Practice *coursePractice `json:"practice,omitempty"`
	Kind     string          `json:"kind"`
	Event    json.RawMessage `json:"event"`
	Given    []replay.Given  `json:"given,omitempty"`
	Rules    int32           `json:"rules,omitempty"` // the version they were, where it is another than on the line before
}

type coursePractice struct {
	Staff    []courseStaff `json:"staff"`
	Langs    []string      `json:"languages"`
	Held     bool          `json:"held,omitempty"`
	HoldN    int32         `json:"holds,omitempty"`
	Epoch    int32         `json:"epoch,omitempty"`
	Released int32         `json:"released,omitempty"`
	Rival    bool          `json:"rival,omitempty"`
	Halted   bool          `json:"halted,omitempty"`
}

type courseStaff struct {
	ID      string        `json:"id"`
	Role    practice.Role `json:"role"`
	Removed bool          `json:"removed,omitempty"`
}

// courseKinds are the events of a patient, by the name that a course gives them.
var courseKinds = map[string]reflect.Type{
	"enrol": reflect.TypeFor[flows.Enrol](), "join": reflect.TypeFor[flows.Join](), "said": reflect.TypeFor[flows.Said](),
	"tap":   reflect.TypeFor[flows.Tap](),
	"other": reflect.TypeFor[flows.Other](), "due": reflect.TypeFor[flows.Due](), "order": reflect.TypeFor[flows.Order](),
	"bounce":  reflect.TypeFor[flows.Bounce](),
	"reached": reflect.TypeFor[flows.Reached](), "numbered": reflect.TypeFor[flows.Numbered](), "missed": reflect.TypeFor[flows.Missed](),
	"delivered": reflect.TypeFor[flows.Delivered](),
	"gap":       reflect.TypeFor[flows.Gap](), "restored": reflect.TypeFor[flows.Restored](),
	"staffchange": reflect.TypeFor[flows.StaffChange](),
}

// WriteCourse writes a patient's events in order, one JSON object a line. It
// knows the patient by the pseudonym alone: words that somebody typed, names,
// telephones, codes and chats are left out or stand-ins, and what was read of
// the words stays, so that the course runs as it ran.
func WriteCourse(w io.Writer, id chart.PatientID, happened []replay.Happened) error {
	out := bufio.NewWriter(w)
	enc := json.NewEncoder(out)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(courseHead{CourseVersion, string(id)}); err != nil {
		return fmt.Errorf("writing a course: %w", err)
	}
	m := mask{id: id, chats: map[int64]int64{}, codes: map[string]string{}}
	var was *coursePractice
	var rules int32
	for i := range happened {
		h := &happened[i]
		body := m.body(h.Event.Body)
		kind := kindOf(body)
		raw, err := json.Marshal(lean(reflect.ValueOf(body)))
		if err != nil || kind == "" {
			return fmt.Errorf("writing event %d of a course, %T: %w", h.Seq, body, errors.Join(err, errKind))
		}
		l := courseLine{Seq: h.Seq, At: h.Event.At.UTC(), Wall: wallText(h.Event.Wall), Office: wallText(h.Event.Office),
			Seed:  hex.EncodeToString(h.Event.Seed[:]),
			Doubt: h.Event.Doubt, Kind: kind, Event: raw, Given: h.Given}
		if pr := seenOf(&h.Practice); was == nil || !reflect.DeepEqual(*was, pr) {
			was, l.Practice = &pr, &pr
		}
		if h.Rules != rules {
			rules, l.Rules = h.Rules, h.Rules
		}
		if err := enc.Encode(l); err != nil {
			return fmt.Errorf("writing a course: %w", err)
		}
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("writing a course: %w", err)
	}
	return nil
}

var errKind = errors.New("no event of a patient")

func kindOf(b flows.Body) string {
	for name, t := range courseKinds {
		if t == reflect.TypeOf(b) {
			return name
		}
	}
	return ""
}

func seenOf(pr *practice.Practice) coursePractice {
	s := coursePractice{Staff: []courseStaff{}, Langs: pr.Langs, Held: pr.Held, HoldN: pr.HoldN, Epoch: pr.Epoch, Released: pr.Released,
		Rival: pr.Rival, Halted: pr.Halted}
	for _, x := range pr.Staff {
		s.Staff = append(s.Staff, courseStaff{x.ID, x.Role, x.Removed})
	}
	return s
}

func (s *coursePractice) practice() practice.Practice {
	pr := practice.Practice{Langs: s.Langs, Held: s.Held, HoldN: s.HoldN, Epoch: s.Epoch, Released: s.Released, Rival: s.Rival, Halted: s.Halted}
	for _, x := range s.Staff {
		pr.Staff = append(pr.Staff, practice.Staff{ID: x.ID, Role: x.Role, Removed: x.Removed})
	}
	return pr
}

// lean gives a value without what is zero, which reads back the same.
func lean(v reflect.Value) any {
	switch v.Kind() {
	case reflect.Pointer:
		return lean(v.Elem())
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			return v.Interface()
		}
		out := map[string]any{}
		for i := range v.NumField() {
			if f := v.Field(i); !f.IsZero() {
				out[v.Type().Field(i).Name] = lean(f)
			}
		}
		return out
	case reflect.Slice, reflect.Array:
		out := make([]any, v.Len())
		for i := range out {
			out[i] = lean(v.Index(i))
		}
		return out
	}
	return v.Interface()
}

const wallForm = "2006-01-02T15:04"

func wallText(w civil.Wall) string { return w.Date.String() + "T" + w.Clock.String() }

func readWall(s string) (civil.Wall, error) {
	t, err := time.Parse(wallForm, s)
	if err != nil {
		return civil.Wall{}, err
	}
	return civil.Wall{Date: civil.DateOf(t.Year(), t.Month(), t.Day()), Clock: civil.Clock(t.Hour()*60 + t.Minute())}, nil
}

// BadLine says where a course cannot be read, and what was expected there.
type BadLine struct {
	Line int
	Want string
}

func (b *BadLine) Error() string { return fmt.Sprintf("line %d: expected %s", b.Line, b.Want) }

// IsCourse tells a course from a diary by how it begins.
func IsCourse(head []byte) bool {
	return bytes.HasPrefix(bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\ufeff")), " \t\r\n"), []byte("{"))
}

const longestLine = 1 << 20

// ReadCourse reads what WriteCourse wrote. The events before the first bad
// line come back with its error, a *BadLine.
func ReadCourse(r io.Reader) (chart.PatientID, []replay.Happened, error) {
	in := bufio.NewScanner(r)
	in.Buffer(nil, longestLine)
	var head courseHead
	if !in.Scan() || strict(bytes.TrimPrefix(in.Bytes(), []byte("\ufeff")), &head) != nil || head.Course < 1 ||
		head.Patient == "" {
		return "", nil, cmpErr(in.Err(), &BadLine{1, `the head of a course: {"course":1,"patient":"..."}`})
	}
	if head.Course > CourseVersion {
		return "", nil, &BadLine{1, fmt.Sprintf("a course of version %d at most: this one was written by a newer program",
			CourseVersion)}
	}
	var out []replay.Happened
	var seen practice.Practice
	for n := 2; in.Scan(); n++ {
		if len(bytes.TrimSpace(in.Bytes())) == 0 {
			continue
		}
		h, pr, want := readEvent(in.Bytes())
		switch {
		case want != "":
			return chart.PatientID(head.Patient), out, &BadLine{n, want}
		case len(out) > 0 && h.Seq <= out[len(out)-1].Seq:
			return chart.PatientID(head.Patient), out, &BadLine{n, fmt.Sprintf("an event after number %d", out[len(out)-1].Seq)}
		case pr != nil:
			seen = pr.practice()
		case len(out) == 0:
			return chart.PatientID(head.Patient), out, &BadLine{n, "what the first event saw of the practice"}
		}
		h.Practice = seen
		if h.Rules == 0 && len(out) > 0 {
			h.Rules = out[len(out)-1].Rules
		}
		out = append(out, h)
	}
	if err := in.Err(); err != nil {
		return chart.PatientID(head.Patient), out, fmt.Errorf("reading a course: %w", err)
	}
	if len(out) == 0 {
		return chart.PatientID(head.Patient), nil, &BadLine{2, "at least one event"}
	}
	return chart.PatientID(head.Patient), out, nil
}

// cmpErr is the reader's error, or else the other.
func cmpErr(err error, other error) error {
	if err != nil {
		return fmt.Errorf("reading a course: %w", err)
	}
	return other
}

// strict decodes JSON and refuses fields that it does not know.
func strict(raw []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(raw))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errors.New("more than one value")
	}
	return nil
}

// readEvent reads one line; want says what was expected where it cannot.
func readEvent(raw []byte) (h replay.Happened, pr *coursePractice, want string) {
	var l courseLine
	if strict(raw, &l) != nil {
		return h, nil, "one event as a JSON object, as export writes it"
	}
	kind, ok := courseKinds[l.Kind]
	if !ok {
		names := make([]string, 0, len(courseKinds))
		for name := range courseKinds {
			names = append(names, name)
		}
		slices.Sort(names)
		return h, nil, fmt.Sprintf("a kind of event among %v", names)
	}
	body := reflect.New(kind)
	wall, err1 := readWall(l.Wall)
	office, err2 := readWall(l.Office)
	seed, err3 := hex.DecodeString(l.Seed)
	switch {
	case strict(l.Event, body.Interface()) != nil:
		return h, nil, "an event of the kind " + l.Kind
	case err1 != nil || err2 != nil:
		return h, nil, "wall and office as YYYY-MM-DDTHH:MM"
	case err3 != nil || len(seed) != len(h.Event.Seed):
		return h, nil, "a seed of 32 hexadecimal digits"
	}
	h = replay.Happened{Seq: l.Seq, Given: l.Given, Rules: l.Rules}
	h.Event = flows.Event{At: l.At, Wall: wall, Office: office, Doubt: l.Doubt, Body: body.Elem().Interface().(flows.Body)}
	copy(h.Event.Seed[:], seed)
	return h, l.Practice, ""
}
