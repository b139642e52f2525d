package sentence

import (
	"strings"
	"testing"

	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

func TestRead(t *testing.T) {
	all, err := Read(strings.NewReader("\ufeff# kind: a sailor\n\nE:breath+chest\tno air, chest tight\t\r\nD\tpain 3\tpain=3\n# a remark\n-\thello\n"))
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 3 || all[0].Kind != "a sailor" || all[0].Dangers != reading.SetOf(reading.DangerBreath, reading.DangerChest) ||
		all[1].Expected != "pain=3" || all[1].Line != 4 || all[2].Class != '-' || all[2].Danger() || !all[0].Danger() {
		t.Errorf("%+v", all)
	}
	all[0].File = "es.one.tsv"
	if all[0].Lang() != "es" || all[1].Lang() != "" {
		t.Errorf("languages %q %q", all[0].Lang(), all[1].Lang())
	}
}

// TestReadRefuses names the line and what is wrong with it.
func TestReadRefuses(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"D\tok\nno tabs", "line 2"},
		{"D\t \t", "apart by tabs"},
		{"X\ttext", `"X"`},
		{"E:nothing\ttext", `"nothing"`},
		{"S:breath\ttext", "class E, not S"},
		{"H:breath\ttext", "no dangers"},
		{"D\t" + strings.Repeat("a", longest+1), "after line 0"},
	} {
		if _, err := Read(strings.NewReader(c.text)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.30q: %v, want %q", c.text, err, c.want)
		}
	}
}

// TestValuesRefuse tells whoever labels what cannot be.
func TestValuesRefuse(t *testing.T) {
	for _, text := range []string{"pain", "pain=much", "worn=maybe", "xyz/pain=3", "1ago/pain=3", "ago/pain=3", "colour=3", "hours=99999"} {
		if vs, err := (&Sentence{Expected: text}).Values(); err == nil {
			t.Errorf("%q is %v", text, vs)
		}
	}
	vs, err := (&Sentence{Expected: "none wed/hours=4.5 bitemin=not 2ago/pain=3"}).Values()
	if err != nil || len(vs) != 3 || vs[2] != Said(reading.Token{Field: chart.Pain, Value: chart.Num(3), Day: reading.Day{Kind: reading.DaysAgo, N: 2}}) || vs[0].String() != "wed/hours=270" || !vs[1].Answer.Is(chart.BiteNot) {
		t.Errorf("%v, %v", vs, err)
	}
}
