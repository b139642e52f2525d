package locales

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"duskdawn/flows/reading"
	"duskdawn/locales/danger"
	"duskdawn/locales/fold"
)

// What patients ask most has a card of its own. A question is known by a few words in
// any order, not by its wording, and only where the text is short, asks, and says
// nothing that could be a danger. Of two cards neither is shown: a person answers.

// mostAsked is how many words a question for a card may have; whoever writes more tells
// something, too.
const mostAsked = 20

// carded is how likely the net may take a question to say an emergency or what is of the same day for its card to be shown:
// people read the words all the same.
const carded = 0.6

// turned is how likely a danger must be for a question about turning not to be one alone: "I turned it twice, should I turn it back?"
const turned = 0.85

// question is one way to ask for a card.
type question struct {
	topic reading.Topic
	all   [][]string // of each row a word or phrase stands in the text; a word may end in *
	none  []string   // and none of these
}

// topicNamed is the card that a row of a dictionary names.
func topicNamed(name string) (reading.Topic, bool) {
	for t := reading.HowPutIn; t < reading.NumTopics; t++ {
		if t.String() == name {
			return t, true
		}
	}
	return reading.NoTopic, false
}

// questions takes the rows of a dictionary: "turn*|move* + faster|too_slow - back" is
// a word of the first, a phrase of the second, and none of the third.
func (d *dictionary) questions(rows map[string][]string) error {
	for _, name := range sortedKeys(rows) {
		topic, ok := topicNamed(name)
		if !ok {
			return fmt.Errorf("no how-to card is called %q", name)
		}
		for _, row := range rows[name] {
			q := question{topic: topic}
			has, not, _ := strings.Cut(row, " - ")
			for _, words := range strings.Split(has, " + ") {
				q.all = append(q.all, alternatives(words))
			}
			if not != "" {
				q.none = alternatives(not)
			}
			d.asked = append(d.asked, q)
		}
	}
	return nil
}

// alternatives are the words and phrases of a row, each between two spaces, or before
// one where any ending will do.
func alternatives(row string) []string {
	out := strings.Split(row, "|")
	for i, s := range out {
		stem, open := strings.CutSuffix(strings.TrimSpace(s), "*")
		s = " " + string(fold.Text(nil, strings.ReplaceAll(stem, "_", " ")))
		if !open {
			s += " "
		}
		out[i] = s
	}
	return out
}

// card is the one card that answers a folded text; NoTopic where there is none, or more than one.
func (d *dictionary) card(b []byte) (topic reading.Topic) {
	words := strings.FieldsFunc(string(b), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '\'' })
	if len(words) > mostAsked || bytes.ContainsAny(b, "0123456789") { // a number may answer something
		return reading.NoTopic
	}
	text := " " + strings.Join(words, " ") + " "
	stands := func(s string) bool { return strings.Contains(text, s) }
	for i := range d.asked {
		q := &d.asked[i]
		if q.topic == topic || slices.ContainsFunc(q.none, stands) ||
			slices.ContainsFunc(q.all, func(some []string) bool { return !slices.ContainsFunc(some, stands) }) {
			continue
		}
		if topic != reading.NoTopic {
			return reading.NoTopic
		}
		topic = q.topic
	}
	return topic
}

// question sets the card that answers what a text asks. Its words are not taken in by that: they go where they would
// have gone. What answers a question of ours, or may be a danger, is none.
func (d *dictionary) question(b []byte, r *reading.Reading, h *danger.Hearing) {
	said := slices.ContainsFunc(r.Tokens, func(t reading.Token) bool { return t.Value != 0 })
	unsaid := asks(b) && r.Sure == 0 && r.Features == 0 && r.Unsure&turnedWrong == 0 && r.Unsure.Class() == 'N' // the net hears it, and no phrase says it: "do I still need a sleep test?"
	turn := r.Unsure == turnedWrong && r.Sure == 0 && r.Features == 0 && h.Any() < turned                       // "may I turn twice?"
	if said || r.Topic != reading.NoTopic || r.Word != reading.NoWord || r.Code != "" || r.Why != "" || r.Dangerous() && !turn && !unsaid || r.Doubted || h.Class('E')+h.Class('S') >= carded || r.Lang == "" ||
		!asks(b) && r.Hedges&reading.HedgeQuestion == 0 {
		return
	}
	if r.Topic = d.card(b); r.Topic != reading.NoTopic { // what it only names in passing is not asked back
		r.Tokens, r.Doubt, r.About = nil, reading.NoDoubt, 0
		r.Rest, r.Understood, r.Unsure = true, reading.NotUnderstood, 0
	}
}
