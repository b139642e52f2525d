package standin

import (
	"bytes"
	"encoding/gob"
	"encoding/json"
	"fmt"
	"time"
)

// saved is a platform as it is written down: its people, chats and files, and
// what it still has to tell the bot. Faults, flood limits, a webhook and whoever
// polls are of one run.
type saved struct {
	People  map[int64]User
	Chats   []savedRoom
	Files   map[string]savedFile
	Taps    map[string]Tapped
	Menus   map[string]json.RawMessage
	Queue   []savedUpdate
	Allowed map[string]bool
	Acked   int64

	NextUpdate, NextPlain, NextGroup, NextFile, NextTap int64
}

type savedRoom struct {
	ID                         int64
	Kind, Title                string
	Members                    map[int64]bool
	Open, Blocked, Left, Admin bool
	MovedTo, NextID, Keyboard  int64
	Messages                   []savedMessage
}

// savedMessage leaves the bytes to the file that they are in.
type savedMessage struct {
	Message
	Forwarded, Joined        bool
	Sender, MigrateTo, Moved int64
}

type savedFile struct {
	ID, Name, Kind string
	Data           []byte
}

type savedUpdate struct {
	ID, Row int64
	Kind    string
	Body    json.RawMessage
	Expires time.Time
	Given   int
}

// Save writes the platform down, for Load.
func (s *Server) Save() ([]byte, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	out := saved{People: s.people, Files: map[string]savedFile{}, Taps: map[string]Tapped{}, Menus: s.menus,
		Allowed: s.allowed, Acked: s.acked, NextUpdate: s.nextUpdate, NextPlain: s.nextPlain, NextGroup: s.nextGroup,
		NextFile: s.nextFile, NextTap: s.nextTap}
	for id, f := range s.files {
		out.Files[id] = savedFile{f.id, f.name, f.kind, f.data}
	}
	for id, t := range s.taps {
		out.Taps[id] = *t
	}
	for _, q := range s.queue {
		out.Queue = append(out.Queue, savedUpdate{q.id, q.row, q.kind, q.body, q.expires, q.given})
	}
	for _, r := range s.chats {
		room := savedRoom{ID: r.id, Kind: r.kind, Title: r.title, Members: r.members, Open: r.open, Blocked: r.blocked,
			Left: r.left, Admin: r.admin, MovedTo: r.movedTo, NextID: r.nextID}
		if r.keyboard != nil {
			room.Keyboard = r.keyboard.ID
		}
		for _, m := range r.messages {
			one := savedMessage{*m, m.forwarded, m.joined, m.sender, m.migrateTo, m.moved}
			if _, ok := s.files[m.FileID]; ok {
				one.Data = nil
			}
			room.Messages = append(room.Messages, one)
		}
		out.Chats = append(out.Chats, room)
	}
	var b bytes.Buffer
	if err := gob.NewEncoder(&b).Encode(out); err != nil {
		return nil, fmt.Errorf("writing the platform down: %w", err)
	}
	return b.Bytes(), nil
}

// apart is how far the numbers of a platform that was loaded are from those it
// had given: what happened after it was written down may be known to the bot, and
// no number may come twice.
const apart = 100_000

// Load is the platform that Save wrote down.
func Load(raw []byte, o Options) (*Server, error) {
	var in saved
	if err := gob.NewDecoder(bytes.NewReader(raw)).Decode(&in); err != nil {
		return nil, fmt.Errorf("reading the platform: %w", err)
	}
	s := New(o)
	s.allowed, s.acked = in.Allowed, in.Acked
	s.nextUpdate, s.nextPlain = in.NextUpdate+apart, in.NextPlain+apart
	s.nextGroup, s.nextFile, s.nextTap = in.NextGroup, in.NextFile+apart, in.NextTap+apart
	if in.People != nil {
		s.people = in.People
	}
	if in.Menus != nil {
		s.menus = in.Menus
	}
	for id, f := range in.Files {
		s.files[id] = file{f.ID, f.Name, f.Kind, f.Data}
	}
	for id, t := range in.Taps {
		s.taps[id] = &t
	}
	for _, q := range in.Queue {
		s.queue = append(s.queue, &queued{q.ID, q.Kind, q.Body, q.Expires, q.Given, q.Row})
	}
	for _, r := range in.Chats {
		room := &room{id: r.ID, kind: r.Kind, title: r.Title, members: r.Members, open: r.Open, blocked: r.Blocked,
			left: r.Left, admin: r.Admin, movedTo: r.MovedTo, nextID: r.NextID}
		for _, m := range r.Messages {
			one := m.Message
			one.forwarded, one.joined, one.sender, one.migrateTo, one.moved = m.Forwarded, m.Joined, m.Sender, m.MigrateTo,
				m.Moved
			if f, ok := s.files[one.FileID]; ok {
				one.Data = f.data
			}
			room.messages = append(room.messages, &one)
			if one.ID == r.Keyboard {
				room.keyboard = &one
			}
		}
		s.chats[r.ID] = room
	}
	return s, nil
}
