package talktest

import (
	"maps"
	"slices"
	"strings"

	"duskdawn/flows"
)

// drain lets everything out that may leave: the lowest lane first, then the oldest.
func (w *Pure) drain() {
	for {
		best := -1
		for i, it := range w.waiting {
			if it.lane > 0 && w.off {
				continue
			}
			if best >= 0 && it.rank() == w.waiting[best].rank() && it.telling() != w.waiting[best].telling() {
				if it.telling() {
					best = i // a card waits for it
				}
				continue
			}
			if b := best; b < 0 || it.rank() < w.waiting[b].rank() || it.rank() == w.waiting[b].rank() && it.seq < w.waiting[b].seq {
				best = i
			}
		}
		if best < 0 {
			return
		}
		it := w.waiting[best]
		w.waiting = slices.Delete(w.waiting, best, best+1)
		if it.lane == 0 {
			w.told(it)
		} else {
			w.deliver(it)
		}
	}
}

func (w *Pure) told(it pureItem) {
	to := it.tell.To
	switch {
	case to.Open:
		for _, id := range slices.Sorted(maps.Keys(w.patients)) {
			if len(w.patients[id].Escalations) > 0 {
				w.toPatientNow(id, it.tell.Body)
			}
		}
	case to.Patient != "":
		w.toPatientNow(to.Patient, it.tell.Body)
	case to.Chat != 0:
		w.toChat(to.Chat, it.tell.Body)
	case to.Code != "":
		id, ok := w.codes[to.Code]
		if !ok {
			w.toChat(it.from, flows.NoSuchCode{})
			return
		}
		w.toPatientNow(id, it.tell.Body)
	default:
		w.toPractice(it.tell.Body)
	}
}

// deliver shows a message to its chat, unless it is overtaken or too late.
func (w *Pure) deliver(it pureItem) {
	if !it.late.IsZero() && it.late.Before(w.at) {
		w.toPatientNow(it.of, flows.Missed{Key: it.send.Key})
		return
	}
	if p, ok := w.patients[it.of]; ok && it.send.Plan != 0 {
		if it.send.Advice != 0 && it.send.Advice < p.Course.Advice.Number || it.send.Plan < p.Plan.Rev {
			return
		}
	}
	if w.blocked[it.chat] {
		b := flows.Bounce{Chat: it.chat, Why: "blocked"}
		if p, ok := w.patients[it.of]; ok && p.Chat == it.chat {
			w.toPatientNow(it.of, b)
		} else {
			w.toPractice(b)
		}
		return
	}
	if it.send.Msg.Edit != 0 {
		return // a card that is shown again takes no new place
	}
	w.show(it)
	if _, ok := w.patients[it.of]; ok && strings.HasPrefix(it.send.Key, flows.KeyCard) {
		w.toPatientNow(it.of, flows.Delivered{Key: it.send.Key, Chat: it.chat, Message: w.out[len(w.out)-1].id})
	}
	if p, ok := w.patients[it.of]; ok && it.telling() && p.Chat == it.chat {
		w.toPatientNow(it.of, flows.Delivered{Key: it.send.Key})
	}
}

// rank is the lane; what a card waits for goes with the cards at the latest.
func (it pureItem) rank() int {
	if it.telling() {
		return min(it.lane, 1+int(flows.LaneStaff))
	}
	return it.lane
}

// telling reports whether an item tells the patient what an escalation is about.
func (it pureItem) telling() bool { return strings.HasPrefix(it.send.Key, flows.KeyTold) }
