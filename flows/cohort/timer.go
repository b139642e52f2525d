package cohort

import "duskdawn/flows/civil"

// minute is a wall time in minutes, for comparing and adding.
type minute int64

func at(w civil.Wall) minute { return minute(w.Date)*1440 + minute(w.Clock) }

func (m minute) wall() civil.Wall {
	return civil.Wall{Date: civil.Date(m / 1440), Clock: civil.Clock(m % 1440)}
}

// timers are what the flow ordered to hear of later, few at a time.
type timers []timer

type timer struct {
	name string
	due  minute
	arg  string
}

func (ts *timers) set(name string, due minute, arg string) {
	for i := range *ts {
		if (*ts)[i].name == name {
			(*ts)[i].due, (*ts)[i].arg = due, arg
			return
		}
	}
	*ts = append(*ts, timer{name, due, arg})
}

func (ts *timers) clear(name string) {
	for i := range *ts {
		if (*ts)[i].name == name {
			*ts = append((*ts)[:i], (*ts)[i+1:]...)
			return
		}
	}
}

// next takes out the first that is due by then; of one minute, the first by name.
func (ts *timers) next(by minute) (timer, bool) {
	best := -1
	for i, t := range *ts {
		if t.due <= by && (best < 0 || t.due < (*ts)[best].due || t.due == (*ts)[best].due && t.name < (*ts)[best].name) {
			best = i
		}
	}
	if best < 0 {
		return timer{}, false
	}
	t := (*ts)[best]
	*ts = append((*ts)[:best], (*ts)[best+1:]...)
	return t, true
}
