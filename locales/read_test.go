package locales

import (
	"fmt"
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// says writes what a reading found in short: "pain=2 gone=1 word:undo".
func says(r reading.Reading) string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	for _, t := range r.Tokens {
		v := "?"
		switch {
		case t.Value == chart.Skipped:
			v = "skipped"
		case t.Value.Known():
			v = fmt.Sprint(t.Value.N())
		}
		s := t.Field.Row().Name + "=" + v
		switch {
		case t.Night != 0:
			s += "@" + t.Night.String()
		case t.Day != reading.Day{}:
			s += fmt.Sprintf("@%d/%d/%d", t.Day.Kind, t.Day.N, t.Day.Month)
		}
		add("%s", s)
	}
	if r.Word != reading.NoWord {
		add("word:%s", words[r.Word])
	}
	if r.Topic != reading.NoTopic {
		add("topic:%s", r.Topic)
	}
	if r.Code != "" {
		add("code:%s", r.Code)
	}
	if r.Bare != chart.Unknown {
		add("bare:%d", r.Bare.N())
	}
	if r.Doubt != reading.NoDoubt {
		add("doubt:%d/%s", r.Doubt, r.About.Row().Name)
	}
	if names := featuresIn(r.Features); names != "" {
		add("flags:%s", names)
	}
	if names := featuresIn(r.Denied); names != "" {
		add("denied:%s", names)
	}
	if r.Symbols {
		add("symbols")
	}
	if r.Rest {
		add("rest")
	}
	return strings.Join(out, " ")
}

// featuresIn names the features of a set.
func featuresIn(f reading.Features) string {
	var out []string
	for _, n := range featureNames {
		switch n.name {
		case "mouthface", "gum", "notstopping":
			if f.Has(n.flags &^ (reading.FSwelling | reading.FBleeding)) {
				out = append(out, n.name)
			}
		default:
			if f.Has(n.flags) {
				out = append(out, n.name)
			}
		}
	}
	return strings.Join(out, "+")
}

