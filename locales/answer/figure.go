package answer

import (
	"slices"

	"duskdawn/flows/chart"
)

// A figure is a number as it stands in a text, in digits or in words. The tagger hears from the words around it which question it
// answers, if any: "six and a bit out of ten" is a score, "took it out at three" none.

// MaxFigures is how many figures of a text are heard; who writes more is asked.
const MaxFigures = 8

// Figure is a number in a text.
type Figure struct {
	N        int16             // its whole part
	Quarters int16             // what is added to it: "and a half" is 2
	Whole    bool              // nothing else beside it makes it another number: neither ":30" nor "or four"
	Share    [NumRoles]float32 // how likely it answers each question
	Least    [NumRoles]float32 // ... to the ear that believes it least

	from, to int    // its words
	unit     string // letters right behind its digits, "h"
}

// Role is the question that a figure answers.
type Role uint8

// The roles. A figure of none is a time of day, a date, a count.
const (
	RoleNone Role = iota
	RolePain
	RoleSnoring
	RoleSleepiness
	RoleHours
	RoleGuide
	RoleBite
	RoleSetting // of the only side, or the left one
	RoleRight
	RoleFrom // of the time at which it was put in
	RoleTo   // ... and at which it was taken out
	NumRoles
)

var roleFields = [NumRoles]chart.Field{RolePain: chart.Pain, RoleSnoring: chart.Snoring, RoleSleepiness: chart.Sleepiness, RoleHours: chart.WornMinutes,
	RoleGuide: chart.GuideMinutes, RoleBite: chart.BiteMinutes, RoleSetting: chart.SettingLeft, RoleRight: chart.SettingRight}

// Field is the question of a role; NoField of none.
func (r Role) Field() chart.Field { return roleFields[min(r, NumRoles-1)] }

// RoleOf is the role of what answers a question with a number; RoleNone where none does.
func RoleOf(f chart.Field) Role {
	if f == chart.NoField {
		return RoleNone
	}
	return Role(max(slices.Index(roleFields[:], f), 0))
}

// Means reports whether the figure can be this answer of a question: minutes may be said in hours, hours with a half behind them.
func (g *Figure) Means(f chart.Field, v chart.Answer) bool {
	n := int(g.N)
	switch {
	case !v.Known():
		return false
	case f == chart.WornMinutes:
		return v.N() == n*60+15*int(g.Quarters) || g.Quarters == 0 && v.N()/60 == n
	case f == chart.GuideMinutes || f == chart.BiteMinutes:
		return v.N() == n || n > 0 && n <= 4 && v.N()/60 == n
	}
	return v.Is(n)
}
