package chart

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Every field has its row, and no two are alike in what names them.
func TestEveryFieldHasItsRow(t *testing.T) {
	plain := regexp.MustCompile(`^[a-z]+$`)
	column := regexp.MustCompile(`^[a-z]+(_[a-z]+)*$`)
	seen := map[string]Field{}
	for f := NoField + 1; f < NumFields; f++ {
		r := f.Row()
		if !plain.MatchString(r.Name) || !column.MatchString(r.Column) || r.Kind < Choice || r.Kind > Setting {
			t.Errorf("field %d, %q: name, column %q or kind %d is missing", f, r.Name, r.Column, r.Kind)
			continue
		}
		for _, key := range []string{"name " + r.Name, "column " + r.Column} {
			if old, ok := seen[key]; ok {
				t.Errorf("field %d has the %s of field %d", f, key, old)
			}
			seen[key] = f
		}
		if g, ok := Named(r.Name); !ok || g != f {
			t.Errorf("%s is found as field %d", r.Name, g)
		}
		words := slices.Clone(r.Words)
		slices.Sort(words)
		switch {
		case r.Most <= r.Least, r.Said > r.Most, r.Said <= r.Least:
			t.Errorf("%s goes from %d to %d, said up to %d", r.Name, r.Least, r.Most, r.Said)
		case r.Kind == Choice != (len(r.Words) > 0 && r.Kind != YesNo), len(slices.Compact(words)) != len(r.Words):
			t.Errorf("%s has the words %q", r.Name, r.Words)
		case r.Never != "" && r.Kind != Minutes:
			t.Errorf("%s is no length of time in minutes that may be %q", r.Name, r.Never)
		case r.With == NoField || r.With >= NumFields || r.With.Row().With != r.With:
			t.Errorf("%s is said along with field %d, which is no question of its own", r.Name, r.With)
		case r.About > AsTurned || (r.About == AsTurned) != (r.Kind == Setting):
			t.Errorf("%s is about the half %d", r.Name, r.About)
		}
	}
	if _, ok := Named(""); ok {
		t.Error("nothing has a name")
	}
	if r := NumFields.Row(); r.Name != "" || NumFields.Takes(Num(1)) {
		t.Errorf("what is no field has the row %+v", r)
	}
}

// A field takes its bounds and nothing beyond them; unknown and skipped always.
func TestBoundsOfFields(t *testing.T) {
	for f := NoField + 1; f < NumFields; f++ {
		r := f.Row()
		if !f.Takes(Num(r.Least)) || !f.Takes(Num(r.Most)) || f.Takes(Num(r.Least-1)) || f.Takes(Num(r.Most+1)) ||
			!f.Takes(Unknown) || !f.Takes(Skipped) {
			t.Errorf("%s does not take %d to %d", r.Name, r.Least, r.Most)
		}
	}
}

// What a field is does not change once it is stored: diaries that were exported,
// courses that are replayed and buttons that are on a telephone hang on it. What is
// behind them is new.
func TestFieldsStayWhatTheyAre(t *testing.T) {
	for i, want := range []string{
		"1 worn worn kind 1, 0 to 2, said 2, with worn, half 0: no part all",
		"2 wornminutes hours kind 5, 0 to 1440, said 960, with worn, half 0",
		"3 notworn reason_not_worn kind 1, 1 to 11, said 11, with worn, half 0: forgot pain discomfort ill away broken advised other out_by_morning not_known other_therapy",
		"4 snoring snoring kind 3, 0 to 10, said 10, with snoring, half 0",
		"5 reporter reporter kind 1, 1 to 4, said 4, with snoring, half 0: partner self recorder nobody",
		"6 pain pain kind 3, 0 to 10, said 10, with pain, half 0",
		"7 woken woken_by_pain kind 2, 0 to 1, said 1, with pain, half 0",
		"8 where where kind 1, 1 to 5, said 5, with pain, half 0: joint muscle tooth gum other",
		"9 gone pain_gone kind 1, 1 to 4, said 4, with pain, half 0: morning midday afternoon no",
		"10 guide guide kind 2, 0 to 1, said 1, with guide, half 0",
		"11 guideminutes guide_minutes kind 4, 0 to 1440, said 240, with guide, half 0",
		"12 bite bite kind 1, 1 to 4, said 4, with bite, half 0: both one front unsure",
		"13 biteminutes bite_minutes kind 4, 0 to 1440, said 1440, with bite, half 0: not",
		"14 nose nose_clear kind 2, 0 to 1, said 1, with nose, half 1",
		"15 sleepiness sleepiness kind 3, 0 to 10, said 10, with sleepiness, half 1",
		"16 driving driving kind 1, 0 to 3, said 3, with driving, half 1: no nearly yes did_not_drive",
		"17 pauses pauses kind 2, 0 to 1, said 1, with pauses, half 1",
		"18 headache headache kind 2, 0 to 1, said 1, with headache, half 1",
		"19 settingleft setting_left kind 6, -99 to 999, said 999, with settingleft, half 2",
		"20 settingright setting_right kind 6, -99 to 999, said 999, with settingright, half 2",
		"21 wrong wrong kind 2, 0 to 1, said 1, with wrong, half 1",
	} {
		if got := told(Field(i + 1)); got != want {
			t.Errorf("a field was\n\t%s\nand is\n\t%s", want, got)
		}
	}
}

// told is a row in a line.
func told(f Field) string {
	r := f.Row()
	s := fmt.Sprintf("%d %s %s kind %d, %d to %d, said %d, with %s, half %d", f, r.Name, r.Column, r.Kind, r.Least, r.Most,
		r.Said, r.With.Row().Name, r.About)
	if words := append(slices.Clone(r.Words), r.Never); strings.Join(words, "") != "" && r.Kind != YesNo {
		s += ": " + strings.TrimSpace(strings.Join(words, " "))
	}
	return s
}
