package flows

import (
	"testing"

	"duskdawn/flows/reading"
)

// What people type with an order is remembered with it, and of which item it was.
func TestWordsOfAnOrderAreNoted(t *testing.T) {
	l := active(t).say("piece came off", reading.Reading{Features: reading.FBroken})
	n := l.must("piece.broken").N
	l.order("sclin", Order{Op: OrderRelease, Flag: "piece.broken", Text: "glued in the chair"})
	if x, ok := l.p.NotedFor(OrderRelease); !ok || x.Text != "glued in the chair" || x.N != n || x.Reason != "piece.broken" || x.By != "sclin" {
		t.Errorf("%+v", l.p.Noted)
	}
	l.order("sclin", Order{Op: OrderVisit, Has: true, To: 1, Text: "polished"})
	if x, ok := l.p.NotedFor(OrderVisit); !ok || x.Text != "polished" {
		t.Errorf("%+v", l.p.Noted)
	}
	l.order("sclin", Order{Op: OrderRelease, Flag: "piece.broken", Text: "again"})
	if x, _ := l.p.NotedFor(OrderRelease); x.Text == "again" {
		t.Error("what was refused is noted")
	}
	l.order("sclin", Order{Op: OrderEnd, Text: "moved away"})
	if x, ok := l.p.NotedFor(OrderEnd); !ok || x.Text != "moved away" {
		t.Errorf("%+v", l.p.Noted)
	}
}