func TestReadOneLineDays(t *testing.T) {
	w := load(t)
	for _, c := range []struct{ text, want string }{
		{"7h, snore 3, sore 2 gone by 9, guide 5 min, bite ok", "wornminutes=420 snoring=3 pain=2 gone=1 guideminutes=5 bite=1"},
		{"7 h 30", "wornminutes=450"},
		{"7h30", "wornminutes=450"},
		{"6.5 hours", "wornminutes=390"},
		{"6,5 h snoring 4", "wornminutes=390 snoring=4"},
		{"7 and a half hours", "wornminutes=450"},
		{"snore 3", "snoring=3"},
		{"Snoring: 3", "snoring=3"},
		{"3 snoring 2 pain", "snoring=3 pain=2"},
		{"snore 3 pain 2 guide 5 min bite ok", "snoring=3 pain=2 guideminutes=5 bite=1"},
		{"sore 2 gone by 9", "pain=2 gone=1"},
		{"pain 4 until 15:00", "pain=4 gone=3"},
		{"pain 4, gone by noon", "pain=4 gone=2"},
		{"gone after lunch", "gone=3"},
		{"gone by 3", "gone=3"},
		{"gone by 9 a.m.", "gone=1"},
		{"sore 2, gone", "pain=2 gone=?"},
		{"guide 5 min", "guideminutes=5"},
		{"5 min guide", "guideminutes=5"},
		{"guide 5", "guideminutes=5"},
		{"no guide", "guide=0"},
		{"didn't use the guide", "guide=0"},
		{"guide not used", "guide=0"},
		{"forgot the guide", "guide=0"},
		{"used guide", "guide=1"},
		{"bite ok", "bite=1"},
		{"bite is not ok", "bite=4"},
		{"bite back after 50 min", "biteminutes=50"},
		{"bite back by noon", "biteminutes=300"},
		{"bite back at 9", "biteminutes=120"},
		{"bite not back", "biteminutes=1440"},
		{"not worn", "worn=0"},
		{"didn't wear it", "worn=0"},
		{"slept without it: forgot", "worn=0 notworn=1"},
		{"forgot it last night", "worn=0@1/1/0 notworn=1@1/1/0"},
		{"took it out at 3, pain", "worn=1 notworn=2"},
		{"took it out at 3, pain 5", "worn=1 pain=5"},
		{"worn all night", "worn=2"},
		{"all night", "worn=2"},
		{"not all night", "worn=1"},
		{"not worn, cold", "worn=0 notworn=4"},
		{"setting 5", "settingleft=5"},
		{"it is at -1", "settingleft=-1"},
		{"it's at minus 1", "settingleft=-1"},
		{"left 5 right 4", "settingleft=5 settingright=4"},
		{"left 5, right 4", "settingleft=5 settingright=4"},
		{"no pain", "pain=0"},
		{"nothing hurts", "pain=0"},
		{"no snoring, no pain, bite fine", "snoring=0 pain=0 bite=1"},
		{"sore", "pain=?"},
		{"tooth pain 3", "pain=3 where=3"},
		{"pain 8 woke me up", "pain=8 woken=1"},
		{"pain 3 still there", "pain=3 gone=4"},
		{"mon: snore 3, pain 2", "snoring=3@2/1/0 pain=2@2/1/0"},
		{"snore 3 on 2026-11-03", "snoring=3@2026-11-03"},
		{"3 Nov snore 4", "snoring=4@3/3/11"},
		{"Nov 3: worn 6 h", "wornminutes=360@3/3/11"},
		{"yesterday pain 2", "pain=2@1/1/0"},
		{"mon snore 3; tue snore 4", "snoring=3@2/1/0 snoring=4@2/2/0"},
		{"nose blocked", "nose=0"},
		{"can't breathe through my nose", "nose=0"},
		{"clear nose", "nose=1"},
		{"headache this morning", "headache=1"},
		{"no headache", "headache=0"},
		{"did not drive", "driving=3"},
		{"nobody could hear", "reporter=4"},
		{"snoring three", "snoring=3"},
		{"Snoring ٣", "snoring=3"},
		{"pain ३, snoring ４", "pain=3 snoring=4"},
		{"pain 3️⃣", "pain=3"},
		{"skip pain", "pain=skipped"},
		{"pain 3 pain 5", "doubt:6/pain"},
		{"pain 3-4", "doubt:1/pain"},
		{"pain 3 or 4", "doubt:1/pain"},
		{"pain 3 to 4, snore 2", "snoring=2 doubt:1/pain"},
		{"between 3 and 4 pain", "doubt:1/pain"},
		{"pain 3,5", "doubt:2/pain"},
		{"pain 11", "doubt:3/pain"},
		{"pain 10/10", "pain=10"},
		{"pain 3/4", "doubt:4/pain"},
		{"4 de 10 dolor", "pain=4"},
		{"pain -3", "doubt:5/pain"},
		{"pain 1e3", "doubt:5/pain"},
		{"pain 3 not 4", "pain=3 rest"},
		{"Pain 2\nSnoring 1\nWorn 7 h", "pain=2 snoring=1 wornminutes=420"},
		{"snroing 3, guied 5 min", "snoring=3 guideminutes=5"},
		{"my dog ate my homework", "rest"},
		{"everything fine", "wrong=0"},
		{"worn 7h pain 2 for 2 hours", "wornminutes=420 pain=2 rest"},
		{"7h ronquido 3 dolor 2", "wornminutes=420 snoring=3 pain=2"},

		{"7h, ronquido 3, dolor 2 se fue a las 9, guía 5 min, mordida bien", "wornminutes=420 snoring=3 pain=2 gone=1 guideminutes=5 bite=1"},
		{"7 horas y media", "wornminutes=450"},
		{"usado 6,5 horas, ronque 4", "wornminutes=390 snoring=4"},
		{"sin dolor", "pain=0"},
		{"no me duele nada", "pain=0"},
		{"ronqué 2, sin dolor, no usé la guía", "snoring=2 pain=0 guide=0"},
		{"me lo quité a las 3 por dolor", "worn=1 notworn=2"},
		{"no lo usé, se me olvidó", "worn=0 notworn=1"},
		{"dormí sin él: gripe", "worn=0 notworn=4"},
		{"usado toda la noche", "worn=2"},
		{"guia 5 minutos", "guideminutes=5"},
		{"usé la guía 5 min", "guideminutes=5"},
		{"mordida normal tras 50 min", "biteminutes=50"},
		{"la mordida volvió después de 20 minutos", "biteminutes=20"},
		{"posición 5", "settingleft=5"},
		{"está en 5", "settingleft=5 word:stands"},
		{"izquierda 5 derecha 4", "settingleft=5 settingright=4"},
		{"menos 1", "bare:-1"},
		{"dolor 3 o 4", "doubt:1/pain"},
		{"dolor 3 a 4", "doubt:1/pain"},
		{"entre 3 y 4 de dolor", "doubt:1/pain"},
		{"dolor tres", "pain=3"},
		{"ayer dolor 2", "pain=2@1/1/0"},
		{"3 nov ronquido 2", "snoring=2@3/3/11"},
		{"dolor 4 hasta las 15:00", "pain=4 gone=3"},
		{"dolor 2 hasta mediodía", "pain=2 gone=2"},
		{"nariz tapada", "nose=0"},
		{"no puedo respirar por la nariz", "nose=0"},
		{"dolor de cabeza", "headache=1"},
		{"no conduje", "driving=3"},
		{"todo bien", "wrong=0"},
		{"me despertó el dolor", "woken=1"},
	} {
		if got := says(w.Read(c.text)); got != c.want {
			t.Errorf("%q\n got %s\nwant %s", c.text, got, c.want)
		}
	}
}

