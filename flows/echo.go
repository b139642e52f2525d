package flows

// fieldNames name the fields in keys: "field.pain" is its name, "label.pain" or
// "label.worn.2" an answer.
var fieldNames = [NumFields]string{
	Worn: "worn", WornMinutes: "wornminutes", NotWorn: "notworn", Snoring: "snoring", Reporter: "reporter", Pain: "pain",
	Woken: "woken", Where: "where", Gone: "gone", Guide: "guide", GuideMinutes: "guideminutes", Bite: "bite",
	BiteMinutes: "biteminutes", Nose: "nose", Sleepiness: "sleepiness", Driving: "driving", Pauses: "pauses",
	Headache: "headache", SettingLeft: "settingleft", SettingRight: "settingright", Wrong: "wrong",
}

// echo says what was saved: one answer in one line; several, or answers of
// another night, under their date.
func (b *binding) echo() {
	t := b.t
	if b.n == 0 {
		return
	}
	plain := true
	for i := range b.saved[:b.n] {
		plain = plain && b.saved[i].night == t.natural(b.saved[i].field, b.s.Wall)
	}
	if b.n == 1 && plain {
		t.reply(savedLine(b.saved[0].field, b.saved[0].v))
		return
	}
	var on Date
	for i := range b.saved[:b.n] {
		x := &b.saved[i]
		if plain && i == 0 {
			t.say("saved.head")
		} else if !plain && (i == 0 || x.night != on) {
			t.reply(Say("saved.on", ArgD("date", x.night)))
		}
		on = x.night
		t.reply(answerLine(x.field, x.v))
	}
}

// answerLine is an answer in words, as its quick answer has it.
func answerLine(f Field, v Value) Line {
	key := "label." + fieldNames[f]
	switch {
	case v == Skipped:
		return Say("label.skip", ArgK("question", "field."+fieldNames[f]))
	case f == Pain || f == Snoring || f == Sleepiness || f == SettingLeft || f == SettingRight:
		return Say(key, ArgN("n", v.N()))
	case f == BiteMinutes && v.Is(BiteNot):
		return Say(key + ".1440")
	case f == BiteMinutes && v.Is(hourPassed):
		return Say("answer.bite.hour")
	case f == WornMinutes || f == GuideMinutes || f == BiteMinutes:
		return Say(key, Arg{Name: "time", Kind: ArgMinutes, N: int64(v.N())})
	}
	return Say(key + "." + itoa(v.N()))
}

// savedLine is one answer, saved.
func savedLine(f Field, v Value) Line {
	what := ArgK("what", "field."+fieldNames[f])
	switch {
	case v == Skipped:
		return Say("saved.skipped", what)
	case f == Pain || f == Snoring || f == Sleepiness || f == SettingLeft || f == SettingRight:
		return saidNumber(f, v)
	case f == BiteMinutes && v.Is(hourPassed):
		return Say("saved.one", ArgK("answer", "answer.bite.hour"))
	case (f == WornMinutes || f == GuideMinutes || f == BiteMinutes) && !v.Is(BiteNot):
		return Say("saved.time", what, Arg{Name: "time", Kind: ArgMinutes, N: int64(v.N())})
	}
	return Say("saved.one", ArgK("answer", answerLine(f, v).Key))
}

func saidNumber(f Field, v Value) Line {
	return Say("saved.number", ArgK("what", "field."+fieldNames[f]), ArgN("n", v.N()))
}

// itoa writes the small numbers of answers.
func itoa(n int) string {
	if n >= 0 && n < 10 {
		return "0123456789"[n : n+1]
	}
	return number(int32(n))
}
