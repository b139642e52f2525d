package locales

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// What the grammar leaves of a text is judged: what is likely enough is written, and some things never are, however likely.
func TestVerdict(t *testing.T) {
	w := load(t)
	for _, c := range []struct {
		text  string
		has   map[chart.Field]int // is written so
		never []chart.Field       // is not written
	}{
		{"six hours no pain no headache bite was right after twenty minutes by the stove", map[chart.Field]int{chart.Pain: 0, chart.BiteMinutes: 20}, nil},
		{"wore it all night on the ferry, pain 2, snoring 3 says Otto from the bunk above", map[chart.Field]int{chart.Worn: chart.WornAll, chart.Pain: 2, chart.Snoring: 3}, nil},
		{"wore it all night on the ferry, pain 2, no wait, 3", map[chart.Field]int{chart.Worn: chart.WornAll}, nil},
		{"its on 5 on both sides as told", nil, []chart.Field{chart.Bite}},
		{"no pain, a headache though, splitting", nil, nil},
		{"slept 7 h, restless though, fretful", nil, []chart.Field{chart.WornMinutes}},
		{"I slept five hours on the ferry", nil, []chart.Field{chart.WornMinutes}},
		{"the ferry took 40 minutes", nil, []chart.Field{chart.BiteMinutes, chart.GuideMinutes}},
		{"la ventana abierta toda la noche", nil, []chart.Field{chart.Worn}},
		{"tomorrow I will wear it all night, promised", nil, []chart.Field{chart.Worn}},
		{"pain -3, whatever that means", nil, []chart.Field{chart.Pain}},
		{"Sat setting 3 I fancy, Sun setting 4 I fancy", nil, []chart.Field{chart.SettingLeft}},
		{"Sat pain 3 it was, Sun pain 1 it was, Sat pain 2 it was", nil, []chart.Field{chart.Pain}},
	} {
		r := w.Read(c.text)
		got := map[chart.Field]chart.Answer{}
		for _, x := range r.Tokens {
			got[x.Field] = x.Value
		}
		for f, n := range c.has {
			if !got[f].Is(n) {
				t.Errorf("%q: %s is %v, want %d", c.text, f.Row().Name, got[f], n)
			}
		}
		for _, f := range c.never {
			if got[f].Known() {
				t.Errorf("%q writes %s", c.text, f.Row().Name)
			}
		}
	}
}

// What a piece of a text says as its button does is written, whatever is said around it.
func TestALabelIsWritten(t *testing.T) {
	w := load(t)
	for _, text := range []string{"Pain 3, the ferry was late and the gulls were at it", "the gulls were at it, Pain 3, and so to bed"} {
		if r := w.Read(text); !slices.ContainsFunc(r.Tokens, func(x reading.Token) bool { return x.Field == chart.Pain && x.Value.Is(3) }) {
			t.Errorf("%q: %+v", text, r.Tokens)
		}
	}
}

// One letter makes a slip of a word of the text's language, and of no other: "Verne's" is no Spanish Friday.
func TestNoSlipOfAnotherLanguage(t *testing.T) {
	for _, x := range load(t).Read("Verne's pain 0, snoring 2").Tokens {
		if x.Day != (reading.Day{}) || x.Night != 0 {
			t.Errorf("%+v", x)
		}
	}
}

