package flows

import (
	"strings"
	"testing"

	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
)

// copies are the references that an event has copied to a chat.
func (l *life) copies(chat int64) (refs []string) {
	for _, x := range l.out {
		if s, ok := x.(Send); ok && s.Chat == chat && strings.HasPrefix(s.Msg.Media, MediaCopy) {
			refs = append(refs, strings.TrimPrefix(s.Msg.Media, MediaCopy)+" "+s.Msg.MediaOf)
			if len(s.Msg.Lines) != 1 || s.Msg.Lines[0].Key != "esc.media" || s.Msg.View != message.NoView {
				refs = append(refs, "odd")
			}
		}
	}
	return refs
}

func (l *life) sends(kind string, number int64, text string, r reading.Reading) *life {
	if text == "" {
		return l.on(Other{Chat: l.p.Chat, Gen: l.p.Gen, Kind: kind, Message: number})
	}
	return l.on(Said{Chat: l.p.Chat, Gen: l.p.Gen, Text: text, Reading: r, Wall: l.now, Message: number, Media: kind})
}

func only(t *testing.T, got []string, want ...string) {
	t.Helper()
	if strings.Join(got, ", ") != strings.Join(want, ", ") {
		t.Errorf("copied %v, want %v", got, want)
	}
}

// What is no text goes to people by reference behind its card: with a danger that its caption says, with one in doubt,
// with plain words, and alone; each once, to whoever rings, and nothing of it is kept but where it is.
func TestMediaIsCopied(t *testing.T) {
	locked := reading.Reading{Rest: true, Features: reading.FLocked}
	l := active(t).sends("photo", 41, "my jaw is locked", locked)
	l.must("jaw.locked")
	ref := "photo " + Media{Chat: chatPatient, Message: 41}.Ref()
	only(t, l.copies(chatClin), ref)
	only(t, l.copies(chatAsst), ref)
	only(t, l.copies(0))
	if l.open(WhyOther) != nil {
		t.Error("it is in front of people twice")
	}
	l.order("sasst", Order{Op: OrderAck, Esc: l.must("jaw.locked").N})
	l.later(2).sends("video", 42, "still locked", locked) // whoever has taken it sees what is new
	only(t, l.copies(chatAsst), "video "+Media{Chat: chatPatient, Message: 42}.Ref())
	only(t, l.copies(chatClin))

	l = active(t).sends("photo", 51, "perhaps", unsure(reading.DangerPauses)) // asked first, yet seen at once
	l.want(0, "doubt.ask")
	if esc := l.must(WhyOther); !esc.Unread || !strings.Contains(esc.Quote, "perhaps") {
		t.Errorf("%+v", esc)
	}
	only(t, l.copies(chatAsst), "photo "+Media{Chat: chatPatient, Message: 51}.Ref())

	l = active(t).sends("voice", 61, "", reading.Reading{})
	only(t, l.copies(chatAsst), "voice "+Media{Chat: chatPatient, Message: 61}.Ref())
	l.later(1).sends("voice", 62, "", reading.Reading{})
	only(t, l.copies(chatAsst), "voice "+Media{Chat: chatPatient, Message: 62}.Ref())
	for n := range int64(9) {
		l.later(1).sends("photo", 70+n, "", reading.Reading{})
	}
	if esc := l.must(WhyOther); len(esc.Media) != mediaMost || esc.Media[mediaMost-1].Message != 78 {
		t.Errorf("%+v", esc.Media)
	}
	l.later(1).sends("sticker", 99, "", reading.Reading{})
	only(t, l.copies(chatAsst))
}

// Outside office hours what can wait is copied when it rings.
func TestMediaWaitsForTheOffice(t *testing.T) {
	l := active(t)
	l.now = civil.Wall{Date: l.now.Date, Clock: 23 * 60}
	l.sends("photo", 41, "", reading.Reading{})
	only(t, l.copies(chatAsst))
	l.sends("photo", 42, "", reading.Reading{})
	only(t, l.copies(chatAsst))
	n := l.must(WhyOther).N
	opens, _ := l.pr.Opens(l.now)
	l.now = opens
	l.on(Due{Name: ringName(n), Scheduled: opens})
	only(t, l.copies(chatAsst), "photo "+Media{Chat: chatPatient, Message: 41}.Ref(), "photo "+Media{Chat: chatPatient, Message: 42}.Ref())
	l.later(1).on(Due{Name: ringName(n), Scheduled: l.now})
	l.later(1).on(Due{Name: ringName(n), Scheduled: l.now})
	only(t, l.copies(chatAsst))
	l.order("sasst", Order{Op: OrderResolve, Esc: n, Text: "seen"})
	if !l.withdrawn(mediaKey(n)) {
		t.Error("a copy that waits goes out after it was resolved")
	}
}

func (l *life) withdrawn(key string) bool {
	for _, x := range l.out {
		if w, ok := x.(Withdraw); ok && w.Key == key {
			return true
		}
	}
	return false
}
