package desk

import (
	"cmp"
	"slices"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// What the desk costs its people, for whoever plans it: cards a working day and
// person, by reason.

// loadWord is the word that shows it; the first digest of a week does, too.
const loadWord = "load"

// Count is how many cards there were for one reason.
type Count struct {
	Reason string
	Key    string // of the reason's name
	N      int
}

// Duty is what one person was sent in some days.
type Duty struct {
	Who     practice.Staff
	Cards   int     // below class S
	Urgent  int     // rings of class E and S
	Days    int     // working days
	Reasons []Count // of Cards, the most first
}

// Tenths are the cards below S a working day, in tenths.
func (d *Duty) Tenths() int { return (10*d.Cards + d.Days/2) / max(d.Days, 1) }

// Duties counts what each person of the practice was sent from one day to another,
// as far as the patients remember: the days of a week.
func Duties(pr *practice.Practice, ps []flows.Patient, from, to civil.Date) (out []Duty) {
	for _, s := range pr.Staff {
		if s.Removed {
			continue
		}
		d := Duty{Who: s, Days: pr.WorkingDays(from, to)}
		reasons := map[string]int{}
		for i := range ps {
			for _, c := range ps[i].Carded {
				switch {
				case c.Who != s.ID || c.Day < from || c.Day > to:
				case c.Urgent:
					d.Urgent += int(c.N)
				default:
					d.Cards += int(c.N)
					reasons[c.Reason] += int(c.N)
				}
			}
		}
		for _, p := range ps { // in an order that does not depend on a map
			for _, c := range p.Carded {
				if n := reasons[c.Reason]; n > 0 {
					d.Reasons = append(d.Reasons, Count{c.Reason, flows.ReasonKey(c.Reason), n})
					reasons[c.Reason] = 0
				}
			}
		}
		slices.SortFunc(d.Reasons, func(a, b Count) int { return cmp.Or(b.N-a.N, strings.Compare(a.Reason, b.Reason)) })
		out = append(out, d)
	}
	return out
}

// loadMost is how many reasons are named.
const loadMost = 5

// Load says it of everyone.
func Load(pr *practice.Practice, ps []flows.Patient, from, to civil.Date) []message.Line {
	lines := []message.Line{message.Say("desk.load.head", message.ArgD("from", from), message.ArgD("to", to))}
	for _, d := range Duties(pr, ps, from, to) {
		lines = append(lines, d.lines("desk.load.who")...)
	}
	return lines
}

// loadPeople is how many people one message tells it of: with reasons of the longest kind
// that is below the platform's limit.
const loadPeople = 8

// loadPage says it of the people of one page, for the last seven days.
func loadPage(pr *practice.Practice, ps []flows.Patient, s shownAt) ([]message.Line, [][]message.Button) {
	from := s.today - 6
	all := Duties(pr, ps, from, s.today)
	pages := max((len(all)+loadPeople-1)/loadPeople, 1)
	page := min(max(s.page, 0), pages-1)
	lines := []message.Line{message.Say("desk.load.head", message.ArgD("from", from), message.ArgD("to", s.today))}
	for _, d := range all[page*loadPeople : min(len(all), (page+1)*loadPeople)] {
		lines = append(lines, d.lines("desk.load.who")...)
	}
	return lines, turns(opList, loadWord+".", page, pages)
}

// loadOf says it of the reader.
func loadOf(pr *practice.Practice, reader practice.Staff, ps []flows.Patient, from, to civil.Date) []message.Line {
	for _, d := range Duties(pr, ps, from, to) {
		if d.Who.ID == reader.ID {
			return d.lines("desk.load.you")
		}
	}
	return nil
}

func (d *Duty) lines(key string) []message.Line {
	lines := []message.Line{message.Say(key, message.ArgS("who", d.Who.Label), message.ArgN("cards", d.Cards),
		message.Arg{Name: "mean", Kind: message.ArgTenths, N: int64(d.Tenths())}, message.ArgN("urgent", d.Urgent))}
	if len(d.Reasons) > 0 {
		lines = append(lines, message.Say("desk.load.most"))
	}
	for _, c := range d.Reasons[:min(len(d.Reasons), loadMost)] {
		lines = append(lines, message.Say("desk.load.reason", message.ArgK("reason", c.Key), message.ArgN("n", c.N)))
	}
	return lines
}

// beginsWeek reports whether a day is the first of its week on which the office opens.
func beginsWeek(pr *practice.Practice, today civil.Date) bool {
	monday := today - civil.Date(today.Weekday()+6)%7
	return pr.WorkingDays(monday, today-1) == 0
}
