package locales

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/reading"
	"duskdawn/locales/fold"
)

// Answers of several nights, as somebody at the desk types or pastes them: a line a
// night that begins with its date, or a table whose first line names the columns.

// mostNights is how many lines are read: as many nights as a course remembers, and
// the head of a table.
const mostNights = 32

// Nights reads such a text, a night a line, in the order of the lines; nil where it
// is one line without a date. A date without a year is the newest that is not ahead.
// Night is 0 where a line names none.
func (w *Words) Nights(text string, now time.Time) (out []flows.NightSaid) {
	today := civil.DateOf(now.Date())
	var lines []string
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	if len(lines) == 0 || len(lines) > mostNights {
		return nil
	}
	if head := cells(lines[0]); len(lines) > 1 && len(head) > 1 && !w.datedIn(head, today) {
		for i, line := range lines[1:] {
			out = append(out, w.row(head, cells(line), today, i+2))
		}
		return out
	}
	for i, line := range lines {
		night, rest, no := w.dated(line, today)
		n := flows.NightSaid{Night: night, Line: int16(i + 1), Reading: w.Read(rest), NoDate: no}
		if no == "" && lossy(&n.Reading) {
			parts := strings.Split(strings.ReplaceAll(strings.ReplaceAll(rest, ";", ", "), ",  ", ", "), ", ")
			if w.apart(&n.Reading, parts) || unanswered(&n.Reading) {
				n.Lost = w.lost(parts, rest)
			}
		}
		out = append(out, n)
	}
	if len(out) == 1 && out[0].Night == 0 && out[0].NoDate == "" && len(out[0].Lost) == 0 {
		return nil
	}
	return out
}

// datedIn reports whether a date stands in one of the cells: no head of a table has one.
func (w *Words) datedIn(cells []string, today civil.Date) bool {
	return slices.ContainsFunc(cells, func(cell string) bool {
		night, _, no := w.dated(cell, today)
		return night != 0 || no != ""
	})
}

// unanswered reports whether a reading has no answer where its text names one: a question
// alone, a number in doubt, or nothing.
func unanswered(r *reading.Reading) bool {
	return len(r.Tokens) == 0 || r.Doubt != reading.NoDoubt ||
		slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return t.Value == chart.Unknown })
}

// apart answers what is left open in a line by what a part of it says by itself: a word beside it that nobody knows is no doubt of it.
// It reports whether a part is a number that answers nothing.
func (w *Words) apart(r *reading.Reading, parts []string) (left bool) {
	for _, part := range parts {
		by := w.Read(part)
		left = left || by.Bare.Known() || by.Doubt != reading.NoDoubt
		if lossy(&by) {
			continue
		}
		for _, x := range by.Tokens {
			if i := slices.IndexFunc(r.Tokens, func(t reading.Token) bool { return t.Field == x.Field && t.Value == chart.Unknown }); i >= 0 {
				r.Tokens[i].Value = x.Value
			}
		}
	}
	return left
}

// lossy is unanswered, or words that nobody understood.
func lossy(r *reading.Reading) bool { return r.Rest || unanswered(r) }

// lost are the parts of a text that came to nothing; all of it where none does by itself.
func (w *Words) lost(parts []string, whole string) (out []string) {
	for _, part := range parts {
		if r := w.Read(part); lossy(&r) && len(out) < mostLost {
			out = append(out, shortened(part))
		}
	}
	if len(out) == 0 {
		out = append(out, shortened(whole))
	}
	return out
}

// mostLost and lostRunes are how much is kept of what came to nothing: enough to find it.
const mostLost, lostRunes = 5, 60

func shortened(text string) string {
	if r := []rune(text); len(r) > lostRunes {
		return string(r[:lostRunes-1]) + "…"
	}
	return text
}

// cells splits a line of a table at tabs, semicolons or upright strokes.
func cells(line string) (out []string) {
	for _, sep := range []string{"\t", "|", ";"} {
		if strings.Contains(line, sep) {
			for cell := range strings.SplitSeq(strings.Trim(line, "|"), sep) {
				out = append(out, strings.TrimSpace(cell))
			}
			return out
		}
	}
	return nil
}

