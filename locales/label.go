package locales

import (
	"strconv"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// words names the control words in keys ("word.undo"), and in the reading
// dictionaries.
var words = map[reading.Word]string{
	reading.WordStart: "start", reading.WordToday: "today", reading.WordHelp: "help", reading.WordUndo: "undo",
	reading.WordSkip: "skip", reading.WordPause: "pause", reading.WordResume: "resume", reading.WordStop: "stop",
	reading.WordCall: "call", reading.WordHow: "how", reading.WordYes: "yes", reading.WordNo: "no",
	reading.WordDiary: "diary", reading.WordData: "data", reading.WordLeave: "leave", reading.WordLanguage: "language",
	reading.WordStands: "stands", reading.WordStill: "still", reading.WordWrong: "wrong", reading.WordNotNow: "notnow",
	reading.WordQueue: "queue", reading.WordFind: "find", reading.WordEnrol: "enrol", reading.WordPatients: "patients",
	reading.WordHold: "hold", reading.WordCancel: "cancel", reading.WordBack: "back", reading.WordDone: "done",
	reading.WordBlank: "blank", reading.WordThanks: "thanks", reading.WordHello: "hello",
	reading.WordLost: "lostcount",
	reading.WordNow:  "now", reading.WordEarlier: "earlier", reading.WordNotWearer: "notwearer", reading.WordOver: "over",
	reading.WordNotOver: "notover", reading.WordBreathing: "breathing", reading.WordSwelling: "swelling",
	reading.WordSwellingThroat: "swellingthroat", reading.WordSwellingCheek: "swellingcheek", reading.WordChest: "chest",
	reading.WordBleeding: "bleeding", reading.WordBleedingOn: "bleedingon", reading.WordBleedingStops: "bleedingstops",
	reading.WordPart: "part", reading.WordPartAirway: "partairway", reading.WordPartMissing: "partmissing",
	reading.WordPartStuck: "partstuck", reading.WordPartBroken: "partbroken", reading.WordPain: "pain",
	reading.WordJawOpen: "jawopen", reading.WordJawLocked: "jawlocked", reading.WordPainBad: "painbad",
	reading.WordBite: "bite", reading.WordDriving: "driving", reading.WordDrivingAsleep: "drivingasleep",
	reading.WordDrivingNearly: "drivingnearly", reading.WordLow: "low", reading.WordLowHarm: "lowharm",
	reading.WordLowMood: "lowmood", reading.WordElse: "else", reading.WordNone: "none", reading.WordCourse: "course", reading.WordSame: "same",
}

// FieldKey is the key of a field's name ("field.pain": "pain").
func FieldKey(f chart.Field) string {
	if f >= chart.NumFields {
		return ""
	}
	return "field." + f.Row().Name
}

// AnswerKey is the key of a choice's label ("label.worn.2"), or of a number's
// ("label.pain", with the value n or time).
func AnswerKey(f chart.Field, v chart.Answer) string {
	if f >= chart.NumFields {
		return ""
	}
	key := "label." + f.Row().Name
	if f.Row().Worded(v) {
		key += "." + strconv.Itoa(v.N())
	}
	return key
}

// WordKey is the key of a control word ("word.undo").
func WordKey(w reading.Word) string { return "word." + words[w] }

// Label writes a quick answer. It is a piece of the one-line day that names
// its question, so Read gives back the question and the value, whichever
// question is open by then.
func (w *Words) Label(lang string, c message.Choice) string {
	if lang == KeyLang { // talks type what stands on the buttons
		lang = Source
	}
	s := w.Line(lang, labelLine(c))
	if c.Guide != chart.Unknown {
		s += ", " + w.Line(lang, labelLine(message.Choice{Field: chart.Guide, Value: c.Guide}))
	}
	if c.Bite != chart.Unknown {
		s += ", " + w.Line(lang, labelLine(message.Choice{Field: chart.Bite, Value: c.Bite}))
	}
	return s
}

func labelLine(c message.Choice) message.Line {
	switch {
	case c.Word == reading.WordHow && c.Topic != reading.NoTopic && c.Topic < reading.NumTopics:
		return message.Say("topic." + c.Topic.String())
	case c.Word == reading.WordStands, c.Word == reading.WordStill:
		return message.Say(WordKey(c.Word), message.ArgN("n", int(c.N)))
	case c.Word != reading.NoWord:
		return message.Say(WordKey(c.Word))
	case c.Value == chart.Skipped:
		return message.Say("label.skip", message.ArgK("question", FieldKey(c.Field)))
	case c.Field.Row().Kind.Timed():
		return message.Say(AnswerKey(c.Field, c.Value), message.Arg{Name: "time", Kind: message.ArgMinutes,
			N: int64(c.Value.N())})
	}
	return message.Say(AnswerKey(c.Field, c.Value), message.ArgN("n", c.Value.N()))
}

// learnLabels teaches Read the labels of all languages word by word: a label
// is exactly its answer, whatever else its words could mean. Labels with a
// length of time or a setting in them are left to the grammar: they are many,
// and plain. Their shapes are learnt.
func (w *Words) learnLabels() {
	for _, lang := range w.langs {
		for f := chart.Worn; f < chart.NumFields; f++ {
			for _, n := range shapesOf(f) {
				text := trim(fold.Text(nil, w.Label(lang, message.Choice{Field: f, Value: chart.Num(n)})))
				w.dict.shapes[shape(text)] = f
			}
		}
		for _, c := range fixedChoices() {
			text := string(trim(fold.Text(nil, w.Label(lang, c))))
			r := reading.Reading{Lang: lang, Word: c.Word, Topic: c.Topic}
			if c.Word == reading.NoWord {
				r.Tokens = []reading.Token{{Field: c.Field, Value: c.Value}}
			}
			if old, ok := w.dict.exact[text]; ok && old.Lang != lang {
				r.Lang = ""
			}
			w.dict.exact[text] = r
		}
	}
}

// plainOf are the values of a field whose labels hold no length of time and no
// setting, from and to; none where the second is less.
func plainOf(f chart.Field) (from, to int) {
	switch r := f.Row(); {
	case r.Kind == chart.Setting:
		return 0, -1
	case !r.Kind.Timed():
		return r.Least, r.Most
	case r.Never != "":
		return r.Most, r.Most
	}
	return 0, -1
}

// shapesOf are values of a field whose labels have all the shapes that those with a length of time or a setting have.
func shapesOf(f chart.Field) []int {
	switch r := f.Row(); {
	case r.Kind == chart.Setting:
		return []int{-1, 1}
	case r.Kind.Timed():
		return []int{0, 60, 61}
	}
	return nil
}

// shape is a folded text with each number in it as a mark.
func shape(text []byte) string {
	var out []byte
	for i, c := range text {
		switch {
		case !fold.IsDigit(c):
			out = append(out, c)
		case i == 0 || !fold.IsDigit(text[i-1]):
			out = append(out, '#')
		}
	}
	return string(out)
}

// fixedChoices lists the quick answers whose labels hold no length of time and
// no setting.
func fixedChoices() []message.Choice {
	var out []message.Choice
	for f := chart.Worn; f < chart.NumFields; f++ {
		for n, to := plainOf(f); n <= to; n++ {
			out = append(out, message.Choice{Field: f, Value: chart.Num(n)})
		}
		out = append(out, message.Choice{Field: f, Value: chart.Skipped})
	}
	for word := reading.WordStart; word < reading.NumWords; word++ {
		if word != reading.WordStands && word != reading.WordStill && word != reading.WordLost {
			out = append(out, message.Choice{Word: word})
		}
	}
	for t := reading.HowPutIn; t < reading.NumTopics; t++ {
		out = append(out, message.Choice{Word: reading.WordHow, Topic: t})
	}
	return out
}
