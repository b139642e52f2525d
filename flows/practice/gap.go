package practice

import (
	"cmp"
	"slices"

	"duskdawn/flows/civil"
)

// Gap is a time in which nobody of a role has the duty, because of who covers.
type Gap struct {
	From, To civil.Wall
	Role     Role // NoRole: nobody at all
}

// gapRoles are whom somebody could miss, the worst first.
var gapRoles = [...]Role{NoRole, Clinician, Assistant}

// Gaps are the gaps of the days from one to another on which somebody covers: the times
// at which the rota alone would have somebody of the role on duty, or the office is
// open. Where there is nobody at all, that is told, and not each role.
func (pr *Practice) Gaps(from, to civil.Date) (out []Gap) {
	shifts := pr.shifts()
	walls := pr.changes(shifts, from, to)
	last := map[Role]int{} // the place of a role's newest gap, from 1
	for i, w := range walls[:max(len(walls)-1, 0)] {
		for _, role := range gapRoles {
			if !pr.lacks(shifts, w, role) {
				continue
			}
			if n := last[role]; n > 0 && out[n-1].To == w {
				out[n-1].To = walls[i+1]
			} else {
				out = append(out, Gap{w, walls[i+1], role})
				last[role] = len(out)
			}
			if role == NoRole {
				break
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Gap) int {
		return cmp.Compare(slices.Index(gapRoles[:], a.Role), slices.Index(gapRoles[:], b.Role))
	})
	return out
}

// changes are the wall times of some days at which who is on duty, or whether the office is
// open, may change, in order; the last is the end.
func (pr *Practice) changes(shifts []shift, from, to civil.Date) (out []civil.Wall) {
	begin, end := civil.Wall{Date: from}, civil.Wall{Date: to + 1}
	for d := from; d <= to+1; d++ {
		out = append(out, civil.Wall{Date: d})
		for _, s := range pr.spans(d) {
			out = append(out, civil.Wall{Date: d}.Add(int(s.From)), civil.Wall{Date: d}.Add(int(s.To)))
		}
	}
	for i := range shifts {
		for _, l := range [...]*line{&shifts[i].from, &shifts[i].to} {
			for w, ok := l.next(begin); ok && w.Before(end); w, ok = l.next(w) {
				out = append(out, w)
			}
		}
	}
	out = slices.DeleteFunc(out, func(w civil.Wall) bool { return end.Before(w) })
	slices.SortFunc(out, func(a, b civil.Wall) int { return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(a.Clock, b.Clock)) })
	return slices.Compact(out)
}

// lacks reports whether a cover leaves nobody of a role on duty who should be.
func (pr *Practice) lacks(shifts []shift, w civil.Wall, role Role) bool {
	if !slices.ContainsFunc(pr.Covers, func(c Cover) bool { return c.on(w.Date) }) {
		return false
	}
	byRota, here := false, role == NoRole
	for i := range pr.Staff {
		s := &pr.Staff[i]
		if !s.Reachable() || role != NoRole && s.Role != role {
			continue
		}
		on := onRota(shifts, s.Label, w)
		if here, byRota = true, byRota || on; !pr.off(s.ID, w.Date, !on) {
			return false
		}
	}
	return byRota || here && pr.IsOpen(w)
}
