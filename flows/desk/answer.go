package desk

import (
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// maxWords is how long a note may be, in runes.
const maxWords = 400

// asked is the question that is open in a small form.
func (t *turn) asked() (q ask, open bool) {
	f := &t.c.Form
	i := actIndex(f.Op)
	if i < 0 || int(f.At) >= len(acts[i].asks) || f.Brief == nil {
		return 0, false
	}
	return acts[i].asks[f.At], true
}

// answer takes typed words for the open question.
func (t *turn) answer(text string, s flows.Said) {
	q, open := t.asked()
	switch {
	case !open:
		t.cancel()
	case q == askLimits: // it stays open until the person is done
		t.limitSaid(text, s)
	case t.take(q, text, s):
		t.c.Form.At++
		t.question()
	}
}

// take keeps the answer to a question and reports whether it did; where not it
// has told why.
func (t *turn) take(q ask, text string, s flows.Said) bool {
	f := &t.c.Form
	switch q {
	case askFlag: // by button alone
		t.question()
		return false
	case askSetting:
		return t.takeSetting(text)
	case askUntil:
		return t.takeUntil(text)
	case askArranged:
		return t.takeArranged(text, s.Reading.Word)
	case askText:
		if w := s.Reading.Word; w == reading.WordSkip || w == reading.WordDone || w == reading.WordBlank {
			t.question() // a word that steers a form is no contact, and no note
			return false
		}
		return t.takeWords(text, &f.Order.Text)
	case askWhy:
		if text == "skip" || s.Reading.Word == reading.WordSkip || s.Reading.Word == reading.WordYes {
			return true
		}
		return t.takeWords(text, &f.Order.Text)
	case askBy:
		by := ""
		if !t.takeWords(text, &by) {
			return false
		}
		t.test().By = by
		return true
	case askDay:
		return t.takeDay(s)
	case askWhen, askKind, askScoring, askAHI:
		return t.takeTestField(testFields[q-askWhen], text)
	case askZone:
		return t.takeZone(text, s.Zones)
	case askEvening:
		return t.takeHour(text, s, false)
	case askMorning:
		return t.takeHour(text, s, true)
	case askLang:
		if len(s.Pairs) == 1 && s.Pairs[0].Key == "" { // its name, in any language
			text = s.Pairs[0].Value
		}
		return t.takeLang(strings.ToLower(text))
	}
	return t.takeTest(q, text, s.Reading.Word)
}

func (t *turn) takeSetting(text string) bool {
	f := &t.c.Form
	_, least, most := t.settingBounds()
	n, p := enrol.ReadSetting(&f.Brief.Enrolment, "setting", text, least, most)
	if p != nil {
		t.wrong(*p)
		return false
	}
	if f.Order.Test != nil { // the setting that was worn in the test, not an order
		t.test().Setting = n
	}
	f.Order.To, f.Order.Has = n, f.Order.Test == nil
	return true
}

func (t *turn) takeUntil(text string) bool {
	f := &t.c.Form
	least, most := t.e.Office.Date, f.Brief.Enrolment.Plan.Ends
	d, err := civil.ParseDate(text)
	if err != nil || d < least || d > most {
		t.wrong(enrol.Problem{Key: "desk.bad.until", Args: []message.Arg{message.ArgD("least", least),
			message.ArgD("most", most)}})
		return false
	}
	f.Order.Until = d
	return true
}

// takeArranged keeps the night of a test, which may be not known yet.
func (t *turn) takeArranged(text string, word reading.Word) bool {
	today := t.e.Office.Date
	if text == "skip" || word == reading.WordSkip {
		t.c.Form.Order.Until = 0
		return true
	}
	d, err := civil.ParseDate(text)
	if err != nil || d < today || d > today+arrangedMost {
		t.wrong(enrol.Problem{Key: "desk.bad.arranged", Args: []message.Arg{message.ArgD("least", today), message.ArgD("most", today+arrangedMost)}})
		return false
	}
	t.c.Form.Order.Until = d
	return true
}

// arrangedMost is how many days ahead a test can be arranged.
const arrangedMost = 365

// takeWords keeps a person's own words, of which there must be some.
func (t *turn) takeWords(text string, to *string) bool {
	if text == "" || len([]rune(text)) > maxWords {
		t.wrong(enrol.Problem{Key: "desk.bad.text", Args: []message.Arg{message.ArgN("most", maxWords)}})
		return false
	}
	*to = text
	return true
}

// takeTestField keeps a blank of a sleep test that the enrolment's table has,
// beside what the small form alone asks of the test.
func (t *turn) takeTestField(key, text string) bool {
	if !t.fieldSaid(key, text) {
		return false
	}
	o := &t.c.Form.Order
	x := t.c.Form.Filled.Enrolment.Baseline.Test
	if p := t.badTest(key); p != nil {
		t.wrong(*p)
		return false
	}
	if had := o.Test; had != nil {
		x.ODI10, x.ODIDrop, x.Asleep = had.ODI10, had.ODIDrop, had.Asleep
		x.By, x.InPlace, x.Setting = had.By, had.InPlace, had.Setting
	}
	o.Test = &x
	return true
}

// badTest is what is wrong with a blank of a sleep test that was just filled in: a day
// to come, a kind that names none. It is said there, before the others are asked.
func (t *turn) badTest(key string) *enrol.Problem {
	e := t.c.Form.Filled.Enrolment
	if on := e.Baseline.Test.On; key == testFields[0] && on > t.e.Office.Date {
		return &enrol.Problem{Field: key, Key: "enrol.bad.ahead", Args: []message.Arg{message.ArgD("said", on), message.ArgD("today", t.e.Office.Date)}}
	}
	for _, p := range enrol.Unnamed(&e.Baseline.Test) {
		if p.Field == key {
			return &p
		}
	}
	return nil
}

// takeHour keeps an hour of a check-in within its half of the day.
func (t *turn) takeHour(text string, s flows.Said, morning bool) bool {
	o, plan := &t.c.Form.Order, t.c.Form.Brief.Enrolment.Plan
	to, now := &o.Evening, plan.Evening
	if morning {
		to, now = &o.Morning, plan.Morning
	}
	if len(s.Pairs) == 1 && s.Pairs[0].Key == "" {
		text = s.Pairs[0].Value
	}
	c, ok := enrol.ParseClock(text)
	switch {
	case text == "keep" || ok && c == now:
		*to = 0
		return true
	case !ok || !plan.InHalf(c, morning):
		t.wrong(enrol.Problem{Key: "desk.bad.hour", Args: []message.Arg{message.ArgS("said", cut(text, 20))}})
		return false
	}
	*to = c + 1
	return true
}

// takeLang keeps a language of the practice. A move that changes neither zone
// nor language ends the form.
func (t *turn) takeLang(lang string) bool {
	f := &t.c.Form
	now := f.Brief.Enrolment.Lang
	if lang == "keep" {
		lang = now
	}
	if lang != now && !slices.Contains(t.pr.Langs, lang) {
		t.question()
		return false
	}
	if f.Order.Lang = lang; lang == now {
		f.Order.Lang = ""
	}
	if f.Order.Lang == "" && f.Order.Zone == "" && f.Order.Evening == 0 && f.Order.Morning == 0 {
		t.c.Form = Form{}
		t.sayKey("desk.nochange")
		return false
	}
	return true
}

// answerTap takes a button as the answer; most stand for typed words.
func (t *turn) answerTap(arg string) {
	f := &t.c.Form
	q, open := t.asked()
	switch {
	case !open:
		t.sayKey("desk.form.gone")
	case q == askFlag:
		n, err := strconv.Atoi(strings.TrimPrefix(arg, "c"))
		if err != nil || n < 0 || n >= len(f.Brief.Flags) {
			t.sayKey("desk.form.gone")
			return
		}
		f.Order.Flag = f.Brief.Flags[n].ID
		f.At++
		t.question()
	case q == askZone && strings.HasPrefix(arg, "z"):
		if n, err := strconv.Atoi(arg[1:]); err == nil && n >= 0 && n < len(f.Zones) {
			t.answer("", flows.Said{Zones: f.Zones[n : n+1]})
			return
		}
		t.question()
	case q == askLimits:
		t.limitTap(arg)
	case (q == askODI || q == askAsleep) && arg == "skip":
		f.At++
		t.question()
	default:
		t.answer(arg, flows.Said{})
	}
}

// takeZone takes a zone that the text names, or keeps the one there is.
func (t *turn) takeZone(text string, zones []string) bool {
	f := &t.c.Form
	switch {
	case text == "keep":
	case len(zones) == 0:
		t.sayKey("enrol.zone.none")
		return false
	case len(zones) > 1:
		t.offerZones(zones)
		return false
	case zones[0] != f.Brief.Enrolment.Zone:
		f.Order.Zone = zones[0]
	}
	return true
}

// wrong says what is wrong with an answer; the question stays open.
func (t *turn) wrong(p enrol.Problem) { t.say(p.Say()) }

// test returns a new copy of the order's sleep test, to be changed: the one of
// the form before belongs to the argument of Next.
func (t *turn) test() *chart.SleepTest {
	f := &t.c.Form
	x := chart.SleepTest{}
	if f.Order.Test != nil {
		x = *f.Order.Test
	}
	f.Order.Test = &x
	return &x
}

// takeTest keeps what the small form alone asks of a sleep test.
func (t *turn) takeTest(q ask, text string, word reading.Word) bool {
	switch {
	case (q == askODI || q == askAsleep) && word == reading.WordSkip:
	case q == askODI:
		odi := enrol.FormField{Key: "ahi", Kind: enrol.FormTenths, Max: 2000}
		d, p := odi.Read(text)
		if p != nil {
			p.Field = ""
			t.wrong(enrol.Problem{Key: "desk.bad.odi"})
			return false
		}
		t.test().ODI10 = chart.Num(int(d.N))
	case q == askAsleep:
		hours := enrol.FormField{Key: "worn-hours", Kind: enrol.FormHours, Min: 30, Max: 1440}
		d, p := hours.Read(text)
		if p != nil {
			t.wrong(enrol.Problem{Key: "desk.bad.asleep"})
			return false
		}
		t.test().Asleep = int16(d.N)
	case q == askDrop && (text == "3" || text == "4"):
		t.test().ODIDrop = int16(text[0] - '0')
	case q == askPlace && (text == "yes" || word == reading.WordYes):
		t.test().InPlace = true
	case q == askPlace && (text == "no" || word == reading.WordNo):
		t.test().InPlace = false
	default:
		t.question()
		return false
	}
	return true
}
