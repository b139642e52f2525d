package locales

import (
	"strings"
	"testing"
)

// TestQualms writes nothing that a word beside it turns into something else.
func TestQualms(t *testing.T) {
	w := load(t)
	for text, not := range map[string]string{
		"I did not wear it very long": "worn=0", "no me la puse mucho tiempo": "worn=0", "didn't snore as loud": "snore=0", "no ronqué tan alto": "snore=0",
		"no me duele tanto hoy": "pain=0", "I didn't drive at night": "driving=", "no manejé lejos": "driving=", "no conduje hasta la noche": "driving=",
		"hardly any": "pain=0", "almost no pain": "pain=0", "casi sin dolor": "pain=0", "almost all night in": "worn=2", "casi toda la noche puesto": "worn=2",
		"no pain in the joint, the teeth do": "pain=0", "sin dolor en la articulación, las muelas sí": "pain=0",
		"awake all night, pain 2": "worn=2", "me dolió toda la noche, un 4": "worn=2", "raining all night, pain 1": "worn=2",
		"pain 6 on waking, 2 by noon": "pain=2", "dolor 5 al despertar, ahora 1": "pain=1", "pain 2 in the joint and 6 in the teeth": "pain=2",
		"pain 4 out of 5": "pain=", "dolor 2 sobre 5": "pain=", "snoring 3 out of 6": "snore=",
		"my knee woke me, pain 6": "pain=", "me despertó el dolor de rodilla": "woke=1", "the doctor said to use the guide 15 minutes": "guidemin=",
		"I will use the guide 10 minutes later": "guide", "la guía 5 minutos dos veces": "guidemin=5", "guide 5 minutes twice": "guidemin=5",
		"pain 1 on waking, 4 after the guide": "guidemin=", "bite not back until noon": "bitemin=", "nothing wrong, only a swollen gum": "wrong=0",
		"took it out at three and put it back, in till seven, 4 hours": "hours=240", "manejé sin problemas": "driving=3",
	} {
		if got := told(w, text); strings.Contains(got, not) {
			t.Errorf("%q writes %s", text, got)
		}
	}
	for text, want := range map[string]string{ // what the same words leave as it is
		"not worn": "worn=0", "no me la puse": "worn=0", "didn't wear it at all": "worn=0", "no snoring": "snore=0", "no pain at all": "pain=0", "no conduje": "driving=3",
		"didn't drive": "driving=3", "all night, no pain": "pain=0 worn=2", "pain 6 out of 10": "pain=6", "dolor 6 de 10": "pain=6", "pain 2, guide 10 minutes": "guidemin=10 pain=2",
		"pain 2, snoring 6": "pain=2 snore=6", "drove fine": "driving=0", "guide 10 minutes": "guidemin=10", "nothing wrong": "wrong=0", "not worn, told to leave it out, pain 0": "pain=0 why=7 worn=0",
	} {
		if got := told(w, text); got != want {
			t.Errorf("%q: %s, want %s", text, got, want)
		}
	}
}
