package desk

import (
	"strconv"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
)

// putQuestion asks one question of a small form; false where it need not be asked.
func (t *turn) putQuestion(q ask) bool {
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
	case askArranged:
		today := t.e.Office.Date
		m.Lines = []message.Line{message.Say("desk.ask.arranged", message.ArgS("label", f.Brief.Enrolment.Label))}
		m.Inline = append(m.Inline, []message.Button{t.until(today + 7), t.until(today + 14)}, []message.Button{t.tap("desk.b.skip", "skip")})
	case askText:
		m.Lines = []message.Line{message.Say("desk.ask.text."+f.Op, message.ArgS("label", f.Brief.Enrolment.Label))}
	case askWhy:
		m.Lines = []message.Line{message.Say("desk.ask.why", message.ArgS("label", f.Brief.Enrolment.Label))}
		m.Inline = append(m.Inline, []message.Button{t.tap("desk.b.nowhy", "skip")})
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
	case askEvening, askMorning:
		plan := &f.Brief.Enrolment.Plan
		key, now := "desk.ask.evening", plan.Evening
		if q == askMorning {
			key, now = "desk.ask.morning", plan.Morning
		}
		m.Lines = []message.Line{message.Say(key, message.ArgC("time", now))}
		m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.keep", message.ArgS("value", now.String())), "keep")})
	case askLang:
		m.Lines = []message.Line{message.Say("desk.ask.lang")}
		now := f.Brief.Enrolment.Lang
		if now != "" {
			m.Inline = append(m.Inline, []message.Button{t.tapLine(message.Say("desk.b.keep", message.ArgK("value", "desk.lang."+now)), "keep")})
		}
		for _, l := range t.pr.Langs {
			if l != now {
				m.Inline = append(m.Inline, []message.Button{t.tap("desk.lang."+l, l)})
			}
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
