package locales

import (
	"strconv"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// asked is how a field is named in keys and how its values are labelled.
type asked struct {
	name string // the question's key is "field.<name>", a label's "label.<name>..."
	kind kind
}

// kind says what the values of a field are.
type kind uint8

const (
	choice  kind = iota // a text per value: "label.worn.2"
	number              // one text with {{.n}}: "label.pain"
	minutes             // one text with {{.time}}: "label.guideminutes"
)

// fields says how each field is asked. A field that is missing here has no
// label, which a test refuses.
var fields = [chart.NumFields]asked{
	chart.Worn:         {"worn", choice},
	chart.WornMinutes:  {"wornminutes", minutes},
	chart.NotWorn:      {"notworn", choice},
	chart.Snoring:      {"snoring", number},
	chart.Reporter:     {"reporter", choice},
	chart.Pain:         {"pain", number},
	chart.Woken:        {"woken", choice},
	chart.Where:        {"where", choice},
	chart.Gone:         {"gone", choice},
	chart.Guide:        {"guide", choice},
	chart.GuideMinutes: {"guideminutes", minutes},
	chart.Bite:         {"bite", choice},
	chart.BiteMinutes:  {"biteminutes", minutes},
	chart.Nose:         {"nose", choice},
	chart.Sleepiness:   {"sleepiness", number},
	chart.Driving:      {"driving", choice},
	chart.Pauses:       {"pauses", choice},
	chart.Headache:     {"headache", choice},
	chart.SettingLeft:  {"settingleft", number},
	chart.SettingRight: {"settingright", number},
	chart.Wrong:        {"wrong", choice},
}

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
}

// FieldKey is the key of a field's name ("field.pain": "pain").
func FieldKey(f chart.Field) string {
	if f >= chart.NumFields {
		return ""
	}
	return "field." + fields[f].name
}

// AnswerKey is the key of a choice's label ("label.worn.2"), or of a number's
// ("label.pain", with the value n or time).
func AnswerKey(f chart.Field, v chart.Answer) string {
	if f >= chart.NumFields {
		return ""
	}
	key := "label." + fields[f].name
	if fields[f].kind == choice || f == chart.BiteMinutes && v.Is(chart.BiteNot) {
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
	case c.Field < chart.NumFields && fields[c.Field].kind == minutes:
		return message.Say(AnswerKey(c.Field, c.Value), message.Arg{Name: "time", Kind: message.ArgMinutes,
			N: int64(c.Value.N())})
	}
	return message.Say(AnswerKey(c.Field, c.Value), message.ArgN("n", c.Value.N()))
}

// learnLabels teaches Read the labels of all languages word by word: a label
// is exactly its answer, whatever else its words could mean. Labels with a
// length of time or a setting in them are left to the grammar: they are many,
// and plain.
func (w *Words) learnLabels() {
	for _, lang := range w.langs {
		for _, c := range fixedChoices() {
			text := string(trim(fold(nil, w.Label(lang, c))))
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

// span is the values that a field's labels may have, from and to.
type span struct{ from, to int }

// spans are the values with a label of their own; a field that is missing has
// none.
var spans = [chart.NumFields]span{
	chart.Worn: {chart.WornNo, chart.WornAll}, chart.NotWorn: {chart.ReasonForgot, chart.ReasonNotKnown},
	chart.Snoring: {0, 10}, chart.Reporter: {chart.ReporterPartner, chart.ReporterNobody}, chart.Pain: {0, 10},
	chart.Woken: {chart.No, chart.Yes}, chart.Where: {chart.SiteJoint, chart.SiteOther}, chart.Gone: {chart.GoneMorning, chart.GoneNo},
	chart.Guide: {chart.No, chart.Yes}, chart.Bite: {chart.BiteBoth, chart.BiteUnsure}, chart.BiteMinutes: {chart.BiteNot, chart.BiteNot},
	chart.Nose: {chart.No, chart.Yes}, chart.Sleepiness: {0, 10}, chart.Driving: {chart.DrivingNo, chart.DrivingNoDrive},
	chart.Pauses: {chart.No, chart.Yes}, chart.Headache: {chart.No, chart.Yes}, chart.Wrong: {chart.No, chart.Yes},
}

// fixedChoices lists the quick answers whose labels hold no length of time and
// no setting.
func fixedChoices() []message.Choice {
	var out []message.Choice
	for f := chart.Worn; f < chart.NumFields; f++ {
		if s := spans[f]; s != (span{}) {
			for n := s.from; n <= s.to; n++ {
				out = append(out, message.Choice{Field: f, Value: chart.Num(n)})
			}
		}
		out = append(out, message.Choice{Field: f, Value: chart.Skipped})
	}
	for word := reading.WordStart; word <= reading.WordHello; word++ {
		if word != reading.WordStands && word != reading.WordStill {
			out = append(out, message.Choice{Word: word})
		}
	}
	for t := reading.HowPutIn; t < reading.NumTopics; t++ {
		out = append(out, message.Choice{Word: reading.WordHow, Topic: t})
	}
	return out
}
