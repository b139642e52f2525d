package locales

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
)

// fitted is the day on which the patient of these tests began, a Monday.
const fitted = civil.Date(20514)

// evening is when everything is said: in the evening of the third day.
var evening = civil.Wall{Date: fitted + 2, Clock: 21*60 + 40}

// listener is an invented patient in the middle of an evening check-in, who
// says one thing at a time to the flow.
type listener struct {
	t  *testing.T
	w  *Words
	pr practice.Practice
	p  flows.Patient
}

func newListener(t *testing.T, w *Words, lang string) *listener {
	p := flows.Patient{ID: "00AAAA", Label: "K-1", Lang: lang, Chat: 1, Gen: 1, Sure: 1, Consent: "1." + lang,
		Appliance: chart.Appliance{StepWord: "half turn", Step: 250, Forward: "tool towards the nose", Travel: 20, Guide: true,
			GuideMin: 5},
		Baseline: chart.Baseline{Max: 8000, Start: 4000, Pain: chart.Num(0), Snoring: chart.Num(8),
			Reporter: chart.Num(chart.ReporterPartner), Sleepy: chart.Num(5)},
		Plan: chart.Plan{Rev: 1, By: "s1", On: fitted, Fitted: fitted, Evening: 21*60 + 30, Morning: 7 * 60,
			Limits: chart.Limits{Ceiling: 10, Settle: 3, Interval: 3, RestMornings: 3, Target: 3, Loud: 7, WornMinutes: 240,
				Pace: 1000, ContactDays: 90}}}
	facts := pacing.Facts{Plan: &p.Plan, Appliance: &p.Appliance, Baseline: &p.Baseline}
	p.Course.Begin(facts, fitted)
	p.Course.Advise(facts, fitted)
	p.Course.Advise(facts, fitted+1)
	p.Talk.CheckIn, p.Talk.Night = flows.EveningCheck, evening.Date
	pr := practice.Practice{Name: "Practice", Phone: "+34 600 000 000", Emergency: "112", Lang: "en",
		Staff: []practice.Staff{{ID: "s1", Label: "Clinician", Role: practice.Clinician, Chat: 900, Lang: "en"}}}
	return &listener{t: t, w: w, pr: pr, p: p}
}

// hears tells the flow what was said while a field's question was open, and
// gives the patient as it is then and what it is told.
func (l *listener) hears(open chart.Field, text string, r reading.Reading) (flows.Patient, []message.Message) {
	at := evening.Date.Time().Add(time.Duration(evening.Clock) * time.Minute)
	p := l.p
	p.Talk.Open, p.Talk.OpenAt = open, at.Unix()-60
	e := flows.Event{ID: "e", At: at, Wall: evening, Office: evening,
		Body: flows.Said{Chat: 1, Gen: 1, Reading: r, Text: text, Sent: at, Wall: evening, Message: 9}}
	after, out := flows.Next(l.pr, p, e)
	var told []message.Message
	for _, x := range out {
		if s, ok := x.(flows.Send); ok && (s.Chat == 0 || s.Chat == 1) {
			told = append(told, s.Msg)
		}
	}
	return after, told
}

// has reports the first key of a message that no catalogue of the language has.
func (l *listener) has(m message.Message) (missing string) {
	var line func(message.Line)
	line = func(x message.Line) {
		if !l.w.tongues[l.p.Lang].keys[x.Key] {
			missing = x.Key
		}
		for _, a := range x.Args {
			if a.Kind == message.ArgKey {
				line(message.Say(a.S))
			}
		}
	}
	for _, x := range m.Lines {
		line(x)
	}
	return missing
}

// night is the one that an answer of the evening is about.
func night(f chart.Field) civil.Date {
	if f.Row().About == chart.Tonight {
		return evening.Date
	}
	return evening.Date - 1
}