func TestReadWords(t *testing.T) {
	w := load(t)
	for _, c := range []struct{ text, want string }{
		{"undo", "word:undo"}, {"UNDO!", "word:undo"}, {"please stop", "word:stop"}, {"I no longer want to take part", "word:stop"}, {"I want to stop taking part", "word:stop"}, {"I do not want to take part", "word:stop"}, {"I don't want to take part anymore", "word:stop"}, {"call me", "word:call"}, {"Please, call me back.", "word:call"},
		{"/today", "word:today"}, {"/today@duskdawn_bot", "word:today"}, {"/help@x please", "word:help rest"}, {"/callme", "word:call"},
		{"/start 07abcd-efgh", "word:start code:07ABCDEFGH"}, {"/start", "word:start"}, {"/start@bot 07ABCDEFGHJK", "word:start code:07ABCDEFGHJK"},
		{"/start x", "word:start code:X"}, {"/nonsense", "rest"}, {"/ pain 3", "pain=3"},
		{"07ab-cdef-gh", "code:07ABCDEFGH"}, {"o7 ILOB 2345 WXYZ", "code:07110B2345WXYZ"}, {"07H3K923456789", "code:07H3K923456789"}, {"s0ab-cdef-ghjk-12", "code:S0ABCDEFGHJK12"}, {"07abcdeu", "doubt:5/"},
		{"ayuda", "word:help"}, {"Llámenme por favor", "word:call"}, {"parar", "word:stop"}, {"Ya no quiero participar", "word:stop"}, {"no quiero tomar parte", "word:stop"}, {"Sí", "word:yes"}, {"si", "word:yes"},
		{"ok", "word:thanks"}, {"no", "word:no"}, {"gracias", "word:thanks"}, {"hola", "word:hello"},
		{"how do I clean it?", "word:how topic:clean"}, {"can I boil it?", "word:how topic:clean"}, {"how to take it out", "word:how topic:takeout"},
		{"cómo lo limpio", "word:how topic:clean"}, {"cómo me lo quito", "word:how topic:takeout"}, {"I forgot how to put it in", "word:how topic:putin"},
		{"how", "word:how"}, {"something is wrong", "word:wrong"}, {"it stands at 5", "settingleft=5 word:stands"}, {"It is still at 4", "settingleft=4 word:still"},
		{"not happening now", "word:notnow"}, {"😀😀", "symbols"}, {"", "symbols"}, {"...!?", "symbols"}, {"\u200f\u202e", "symbols"},
		{"3", "bare:3"}, {" 3. ", "bare:3"}, {"٣", "bare:3"}, {"-1", "bare:-1"}, {"three", "bare:3"}, {"3,5", "doubt:2/"}, {"3-4", "doubt:1/"}, {"10/10", "bare:10"}, {"10/11", "doubt:4/"},
		{"1,000", "doubt:5/"}, {"½", "doubt:5/"}, {"3²", "doubt:5/"}, {"+3", "doubt:5/"}, {"<3", "doubt:5/"}, {"3%", "doubt:5/"}, {"1 000", "doubt:5/"},
	} {
		if got := says(w.Read(c.text)); got != c.want {
			t.Errorf("%q\n got %s\nwant %s", c.text, got, c.want)
		}
	}
}

