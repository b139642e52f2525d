package flows

// Quick answers: rows of buttons under a question. Each label names its
// question, so a late or double press still goes to its own field.

// list puts values of a field in rows of so many, with room for three rows more.
func (l *look) list(f Field, wide int, values ...int) [][]Choice {
	rows := l.out.rowsOf((len(values)+wide-1)/wide + 3)
	for i := 0; i < len(values); i += wide {
		var row [11]Choice
		n := 0
		for _, v := range values[i:min(i+wide, len(values))] {
			row[n] = Choice{Field: f, Value: Num(v)}
			n++
		}
		rows = append(rows, l.out.row(row[:n]...))
	}
	return rows
}

func (l *look) scale(f Field) [][]Choice { return l.list(f, 4, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10) }

// one is a row of one quick answer.
func (l *look) one(f Field, n int) []Choice { return l.out.row(Choice{Field: f, Value: Num(n)}) }

func (l *look) yesNo() [][]Choice { return nil } // filled in by pose: the field is the question's own

func (l *look) wear() [][]Choice {
	return append(l.list(Worn, 1, WornAll, WornPart, WornNo),
		l.one(NotWorn, ReasonMorning), l.one(NotWorn, ReasonNotKnown))
}

func (l *look) hours() [][]Choice { return l.list(WornMinutes, 4, 60, 120, 180, 240, 300, 360, 420) }

func (l *look) reasons() [][]Choice {
	rows := l.list(NotWorn, 1, ReasonForgot, ReasonPain, ReasonDiscomf, ReasonIll, ReasonAway, ReasonBroken, ReasonAdvised)
	if l.last.V[Worn].Is(WornPart) {
		rows = append(rows, l.one(NotWorn, ReasonMorning))
	}
	return append(rows, l.one(NotWorn, ReasonOther))
}

func (l *look) reporters() [][]Choice {
	return l.list(Reporter, 1, ReporterPartner, ReporterSelf, ReporterRecorder, ReporterNobody)
}

func (l *look) snores() [][]Choice {
	return append(l.scale(Snoring), l.one(Reporter, ReporterNobody))
}

// pains offers, in the shorter form, one answer that says the whole quiet
// morning, so that three taps are enough and nothing is guessed.
func (l *look) pains() [][]Choice {
	rows := l.scale(Pain)
	if !l.last.V[Woken].Known() {
		rows = append(rows, l.one(Woken, Yes))
	}
	if !l.short || !l.worn() {
		return rows
	}
	well := Choice{Field: Pain, Value: Num(0)}
	if l.guided() && l.last.V[Guide] == Unknown {
		well.Guide = Num(Yes)
	}
	if l.biteUnknown() && l.last.V[Bite] == Unknown {
		well.Bite = Num(BiteBoth)
	}
	if well.Guide == Unknown && well.Bite == Unknown {
		return rows
	}
	return append(append(l.out.rowsOf(len(rows)+3), l.out.row(well)), rows...)
}

func (l *look) sites() [][]Choice {
	return l.list(Where, 2, SiteJoint, SiteMuscle, SiteTooth, SiteGum, SiteOther)
}

func (l *look) goneYet() [][]Choice { return l.list(Gone, 1, GoneMorning, GoneNo) }

func (l *look) goneWhen() [][]Choice {
	return l.list(Gone, 1, GoneMorning, GoneMidday, GoneAfternoon, GoneNo)
}

func (l *look) bites() [][]Choice { return l.list(Bite, 1, BiteBoth, BiteOne, BiteFront, BiteUnsure) }

func (l *look) biteBack() [][]Choice { return l.list(BiteMinutes, 1, 30, 45, 60, BiteNot) }

func (l *look) biteSince() [][]Choice {
	if l.last.V[BiteMinutes].Is(hourPassed) {
		return l.list(BiteMinutes, 1, 120, BiteMidday, 480, BiteNot)
	}
	return l.list(BiteMinutes, 1, 30, 60, 120, BiteMidday, 480, BiteNot)
}

func (l *look) drives() [][]Choice {
	return l.list(Driving, 1, DrivingNo, DrivingNearly, DrivingYes, DrivingNoDrive)
}

func (l *look) sleepy() [][]Choice { return l.scale(Sleepiness) }

// stands offers the advised and the last confirmed setting, which is all that
// it should be; any other number can be typed.
func (l *look) stands() [][]Choice {
	rows := append(l.out.rowsOf(4), l.out.row(Choice{Word: WordStands, N: int32(l.last.To)}))
	if at := l.p.Course.Left; at != l.last.To {
		rows = append(rows, l.out.row(Choice{Word: WordStill, N: int32(at)}))
	}
	return rows
}

// counts offers the settings it may stand at and one more at each end; any
// whole number can be typed, below 0 too.
func (l *look) counts() [][]Choice {
	c := &l.p.Course
	low, high := int(min(c.Low, c.Left))-1, int(max(c.High, c.Left))+1
	high = min(high, low+5)
	var some [6]Choice
	row := some[:0]
	for n := low; n <= high; n++ {
		row = append(row, Choice{Field: SettingLeft, Value: Num(n)})
	}
	half := (len(row) + 1) / 2
	return append(l.out.rowsOf(4), l.out.row(row[:half]...), l.out.row(row[half:]...))
}

// pose asks a question and leaves it open.
func (t *turn) pose(q *question, l *look) {
	k := &t.p.Talk
	k.Open, k.OpenAt = q.field, t.now()
	if k.Ask == AskNumber || k.Ask == AskEdit {
		k.Ask, k.EditOf = NoAsk, NoField
	}
	var rows [][]Choice
	if q.rows != nil {
		rows = q.rows(l)
	}
	if rows == nil {
		rows = append(l.out.rowsOf(3), l.out.row(Choice{Field: q.field, Value: Num(No)}, Choice{Field: q.field, Value: Num(Yes)}))
	}
	if q.field == SettingRight {
		for _, row := range rows {
			for i := range row {
				row[i].Field, row[i].Value = SettingRight, Num(row[i].Value.N()+int(l.p.Appliance.Offset))
			}
		}
	}
	last := [...]Choice{{Field: q.field, Value: Skipped}, {Word: WordUndo}}
	n := 1
	if k.Last != NoField {
		n = 2
	}
	_, night := l.about(q)
	t.reply(t.line(q.key, ArgD("date", night))).Choices = append(rows, t.out.row(last[:n]...))
}
