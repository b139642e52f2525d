package fold

// Span is a piece of a folded text.
type Span struct{ From, To uint16 }

// Of is the piece itself.
func (s Span) Of(text []byte) []byte { return text[s.From:s.To] }

// Words cuts a folded text into words of letters and digits. It reads what a Span can name, 65,535 bytes.
func Words(b []byte, dst []Span) []Span {
	b = b[:min(len(b), 1<<16-1)]
	for i := 0; i < len(b); {
		if !IsLetter(b[i]) && !IsDigit(b[i]) {
			i++
			continue
		}
		j := i + 1
		for j < len(b) && (IsLetter(b[j]) || IsDigit(b[j])) {
			j++
		}
		dst = append(dst, Span{uint16(i), uint16(j)})
		i = j
	}
	return dst
}
