package locales

import (
	"os"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
	"duskdawn/locales/sentence"
)

// Who told of it leaves nothing over; what the appliance smells of or an ear does is for a person to read.
func TestNothingLeftOver(t *testing.T) {
	w := load(t)
	for _, text := range []string{
		"snore 3 my wife says", "my nose was clear and I wore it all night",
		"mi mujer dice que ronqué un 3", "la nariz despejada y lo llevé toda la noche",
	} {
		if r := w.Read(text); r.Understood != reading.InFull || r.Rest {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for _, text := range []string{
		"wore it all night and it smells", "worn all night, tray yellow", "pain 2, my ear makes a noise", "snore 3 said the dog",
		"all night, pee is dark", "pain 2 and a new mole on my arm", "snore 3, is that a lot?",
		"toda la noche y huele mal", "dolor 2, me suena el oído", "ronquido 3, ¿es mucho?",
	} {
		if r := w.Read(text); r.Heard || r.Understood == reading.InFull {
			t.Errorf("%q leaves nothing over: %+v", text, r)
		}
	}
}

// What tells of a danger, or where one is, and is taken up by no answer leaves a text understood in part: people read it.
func TestUntakenWords(t *testing.T) {
	w := load(t)
	for _, text := range []string{
		"took it out at 4, my heart again", "not worn because of my heart", "no me lo puse por el pecho", "no problem tonight, my heart", "8 hours no pain, front tooth gone",
		"all night, pain 0, a tooth is gone", "8 hours no pain, lip gone", "snore 2, my wife heard me cry all night", "ronquido 3, mi mujer me oyó ahogarme", "no snoring no pain no hope",
		"dolor 3, encía blanca", "all night no pain, without the screw", "toda la noche sin dolor y sin diente", "doctor says no driving",
	} {
		if r := w.Read(text); r.Understood == reading.InFull {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for _, text := range []string{"all night, pain 3, gum", "not worn, fever", "pain 2 in the jaw, gone by 9", "nose clear, no headache", "teeth meet on both sides"} {
		if r := w.Read(text); r.Understood != reading.InFull {
			t.Errorf("%q: %+v", text, r)
		}
	}
}

// What is somebody else's, ought to be, is not sure, or stands between two names writes no number; what is put in late was worn.
func TestNotTheNumber(t *testing.T) {
	w := load(t)
	for text, field := range map[string]chart.Field{
		"it is at 5, should be at 4": chart.SettingLeft, "it stands at 5 but should be 2": chart.SettingLeft, "setting 4 hours 7": chart.SettingLeft,
		"posición 4 horas 7": chart.SettingLeft, "el aparato de mi mujer está en 6": chart.SettingLeft, "his stands at 7": chart.SettingLeft,
		"dolor más de 7": chart.Pain, "ni 3 horas": chart.WornMinutes, "my wife had no pain": chart.Pain, "used to hurt 5, all night": chart.Pain, "throat sore 4": chart.Pain,
		"used the guide 5 minutes but should be 10": chart.GuideMinutes, "stands at 5, not sure": chart.SettingLeft,
		"six hours and ten minutes by the alarm": chart.WornMinutes, "seis horas y diez minutos según el reloj": chart.WornMinutes,
		"sleepy 0, pain 0, bite fine, Snoring: 0, worn 0 hours, setting 0, guide 0 min": chart.Worn,
		"pain nearly gone by 9": chart.Gone, "no me lo puse hasta las 2": chart.Worn, "didn't put it in till 2": chart.Worn, "didn't wear it until 1": chart.Gone,
	} {
		r := w.Read(text)
		for _, x := range r.Tokens {
			if x.Field == field && x.Value.Known() {
				t.Errorf("%q writes %v", text, x)
			}
		}
	}
}

// No danger that strangers told of hides behind answers that were taken for all they said.
func TestNoDangerIsAllAccountedFor(t *testing.T) {
	w := load(t)
	all, err := sentence.Folder(os.DirFS("testdata/sentences/bars"))
	if err != nil {
		t.Fatal(err)
	}
	heard := 0
	for i := range all {
		switch r := w.Read(all[i].Text); {
		case r.Heard && all[i].Danger():
			t.Errorf("%s:%d says a danger, and no more than answers was heard: %+v", all[i].File, all[i].Line, r)
		case r.Heard:
			heard++
		}
	}
	if heard < 100 {
		t.Errorf("%d sentences are all accounted for", heard)
	}
}

// "The night before" is not last night, and "nothing" is a no.
func TestNightBeforeAndNothing(t *testing.T) {
	w := load(t)
	for _, text := range []string{"the night before: not worn", "la noche anterior no la usé"} {
		r := w.Read(text)
		for _, tok := range r.Tokens {
			if tok.Field == chart.Worn && tok.Value.Known() && tok.Day != (reading.Day{Kind: reading.DaysAgo, N: 2}) {
				t.Errorf("%q is of %+v", text, tok.Day)
			}
		}
	}
	for _, text := range []string{"no, nothing", "nothing", "no nothing", "nada", "no, nada", "nothing thanks"} {
		if r := w.Read(text); r.Word != reading.WordNo || r.Understood != reading.InFull {
			t.Errorf("%q: %+v", text, r)
		}
	}
	for _, text := range []string{"no nothing wrong", "nope, nothing to report", "no hay ningún problema", "no tengo ningún problema", "no hay problema"} {
		r := w.Read(text)
		if len(r.Tokens) != 1 || r.Tokens[0].Field != chart.Wrong || !r.Tokens[0].Value.Is(chart.No) {
			t.Errorf("%q: %+v", text, r)
		}
	}
}
