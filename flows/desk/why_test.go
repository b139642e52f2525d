package desk

import (
	"slices"
	"strings"
	"sync"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/flows/why"
	"duskdawn/locales"
)

// Whatever the command line can explain, the desk explains with the same lines,
// asked by words or by a button; an assistant may ask, too.
func TestWhyAtTheDesk(t *testing.T) {
	rules, flags, fields, figures := why.WhyKinds()
	for _, id := range slices.Concat(rules, flags, fields, figures) {
		want, _ := why.Why(id)
		w := newWorld(t)
		asks(w, clinician, "why "+id)
		typed := w.last(clinician)
		w.card(assistant, opWhy, id)
		tapped := w.last(assistant)
		for by, m := range map[string]message.Message{"words": typed, "a button": tapped} {
			if !slices.EqualFunc(m.Lines, want, sameLine) {
				t.Errorf("%s by %s: %v", id, by, m.Lines)
			}
		}
	}
}

// asks types a text as the intake reads it.
func asks(w *world, chat int64, text string) {
	w.chat(chat, flows.Said{Chat: chat, User: chat, Text: text, Reading: reader().Read(text)})
}

var reader = sync.OnceValue(func() *locales.Words {
	w, err := locales.Load()
	if err != nil {
		panic(err)
	}
	return w
})

func sameLine(a, b message.Line) bool { return a.Key == b.Key && slices.Equal(a.Args, b.Args) }

func TestWhyInWords(t *testing.T) {
	for said, key := range map[string]string{
		"why P07": "rule.P07.name", "Why p07?": "rule.P07.name", "/why P07": "rule.P07.name", "¿Por qué P07?": "rule.P07.name", "why": "why.list", "por qué": "why.list",
		"why P99": "why.unknown", "why pain.severe": "flag.pain.severe.name", "why minutes-emergency": "figure.minutes-emergency",
	} {
		w := newWorld(t)
		asks(w, clinician, said)
		if m := w.last(clinician); len(m.Lines) == 0 || m.Lines[0].Key != key {
			t.Errorf("%q: %v", said, m.Lines)
		}
	}
	w := newWorld(t)
	asks(w, clinician, "why not today") // no id: a label to find
	if m := w.last(clinician); m.View != message.ViewFind {
		t.Errorf("three words are no question: %+v", m)
	}
}

// A command reaches past an open form and leaves it open.
func TestWhyBesideAForm(t *testing.T) {
	w := newWorld(t)
	w.card(clinician, opContact, "")
	before := w.chats[clinician].Form
	asks(w, clinician, "/why P07")
	if m := w.last(clinician); len(m.Lines) == 0 || m.Lines[0].Key != "rule.P07.name" {
		t.Errorf("%v", m.Lines)
	}
	if after := w.chats[clinician].Form; before.Op == "" || after.Op != before.Op || after.Stage != before.Stage {
		t.Errorf("the form: %+v, then %+v", before, after)
	}
}

// Nobody else is told: a stranger, a person who was removed, the group.
func TestWhyIsForStaff(t *testing.T) {
	w := newWorld(t)
	w.pr.Staff[1].Removed = true
	asks(w, assistant, "why P07")
	w.card(assistant, opWhy, "P07")
	asks(w, 909, "why P07")
	w.card(909, opWhy, "P07")
	w.pr.Group = group
	w.chats[group] = Chat{ID: group, Lang: "en"}
	w.chat(group, flows.Said{Chat: group, User: clinician, Text: "/why P07", Reading: reader().Read("/why P07")})
	for chat, said := range w.said {
		for _, m := range said {
			for _, l := range m.Lines {
				if strings.HasPrefix(l.Key, "rule.") || strings.HasPrefix(l.Key, "why.") {
					t.Errorf("chat %d was told %s", chat, l.Key)
				}
			}
		}
	}
	if m := w.last(group); len(m.Lines) == 0 || m.Lines[0].Key != "desk.group.private" {
		t.Errorf("the group: %v", m.Lines)
	}
}

// A card offers the reasons of what it speaks of: why it rings, what is open,
// what was advised; each button's text is the one that can be typed.
func TestCardsLinkToReasons(t *testing.T) {
	p := loaded()
	pr := newWorld(t).pr
	for _, m := range []message.Message{{View: message.ViewCard}, {View: message.ViewEscalation, MediaOf: "1"},
		{View: message.ViewPlan}} {
		_, rows := Show(pr, teal, m, p, nil)
		var ids []string
		for _, row := range rows {
			for _, b := range row {
				if b.Op == opWhy {
					ids = append(ids, b.Arg)
				}
			}
		}
		want := map[message.View][]string{message.ViewCard: {"P09", "chest", "P07"}, message.ViewEscalation: {"P09", "chest",
			"P07"}, message.ViewPlan: {reading.WhyAll}}[m.View]
		if !slices.Equal(ids, want) {
			t.Errorf("view %d: %v, want %v", m.View, ids, want)
		}
	}
	_, rows := Show(pr, nobody, message.Message{View: message.ViewEscalation, MediaOf: "2"}, p, nil)
	for _, row := range rows {
		for _, b := range row {
			if b.Op == opWhy {
				t.Errorf("the group is offered %s", b.Arg)
			}
		}
	}
}
