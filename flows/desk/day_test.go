package desk

import (
	"fmt"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
)

// typed is a text for the open form as the intake reads it.
func (w *world) typed(chat int64, text string) {
	words, err := catalogue()
	if err != nil {
		w.t.Fatal(err)
	}
	w.chat(chat, flows.Said{Chat: chat, User: chat, Text: text, Reading: words.Read(text), Nights: words.Nights(text, w.now)})
}

// What cannot be written is refused while it can be mended, with nothing taken: a
// question named without an answer, a side that is not there or alone, a night that is
// too far back, ahead, or before fitting day, at any hour.
func TestNightsRefused(t *testing.T) {
	for _, c := range []struct {
		text  string
		hour  int
		sides bool
		want  string // "": it is taken
	}{
		{"worn all night, snoring 3", 10, false, ""},
		{"date;worn;snoring\n1 Mar;yes;3", 10, false, "desk.bad.said"},
		{"28 Feb worn all night\n1 Mar worn, snoring 3", 10, false, "desk.bad.said"},
		{"left 5, right 6", 10, false, "desk.bad.side"},
		{"izquierda 5, derecha 6", 10, true, ""},
		{"derecha 6, ronquido 3", 10, true, "desk.bad.sides"},
		{"setting 5", 10, true, ""},
		{"2026-02-02 snoring 3", 10, false, ""}, // of 28 nights the first, with the one that runs: 1 March
		{"2026-02-01 snoring 3", 10, false, "order.night.bad"},
		{"2026-03-02 snoring 3", 10, false, "order.night.bad"},
		{"2026-03-02 pain 3", 20, false, ""},
		{"2026-02-03 snoring 3", 20, false, ""},
		{"2026-02-02 snoring 3", 20, false, "order.night.bad"},
		{"2026-01-31 snoring 3", 10, false, "order.night.bad"},
		{"2026-02-20 snoring 3\n2026-02-20 snoring 4", 10, false, "desk.bad.twice"},
		{"snoring 3\n28 Feb snoring 4", 10, false, "desk.bad.nodate"},
	} {
		t.Run(fmt.Sprint(c.text, " ", c.hour), func(t *testing.T) {
			w := newWorld(t)
			w.now = time.Date(2026, time.March, 2, c.hour, 0, 0, 0, time.UTC)
			w.patient.Appliance.TwoSided = c.sides
			w.patient.Plan.Fitted = civil.DateOf(2026, time.January, 1)
			w.card(assistant, opTranscribe, "")
			w.said[assistant] = nil
			w.typed(assistant, c.text)
			if c.want == "" {
				w.must(assistant, "desk.sum.sure")
				return
			}
			w.must(assistant, c.want)
			if f := w.chats[assistant].Form; f.Stage != Asking || f.Order.Entry != nil {
				t.Errorf("stage %d, %+v", f.Stage, f.Order.Entry)
			}
		})
	}
	w := newWorld(t)
	w.patient.Plan.Fitted = civil.DateOf(2026, time.February, 27)
	w.card(assistant, opTranscribe, "")
	w.typed(assistant, "2026-02-26 snoring 3")
	w.must(assistant, "order.night.bad")
}

// What is not understood beside an answer is not written, and that is said.
func TestNightsInPart(t *testing.T) {
	w := newWorld(t)
	w.card(assistant, opTranscribe, "")
	w.typed(assistant, "snoring 3, and the neighbour's hedge was cut")
	w.must(assistant, "desk.day.rest")
	w.say(assistant, "yes")
	if len(w.orders) != 1 || !w.orders[0].Entry.At(chart.Snoring).Is(3) {
		t.Fatalf("%+v", w.orders)
	}
	w.card(assistant, opTranscribe, "")
	w.typed(assistant, "snoring 3, pain 2")
	if w.heard(assistant, "desk.day.rest") {
		t.Error("all of it was understood")
	}
}
