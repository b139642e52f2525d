package hearing

import (
	"fmt"
	"io"
	"strings"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/locales"
)

// Heard is how one text is read.
type Heard struct {
	Text       string   `json:"text"`
	Lang       string   `json:"lang"`       // whose words were found; empty for none or several
	Understood string   `json:"understood"` // "in full", "in part", "not"
	Word       string   `json:"word,omitempty"`
	Card       string   `json:"card,omitempty"` // the how-to card that is shown
	Answers    []Answer `json:"answers"`
	Sure       []Danger `json:"sure"`
	Unsure     []Danger `json:"unsure"`
	Hedges     []string `json:"hedges"`
	Asked      []string `json:"asked"` // what would be asked back
	Staff      []string `json:"staff"` // what goes to staff
}

// Answer is one answer that was read.
type Answer struct {
	Night string `json:"night"` // "wed"; empty for the night that is asked about
	Field string `json:"field"`
	Value string `json:"value"`         // as the patient's button says it; empty where the question was named without an answer
	Why   string `json:"why,omitempty"` // which reader carried it
}

// Danger is one danger that was heard.
type Danger struct {
	Name  string   `json:"name"`
	Class string   `json:"class"`
	Share float32  `json:"share"`         // how likely the net takes it to be, 0 to 1
	Why   []string `json:"why,omitempty"` // what carried it
}

// mostReasons is how many pieces of a text are told for a danger.
const mostReasons = 8

// Hear reads a text and tells it in the words of a language. With why it says what carried each danger.
func Hear(w *locales.Words, lang, text string, why bool) Heard {
	r := w.Read(text)
	out := Heard{Text: text, Lang: r.Lang, Understood: "not", Answers: []Answer{}, Sure: []Danger{}, Unsure: []Danger{},
		Hedges: r.Hedges.List(), Asked: []string{}, Staff: []string{}}
	switch r.Understood {
	case reading.InFull:
		out.Understood = "in full"
	case reading.InPart:
		out.Understood = "in part"
	}
	if r.Word != reading.NoWord {
		out.Word = locales.Plain(w.Label(lang, message.Choice{Word: r.Word, N: stands(&r)}))
	}
	if r.Topic != reading.NoTopic {
		out.Card = plain(w, lang, "howto."+r.Topic.String())
	}
	out.answers(w, lang, &r)
	if why {
		out.carriers(w, lang)
	}
	hearing := w.Hear(text)
	tell := func(ds reading.Dangers) []Danger {
		all := []Danger{}
		for _, d := range ds.All() {
			one := Danger{Name: d.String(), Class: string(d.Class()), Share: hearing.Share[d]}
			if why {
				for _, reason := range w.Why(text, d, mostReasons) {
					one.Why = append(one.Why, fmt.Sprintf("%+.2f %s %q", reason.Weight, reason.How, reason.Said))
				}
			}
			all = append(all, one)
		}
		return all
	}
	out.Sure, out.Unsure = tell(r.Sure), tell(r.Unsure)
	out.follow(&r)
	return out
}

// answers lists what was read, and what of it must be asked.
func (h *Heard) answers(w *locales.Words, lang string, r *reading.Reading) {
	for _, t := range r.Tokens {
		a := Answer{Field: plain(w, lang, locales.FieldKey(t.Field))}
		if t.Value.Known() {
			a.Value = w.Label(lang, message.Choice{Field: t.Field, Value: t.Value})
		} else if t.Value == chart.Unknown {
			h.Asked = append(h.Asked, a.Field)
		}
		if v := written(&reading.Reading{Tokens: []reading.Token{t}}); len(v) > 0 {
			a.Night = v[0].Day
		}
		h.Answers = append(h.Answers, a)
	}
	switch {
	case r.Doubt != reading.NoDoubt && r.About != chart.NoField:
		h.Asked = append(h.Asked, plain(w, lang, locales.FieldKey(r.About)))
	case r.Doubt != reading.NoDoubt:
		h.Asked = append(h.Asked, "what the number is for")
	case r.Mends:
		h.Asked = append(h.Asked, fmt.Sprintf("whether %d puts right what was said last", r.Bare.N()))
	case r.Bare.Known():
		h.Asked = append(h.Asked, fmt.Sprintf("%d answers the question that was replied to, or is asked about", r.Bare.N()))
	}
}

