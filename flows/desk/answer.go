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

// put asks one question of a small form; false where it need not be asked.
func (t *turn) put(q ask) bool {
	f := &t.c.Form
	cancel := []message.Button{t.tap("desk.b.cancel", "x")}
	if f.At > 0 {
		cancel = []message.Button{t.tap("desk.b.back", "back"), t.tap("desk.b.cancel", "x")}
	}
	var m message.Message
	switch q {
	case askFlag:
		return t.putFlag()
	case askSetting:
		usual, least, most := t.settingBounds()
		m.Lines = []message.Line{message.Say("desk.ask.setting."+f.Op, settingArgs(&f.Filled.Enrolment, usual)...),
			message.Say("desk.ask.setting.how", message.ArgN("least", int(least)), message.ArgN("most", int(most)))}
		if usual >= least && usual <= most {
			m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.take",
				settingArgs(&f.Filled.Enrolment, usual)...), strconv.Itoa(int(usual)))})
		}
	case askUntil:
		today := t.e.Office.Date
		m.Lines = []message.Line{message.Say("desk.ask.until")}
		m.Inline = append(m.Inline, []message.Button{t.until(today + 14), t.until(today + 30)})
	case askText:
		m.Lines = []message.Line{message.Say("desk.ask.text."+f.Op, message.ArgS("label", f.Brief.Enrolment.Label))}
	case askLimits:
		t.putLimits()
		return true
	case askDay:
		m.Lines = []message.Line{message.Say("desk.ask.day", message.ArgS("label", f.Brief.Enrolment.Label),
			message.ArgD("night", t.e.Office.Night(civil.Noon)-t.lastNight()))}
	case askWhen, askKind, askScoring, askAHI:
		t.putField(testFields[q-askWhen], cancel)
		return true
	case askODI:
		m.Lines = []message.Line{message.Say("desk.ask.odi")}
		m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.skip", "skip")})
	case askDrop:
		if f.Order.Test == nil || !f.Order.Test.ODI10.Known() {
			return false
		}
		m.Lines = []message.Line{message.Say("desk.ask.drop")}
		m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.drop3", "3"), t.tap("desk.b.drop4", "4")})
	case askAsleep:
		m.Lines = []message.Line{message.Say("desk.ask.asleep")}
		m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.skip", "skip")})
	case askBy:
		m.Lines = []message.Line{message.Say("desk.ask.by")}
	case askZone:
		m.Lines = []message.Line{message.Say("desk.ask.zone", message.ArgS("zone", f.Brief.Enrolment.Zone)),
			message.Say("enrol.how.zone")}
		m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.keep",
			message.ArgS("value", f.Brief.Enrolment.Zone)), "keep")})
	case askLang:
		m.Lines = []message.Line{message.Say("desk.ask.lang")}
		for _, l := range t.pr.Langs {
			m.Inline = append(m.Inline, []message.Button{t.tap("desk.lang."+l, l)})
		}
	case askPlace:
		m.Lines = []message.Line{message.Say("desk.ask.place")}
		m.Inline = append(m.Inline, []message.Button{t.tap("desk.yes", "yes"), t.tap("desk.no", "no")})
	}
	m.Inline = append(m.Inline, cancel)
	t.send(m)
	return true
}

// testFields are the blanks of a sleep test, by the table's keys.
var testFields = [...]string{"ahi-date", "ahi-test", "ahi-rule", "ahi"}

func (t *turn) until(d civil.Date) message.Button {
	return t.tapLine(message.Say("desk.b.until", message.ArgD("until", d)), d.String())
}

// lastNight is how many nights before the running one the answers of a
// telephone call are about: before noon the running night is last night.
func (t *turn) lastNight() civil.Date {
	if t.e.Office.Clock < civil.Noon {
		return 0
	}
	return 1
}

// putFlag asks which flag is meant where there are several.
func (t *turn) putFlag() bool {
	f := &t.c.Form
	flags := f.Brief.Flags
	for _, g := range flags {
		if g.ID == f.Order.Flag {
			return false // the button named it
		}
	}
	switch len(flags) {
	case 0:
		t.c.Form = Form{}
		t.sayKey("desk.noflag")
		return false
	case 1:
		f.Order.Flag = flags[0].ID
		return false
	}
	m := message.Message{Lines: []message.Line{message.Say("desk.ask.flag")}}
	for i, g := range flags[:min(len(flags), 8)] {
		m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say(flagKey(g.ID)), "c"+strconv.Itoa(i))})
	}
	m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.cancel", "x")})
	t.send(m)
	return true
}

