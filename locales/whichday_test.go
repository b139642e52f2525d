package locales

import (
	"slices"
	"strings"
	"testing"

	"duskdawn/locales/sentence"
)

// told are the certain answers of a text, as sentences name them.
func told(w *Words, text string) string {
	var all []string
	for _, t := range w.Read(text).Tokens {
		if t.Value.Known() {
			all = append(all, sentence.Said(t).String())
		}
	}
	slices.Sort(all)
	return strings.Join(all, " ")
}

// TestShortDays reads short names of days that are other words as well.
func TestShortDays(t *testing.T) {
	w := load(t)
	for text, want := range map[string]string{
		"sat pain 4": "sat/pain=4", "sun pain 2, last night pain 1": "pain=1 sun/pain=2", "pain 3 sun": "sun/pain=3",
		"sat out at the table, pain 4": "pain=4", "the sun is out, pain 4": "pain=4", "it sat on the shelf, pain 4": "pain=4",
		"vie dolor 4": "fri/pain=4", "dom dolor 2": "sun/pain=2", "el mar dolor 5": "tue/pain=5", "lun dolor 4, mar dolor 5": "mon/pain=4 tue/pain=5",
		"mar 6 horas": "tue/hours=360", "paseo por el mar, dolor 1": "pain=1", "3 mar: dolor 2": "3-03/pain=2",
		"two nights back pain 5, last night pain 1": "2ago/pain=5 pain=1", "hace tres noches dolor 4": "3ago/pain=4", "3 nights ago pain 4": "3ago/pain=4",
	} {
		if got := told(w, text); got != want {
			t.Errorf("%q: %s, want %s", text, got, want)
		}
	}
}

// TestEachOfTwoDays keeps what stands before one day and behind another apart, and a sentence that ends with a day from the next.
func TestEachOfTwoDays(t *testing.T) {
	w := load(t)
	for text, want := range map[string]string{
		"pain 4 on Tuesday and Wednesday pain 1": "tue/pain=4 wed/pain=1", "dolor 4 el martes y el miércoles dolor 1": "tue/pain=4 wed/pain=1",
		"pain 4 on Tuesday and Wednesday":          "tue/pain=4 wed/pain=4",
		"Pain 2 Mon. Tue pain 5.":                  "mon/pain=2 tue/pain=5",
		"Mon. pain 2. Tue. pain 5.":                "mon/pain=2 tue/pain=5",
		"mon- pain 2 tue- pain 5 wed- pain 1":      "mon/pain=2 tue/pain=5 wed/pain=1",
		"Mon pain 2 / Tue pain 5 / Wed pain 1":     "mon/pain=2 tue/pain=5 wed/pain=1",
		"dentist on Tuesday last night pain 1":     "pain=1",
		"Wed, sorry, Thu pain 5":                   "thu/pain=5",
		"el lunes, perdón, el martes dolor 5":      "tue/pain=5",
		"pain 3 last night and 5 the night before": "2ago/pain=5 pain=3",
	} {
		if got := told(w, text); got != want {
			t.Errorf("%q: %s, want %s", text, got, want)
		}
	}
}

// TestWhichDayIsAsked writes nothing of a day where it is not plain which day is meant, or what is told of it.
func TestWhichDayIsAsked(t *testing.T) {
	w := load(t)
	for text, not := range map[string]string{
		"V 6 horas, S 7 horas": "hours=", "L dolor 4, M dolor 2": "pain=", "M 7, T 8 hours": "hours=", "D 7 h": "hours=", // days by their first letters
		"Fri 5, no, Sat 5 hours": "fri/", "viernes 5, no, sábado 5 horas": "fri/", "I mean Sunday, not Saturday, pain was 5": "sat/",
		"Mon/Tue/Wed: 6/7/6 hours": "hours=", "can't remember Monday Tuesday was pain 3": "mon/", "no lo anoté el lunes": "mon/",
		"guide 10 min Friday, skipped it Saturday": "worn=", "guía 10 min el lunes, el martes no la usé": "worn=",
		"the clinic told me to leave it out Monday, Tuesday 6 hours": "tue/why=", "Monday the pain woke me, a 6, Tuesday a 3": "tue/woke=",
		"all night Monday, Tuesday pain 1": "tue/worn=", "Thursday 6 hours, no 5": "thu/hours=360",
		"shall we talk of Saturday? wore it 7 hours":  "hours=",
		"guide 5 min on Monday, Tuesday I skipped it": "tue/worn=", "she says snore M 4, T 6": "reporter=",
	} {
		if got := told(w, text); strings.Contains(" "+got, " "+not) || strings.Contains(not, "/") && strings.Contains(got, not) {
			t.Errorf("%q writes %s", text, got)
		}
	}
}

// TestNumbersThatAreNone writes no number that is a length, a share, a wish, of another question, of another time of the night, or part of a time of
// day; and reads hours whose minutes stand in words.
func TestNumbersThatAreNone(t *testing.T) {
	w := load(t)
	for text, not := range map[string]string{
		"it stands at 5 mm": "setting=", "set at 60 %": "setting=", "está en 5 milímetros": "setting=", "moved forward 40 percent": "setting=",
		"guide 10 minutes if needed": "guide", "I should not drive today": "driving=", "target: snoring 0": "snore=",
		"pain 3, I mean snoring 3": "pain=", "dolor 3, perdón, ronquido 3": "pain=", "pain 2 at first, 6 by morning": "pain=2",
		"ronquido 2 al principio, 7 al amanecer": "snore=2", "pain 1 and snore 6, no, the other way round": "pain=1",
		"it is nine in the evening and the pain is still there": "pain=", "it is seven in the evening and the jaw still hurts": "pain=",
		"pain 2 and sleepy 5, swapped them sorry": "pain=2", "dolor 2 y ronquido 6, al revés": "pain=2", "all night; well, until four": "worn=2", "zero hours on Monday": "worn=1",
	} {
		if got := told(w, text); strings.Contains(got, not) {
			t.Errorf("%q writes %s", text, got)
		}
	}
	for text, want := range map[string]string{"in six hours forty five": "hours=405", "it stands at 5": "setting=5", "pain 3, sorry, pain 4": "pain=4",
		"snoring 3, I mean 4": "snore=4", "pain 2, it is nine in the evening": "pain=2"} {
		if got := told(w, text); got != want {
			t.Errorf("%q: %s, want %s", text, got, want)
		}
	}
}

// TestAlarmBesideAnswers keeps a text in part from being small talk where it tells of a pulse, of an ambulance, or of tearing it out.
func TestAlarmBesideAnswers(t *testing.T) {
	w := load(t)
	for _, text := range []string{"pulse 170 on the watch, pain 0, all night", "pulsaciones a 170 en el reloj, dolor 0", "gasped and tore it out, wore it 4 hours",
		"vino la ambulancia, dolor 0, toda la noche"} {
		if r := w.Read(text); r.Calm || !r.Rest && !r.Dangerous() {
			t.Errorf("%q is small talk: %+v", text, r)
		}
	}
	if r := w.Read("bit through the splint, pain 0"); !r.Dangerous() {
		t.Errorf("bitten through is no danger: %+v", r)
	}
}
