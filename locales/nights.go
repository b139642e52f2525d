package locales

import (
	"duskdawn/flows/chart"
	"duskdawn/flows/reading"
)

// isDay reports whether an item names a day.
func (it *item) isDay() bool {
	return it.kind == itemWeekday || it.kind == itemAgo || it.kind == itemDay
}

// dayOf is the day that an item names.
func dayOf(it *item) reading.Day {
	switch it.kind {
	case itemWeekday:
		return reading.Day{Kind: reading.DayWeek, N: it.n}
	case itemAgo:
		return reading.Day{Kind: reading.DaysAgo, N: it.n}
	}
	return it.day
}

// daily reads a text that tells of several days, each of which stands before what is told of it: "Wed and Thu all
// night, Fri not". Where one day's part says nothing certain, nothing is taken of any.
func (p *prose) daily() {
	if len(p.ws) == 0 || !p.ws[0].isDay() {
		return
	}
	for i := 0; i < len(p.ws); {
		var days []reading.Day
		j := i
		for ; j < len(p.ws) && (p.ws[j].isDay() || p.ws[j].is(cAnd)); j++ {
			if p.ws[j].isDay() {
				days = append(days, dayOf(&p.ws[j].item))
			}
		}
		k := j
		for k < len(p.ws) && !p.ws[k].isDay() {
			k++
		}
		part := prose{d: p.d, hears: p.hears, ws: p.ws[j:k], part: true}
		part.answers()
		part.notWorn()
		if !part.certain() {
			p.nights = nil
			return
		}
		for _, d := range days {
			part.day = d
			p.nights = append(p.nights, part)
		}
		i = k
	}
}

// oneDay finds the day that a text is about, where it names one: at its beginning or end, or in its only sentence.
// Elsewhere it is not known what is of that day.
func (p *prose) oneDay() {
	if p.days == 0 {
		return
	}
	last := len(p.ws) - 1
	for i := range p.ws {
		w := &p.ws[i]
		switch {
		case !w.isDay():
		case i > 2 && i < last-1 && p.ws[0].sentence != p.ws[last].sentence:
			for f := range p.claim {
				if c := &p.claim[f]; c.value.Known() && chart.Field(f).Row().About == chart.LastNight {
					*c = claim{doubted: true}
				}
			}
		default:
			p.day = dayOf(&w.item)
		}
	}
}

// notWorn takes a bare "no" of a day for a night without it.
func (p *prose) notWorn() {
	if len(p.ws) > 0 && (p.ws[0].is(cNot) || p.ws[0].is(cNone) || p.ws[0].is(cNope)) && !p.has(chart.Worn) && !p.has(chart.WornMinutes) &&
		(len(p.ws) == 1 || p.ws[1].clause != p.ws[0].clause || p.ws[1].kind == itemUnknown || p.ws[1].among(failing) && !p.ws[1].among(aches)) { // "Sat no pain"
		p.claim[chart.Worn] = claim{value: chart.Num(chart.WornNo)}
		p.reason()
	}
}

// certain reports whether a text says something certain, and nothing doubtful.
func (p *prose) certain() bool {
	said := false
	for f, c := range p.claim {
		if c.doubted && chart.Field(f) != chart.Nose { // which is asked about tonight
			return false
		}
		said = said || c.value.Known()
	}
	return said && p.loners == 0
}
