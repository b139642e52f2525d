package sqlite_test

import (
	"bytes"
	"database/sql"
	"fmt"
	"testing"

	"duskdawn/store"
)

// rows are a file's rows, past the store.
type rows struct {
	t  testing.TB
	db *sql.DB
}

func rowsOf(t testing.TB, path string) rows {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=busy_timeout(10000)")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	return rows{t, db}
}

// tables say where each kind of row lies: its table, the column of its envelope,
// and the columns of its name.
var tables = []struct{ kind, table, column, name string }{
	{store.RowSecret, "meta", "value", "''"},
	{store.RowBody, "aggregate", "body", "' ' || ref"},
	{store.RowDiary, "diary", "body", "' ' || ref || ' ' || night || ' ' || rev"},
	{store.RowJournal, "journal", "body", "' ' || ref || ' ' || seq"},
	{store.RowTimer, "due", "body", "' ' || ref || ' ' || name"},
	{store.RowTimer, "held", "body", "' ' || ref || ' ' || name"},
	{store.RowItem, "outbox", "body", "' ' || id"},
	{store.RowAside, "aside", "raw", "' ' || id"},
	{store.RowFlood, "flood", "state", "' ' || queue"},
}

func (r rows) All() map[string][]byte {
	r.t.Helper()
	out := map[string][]byte{}
	for _, tb := range tables {
		found, err := r.db.Query(fmt.Sprintf("SELECT '%s' || %s, %s FROM %s", tb.kind, tb.name, tb.column, tb.table))
		if err != nil {
			r.t.Fatal(err)
		}
		for found.Next() {
			var name string
			var raw []byte
			if err := found.Scan(&name, &raw); err != nil {
				r.t.Fatal(err)
			}
			out[name] = bytes.Clone(raw)
		}
		if err := found.Close(); err != nil {
			r.t.Fatal(err)
		}
	}
	return out
}

func (r rows) Put(name string, row []byte) {
	r.t.Helper()
	n := int64(0)
	for _, tb := range tables {
		done, err := r.db.Exec(fmt.Sprintf("UPDATE %s SET %s = ?1 WHERE '%s' || %s = ?2", tb.table, tb.column, tb.kind, tb.name), row,
			name)
		if err != nil {
			r.t.Fatal(err)
		}
		k, _ := done.RowsAffected()
		n += k
	}
	if n != 1 {
		r.t.Fatalf("%d rows are called %q", n, name)
	}
}
