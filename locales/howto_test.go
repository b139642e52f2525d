package locales

import (
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// Every how-to card speaks in every language, for every appliance there is.
func TestHowToCards(t *testing.T) {
	w := load(t)
	full := flows.Patient{Appliance: chart.Appliance{StepWord: "half turn", Forward: "toward the arrow", GuideMin: 5,
		TwoSided: true}}
	for _, p := range []flows.Patient{full, {}} {
		for topic := reading.HowPutIn; topic < reading.NumTopics; topic++ {
			for _, lang := range w.Languages() {
				text := w.Text(lang, message.Message{Lines: p.HowTo(topic)})
				if n := Units(text); n < 100 || n > 1024 { // a picture's caption holds 1024
					t.Errorf("%s %s: %d characters", lang, topic, n)
				}
			}
		}
	}
	if got := full.HowTo(reading.NoTopic); got != nil {
		t.Errorf("no topic: %v", got)
	}
	step := w.Text("en", message.Message{Lines: full.HowTo(reading.HowStep)})
	for _, want := range []string{"half turn", "toward the arrow", "left and the right"} {
		if !strings.Contains(step, want) {
			t.Errorf("the card of one step lacks %q:\n%s", want, step)
		}
	}
	if n := w.Misses(); n != 0 {
		t.Errorf("%d texts were missing", n)
	}
}
