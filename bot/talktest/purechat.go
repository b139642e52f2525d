package talktest

import (
	"cmp"
	"context"
	"slices"
	"strings"

	encode "duskdawn/bot/chat"
	"duskdawn/flows"
	"duskdawn/flows/desk"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/scheduler"
)

// What people do in the pure world, as bot/chat would take it.

func (w *Pure) staffHash(code string) string { return "hash of " + code }

func (w *Pure) meet(p person) { w.langs[p.id] = p.lang }

func (w *Pure) group(members []person) int64 {
	id := int64(-4_000_001)
	w.incoming(id, members[0].id, func(c desk.Chat) flows.Body {
		return flows.Other{Chat: id, Gen: c.Gen, Kind: "joined", User: members[0].id, AppLang: members[0].lang}
	})
	return id
}

// incoming hands what a chat does to whoever the chat belongs to.
func (w *Pure) incoming(chat, user int64, body func(desk.Chat) flows.Body) {
	c := w.chats[chat]
	if c.Patient != "" {
		w.toPatientNow(c.Patient, body(c))
	} else {
		w.toChat(chat, body(c))
	}
	w.drain()
}

func (w *Pure) say(chat, user int64, text string, edited bool) {
	w.said(chat, user, flows.Said{Text: text, Edited: edited})
}

func (w *Pure) forward(chat int64, text string) {
	w.said(chat, chat, flows.Said{Text: text, Forwarded: true})
}

func (w *Pure) reply(chat, to int64, text string) {
	w.said(chat, chat, flows.Said{Text: text, ReplyTo: to})
}

// said takes a text, or the caption of something else.
func (w *Pure) said(chat, user int64, s flows.Said) {
	w.n++
	id := int64(w.n)
	if s.Edited {
		id = w.lastSaid[user]
	}
	w.lastSaid[user] = id
	text := strings.TrimSpace(s.Text)
	w.incoming(chat, user, func(c desk.Chat) flows.Body {
		s := s
		s.Chat, s.Gen, s.Reading, s.Text, s.Sent = chat, c.Gen, w.words.Read(text), text, w.at
		s.Message, s.User, s.AppLang = id, user, w.langs[user]
		encode.HideCodes(&s, w.words, w.staffHash)
		if c.Patient == "" && c.Staff != "" {
			s.Zones, s.Pairs, s.List = w.zonesOf(text), w.words.Pairs(text), w.words.List(text)
			if c.Form.Op == desk.Transcribe {
				s.Nights = w.words.Nights(text, w.at)
			}
			if s.Find = w.words.Find(text); s.List == "" {
				s.List = w.words.List(s.Find)
			}
			for _, p := range s.Pairs {
				if p.Key == "zone" {
					s.Zones = w.zonesOf(p.Value)
				}
			}
		}
		if c.Patient == "" && c.Staff != "" {
			err := encode.Learn(context.Background(), &s, &c, &w.pr, func(_ context.Context, label string) (bool, error) {
				return w.labelled(label), nil
			})
			if err != nil {
				w.t.Fatal(err)
			}
		}
		return s
	})
}

func (w *Pure) zonesOf(text string) []string {
	found := w.zones.Find(text)
	if at, ok := enrol.ParseClock(strings.TrimSpace(text)); len(found) == 0 && ok {
		found = w.zones.Fitting(w.at, at, w.pr.Zone)
	}
	return found
}

func (w *Pure) send(chat int64, kind, caption string) {
	if caption != "" {
		w.said(chat, chat, flows.Said{Text: caption, Media: kind})
		return
	}
	w.n++
	w.incoming(chat, chat, func(c desk.Chat) flows.Body {
		return flows.Other{Chat: chat, Gen: c.Gen, Kind: kind, Message: int64(w.n), User: chat, AppLang: w.langs[chat]}
	})
}

func (w *Pure) tap(chat, user int64, m heard, b pressed) {
	w.incoming(chat, user, func(c desk.Chat) flows.Body {
		x := b.button
		return flows.Tap{Chat: chat, Gen: c.Gen, Op: x.Op, Arg: x.Arg, Nonce: x.Nonce, Message: m.id, User: user,
			Patient: x.Patient}
	})
}

func (w *Pure) phones(_ int64, on bool) {
	w.off = !on
	w.drain()
}

func (w *Pure) block(chat int64, on bool) {
	w.blocked[chat] = on
	var b flows.Body = flows.Reached{Chat: chat}
	if on {
		b = flows.Bounce{Chat: chat, Why: "blocked"}
	}
	switch c := w.chats[chat]; {
	case c.Patient != "":
		w.toPatientNow(c.Patient, b)
	case c.Staff != "":
		w.toPractice(b)
	}
	w.drain()
}

func (w *Pure) show(it pureItem) {
	m := it.send.Msg
	lang := cmp.Or(it.lang, w.pr.Lang)
	if m.View != message.NoView {
		reader, _ := w.pr.ByChat(it.chat)
		lines, inline := desk.Show(w.pr, reader, m, w.patients[m.Subject], w.listed(m))
		m.Lines = append(slices.Clone(m.Lines), lines...)
		m.Inline = append(slices.Clone(m.Inline), inline...)
	}
	w.n++
	h := heard{chat: it.chat, id: int64(w.n), text: w.words.Default(w.pr.Lang).On(w.at).Text(lang, m), media: mediaKind(m)}
	for _, row := range m.Choices {
		var labels []string
		for _, c := range row {
			labels = append(labels, w.words.Label(lang, c))
		}
		h.keys = append(h.keys, labels)
	}
	for _, row := range m.Inline {
		var bs []pressed
		for _, b := range row {
			bs = append(bs, pressed{label: w.words.On(w.at).Line(lang, b.Label), button: b})
		}
		h.buttons = append(h.buttons, bs)
	}
	w.out = append(w.out, h)
}

// mediaKind is what a person sees beside the text.
func mediaKind(m message.Message) string {
	switch kind, of, _ := strings.Cut(m.Media, "."); kind {
	case "copy":
		return of
	case "qr", "howto", "course":
		return "photo"
	case "diary":
		return "document"
	}
	return ""
}

// listed are the patients that a view of many shows.
func (w *Pure) listed(m message.Message) (out []flows.Patient) {
	for _, p := range w.patients {
		switch m.View {
		case message.ViewQueue:
			if len(p.Escalations) == 0 {
				continue
			}
		case message.ViewFind:
			if !strings.EqualFold(strings.TrimSpace(p.Label), strings.TrimSpace(m.MediaOf)) && !scheduler.Found(&p, m.MediaOf) {
				continue
			}
		case message.ViewList, message.ViewDigest:
		default:
			continue
		}
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b flows.Patient) int { return strings.Compare(string(a.ID), string(b.ID)) })
	return out
}
