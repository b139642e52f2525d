package sqlite

import (
	"context"
	"database/sql"
)

// endLeases ends what a program held that died: its turn to poll, and the leases of
// what it was sending or firing. Whoever has the file's lock is the only one that
// could hold any, so the next start need not wait until they run out: a red flag
// that was on its way goes out again at once.
func endLeases(ctx context.Context, conn *sql.Conn) error {
	for _, text := range []string{
		"DELETE FROM lead",
		"UPDATE outbox SET held = 1, ready = 1 WHERE held > 1", // as if they had run out long ago
		"UPDATE held SET until = 1 WHERE until > 1",
	} {
		if _, err := conn.ExecContext(ctx, text); err != nil {
			return err
		}
	}
	return nil
}
