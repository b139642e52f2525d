package chat

import (
	"bytes"
	"fmt"
	"sync"

	"duskdawn/flows/desk"
	"duskdawn/store"
)

// knownMost is how many chats are remembered: a few hundred bytes each.
const knownMost = 1000

// known remembers chats that were read, since whoever answers one question
// answers the next. A chat counts for the very bytes that it is stored as.
type known struct {
	mu sync.Mutex
	of map[int64]stored
}

// stored is a chat and its stored form.
type stored struct {
	body []byte
	chat desk.Chat
}

// read gives a chat as stored, not to be written into.
func (k *known) read(id int64, body []byte) (c desk.Chat, err error) {
	if len(body) == 0 {
		return c, nil
	}
	k.mu.Lock()
	s, ok := k.of[id]
	k.mu.Unlock()
	if ok && bytes.Equal(s.body, body) {
		return s.chat, nil
	}
	if err := store.Decode(body, &c); err != nil {
		return desk.Chat{}, fmt.Errorf("a chat: %w", err)
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.of == nil || len(k.of) >= knownMost {
		k.of = make(map[int64]stored, knownMost)
	}
	k.of[id] = stored{body, c}
	return c, nil
}
