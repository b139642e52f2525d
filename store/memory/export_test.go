package memory

import "bytes"

// All gives every row's envelope.
func (s *Store) All() map[string][]byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	out := map[string][]byte{}
	for name, r := range s.rows() {
		out[name] = bytes.Clone(*r.bytes)
	}
	return out
}

// Put writes bytes in a row's place.
func (s *Store) Put(name string, b []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	*s.rows()[name].bytes = bytes.Clone(b)
}