// settingBounds gives the setting offered, and the range that makes sense; the
// patient's flow holds it to the rest.
func (t *turn) settingBounds() (usual, least, most chart.Steps) {
	f := &t.c.Form
	a, l := &f.Brief.Enrolment.Appliance, &f.Brief.Enrolment.Plan.Limits
	switch f.Op {
	case opRelease:
		usual = f.Brief.Left
		for _, g := range f.Brief.Flags {
			if g.ID == f.Order.Flag {
				usual = min(usual, g.Resume)
			}
		}
		return max(usual, 0), 0, max(min(usual, l.Ceiling), 0)
	case opGrant, opSetting:
		return f.Brief.Left + 1, 0, l.Ceiling
	}
	return f.Brief.Left, 0, a.Travel
}

// answer takes typed words for the open question.
func (t *turn) answer(text string, s flows.Said) {
	f := &t.c.Form
	i := actIndex(f.Op)
	if i < 0 || int(f.At) >= len(acts[i].asks) || f.Brief == nil {
		t.cancel()
		return
	}
	o := &f.Order
	switch q := acts[i].asks[f.At]; q {
	case askFlag:
		t.question()
		return
	case askSetting:
		_, least, most := t.settingBounds()
		n, p := enrol.ReadSetting(&f.Brief.Enrolment, "setting", text, least, most)
		if p != nil {
			t.wrong(*p)
			return
		}
		o.To, o.Has = n, true
		if o.Test != nil {
			t.test().Setting, o.Has = n, false
		}
	case askUntil:
		d, err := civil.ParseDate(text)
		if err != nil || d < t.e.Office.Date || d > f.Brief.Enrolment.Plan.Ends {
			t.wrong(enrol.Problem{Key: "desk.bad.until", Args: []message.Arg{message.ArgD("least", t.e.Office.Date),
				message.ArgD("most", f.Brief.Enrolment.Plan.Ends)}})
			return
		}
		o.Until = d
	case askText, askBy:
		if text == "" || len([]rune(text)) > maxWords {
			t.wrong(enrol.Problem{Key: "desk.bad.text", Args: []message.Arg{message.ArgN("most", maxWords)}})
			return
		}
		if q == askBy {
			test := t.test()
			test.By = text
		} else {
			o.Text = text
		}
	case askLimits:
		t.limitSaid(text, s)
		return
	case askDay:
		if !t.daySaid(s) {
			return
		}
	case askWhen, askKind, askScoring, askAHI:
		if !t.fieldSaid(testFields[q-askWhen], text) {
			return
		}
		by := o.Test
		x := f.Filled.Enrolment.Baseline.Test
		if by != nil {
			x.ODI10, x.ODIDrop, x.Asleep, x.By, x.InPlace, x.Setting = by.ODI10, by.ODIDrop, by.Asleep, by.By, by.InPlace,
				by.Setting
		}
		o.Test = &x
	case askZone:
		if !t.zoneFor(text, s.Zones) {
			return
		}
	case askLang:
		if !slices.Contains(t.pr.Langs, strings.ToLower(text)) {
			t.question()
			return
		}
		o.Lang = strings.ToLower(text)
		if o.Lang == f.Brief.Enrolment.Lang && o.Zone == "" {
			t.c.Form = Form{}
			t.sayKey("desk.nochange")
			return
		}
	case askODI, askDrop, askAsleep, askPlace:
		if !t.testSaid(q, text, s.Reading.Word) {
			return
		}
	}
	f.At++
	t.question()
}

// answerTap takes a button as the answer; most stand for typed words.
func (t *turn) answerTap(arg string) {
	f := &t.c.Form
	i := actIndex(f.Op)
	if i < 0 || int(f.At) >= len(acts[i].asks) || f.Brief == nil {
		t.sayKey("desk.form.gone")
		return
	}
	switch q := acts[i].asks[f.At]; {
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

// zoneFor takes a zone that the text names, or keeps the one there is.
func (t *turn) zoneFor(text string, zones []string) bool {
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

func (t *turn) test() *chart.SleepTest {
	f := &t.c.Form
	x := chart.SleepTest{}
	if f.Order.Test != nil {
		x = *f.Order.Test
	}
	f.Order.Test = &x
	return &x
}

func (t *turn) testSaid(q ask, text string, word reading.Word) bool {
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

// daySaid takes a day's answers given by telephone.
func (t *turn) daySaid(s flows.Said) bool {
	night := t.e.Office.Night(civil.Noon) - t.lastNight()
	entry := chart.Entry{Night: night}
	n := 0
	for _, tok := range s.Reading.Tokens {
		if tok.Field == chart.NoField || tok.Field >= chart.NumFields {
			continue
		}
		if tok.Night != 0 {
			entry.Night = tok.Night
		}
		entry.V[tok.Field] = tok.Value
		n++
	}
	if n == 0 || s.Reading.Doubt != reading.NoDoubt || entry.Night > night+1 || entry.Night < night-27 {
		t.say(message.Say("desk.bad.day"))
		return false
	}
	t.c.Form.Order.Entry = &entry
	return true
}
