package locales

import (
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// Words of danger are heard however they are hidden: broken over lines, with digits for letters, in letters of another
// script that look alike, behind a command, or behind as much else as a message holds.
func TestHiddenWords(t *testing.T) {
	w := load(t)
	for _, text := range []string{
		"I have chest pain", "I have chest\npain", "I have ch3st pain", "I have ch\u0435st pain", "/start I have chest pain",
		"/start chest pain", "/help I have chest pain", strings.Repeat("la ", 3900) + ". I have chest pain",
		"tengo dolor de p3cho", "tengo dolor de p3ch0", "tengo dolor\nde pecho", "/start dolor de pecho",
	} {
		r := w.Read(text)
		if (r.Sure|r.Unsure)&reading.SetOf(reading.DangerChest) == 0 && r.Features&reading.FChest == 0 {
			t.Errorf("%.40q: %v %v", text, r.Sure.All(), r.Unsure.All())
		}
	}
	if r := w.Read("/start 07ABCDEFGHJKMN"); r.Code == "" || r.Word != reading.WordStart {
		t.Errorf("a code: %+v", r)
	}
	if r := w.Read("pain3"); len(r.Tokens) != 1 || r.Tokens[0].Value != chart.Num(3) {
		t.Errorf("a number behind its word: %v", r.Tokens)
	}
	r := w.Read("pain 3\nsnore 2")
	if len(r.Tokens) != 2 || r.Tokens[0].Value != chart.Num(3) || r.Tokens[1].Value != chart.Num(2) {
		t.Errorf("two lines: %v", r.Tokens)
	}
}