// row reads a line of a table: each cell behind the name of its column, as it would be
// typed. An empty cell, or a dash, is not known; what a cell says that is no answer, or
// stands in no column, is lost.
func (w *Words) row(head, cells []string, today civil.Date, line int) flows.NightSaid {
	n := flows.NightSaid{Line: int16(line)}
	var said, parts []string
	for i, cell := range cells {
		if cell == "" || strings.Trim(cell, "-–—?") == "" {
			continue
		}
		night, rest, no := w.dated(cell, today)
		switch {
		case no != "" || night != 0 && n.Night != 0 && night != n.Night:
			n.NoDate = shortened(cell)
		case night != 0 && rest == "":
			n.Night = night
		case i >= len(head):
			n.Lost = append(n.Lost, shortened(cell))
		default:
			said = append(said, head[i]+" "+cell)
			if r := w.Read(head[i] + " " + cell); lossy(&r) {
				parts = append(parts, shortened(head[i]+": "+cell))
			}
		}
	}
	whole := strings.Join(said, ", ")
	if n.Reading = w.Read(whole); len(parts) == 0 && whole != "" && lossy(&n.Reading) {
		parts = append(parts, shortened(whole))
	}
	n.Lost = append(n.Lost, parts...)
	n.Lost = n.Lost[:min(len(n.Lost), mostLost)]
	return n
}

// dateEnds are the signs that end a word of a date.
const dateEnds = " ,:;|\t"

// dated takes the date that a line begins with, and gives the rest; no is what would be
// a date and is none, such as 31 Feb.
func (w *Words) dated(line string, today civil.Date) (night civil.Date, after, no string) {
	fields := strings.FieldsFunc(line, func(r rune) bool { return strings.ContainsRune(dateEnds, r) })
	day, month, year, used := 0, 0, 0, 0
	for used < len(fields) && used < 6 && (day == 0 || month == 0 || year == 0) {
		f := string(fold.Text(nil, strings.Trim(fields[used], ".")))
		n, err := strconv.Atoi(f)
		switch {
		case used == 0 && yearFirst(f):
			if d, err := civil.ParseDate(f); err == nil {
				return d, rest(line, fields[:1]), ""
			}
			return 0, line, shortened(fields[0])
		case err == nil && day == 0 && n >= 1 && n <= 31:
			day = n
		case err == nil && month != 0 && n > 2000 && n < 2100:
			year = n
		case err == nil:
			goto done
		case month == 0 && w.month(f) != 0:
			month = w.month(f)
		case day == 0 && month == 0 && used == 0 && w.weekday(f), day != 0 && (f == "de" || f == "of"):
		default:
			goto done
		}
		used++
	}
done:
	if day == 0 || month == 0 {
		return 0, line, ""
	}
	y := year
	if y == 0 {
		y, _, _ = today.Time().Date()
		if civil.DateOf(y, time.Month(month), day) > today {
			y--
		}
	}
	d := civil.DateOf(y, time.Month(month), day)
	if d.Time().Day() != day { // 31 November
		return 0, line, shortened(strings.Join(fields[:used], " "))
	}
	return d, rest(line, fields[:used]), ""
}

// yearFirst reports whether a word begins as 2026-11-02 does.
func yearFirst(word string) bool {
	year, _, dash := strings.Cut(word, "-")
	n, err := strconv.Atoi(year)
	return dash && err == nil && len(year) == 4 && n > 0
}

// rest is what follows some words of a line.
func rest(line string, words []string) string {
	for _, word := range words {
		line = line[strings.Index(line, word)+len(word):]
	}
	return strings.TrimLeft(line, dateEnds+".")
}

// month is the month that a word begins with the short name of, in any language; 0
// for none.
func (w *Words) month(word string) int {
	for _, lang := range w.langs {
		for i, name := range w.tongues[lang].forms.months {
			if strings.HasPrefix(word, string(fold.Text(nil, strings.Trim(name, ".")))) {
				return i + 1
			}
		}
	}
	return 0
}

// weekday reports whether a word begins with the short name of one.
func (w *Words) weekday(word string) bool {
	for _, lang := range w.langs {
		for _, name := range w.tongues[lang].forms.weekdays {
			if strings.HasPrefix(word, string(fold.Text(nil, strings.Trim(name, ".")))) {
				return true
			}
		}
	}
	return false
}
