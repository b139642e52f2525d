package sqlite

import (
	"context"
	"fmt"
	"testing"
)

// LimitPages lets the file grow to that many pages and no further.
func (s *Store) LimitPages(t *testing.T, pages int) {
	t.Helper()
	if err := s.writer.do(context.Background(), func(tx *tx) error {
		_, err := tx.get(fmt.Sprintf("PRAGMA max_page_count = %d", pages), nil, new(int))
		return err
	}); err != nil {
		t.Fatal(err)
	}
}