// Candidates are proposed once each, and what is heard of one is a set.
func TestCandidates(t *testing.T) {
	w := load(t)
	all := w.Candidates("pain 4, no wait, 3, in at eleven out at five, Otto away")
	seen := map[reading.Token]bool{}
	for _, c := range all {
		if seen[c.Token] || !c.Token.Value.Known() {
			t.Errorf("%+v twice, or no answer", c.Token)
		}
		seen[c.Token] = true
		if len(c.Cues) < 50 || !slices.IsSorted(c.Cues) || len(slices.Compact(slices.Clone(c.Cues))) != len(c.Cues) {
			t.Errorf("%+v: %d cues", c.Token, len(c.Cues))
		}
	}
	for _, want := range []reading.Token{{Field: chart.Pain, Value: chart.Num(3)}, {Field: chart.WornMinutes, Value: chart.Num(6 * 60)}} {
		if !seen[want] {
			t.Errorf("%+v is not proposed", want)
		}
	}
	for _, text := range []string{"from eleven or so until about five, Otto says"} { // no claim: two times of day
		if !slices.ContainsFunc(w.Candidates(text), func(c Candidate) bool {
			return c.Token.Field == chart.WornMinutes && c.Token.Value.Is(6*60)
		}) {
			t.Errorf("%q: no hours are proposed", text)
		}
	}
	if got := w.Candidates("Pain 3"); len(got) > 0 {
		t.Errorf("a label is judged: %+v", got)
	}
}

// A question takes nothing from what is said beside it; what a clause or a word of one's own leads to is asked about.
func TestBesideAQuestion(t *testing.T) {
	w := load(t)
	chest, tongue := reading.SetOf(reading.DangerChest), reading.SetOf(reading.DangerSwellAirway)
	for _, c := range []struct {
		text         string
		sure, unsure reading.Dangers
	}{
		{"May I eat toast? My chest hurts.", chest, 0},
		{"My chest hurts. May I eat toast?", chest, 0},
		{"Me duele el pecho ¿puedo comer pan?", chest, 0},
		{"¿Abren hoy? Se me hincha la lengua", tongue, 0},
		{"may I eat toast, my chest hurts", 0, chest},
		{"may I eat toast my chest hurts", 0, chest},
		{"may I eat toast? I like jam", 0, 0},
		{"may I eat toast with jam, or is it bad for it", 0, 0},
	} {
		r := w.Read(c.text)
		if r.Sure.Of('E') != c.sure || r.Unsure.Of('E') != c.unsure || (c.sure|c.unsure != 0 && r.Calm) {
			t.Errorf("%q: sure %v, unsure %v, calm %v", c.text, r.Sure.All(), r.Unsure.All(), r.Calm)
		}
	}
	for _, text := range []string{"how do I clean it, my jaw hurts a lot", "¿cómo lo limpio? me duele mucho la mandíbula"} {
		if r := w.Read(text); r.Word != reading.NoWord || !r.Rest || r.Topic != reading.HowClean || len(r.Tokens) == 0 {
			t.Errorf("%q: a card alone answers it: %+v", text, r)
		}
	}
	for _, text := range []string{"?", "¿", "¿?", "a?b¿c", "¿a", "a\n?", "?¿?"} {
		w.Read(text) // any order of marks
	}
}

// Fifteen is no hour at which the bite came back.
func TestBiteAtFifteen(t *testing.T) {
	for _, x := range load(t).Read("bite good at 15").Tokens {
		if x.Field == chart.BiteMinutes && x.Value.Known() && x.Value.N() > 60 {
			t.Errorf("%v", x)
		}
	}
}

// A yes with its accent is no "if", and what is perhaps a number takes nothing from the rest of the day.
func TestAccentedYesAndMaybe(t *testing.T) {
	w := load(t)
	if r := w.Read("sí lo usé, toda la noche"); len(r.Tokens) != 1 || !r.Tokens[0].Value.Is(chart.WornAll) {
		t.Errorf("%+v", r.Tokens)
	}
	r := w.Read("wore it all night, snoring maybe 5, pain 3, guide 5 minutes")
	want := map[chart.Field]int{chart.Worn: chart.WornAll, chart.Pain: 3, chart.GuideMinutes: 5}
	for _, x := range r.Tokens {
		if n, ok := want[x.Field]; ok && x.Value.Is(n) {
			delete(want, x.Field)
		}
	}
	if len(want) > 0 {
		t.Errorf("%v is missing of %+v", want, r.Tokens)
	}
}

