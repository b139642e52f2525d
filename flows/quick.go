package flows

// Quick answers: rows of buttons under a question. Each label names its
// question, so a late or double press still goes to its own field.

// list puts values of a field in rows of so many.
func list(f Field, wide int, values ...int) [][]Choice {
	rows := make([][]Choice, 0, (len(values)+wide-1)/wide+1)
	for i := 0; i < len(values); i += wide {
		row := make([]Choice, 0, wide)
		for _, n := range values[i:min(i+wide, len(values))] {
			row = append(row, Choice{Field: f, Value: Num(n)})
		}
		rows = append(rows, row)
	}
	return rows
}

func scale(f Field) [][]Choice { return list(f, 4, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10) }

func (l *look) yesNo() [][]Choice { return nil } // filled in by pose: the field is the question's own

func (l *look) wear() [][]Choice {
	return append(list(Worn, 1, WornAll, WornPart, WornNo),
		[]Choice{{Field: NotWorn, Value: Num(ReasonMorning)}}, []Choice{{Field: NotWorn, Value: Num(ReasonNotKnown)}})
}

func (l *look) hours() [][]Choice { return list(WornMinutes, 4, 60, 120, 180, 240, 300, 360, 420) }

func (l *look) reasons() [][]Choice {
	rows := list(NotWorn, 1, ReasonForgot, ReasonPain, ReasonDiscomf, ReasonIll, ReasonAway, ReasonBroken, ReasonAdvised)
	if l.last.V[Worn].Is(WornPart) {
		rows = append(rows, []Choice{{Field: NotWorn, Value: Num(ReasonMorning)}})
	}
	return append(rows, []Choice{{Field: NotWorn, Value: Num(ReasonOther)}})
}

func (l *look) reporters() [][]Choice {
	return list(Reporter, 1, ReporterPartner, ReporterSelf, ReporterRecorder, ReporterNobody)
}

func (l *look) snores() [][]Choice {
	return append(scale(Snoring), []Choice{{Field: Reporter, Value: Num(ReporterNobody)}})
}

// pains offers, in the shorter form, one answer that says the whole quiet
// morning, so that three taps are enough and nothing is guessed.
func (l *look) pains() [][]Choice {
	rows := scale(Pain)
	if !l.last.V[Woken].Known() {
		rows = append(rows, []Choice{{Field: Woken, Value: Num(Yes)}})
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
	return append([][]Choice{{well}}, rows...)
}

func (l *look) sites() [][]Choice {
	return list(Where, 2, SiteJoint, SiteMuscle, SiteTooth, SiteGum, SiteOther)
}

func (l *look) goneYet() [][]Choice { return list(Gone, 1, GoneMorning, GoneNo) }

func (l *look) goneWhen() [][]Choice {
	return list(Gone, 1, GoneMorning, GoneMidday, GoneAfternoon, GoneNo)
}

func (l *look) bites() [][]Choice { return list(Bite, 1, BiteBoth, BiteOne, BiteFront, BiteUnsure) }

func (l *look) biteBack() [][]Choice { return list(BiteMinutes, 1, 30, 45, 60, BiteNot) }

func (l *look) biteSince() [][]Choice {
	if l.last.V[BiteMinutes].Is(hourPassed) {
		return list(BiteMinutes, 1, 120, BiteMidday, 480, BiteNot)
	}
	return list(BiteMinutes, 1, 30, 60, 120, BiteMidday, 480, BiteNot)
}

func (l *look) drives() [][]Choice {
	return list(Driving, 1, DrivingNo, DrivingNearly, DrivingYes, DrivingNoDrive)
}

func (l *look) sleepy() [][]Choice { return scale(Sleepiness) }

// stands offers the advised and the last confirmed setting, which is all that
// it should be; any other number can be typed.
func (l *look) stands() [][]Choice {
	rows := [][]Choice{{{Word: WordStands, N: int32(l.last.To)}}}
	if at := l.p.Course.Left; at != l.last.To {
		rows = append(rows, []Choice{{Word: WordStill, N: int32(at)}})
	}
	return rows
}

// counts offers the settings it may stand at and one more at each end; any
// whole number can be typed, below 0 too.
func (l *look) counts() [][]Choice {
	c := &l.p.Course
	low, high := int(min(c.Low, c.Left))-1, int(max(c.High, c.Left))+1
	high = min(high, low+5)
	row := make([]Choice, 0, 6)
	for n := low; n <= high; n++ {
		row = append(row, Choice{Field: SettingLeft, Value: Num(n)})
	}
	return [][]Choice{row[:(len(row)+1)/2], row[(len(row)+1)/2:]}
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
		rows = [][]Choice{{{Field: q.field, Value: Num(No)}, {Field: q.field, Value: Num(Yes)}}}
	}
	if q.field == SettingRight {
		for _, row := range rows {
			for i := range row {
				row[i].Field, row[i].Value = SettingRight, Num(row[i].Value.N()+int(l.p.Appliance.Offset))
			}
		}
	}
	last := []Choice{{Field: q.field, Value: Skipped}}
	if k.Last != NoField {
		last = append(last, Choice{Word: WordUndo})
	}
	_, night := l.about(q)
	t.reply(Say(q.key, ArgD("date", night))).Choices = append(rows, last)
}
