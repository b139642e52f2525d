package store

import "cmp"

// Match reports whether a summary is one of those asked for.
func (q Query) Match(s Summary) bool {
	return (q.Label == "" || s.Label == q.Label) &&
		(q.State == "" || s.State == q.State) &&
		(!q.Open || s.Class != 0) &&
		(q.Silent == 0 || s.Answered < q.Silent) &&
		(q.After.IsZero() || s.Ref.Compare(q.After) > 0)
}

// Compare orders the summaries of the query: the most urgent deadline first,
// none last, then by ref; with After by ref alone.
func (q Query) Compare(a, b Summary) int {
	if q.After.IsZero() && !a.Deadline.Equal(b.Deadline) {
		if a.Deadline.IsZero() || b.Deadline.IsZero() {
			return cmp.Compare(b.Deadline.Unix(), a.Deadline.Unix()) // the zero time is the smallest
		}
		return a.Deadline.Compare(b.Deadline)
	}
	return a.Ref.Compare(b.Ref)
}

// Compare orders refs as their text, by kind and then by id.
func (r Ref) Compare(o Ref) int {
	return cmp.Or(cmp.Compare(r.Kind, o.Kind), cmp.Compare(r.ID, o.ID))
}

// Compare orders asides, the oldest first.
func (a Aside) Compare(b Aside) int {
	return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID))
}
