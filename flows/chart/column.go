package chart

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Column is how one field stands in a diary table: export writes it, replay
// reads it. An empty cell is unknown, "skipped" is skipped.
type Column struct {
	Name  string
	Field Field
	Min   int
	Max   int
	Words []ColumnWord // where the answers are words
}

// ColumnWord is one answer that is a word.
type ColumnWord struct {
	Word string
	N    int
}

// SkippedWord stands for a skipped answer in a diary table.
const SkippedWord = "skipped"

var yesNo = []ColumnWord{{"no", No}, {"yes", Yes}}

// columns are the diary's answer columns, in the order they are written.
var columns = [...]Column{
	{Name: "worn", Field: Worn, Words: []ColumnWord{{"no", WornNo}, {"part", WornPart}, {"all", WornAll}}},
	{Name: "hours", Field: WornMinutes, Max: 24},
	{Name: "reason_not_worn", Field: NotWorn, Words: []ColumnWord{{"forgot", ReasonForgot}, {"pain", ReasonPain}, {"discomfort", ReasonDiscomf},
		{"ill", ReasonIll}, {"away", ReasonAway}, {"broken", ReasonBroken}, {"advised", ReasonAdvised}, {"other", ReasonOther},
		{"out_by_morning", ReasonMorning}, {"not_known", ReasonNotKnown}}},
	{Name: "snoring", Field: Snoring, Max: 10},
	{Name: "reporter", Field: Reporter, Words: []ColumnWord{{"partner", ReporterPartner}, {"self", ReporterSelf}, {"recorder", ReporterRecorder}, {"nobody", ReporterNobody}}},
	{Name: "pain", Field: Pain, Max: 10},
	{Name: "woken_by_pain", Field: Woken, Words: yesNo},
	{Name: "where", Field: Where, Words: []ColumnWord{{"joint", SiteJoint}, {"muscle", SiteMuscle}, {"tooth", SiteTooth}, {"gum", SiteGum}, {"other", SiteOther}}},
	{Name: "pain_gone", Field: Gone, Words: []ColumnWord{{"morning", GoneMorning}, {"midday", GoneMidday}, {"afternoon", GoneAfternoon}, {"no", GoneNo}}},
	{Name: "guide", Field: Guide, Words: yesNo},
	{Name: "guide_minutes", Field: GuideMinutes, Max: 1440},
	{Name: "bite", Field: Bite, Words: []ColumnWord{{"both", BiteBoth}, {"one", BiteOne}, {"front", BiteFront}, {"unsure", BiteUnsure}}},
	{Name: "bite_minutes", Field: BiteMinutes, Max: BiteNot - 1, Words: []ColumnWord{{"not", BiteNot}}},
	{Name: "nose_clear", Field: Nose, Words: yesNo},
	{Name: "sleepiness", Field: Sleepiness, Max: 10},
	{Name: "driving", Field: Driving, Words: []ColumnWord{{"no", DrivingNo}, {"nearly", DrivingNearly}, {"yes", DrivingYes}, {"did_not_drive", DrivingNoDrive}}},
	{Name: "pauses", Field: Pauses, Words: yesNo},
	{Name: "headache", Field: Headache, Words: yesNo},
	{Name: "wrong", Field: Wrong, Words: yesNo},
	{Name: "setting_left", Field: SettingLeft, Min: -99, Max: 999},
	{Name: "setting_right", Field: SettingRight, Min: -99, Max: 999},
}

// Columns returns the diary's answer columns in order.
func Columns() []Column { return columns[:] }

// ErrCell says that a cell holds none of what its column may hold.
var ErrCell = errors.New("not an answer of this column")

// Format writes an answer; minutes worn are written as hours with a decimal point.
func (c Column) Format(v Answer) string {
	switch {
	case v == Skipped:
		return SkippedWord
	case !v.Known():
		return ""
	}
	for _, w := range c.Words {
		if w.N == v.N() {
			return w.Word
		}
	}
	if c.Field == WornMinutes {
		return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(float64(v.N())/60, 'f', 2, 64), "0"), ".")
	}
	return strconv.Itoa(v.N())
}

// Parse reads a cell; ErrCell, with what was expected, where it cannot.
func (c Column) Parse(s string) (Answer, error) {
	s = strings.ToLower(strings.TrimSpace(s))
	switch s {
	case "":
		return Unknown, nil
	case SkippedWord:
		return Skipped, nil
	}
	for _, w := range c.Words {
		if w.Word == s {
			return Num(w.N), nil
		}
	}
	if c.Max > 0 {
		if c.Field == WornMinutes {
			if h, err := strconv.ParseFloat(s, 64); err == nil && h >= 0 && h <= float64(c.Max) &&
				!strings.ContainsAny(s, "eExX_nN+") {
				return Num(int(h*60 + 0.5)), nil
			}
		} else if n, err := strconv.Atoi(s); err == nil && n >= c.Min && n <= c.Max && s[0] != '+' {
			return Num(n), nil
		}
	}
	return Unknown, fmt.Errorf("%w: expected %s", ErrCell, c.Expects())
}

// Expects says what a cell may hold.
func (c Column) Expects() string {
	var parts []string
	if c.Max > 0 {
		whole := "whole numbers"
		if c.Field == WornMinutes {
			whole = "a decimal point"
		}
		parts = append(parts, fmt.Sprintf("%d to %d (%s)", c.Min, c.Max, whole))
	}
	for _, w := range c.Words {
		parts = append(parts, w.Word)
	}
	return strings.Join(append(parts, SkippedWord, "or nothing"), ", ")
}