// carriers says of each answer which reader carried it, and what the nets make of it.
func (h *Heard) carriers(w *locales.Words, lang string) {
	for _, c := range w.Carriers(h.Text) {
		by := "the nets alone"
		switch {
		case c.Label:
			by = "the label"
		case c.Grammar && c.Claims:
			by = "grammar and claims"
		case c.Grammar:
			by = "grammar"
		case c.Claims:
			by = "claims"
		}
		value := w.Label(lang, message.Choice{Field: c.Field, Value: c.Value})
		for i := range h.Answers {
			if a := &h.Answers[i]; a.Why == "" && a.Value == value {
				a.Why = fmt.Sprintf("by %s; the nets hear its matter %.2f, this way %.2f, its number %.2f", by, c.Matter, c.Way, c.Figure)
				if c.Verdict > 0 {
					a.Why += fmt.Sprintf(", and judge it %.3f", c.Verdict)
				}
				break
			}
		}
	}
}

// follow says what is asked and told because of dangers, and of words that were not understood.
func (h *Heard) follow(r *reading.Reading) {
	if r.Unsure != 0 {
		h.Asked = append(h.Asked, "now, earlier, or not the person who wears it")
	}
	for _, d := range h.Sure {
		h.Staff = append(h.Staff, fmt.Sprintf("%s, class %s, sure", d.Name, d.Class))
	}
	for _, d := range h.Unsure {
		h.Staff = append(h.Staff, fmt.Sprintf("%s, class %s, unsure", d.Name, d.Class))
	}
	switch {
	case r.Topic != reading.NoTopic && r.Rest:
		h.Staff = append(h.Staff, "the words")
	case r.Understood == reading.NotUnderstood:
		h.Asked = append(h.Asked, "the safety question")
		h.Staff = append(h.Staff, "the words")
	case r.Rest:
		if !r.Calm && r.Sure|r.Unsure == 0 {
			h.Asked = append(h.Asked, "the safety question")
		}
		h.Staff = append(h.Staff, "the words")
	}
}

// stands is the setting that a text names; 0 for none.
func stands(r *reading.Reading) int32 {
	for _, t := range r.Tokens {
		if t.Field == chart.SettingLeft && t.Value.Known() {
			return int32(t.Value.N())
		}
	}
	return 0
}

func plain(w *locales.Words, lang, key string) string {
	return locales.Plain(w.Line(lang, message.Say(key)))
}

// Print writes it for people.
func (h *Heard) Print(out io.Writer) error {
	var b strings.Builder
	row := func(name, said string) {
		if said = strings.TrimRight(said, " "); said != "" {
			fmt.Fprintf(&b, "%-11s %s\n", name, said)
		}
	}
	row("text", h.Text)
	row("language", h.Lang)
	row("understood", h.Understood)
	row("word", h.Word)
	row("card", h.Card)
	for _, a := range h.Answers {
		said := a.Value
		if said == "" {
			said = a.Field + ", without an answer"
		}
		if a.Night != "" {
			said = a.Night + ": " + said
		}
		row("answer", said)
		row("", strings.TrimRight("  "+a.Why, " "))
	}
	for _, part := range []struct {
		name string
		all  []Danger
	}{{"sure", h.Sure}, {"unsure", h.Unsure}} {
		for _, d := range part.all {
			row(part.name, fmt.Sprintf("%s %s, share %.2f", d.Class, d.Name, d.Share))
			for _, why := range d.Why {
				row("", "  "+why)
			}
		}
	}
	row("hedges", strings.Join(h.Hedges, ", "))
	row("asked", strings.Join(h.Asked, "; "))
	row("to staff", strings.Join(h.Staff, "; "))
	_, err := io.WriteString(out, b.String())
	return err
}