// readBack is what the flow has to say of an answer: what it is called and its
// value, in the words of the catalogue.
func readBack(w *Words, lang string, f chart.Field, v chart.Answer) []string {
	r := f.Row()
	if f == chart.BiteMinutes && v.Is(61) { // more than the hour after which it is asked again
		return []string{w.Line(lang, message.Say("answer.bite.hour"))}
	}
	if f == chart.SettingRight { // of an appliance with one side
		f = chart.SettingLeft
	}
	name, words := w.Line(lang, message.Say("field."+f.Row().Name)), strconv.Itoa(v.N())
	switch {
	case r.Worded(v):
		return []string{w.Line(lang, message.Say("label."+r.Name+"."+words))}
	case r.Kind.Timed():
		return []string{name, w.minutes(w.tongues[lang], int64(v.N()), 0)}
	case r.Kind == chart.Setting:
		return []string{words}
	}
	return []string{name, words}
}

// comesBack holds one way of saying an answer to what it has to come to.
func (l *listener) comesBack(f chart.Field, v chart.Answer, open chart.Field, way, text string, r reading.Reading) {
	p, told := l.hears(open, text, r)
	at := f
	if f == chart.SettingRight {
		at = chart.SettingLeft
	}
	where := fmt.Sprintf("%s %s %d by %s, %q", l.p.Lang, f.Row().Name, v.N(), way, text)
	if e, _ := p.Course.Entry(night(f)); e.At(at) != v {
		l.t.Errorf("%s: stored is %d, known %v; read as %s", where, e.At(at).N(), e.At(at).Known(), says(r))
	}
	if len(told) == 0 {
		l.t.Errorf("%s: no answer", where)
		return
	}
	if key := l.has(told[0]); key != "" {
		l.t.Errorf("%s: told %q, which has no text", where, key)
	}
	if r.Features != 0 { // the caution stands alone
		return
	}
	said, wants := l.w.Text(l.p.Lang, told[0]), readBack(l.w, l.p.Lang, f, v)
	if len(r.Tokens) > 1 && !(f == chart.BiteMinutes && v.Is(61)) { // a line each, as its button has it
		wants = []string{l.w.Label(l.p.Lang, message.Choice{Field: f, Value: v})}
	}
	for _, want := range wants {
		if !strings.Contains(said, want) {
			l.t.Errorf("%s: told %q, without %q", where, said, want)
		}
	}
}

// Every answer of every field, in every language, tapped and typed: as the
// button has it, as its words say without being a button, as a piece of a
// one-line day, and as a number alone where that is one. Each is kept of its own
// night and read back.
func TestEveryAnswerComesBack(t *testing.T) {
	w := load(t)
	for _, lang := range w.Languages() {
		for f := chart.NoField + 1; f < chart.NumFields; f++ {
			t.Run(lang+" "+f.Row().Name, func(t *testing.T) {
				l := newListener(t, w, lang)
				r := f.Row()
				from, to := r.Least, r.Most
				switch {
				case r.Kind == chart.Setting:
					to = mostSteps
				case r.Kind == chart.Minutes:
					to = r.Said
				}
				for n := from; n <= to && !t.Failed(); n++ {
					l.everyWay(f, n)
				}
			})
		}
	}
}

// everyWay says one answer in every way there is.
func (l *listener) everyWay(f chart.Field, n int) {
	r, v := f.Row(), chart.Num(n)
	label := l.w.Label(l.p.Lang, message.Choice{Field: f, Value: v})
	l.comesBack(f, v, f, "button", label, l.w.Read(label))
	typed := strings.ToLower(label)
	l.comesBack(f, v, chart.NoField, "words", typed, l.w.dict.read(typed, false))
	if r.Kind != chart.Setting { // a setting is confirmed by itself
		beside := message.Choice{Field: chart.Headache, Value: chart.Num(chart.No)}
		if f == chart.Headache {
			beside.Field = chart.Pauses
		}
		day := l.w.Label(l.p.Lang, beside) + ", " + typed
		l.comesBack(f, v, chart.NoField, "one-line day", day, l.w.Read(day))
	}
	number := n
	switch {
	case r.Worded(v), r.Kind == chart.Hours && n%60 != 0:
		return
	case r.Kind == chart.Hours:
		number /= 60
	}
	text := strconv.Itoa(number)
	if read := l.w.Read(text); n <= r.Said && read.Features == 0 { // "112" is a call for help
		l.comesBack(f, v, f, "number alone", text, read)
	}
}

