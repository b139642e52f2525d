package record

import (
	"fmt"
	"io"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/outcome"
	"duskdawn/flows/why"
	"duskdawn/locales"
)

// outcomes reckons what came of it from every night of the record.
func (r Record) outcomes() []why.Outcome {
	nights := make([]chart.Entry, len(r.Nights))
	for i := range r.Nights {
		nights[i] = r.Nights[i].Entry
	}
	return why.Report(&r.Patient, nights)
}

// Outcomes writes them in words, each with what its definition rests on. A
// figure that cannot be given says why.
func (r Record) Outcomes(w io.Writer, words *locales.Words, lang string) error {
	var out strings.Builder
	say := func(l message.Line) { out.WriteString(locales.Plain(words.Line(lang, l)) + "\n") }
	if len(r.Nights) == 0 {
		say(message.Say("desk.diary.empty"))
	} else {
		say(message.Say("outcome.head", message.ArgD("from", r.Nights[0].Entry.Night),
			message.ArgD("to", r.Nights[len(r.Nights)-1].Entry.Night)))
		for _, o := range r.outcomes() {
			say(o.Say())
			if f, ok := why.FigureOf(o.ID); ok {
				for _, c := range f.Basis.Claims() {
					say(c.Line())
				}
			}
		}
		say(message.Say("outcome.caution"))
	}
	if _, err := io.WriteString(w, out.String()); err != nil {
		return fmt.Errorf("writing the outcomes: %w", err)
	}
	return nil
}

// jsonOutcome is one of them: its values by name, or the sentence that refuses
// it. A share and a change are per cent.
type jsonOutcome struct {
	ID      string         `json:"id"`
	By      string         `json:"by"` // the definition
	Values  map[string]any `json:"values,omitempty"`
	Refused string         `json:"refused,omitempty"`
}

func (r Record) jsonOutcomes() ([]jsonOutcome, error) {
	words, err := locales.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the words: %w", err)
	}
	in := func(l message.Line) string { return locales.Plain(words.Line(locales.Source, l)) }
	out := []jsonOutcome{}
	for _, o := range r.outcomes() {
		j := jsonOutcome{ID: o.ID}
		if f, ok := why.FigureOf(o.ID); ok {
			j.By = in(f.Line())
		}
		if o.No != outcome.Defined {
			j.Refused = in(o.Say())
			out = append(out, j)
			continue
		}
		j.Values = map[string]any{}
		for _, a := range o.Args {
			switch {
			case a.Kind == message.ArgPercent || a.Kind == message.ArgTenths:
				j.Values[a.Name] = float64(a.N) / 10
			case a.Kind == message.ArgKey && a.S == "why.yes":
				j.Values[a.Name] = true
			case a.Kind == message.ArgKey && a.S == "why.no":
				j.Values[a.Name] = false
			case a.Kind == message.ArgKey:
				j.Values[a.Name] = in(message.Say(a.S))
			case a.Kind == message.ArgText:
				j.Values[a.Name] = a.S
			default:
				j.Values[a.Name] = a.N
			}
		}
		out = append(out, j)
	}
	return out, nil
}
