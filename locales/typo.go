package locales

// minTypo is the length from which a word may have one wrong letter: shorter
// words have too many neighbours.
const minTypo = 6

// nearest finds the dictionary word that differs from an unknown one by one
// letter: left out, put in, changed, or two swapped. The first letter counts
// as right, for people seldom miss it.
func (d *dictionary) nearest(word []byte) (entry, bool) {
	e, ok := d.slip(word)
	return e, ok && !d.counts(e)
}

// counts reports whether a word is a number: "fourth" is no slip of "forty".
func (d *dictionary) counts(e entry) bool {
	for _, p := range d.starts[e.id] {
		if len(p.words) == 1 && d.senses[p.sense].kind == senseNumber {
			return true
		}
	}
	return false
}

func (d *dictionary) slip(word []byte) (entry, bool) {
	if len(word) < minTypo-1 || len(word) > 24 {
		return entry{}, false
	}
	if id, ok := d.typos[string(word)]; ok && near(d.spell[id], word) {
		return d.words[d.spell[id]], true
	}
	var buf [24]byte
	for i := 1; i < len(word); i++ {
		short := append(append(buf[:0], word[:i]...), word[i+1:]...)
		if e, ok := d.words[string(short)]; ok && len(short) >= minTypo {
			return e, true
		}
		if id, ok := d.typos[string(short)]; ok && near(d.spell[id], word) {
			return d.words[d.spell[id]], true
		}
	}
	return entry{}, false
}

// near reports whether two different words are one slip apart (optimal string
// alignment distance 1) and begin alike.
func near(a string, b []byte) bool {
	if len(a) == 0 || len(b) == 0 || a[0] != b[0] {
		return false
	}
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	ra, rb := a[i:], b[i:]
	switch len(a) - len(b) {
	case 1:
		return ra[1:] == string(rb)
	case -1:
		return ra == string(rb[1:])
	case 0:
		if len(ra) == 0 || ra[1:] == string(rb[1:]) {
			return true
		}
		return len(ra) >= 2 && ra[0] == rb[1] && ra[1] == rb[0] && ra[2:] == string(rb[2:])
	}
	return false
}