// TestAnswersBeside writes what the tagger alone hears: why it was not worn, where the grammar took in every word; that the bite is not
// back; that nothing is wrong, beside other answers. And one o'clock is midday, half past one is not.
func TestAnswersBeside(t *testing.T) {
	w := load(t)
	for text, want := range map[string]string{
		"got the flu and could not wear it":                          "worn=0 notworn=4",
		"front teeth touch first this morning, bite is not back yet": "biteminutes=1440 bite=3",
		"left side 3 right side 4, nothing wrong with it":            "settingleft=3 settingright=4 wrong=0",
		"pain 3, gone by one":                                        "pain=3 gone=2",
		"pain 3, gone at 13:30":                                      "pain=3 gone=3",
	} {
		var got []string
		for _, token := range w.Read(text).Tokens {
			if token.Value.Known() {
				got = append(got, fmt.Sprintf("%s=%d", token.Field.Row().Name, token.Value.N()))
			}
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%q writes %q, want %q", text, got, want)
		}
	}
}

// TestSwappedSides writes no setting where the sides are put right, or the number is.
func TestSwappedSides(t *testing.T) {
	w := load(t)
	for _, text := range []string{"left 4 right 5, no the other way round", "left=4, right=2, stop, exactly reversed", "izquierda 4 derecha 5, no, al revés",
		"left is five no right is five left is four"} {
		for _, token := range w.Read(text).Tokens {
			if token.Value.Known() && (token.Field == chart.SettingLeft || token.Field == chart.SettingRight) {
				t.Errorf("%q writes %v=%d", text, token.Field, token.Value.N())
			}
		}
	}
}

// TestWhoseNumber writes no setting where the number is a score, and the scores of a day that is named under that day.
func TestWhoseNumber(t *testing.T) {
	w := load(t)
	for text, want := range map[string]string{
		"tomé un ibuprofeno de 400, me quedó en 3 el dolor": "pain=3 or asked",
		"Friday I didn't drive and my sleepy was a four":    "5/sleepiness=4 5/driving=3",
		"sunday brunch shift on, sleepy 7, didn't drive":    "0/sleepiness=7 0/driving=3",
		"el dolor se me quitó a las 3 de la tarde":          "gone=3",
		"the pain had gone by 11":                           "gone=1",
		"the pain had gone by 11:30":                        "gone=2",
	} {
		var got []string
		for _, x := range w.Read(text).Tokens {
			if !x.Value.Known() {
				continue
			}
			day := ""
			if x.Day.Kind == reading.DayWeek {
				day = fmt.Sprintf("%d/", x.Day.N)
			}
			got = append(got, fmt.Sprintf("%s%s=%d", day, x.Field.Row().Name, x.Value.N()))
		}
		for _, g := range got {
			if !slices.Contains(strings.Fields(want), g) {
				t.Errorf("%q writes %s, want %q", text, g, want)
			}
		}
		if len(got) == 0 && !strings.HasSuffix(want, "or asked") {
			t.Errorf("%q writes nothing, want %q", text, want)
		}
	}
}

// TestDeniedTwice writes nothing of what is denied twice, and what is denied once all the same.
func TestDeniedTwice(t *testing.T) {
	w := load(t)
	for text, want := range map[string]bool{
		"not without pain": false, "i didn't not wear it": false, "i havent not had pain": false,
		"no pain": true, "no, not worn": true, "no pain, no snoring": true, "sin dolor, no ronqué": true,
	} {
		r := w.Read(text)
		if got := slices.ContainsFunc(r.Tokens, func(x reading.Token) bool { return x.Value.Known() }); got != want {
			t.Errorf("%q: %+v", text, r.Tokens)
		}
	}
}

// TestStrayDay takes no day from words of something else, and asks.
func TestStrayDay(t *testing.T) {
	w := load(t)
	for text, want := range map[string]bool{
		"pain 1, netball practice is on monday": false, "dolor 2, el sábado hay matanza": false,
		"clinics on tuesday. last night 7 hours in": false, "el sábado hay feria, anoche 7 horas": false,
		"tuesday and last night 7 hours": true, "monday 7 hours, last night 6 hours": true,
		"pain 2 on monday": true, "monday pain 2": true, "wore it all night on saturday": true, "el lunes dolor 2": true,
	} {
		r := w.Read(text)
		if got := slices.ContainsFunc(r.Tokens, func(x reading.Token) bool { return x.Value.Known() && x.Day.Kind == reading.DayWeek }); got != want {
			t.Errorf("%q: %+v", text, r.Tokens)
		}
	}
}