// Every question can be asked by its name: it has its words, and buttons for
// all its answers where they are few.
func TestEveryQuestionIsAsked(t *testing.T) {
	w := load(t)
	for _, lang := range w.Languages() {
		l := newListener(t, w, lang)
		for f := chart.NoField + 1; f < chart.NumFields; f++ {
			r := f.Row()
			p, told := l.hears(chart.NoField, "?", reading.Reading{Tokens: []reading.Token{{Field: f}}})
			if p.Talk.Open != f && (!r.Kind.Timed() || p.Talk.Open != r.With) || len(told) == 0 {
				t.Errorf("%s %s: no check-in asks it, nor what it is said along with", lang, r.Name)
				continue
			}
			if key := l.has(told[0]); key != "" {
				t.Errorf("%s %s: it is asked with %q, which has no text", lang, r.Name, key)
			}
			var offered []int
			for _, row := range told[0].Choices {
				for _, c := range row {
					if c.Field == p.Talk.Open && c.Value.Known() {
						offered = append(offered, c.Value.N())
					}
				}
			}
			slices.Sort(offered)
			few := p.Talk.Open.Row()
			if few.Kind.Timed() || few.Kind == chart.Setting || f == chart.NotWorn { // whose reasons hang on what was worn
				continue
			}
			for n := few.Least; n <= few.Most; n++ {
				if !slices.Contains(offered, n) {
					t.Errorf("%s %s: there is no button for %d", lang, few.Name, n)
				}
			}
		}
	}
}

// Every answer has its label, every question its name, and no label is of no
// answer.
func TestEveryAnswerHasItsLabel(t *testing.T) {
	w := load(t)
	want := map[string]bool{"label.skip": true}
	for f := chart.NoField + 1; f < chart.NumFields; f++ {
		r := f.Row()
		want["field."+r.Name] = true
		words := 0
		for n := r.Least; n <= r.Most; n++ {
			if r.Worded(chart.Num(n)) {
				want[AnswerKey(f, chart.Num(n))] = true
				words++
			}
		}
		if words <= r.Most-r.Least {
			want["label."+r.Name] = true
		}
	}
	for _, lang := range w.Languages() {
		have := w.tongues[lang].keys
		for key := range want {
			if !have[key] {
				t.Errorf("%s has no %q", lang, key)
			}
		}
		for key := range have {
			if first, _, _ := strings.Cut(key, "."); (first == "label" || first == "field") && !want[key] {
				t.Errorf("%s: %q is of no field's answer", lang, key)
			}
		}
	}
}

// What one language's dictionary has a line for, every other has one for, too.
func TestDictionariesAgree(t *testing.T) {
	w := load(t)
	one := map[string]string{"answer pain.0": "en", // "pain free" is one word of its own in English alone
		"number 11": "en"} // the Spanish word is an English one, too
	lines := map[string]map[string]int{}
	for _, lang := range w.Languages() {
		p, err := readPage(dictionaryPrefix, lang)
		if err != nil {
			t.Fatal(err)
		}
		for name, section := range map[string]map[string][]string{"concept": p.Concept, "field": p.Field, "answer": p.Answer,
			"number": p.Number, "weekday": p.Weekday, "month": p.Month, "ago": p.Ago, "word": p.Word} {
			for key, rows := range section {
				if key = name + " " + key; lines[key] == nil {
					lines[key] = map[string]int{}
				}
				lines[key][lang] = len(rows)
			}
		}
	}
	for key, in := range lines {
		for _, lang := range w.Languages() {
			if in[lang] == 0 && (one[key] == "" || one[key] == lang) {
				t.Errorf("the dictionary of %s has no line %s", lang, key)
			}
		}
	}
}
