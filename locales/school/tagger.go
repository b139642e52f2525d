package school

import (
	"fmt"
	"slices"

	"duskdawn/flows/chart"
	"duskdawn/locales/answer"
	"duskdawn/locales/fold"
	"duskdawn/locales/linear"
	"duskdawn/locales/sentence"
)

// How the tagger is taught: passes over the lessons with Adam (Kingma and Ba, ICLR 2015, arXiv:1412.6980) on a few at a time, at
// a rate that falls to nothing; each time some tokens are not heard at all, and a part of the numbers is left out (Srivastava
// and others, JMLR 15:1929, 2014).
const (
	tagPasses     = 12
	tagTogether   = 16
	tagRate       = 3e-3
	fewestWords   = 10 // sentences a word must stand in to be heard
	fewestLetters = 62 // ... a run of letters
	deafToken     = 0.08
	deafNumber    = 0.15
	inTwos        = 0.4 // share of lessons behind which another one is heard (tagjoin.go)
)

// tagLesson is a sentence as the tagger hears it.
type tagLesson struct {
	tokens answer.Tokens
	ways   []int   // the way in which each question is answered; -1 where that is not plain
	roles  [][]int // of each figure: any of them will do
	of     int     // the sentence, of those that were read
}

// tagLessons hears every diary sentence, and every one that is no danger.
func tagLessons(all []sentence.Sentence) ([]tagLesson, error) {
	blocks := answer.WayBlocks()
	var out []tagLesson
	for i := range all {
		s := &all[i]
		if !telling(s) {
			continue
		}
		tokens, figures, clocks, ok, err := answer.TokensOf(fold.Text(nil, s.Text))
		if err != nil {
			return nil, err
		}
		if !ok || len(tokens.All) == 0 {
			continue
		}
		values, err := s.Values()
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", s.File, s.Line, err)
		}
		values = ofOne(values)
		l := tagLesson{tokens: tokens, of: i}
		for _, b := range blocks {
			way, ok := wayTarget(values, b)
			if !ok {
				way = -1
			}
			l.ways = append(l.ways, way)
		}
		from, to := worn(clocks, values)
		for k := range figures {
			has := func(c *answer.Clock) bool { return c.Has(&figures[k]) }
			switch {
			case slices.ContainsFunc(from, has):
				l.roles = append(l.roles, []int{int(answer.RoleFrom)})
			case slices.ContainsFunc(to, has):
				l.roles = append(l.roles, []int{int(answer.RoleTo)})
			default:
				l.roles = append(l.roles, rolesOf(&figures[k], values))
			}
		}
		out = append(out, l)
	}
	return out, nil
}

// ofOne are the values of one day where the same are told of each: "Mon and Tue all night" is answered in one way.
func ofOne(values []sentence.Value) []sentence.Value {
	var days [][]sentence.Value
	for _, v := range values {
		i := slices.IndexFunc(days, func(day []sentence.Value) bool { return day[0].Day == v.Day })
		if i < 0 {
			i, days = len(days), append(days, nil)
		}
		days[i] = append(days[i], v)
	}
	for _, day := range days {
		if !slices.EqualFunc(days[0], day, func(a, b sentence.Value) bool { return a.Field == b.Field && a.Answer == b.Answer }) {
			return values
		}
	}
	if len(days) == 0 {
		return nil
	}
	return days[0]
}

// worn finds the times of day between which it was worn: two that make the hours of a night, where no other two do as plainly.
func worn(clocks []answer.Clock, values []sentence.Value) (from, to []*answer.Clock) {
	for _, v := range values {
		if v.Field != chart.WornMinutes {
			continue
		}
		at, many, least := 0, 0, 3
		for i := 1; i < len(clocks); i++ {
			bare := 0
			for _, c := range clocks[i-1 : i+1] {
				if c.Bare {
					bare++
				}
			}
			minutes, ok := clocks[i-1].Worn(&clocks[i])
			switch {
			case !ok || !v.Answer.Is(minutes) || bare > least:
			case bare < least: // it may count something else
				at, many, least = i, 1, bare
			default:
				many++
			}
		}
		if many == 1 {
			from, to = append(from, &clocks[at-1]), append(to, &clocks[at])
		}
	}
	return from, to
}

// rolesOf are the roles of a figure where these values are to be written. Of two questions that it answers either will do.
func rolesOf(g *answer.Figure, values []sentence.Value) (roles []int) {
	for _, v := range values {
		if r := answer.RoleOf(v.Field); r != answer.RoleNone && g.Means(v.Field, v.Answer) && !slices.Contains(roles, int(r)) {
			roles = append(roles, int(r))
		}
	}
	if len(roles) == 0 {
		roles = []int{int(answer.RoleNone)}
	}
	return roles
}

// tagInputs are the inputs that stand in enough lessons, ascending.
func tagInputs(ls []tagLesson) (inputs []uint32) {
	words, letters := make([]int, linear.Dims), make([]int, linear.Dims)
	for i := range ls {
		t := &ls[i].tokens
		for _, token := range t.All {
			for j := token.From; j < token.To; j++ {
				if j < token.Letters {
					words[t.Inputs[j]]++
				} else {
					letters[t.Inputs[j]]++
				}
			}
		}
	}
	for id := range uint32(linear.Dims) {
		if words[id] >= fewestWords || letters[id] >= fewestLetters {
			inputs = append(inputs, id)
		}
	}
	return inputs
}
