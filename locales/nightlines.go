package locales

import (
	"strconv"
	"strings"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/civil"
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
	if head := cells(lines[0]); len(lines) > 1 && len(head) > 1 {
		for i, line := range lines[1:] {
			out = append(out, w.row(head, cells(line), today, i+2))
		}
		return out
	}
	for i, line := range lines {
		night, rest := w.dated(line, today)
		out = append(out, flows.NightSaid{Night: night, Line: int16(i + 1), Reading: w.Read(rest)})
	}
	if len(out) == 1 && out[0].Night == 0 {
		return nil
	}
	return out
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
// typed. An empty cell, or a dash, is not known.
func (w *Words) row(head, cells []string, today civil.Date, line int) flows.NightSaid {
	n := flows.NightSaid{Line: int16(line)}
	var said []string
	for i, cell := range cells {
		if cell == "" || strings.Trim(cell, "-–—?") == "" || i >= len(head) {
			continue
		}
		if night, rest := w.dated(cell, today); night != 0 && rest == "" {
			n.Night = night
			continue
		}
		said = append(said, head[i]+" "+cell)
	}
	n.Reading = w.Read(strings.Join(said, ", "))
	return n
}

// dated takes the date that a line begins with, and gives the rest.
func (w *Words) dated(line string, today civil.Date) (civil.Date, string) {
	fields := strings.FieldsFunc(line, func(r rune) bool { return r == ' ' || r == ',' || r == ':' || r == '\t' })
	day, month, year, used := 0, 0, 0, 0
	for used < len(fields) && used < 6 && (day == 0 || month == 0 || year == 0) {
		f := string(fold.Text(nil, strings.Trim(fields[used], ".")))
		n, err := strconv.Atoi(f)
		switch {
		case used == 0 && len(f) == 10 && f[4] == '-':
			if d, err := civil.ParseDate(f); err == nil {
				return d, rest(line, fields[:1])
			}
			return 0, line
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
		return 0, line
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
		return 0, line
	}
	return d, rest(line, fields[:used])
}

// rest is what follows some words of a line.
func rest(line string, words []string) string {
	for _, word := range words {
		line = line[strings.Index(line, word)+len(word):]
	}
	return strings.TrimLeft(line, " ,:\t.")
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