// TestWhichDay writes of each day what is told of it alone: nothing of one that is of something else, none of a "no" that puts the day right.
func TestWhichDay(t *testing.T) {
	w := load(t)
	day := func(name string) func(reading.Token) bool {
		named := w.Read(name + " pain 2").Tokens[0].Day
		return func(x reading.Token) bool { return x.Day == named && x.Value.Known() }
	}
	for text, not := range map[string]string{
		"nueve horas, domingo bendito, con el aparatito anoche":    "sunday",
		"bin day is thursday anyway 6 hours in last night":         "thursday",
		"not monday, tuesday i wore all nite":                      "monday",
		"el lunes toda la noche el martes también el miércoles no": "tuesday",
	} {
		if r := w.Read(text); slices.ContainsFunc(r.Tokens, day(not)) {
			t.Errorf("%q: %+v", text, r.Tokens)
		}
	}
	if !wrote(w, "bin day is thursday anyway 6 hours in last night", chart.WornMinutes, chart.Num(360)) {
		t.Error("last night is asked")
	}
}

// TestNotLastNight asks whether last night is denied, or another one meant.
func TestNotLastNight(t *testing.T) {
	w := load(t)
	for text, want := range map[string]bool{
		"not last night, friday it was out": false, "anoche no, el viernes fue toda": false,
		"last night not worn": true, "sunday all night, last night not worn": true,
	} {
		r := w.Read(text)
		if got := slices.ContainsFunc(r.Tokens, func(x reading.Token) bool {
			return x.Field == chart.Worn && x.Value.Is(chart.WornNo) && sameNight(x.Day, reading.Day{})
		}); got != want {
			t.Errorf("%q: %+v", text, r.Tokens)
		}
	}
}

// TestNoNightInParticular writes nothing of what is so as a rule, or was at another time, and what is told of today beside it.
func TestNoNightInParticular(t *testing.T) {
	w := load(t)
	for text, want := range map[string]bool{
		"normally i wear it 6 hours": false, "three weeks ago the pain was a 7": false, "por costumbre lo uso seis horas": false,
		"la otra noche ronqué un 6": false, "bite back in 10 min, pain 1": true, "today pain 2": true, "pain 2": true,
	} {
		r := w.Read(text)
		if got := slices.ContainsFunc(r.Tokens, func(x reading.Token) bool { return x.Value.Known() }); got != want {
			t.Errorf("%q: %+v", text, r.Tokens)
		}
	}
}

// TestSpelledOut reads what is spelled out in numbers, names and answers as they are chosen, whatever else a number could be of.
func TestSpelledOut(t *testing.T) {
	w := load(t)
	for text, want := range map[string]string{
		"worn 1 hours guide used bite ok pain 0":            "wornminutes=60 guide=1 bite=1 pain=0",
		"20 h ronquido 0 guía 22 min mordida un lado":       "wornminutes=1200 snoring=0 guideminutes=22 bite=2",
		"0 h ronquido 0 posición 0 guía 0 min mordida bien": "wornminutes=0 snoring=0 settingleft=0 guideminutes=0 bite=1",
		"sueño de día 2; mordida un lado; dolor 0":          "sleepiness=2 bite=2 pain=0",
		"snore 0, didn't use the guide, 0 h":                "snoring=0 guide=0 wornminutes=0",
	} {
		var got []string
		for _, x := range w.Read(text).Tokens {
			if x.Value.Known() {
				got = append(got, fmt.Sprintf("%s=%d", x.Field.Row().Name, x.Value.N()))
			}
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%q writes %q, want %q", text, got, want)
		}
	}
}
