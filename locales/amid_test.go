package locales

import (
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// An emergency is heard beside the answers of a day, and what only sounds like one there is not.
func TestAmidAnswers(t *testing.T) {
	w := load(t)
	for _, text := range []string{
		"guide 5 min, bite ok, snore 1 and I passed out in the kitchen", "toda la noche, ronqué 1, dolor 0, me desmayé en la cocina",
		"guide ten minutes bite ok period I blacked out in the shop period",
	} {
		if r := w.Read(text); (r.Sure|r.Unsure).Of('E') == 0 || len(r.Tokens) == 0 {
			t.Errorf("%q: %v, %v, %+v", text, r.Sure.All(), r.Unsure.All(), r.Tokens)
		}
	}
	for _, text := range []string{"no me duele el pecho, ronquido 2", "pain 0, snoring 1, collapsed into bed at 10"} {
		if r := w.Read(text); (r.Sure | r.Unsure).Of('E') != 0 {
			t.Errorf("%q: %v, %v", text, r.Sure.All(), r.Unsure.All())
		}
	}
}

// A "no" that contradicts denies nothing of what follows it, and takes nothing of what is stored.
func TestBehindANo(t *testing.T) {
	w := load(t)
	for text, want := range map[string]int{"no, i wore it all night": chart.WornAll, "No I wore it all night.": chart.WornAll, "no i did not wear it": chart.WornNo} {
		r := w.Read(text)
		if len(r.Tokens) != 1 || !r.Tokens[0].Value.Is(want) || r.Understood != reading.InPart {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for _, text := range []string{"no i did wear it", "no sí que me la puse"} {
		for _, x := range w.Read(text).Tokens {
			if x.Value.Is(chart.WornNo) {
				t.Errorf("%q: %+v", text, x)
			}
		}
	}
}

// Numbers of two sides are no settings where the text is of pain and has no score of it.
func TestSidesOfAPain(t *testing.T) {
	w := load(t)
	for _, text := range []string{"pain left 3 right 1", "dolor izquierda 3 derecha 0", "left 4 pain, right 2 pain"} {
		for _, x := range w.Read(text).Tokens {
			if (x.Field == chart.SettingLeft || x.Field == chart.SettingRight) && x.Value.Known() {
				t.Errorf("%q: %+v", text, x)
			}
		}
	}
	if r := w.Read("left 4, right 5, pain 2"); len(r.Tokens) != 3 || !r.Tokens[0].Value.Is(4) {
		t.Errorf("%+v", r)
	}
}

// What the grammar takes in word by word is heard all the same: neither a word that also asks how something is done nor an answer beside
// it hides a danger. Labels and numbers alone say none.
func TestHeardInFull(t *testing.T) {
	w := load(t)
	for text, class := range map[string]byte{
		"es como si tuviera el saco de harina encima, aqui en el medio del pecho": 'E',
		"the jaw is stuck open": 'E',
		"toda la noche puesta y lo que quiero es quitarme de en medio": 'E',
		"it's on there solid and won't move, how do i get it off":      'S',
	} {
		if r := w.Read(text); (r.Sure|r.Unsure)&(r.Sure|r.Unsure).Of(class) == 0 {
			t.Errorf("%q: %v, %v", text, r.Sure.All(), r.Unsure.All())
		}
	}
	for _, text := range []string{"how do i take it out", "como me lo saco", "help", "stop", "10", "nine", "all night, pain 2", "left 4 right 5"} {
		if r := w.Read(text); r.Sure|r.Unsure != 0 {
			t.Errorf("%q: %v, %v", text, r.Sure.All(), r.Unsure.All())
		}
	}
}

// What may be a danger beside answers is no small talk; who is in danger beside the writer is, surely; and whose setting stands where amid
// other words is judged like any answer.
func TestUneasy(t *testing.T) {
	w := load(t)
	for text, calm := range map[string]bool{"worn 7h, pain 0, daughter isnt waking up": false, "worn 7h, pain 0, daughter is home from school": true} {
		if r := w.Read(text); r.Calm != calm {
			t.Errorf("%q: calm %v", text, r.Calm)
		}
	}
	if r := w.Read("this is his wife, he cannot breathe"); r.Sure.Of('E') == 0 {
		t.Errorf("%v, %v", r.Sure.All(), r.Unsure.All())
	}
	if r := w.Read("me mate terrys stands at 8 he says its boss"); r.Word != reading.NoWord {
		t.Errorf("%+v", r)
	}
}
