package flows

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// Quick answers: rows of buttons under a question. Each label names its
// question, so a late or double press still goes to its own field.

// wide is how many quick answers of a kind stand in a row.
var wide = [...]int{chart.Choice: 1, chart.YesNo: 2, chart.Scale: 4, chart.Minutes: 1, chart.Hours: 4, chart.Setting: 3}

// list puts values of a field in rows of so many, with room for three rows more.
func (l *context) list(f chart.Field, wide int, values ...int) [][]message.Choice {
	rows := l.out.rowsOf((len(values)+wide-1)/wide + 3)
	for i := 0; i < len(values); i += wide {
		var row [11]message.Choice
		n := 0
		for _, v := range values[i:min(i+wide, len(values))] {
			row[n] = message.Choice{Field: f, Value: chart.Num(v)}
			n++
		}
		rows = append(rows, l.out.row(row[:n]...))
	}
	return rows
}

// every lists all answers of a field that has a few of them.
func (l *context) every(f chart.Field) [][]message.Choice {
	r := f.Row()
	var few [16]int
	n := 0
	switch r.Kind {
	case chart.Choice, chart.YesNo, chart.Scale:
		for v := r.Least; v <= r.Most && n < len(few); v++ {
			few[n] = v
			n++
		}
	}
	return l.list(f, wide[r.Kind], few[:n]...)
}

// one is a row of one quick answer.
func (l *context) one(f chart.Field, n int) []message.Choice {
	return l.out.row(message.Choice{Field: f, Value: chart.Num(n)})
}

func (l *context) wear() [][]message.Choice {
	return append(l.list(chart.Worn, 1, chart.WornAll, chart.WornPart, chart.WornNo),
		l.one(chart.NotWorn, chart.ReasonMorning), l.one(chart.NotWorn, chart.ReasonNotKnown))
}

func (l *context) hours() [][]message.Choice {
	return l.list(chart.WornMinutes, 4, 60, 120, 180, 240, 300, 360, 420)
}

func (l *context) reasons() [][]message.Choice {
	rows := l.list(chart.NotWorn, 1, chart.ReasonForgot, chart.ReasonPain, chart.ReasonDiscomf, chart.ReasonIll,
		chart.ReasonAway, chart.ReasonBroken, chart.ReasonAdvised)
	if l.last.V[chart.Worn].Is(chart.WornPart) {
		rows = append(rows, l.one(chart.NotWorn, chart.ReasonMorning))
	}
	if l.p.Plan.Fallback != "" {
		rows = append(rows, l.one(chart.NotWorn, chart.ReasonOtherUse))
	}
	return append(rows, l.one(chart.NotWorn, chart.ReasonOther))
}

func (l *context) snores() [][]message.Choice {
	return append(l.every(chart.Snoring), l.one(chart.Reporter, chart.ReporterNobody))
}

// pains offers, in the shorter form, one answer that says the whole quiet
// morning, so that three taps are enough and nothing is guessed.
func (l *context) pains() [][]message.Choice {
	rows := l.every(chart.Pain)
	if !l.last.V[chart.Woken].Known() {
		rows = append(rows, l.one(chart.Woken, chart.Yes))
	}
	if !l.short || !l.worn() {
		return rows
	}
	well := message.Choice{Field: chart.Pain, Value: chart.Num(0)}
	if l.guided() && l.last.V[chart.Guide] == chart.Unknown {
		well.Guide = chart.Num(chart.Yes)
	}
	if l.biteUnknown() && l.last.V[chart.Bite] == chart.Unknown {
		well.Bite = chart.Num(chart.BiteBoth)
	}
	if well.Guide == chart.Unknown && well.Bite == chart.Unknown {
		return rows
	}
	return append(append(l.out.rowsOf(len(rows)+3), l.out.row(well)), rows...)
}

func (l *context) sites() [][]message.Choice {
	return l.list(chart.Where, 2, chart.SiteJoint, chart.SiteMuscle, chart.SiteTooth, chart.SiteGum, chart.SiteOther)
}

func (l *context) goneYet() [][]message.Choice {
	return l.list(chart.Gone, 1, chart.GoneMorning, chart.GoneNo)
}

func (l *context) biteBack() [][]message.Choice {
	return l.list(chart.BiteMinutes, 1, 30, 45, 60, chart.BiteNot)
}

func (l *context) biteSince() [][]message.Choice {
	if l.last.V[chart.BiteMinutes].Is(hourPassed) {
		return l.list(chart.BiteMinutes, 1, 120, chart.BiteMidday, 480, chart.BiteNot)
	}
	return l.list(chart.BiteMinutes, 1, 30, 60, 120, chart.BiteMidday, 480, chart.BiteNot)
}

// stands offers the advised and the last confirmed setting, which is all that
// it should be; any other number can be typed.
func (l *context) stands() [][]message.Choice {
	rows := append(l.out.rowsOf(4), l.out.row(message.Choice{Word: reading.WordStands, N: int32(l.last.To)}))
	if at := l.p.Course.Left; at != l.last.To {
		rows = append(rows, l.out.row(message.Choice{Word: reading.WordStill, N: int32(at)}))
	}
	return rows
}

// counts offers the settings it may stand at and one more at each end; any
// whole number can be typed, below 0 too.
func (l *context) counts() [][]message.Choice {
	c := &l.p.Course
	low, high := int(min(c.Low, c.Left))-1, int(max(c.High, c.Left))+1
	high = min(high, low+5)
	var some [6]message.Choice
	row := some[:0]
	for n := low; n <= high; n++ {
		row = append(row, message.Choice{Field: chart.SettingLeft, Value: chart.Num(n)})
	}
	half := (len(row) + 1) / 2
	return append(l.out.rowsOf(4), l.out.row(row[:half]...), l.out.row(row[half:]...))
}

// pose asks a question and leaves it open.
func (t *turn) pose(q *question, l *context) {
	k := &t.p.Talk
	k.Open, k.OpenAt = q.field, t.now()
	if k.Ask == AskNumber || k.Ask == AskEdit {
		k.Ask, k.EditOf = NoAsk, chart.NoField
	}
	var rows [][]message.Choice
	if q.rows != nil {
		rows = q.rows(l)
	} else {
		rows = l.every(q.field)
	}
	if q.field == chart.SettingRight {
		for _, row := range rows {
			for i := range row {
				row[i].Field, row[i].Value = chart.SettingRight, chart.Num(row[i].Value.N()+int(l.p.Appliance.Offset))
			}
		}
	}
	last := [...]message.Choice{{Field: q.field, Value: chart.Skipped}, {Word: reading.WordUndo}}
	n := 1
	if k.Last != chart.NoField {
		n = 2
	}
	key := q.key
	if key == "" {
		key = fieldKeys[q.field].ask
	}
	_, night := l.about(q)
	t.reply(t.line(key, message.ArgD("date", night))).Choices = append(rows, t.out.row(last[:n]...))
}
