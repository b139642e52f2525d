package answer

import "duskdawn/flows/chart"

// Way is a way to answer: what is said of one question, as far as words say it. The tagger hears ways. The ways of one question,
// with that of leaving it open, share 1 among them: a text answers any number of questions.
type Way uint8

// wayRows are the questions that are answered in ways, and how many each has: the answers of a choice from the least,
// the last way for all that are left; of a score none and some; of the bite's minutes never and some; one of another number. Behind them comes the way of a text
// that leaves the question open.
var wayRows = [...]struct {
	field chart.Field
	many  int
}{{chart.Worn, 3}, {chart.WornMinutes, 1}, {chart.NotWorn, 10}, {chart.Snoring, 2}, {chart.Pain, 2}, {chart.Woken, 2}, {chart.Where, 5},
	{chart.Gone, 4}, {chart.Guide, 2}, {chart.Bite, 4}, {chart.BiteMinutes, 2}, {chart.Sleepiness, 1}, {chart.Driving, 4},
	{chart.Pauses, 2}, {chart.Headache, 2}, {chart.SettingLeft, 1}, {chart.Nose, 2}, {chart.Reporter, 4},
	{chart.Wrong, 2}}

// NumWays is how many ways there are; it stands for answers that have none.
const NumWays Way = 74

// Block is outputs that share 1 among them.
type Block struct{ From, To int }

// WayBlocks are the ways of each question, the last of each that of leaving it open.
func WayBlocks() []Block {
	all := make([]Block, len(wayRows))
	at := 0
	for i, r := range wayRows {
		all[i] = Block{at, at + r.many + 1}
		at += r.many + 1
	}
	return all
}

// WayOf is the way of an answer.
func WayOf(f chart.Field, v chart.Answer) Way {
	switch {
	case !v.Known():
		return NumWays
	case f == chart.GuideMinutes:
		v = chart.Num(btoi(v.N() > 0))
	case f == chart.BiteMinutes:
		v = chart.Num(btoi(v.N() != chart.BiteNot))
	}
	f = home(f)
	at := 0
	for _, r := range wayRows {
		if r.field == f {
			return Way(at + max(min(v.N()-f.Row().Least, r.many-1), 0))
		}
		at += r.many + 1
	}
	return NumWays
}

// home is the question whose ways the answers of another share.
func home(f chart.Field) chart.Field {
	switch f {
	case chart.GuideMinutes:
		return chart.Guide
	case chart.SettingRight:
		return chart.SettingLeft
	}
	return f
}

// WayOpen is the way of a text that leaves a question open; NumWays for one that has no ways.
func WayOpen(f chart.Field) Way {
	f = home(f)
	at := 0
	for _, r := range wayRows {
		if at += r.many; r.field == f {
			return Way(at)
		}
		at++
	}
	return NumWays
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

var wayBlocks = WayBlocks()
