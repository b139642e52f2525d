package sqlite

import (
	"context"
	"crypto/rand"
	"database/sql"
	"embed"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"duskdawn/store"
)

//go:embed schema/*.sql
var schema embed.FS

// application marks the file as ours: "Dusk" in ASCII.
const application = 0x4475736b

// migrate brings the file to the newest schema, each step in one transaction.
// It refuses a file that is damaged, newer, or somebody else's.
func migrate(ctx context.Context, conn *sql.Conn, size int64) error {
	if size > 0 && size <= quickCheck {
		var verdict string
		if err := conn.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&verdict); err != nil {
			return err
		}
		if verdict != "ok" {
			return fmt.Errorf("%w (%s): keep the file and start from the last backup", store.ErrCorrupt, verdict)
		}
	}
	steps, err := schemas()
	if err != nil {
		return err
	}
	for {
		more, err := step(ctx, conn, steps)
		if err != nil || !more {
			return err
		}
	}
}

// schemas are the steps to the newest schema, in order.
func schemas() ([]string, error) { return fs.Glob(schema, "schema/*.sql") }

// header is what the first bytes of a database say of it.
type header struct{ cookie, version, mark uint32 }

// peek reads a file's header without the engine, so that what is refused is not
// touched. A file that is new, or no database, has none.
func peek(path string) (h header, err error) {
	f, err := os.Open(path)
	if errors.Is(err, os.ErrNotExist) {
		return h, nil
	}
	if err != nil {
		return h, err
	}
	defer func() { _ = f.Close() }()
	var b [100]byte
	if _, err := io.ReadFull(f, b[:]); err != nil || string(b[:16]) != "SQLite format 3\x00" {
		return h, nil // the engine says what is wrong with it
	}
	at := func(n int) uint32 { return binary.BigEndian.Uint32(b[n:]) }
	return header{cookie: at(40), version: at(60), mark: at(68)}, nil
}

// ours refuses a file that is somebody else's or of a newer program.
func ours(path string) error {
	steps, err := schemas()
	if err != nil {
		return err
	}
	h, err := peek(path)
	if err != nil || h.cookie == 0 { // it never had a table
		return err
	}
	return known(int(h.mark), int(h.version), len(steps))
}

// known refuses a mark and a schema that are not of this program or an older one.
func known(mark, version, newest int) error {
	switch {
	case mark != application:
		return fmt.Errorf("%w: it is another program's database; name another file", store.ErrCorrupt)
	case version < 1: // the first step made its tables and its version together
		return fmt.Errorf("%w: it has tables and no version of its form; keep the file and start from the last backup", store.ErrCorrupt)
	case version > newest:
		return fmt.Errorf("%w: its schema is %d, this program knows %d; use the newer program or a backup made before it",
			store.ErrNewer, version, newest)
	}
	return nil
}

// step makes the next step, if there is one; the version is read inside the
// transaction, since two programs may open a new file at once.
func step(ctx context.Context, conn *sql.Conn, steps []string) (more bool, err error) {
	tx, err := conn.BeginTx(ctx, nil)
	if err != nil {
		return false, err
	}
	defer func() { _ = tx.Rollback() }()
	var version, mark, tables int
	for pragma, into := range map[string]*int{
		"PRAGMA user_version":                &version,
		"PRAGMA application_id":              &mark,
		"SELECT count(*) FROM sqlite_schema": &tables,
	} {
		if err := tx.QueryRowContext(ctx, pragma).Scan(into); err != nil {
			return false, err
		}
	}
	if tables > 0 {
		if err := known(mark, version, len(steps)); err != nil {
			return false, err
		}
	}
	if version == len(steps) {
		return false, nil
	}
	text, err := schema.ReadFile(steps[version])
	if err != nil {
		return false, err
	}
	if _, err := tx.ExecContext(ctx, string(text)); err != nil {
		return false, fmt.Errorf("bringing the schema to %d: %w", version+1, err)
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", version+1,
		application)); err != nil {
		return false, err
	}
	return true, tx.Commit()
}

// secret reads the store's secret, made with the store.
func secret(ctx context.Context, conn *sql.Conn) ([]byte, error) {
	fresh := make([]byte, 32)
	_, _ = rand.Read(fresh) // never fails
	if _, err := conn.ExecContext(ctx, "INSERT INTO meta (key, value) VALUES ('secret', ?) ON CONFLICT DO NOTHING",
		store.Wrap(store.Place(store.RowSecret), fresh)); err != nil {
		return nil, err
	}
	return newest.secret(ctx, conn)
}

// secret reads the secret of a file that has one.
func (f form) secret(ctx context.Context, from interface {
	QueryRowContext(context.Context, string, ...any) *sql.Row
}) ([]byte, error) {
	var value []byte
	if err := from.QueryRowContext(ctx, "SELECT value FROM meta WHERE key = 'secret'").Scan(&value); err != nil {
		return nil, err
	}
	value, err := f.body(value, store.Place(store.RowSecret))
	if err != nil {
		return nil, fmt.Errorf("the store's secret: %w", err)
	}
	return value, nil
}
