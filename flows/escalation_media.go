package flows

import (
	"slices"
	"strconv"

	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// What a patient sends that is no text, a picture or a voice note, says what the
// bot cannot read. People get it by reference behind their card: the platform
// copies it, and nothing of it is kept here.

// Media is such a message, of a chat that was the patient's then.
type Media struct {
	Chat    int64  `cbor:"1,keyasint,omitempty"`
	Message int64  `cbor:"2,keyasint,omitempty"` // the platform's number of the message
	Kind    string `cbor:"3,keyasint,omitempty"` // "photo", "voice", ...
	Out     bool   `cbor:"4,keyasint,omitempty"` // people have it
}

const (
	mediaMost = 4 // of one escalation: the newest
	mediaHead = "media."
)

// MediaCopy begins the media of a message that is a copy of another; its kind
// follows, and MediaOf names that other (Media.Ref).
const MediaCopy = "copy."

// Ref names the message on the platform: its chat and its number.
func (m Media) Ref() string {
	return strconv.FormatInt(m.Chat, 10) + "/" + strconv.FormatInt(m.Message, 10)
}

// telling are the kinds of messages in which somebody may say something.
var telling = map[string]bool{"voice": true, "audio": true, "photo": true, "video": true, "video_note": true,
	"document": true}

// sends notes what this turn's message is besides its words.
func (t *turn) sends(chat, number int64, kind string) {
	if number != 0 && telling[kind] {
		t.medium = Media{Chat: chat, Message: number, Kind: kind}
	}
}

// media answers what came with a caption that is read.
func (t *turn) media() {
	if !t.trusted() || t.p.Course.State == chart.Ended {
		t.say("other.words")
		return
	}
	t.say("other.both")
}

// mediaSeen puts it before people where its words have not.
func (t *turn) mediaSeen(s *Said) {
	if s.Media != "" && !t.desked && t.trusted() {
		t.toDesk(redflag.ClassN, WhyOther, joinWords(s.Media, s.Text, quoteMost)).Unread = true
	}
}

// keepMedia notes on an escalation what came with the words of this turn: until a
// person has looked at it, it is not understood.
func (t *turn) keepMedia(esc *Escalation) {
	m := t.medium
	if m.Message == 0 {
		return
	}
	for i := range t.p.Escalations { // what the same words raised first has it
		if slices.ContainsFunc(t.p.Escalations[i].Media, func(x Media) bool { return x.Ref() == m.Ref() }) {
			return
		}
	}
	kept := append(slices.Clone(esc.Media), m)
	esc.Media, esc.Unread = kept[max(0, len(kept)-mediaMost):], true
}

// showMedia sends one person what came with an item; all of it where they may
// have seen none.
func (t *turn) showMedia(s practice.Staff, esc *Escalation, all bool) {
	for _, i := range t.p.Item(esc) {
		for _, m := range t.p.Escalations[i].Media {
			if !m.Out || all {
				t.send(Send{Chat: s.Chat, Lang: s.Lang, Lane: laneOf(esc.Class), Key: mediaKey(esc.N), Msg: message.Message{
					Lines: []message.Line{message.Say("esc.media", message.ArgN("n", int(t.p.Headline(esc.N))))}, Subject: t.p.ID,
					Media: MediaCopy + m.Kind, MediaOf: m.Ref()}})
			}
		}
	}
}

// mediaOut notes that people have what came with an item.
func (t *turn) mediaOut(esc *Escalation) {
	for _, i := range t.p.Item(esc) {
		x := &t.p.Escalations[i]
		x.Media = slices.Clone(x.Media)
		for j := range x.Media {
			x.Media[j].Out = true
		}
	}
}

// moreMedia sends what has come since the cards of an item went out to whoever has
// taken it, else to those on duty; outside office hours, of what can wait, when
// the office opens.
func (t *turn) moreMedia(esc *Escalation) {
	if !slices.ContainsFunc(esc.Media, func(m Media) bool { return !m.Out }) {
		return
	}
	lead := esc
	if !esc.Alone() {
		lead = t.p.lead()
	}
	if lead.Rings == 0 || lead.Quiet || t.closed() && !lead.Class.Worse(redflag.ClassN) {
		return
	}
	role, shown := practice.NoRole, false
	if !lead.Class.Worse(redflag.ClassN) {
		role = t.whose(lead)
	}
	for i := range t.pr.Staff {
		s := t.pr.Staff[i]
		rings := !s.OffDuty && (role == practice.NoRole || s.Role == role)
		if s.Reachable() && (s.ID == lead.AckBy || lead.AckBy == "" && rings) {
			t.showMedia(s, lead, false)
			shown = true
		}
	}
	if shown { // else the next ring does
		t.mediaOut(lead)
	}
}

func mediaKey(n int32) string { return mediaHead + strconv.Itoa(int(n)) }