func BenchmarkReadDay(b *testing.B) {
	w := load(b)
	for _, c := range []struct{ name, text string }{
		{"day", "7h, snore 3, sore 2 gone by 9, guide 5 min, bite ok"},
		{"label", "Pain 3"},
		{"setting", "It stands at 5"},
		{"prose", "Good morning doctor, I have been feeling quite well lately but my left ear rings a little when I chew."},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				w.Read(c.text)
			}
		})
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		load(b)
	}
}

func FuzzRead(f *testing.F) {
	w := load(f)
	for _, s := range []string{"", "3", "7h, snore 3, sore 2 gone by 9", "/start 07AB", "\xff\xfe", "٣٫٥", "3..5", "½",
		"left 5 right 4", "no no no 3 or 4", "mon tue wed 3 nov 2026-02-30"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r := w.Read(s)
		for _, tok := range r.Tokens {
			if tok.Field == chart.NoField || tok.Field >= chart.NumFields {
				t.Fatalf("%q: a token of no question: %+v", s, tok)
			}
			if n := tok.Value.N(); tok.Value.Known() && !fits(tok.Field, n) {
				t.Fatalf("%q: %s is %d", s, tok.Field.Row().Name, n)
			}
		}
		if r.Features&r.Denied != 0 {
			t.Fatalf("%q: said and denied: %s", s, featuresIn(r.Features&r.Denied))
		}
		if len(r.Tokens) == 0 && r.Word == reading.NoWord && r.Code == "" && r.Bare == chart.Unknown &&
			r.Doubt == reading.NoDoubt && !r.Rest && !r.Symbols {
			t.Fatalf("%q: an answer to nothing", s)
		}
	})
}

// fits reports whether a value is one that its question has.
func fits(f chart.Field, n int) bool {
	if f.Row().Kind == chart.Setting {
		return n >= -mostSteps && n <= mostSteps
	}
	return f.Takes(chart.Num(n))
}

// The longest texts must not be slow: what a stranger can send costs as much
// as its length, not more.
func BenchmarkReadLong(b *testing.B) {
	w := load(b)
	for _, word := range []string{"no ", "not my ", "3 ", "swelling ", "zzzzzzzz ", "don't know where it is ", "3-4 ", "a",
		"1", "½", "é", "𝟑", "😀", ", ", "left 5 right 4 ", "\xff"} {
		b.Run(word, func(b *testing.B) {
			text := strings.Repeat(word, maxRead/len(word))
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				w.Read(text)
			}
		})
	}
}

// Only a text that is "why" and one name asks for a reason; a sentence that
// begins so is a sentence.
func TestAsksWhy(t *testing.T) {
	w := load(t)
	for text, want := range map[string]string{
		"why P07": "p07", "/why pain.severe": "pain.severe", "WHY step-mm ?": "step-mm", "¿Por qué P07?": "p07", "por que P07": "p07", "porqué p07": "p07",
		"why": reading.WhyAll, "por qué": reading.WhyAll, "whynot": "", "why does it hurt": "", "tell me why P07": "", "P07": "", "why\nP07": "",
		"why " + strings.Repeat("x", 80): "", "": "",
	} {
		if got := w.Read(text).Why; got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

// An aligner is a tray that moves teeth, which such a patient may wear as well:
// what is said of it is no answer about the bite guide.
func TestAnAlignerIsNoBiteGuide(t *testing.T) {
	w := load(t)
	for _, text := range []string{"aligner yes", "used my aligner", "aligner 20 min", "no aligner", "alineador sí",
		"usé el alineador"} {
		for _, token := range w.Read(text).Tokens {
			if token.Field == chart.Guide && token.Value.Known() {
				t.Errorf("%q was read as %s", text, says(w.Read(text)))
			}
		}
	}
}
