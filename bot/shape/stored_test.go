package shape

import (
	"bytes"
	"compress/gzip"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/stage"
	"duskdawn/store"
	"duskdawn/store/redistest"
	"duskdawn/store/sqlite"
)

// next adds the next version's files to testdata/stored. Those of an older one
// are never written again: they are what is out there.
var next = flag.Bool("next", false, "TestStored adds the present stored form as the next version")

const storedDir = "../../testdata/stored"

// storedDay is when the people of the stored files began; they lived three days.
var storedDay = time.Date(2026, 2, 24, 15, 0, 0, 0, time.UTC)

const storedUser = stage.UserPatient + 1

// versions lists the released versions, oldest first.
func versions(t *testing.T) (out []int) {
	t.Helper()
	dirs, err := os.ReadDir(storedDir)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range dirs {
		if n, err := strconv.Atoi(d.Name()); err == nil && d.IsDir() {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return out
}

// TestStored opens what each released version stored, wants it to mean what it
// meant, and lives on with it.
func TestStored(t *testing.T) {
	all := versions(t)
	if *next {
		addStored(t, filepath.Join(storedDir, strconv.Itoa(len(all)+1)))
		all = versions(t)
	}
	if len(all) == 0 {
		t.Fatal("no released version has its files here")
	}
	form := presentForm(t)
	for _, n := range all {
		dir := filepath.Join(storedDir, strconv.Itoa(n))
		t.Run(fmt.Sprint("form of ", n), func(t *testing.T) {
			old, err := oldForm(readLines(t, filepath.Join(dir, "form.txt")))
			if err != nil || len(old) < 300 {
				t.Fatalf("%d lines are no stored form, %v", len(old), err)
			}
			for _, wrong := range changed(old, form) {
				t.Errorf("stored by version %d as %s", n, wrong)
			}
		})
		t.Run(fmt.Sprint("bodies of ", n), func(t *testing.T) { wantBodies(t, filepath.Join(dir, "bodies.txt")) })
		t.Run(fmt.Sprint("sqlite of ", n), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "d.db")
			if err := os.WriteFile(path, unzip(t, filepath.Join(dir, "sqlite.db.gz")), 0o600); err != nil {
				t.Fatal(err)
			}
			open := func() store.Store {
				st, err := sqlite.Open(t.Context(), sqlite.Options{Path: path, Lock: true})
				if err != nil {
					t.Fatal(err)
				}
				return st
			}
			liveOn(t, open())
			if err := os.WriteFile(path, unzip(t, filepath.Join(dir, "sqlite.db.gz")), 0o600); err != nil {
				t.Fatal(err)
			}
			st := open()
			defer st.Close()
			wantMeaning(t, unzip(t, filepath.Join(dir, "sqlite.txt.gz")), st)
		})
		t.Run(fmt.Sprint("redis of ", n), func(t *testing.T) {
			dump := unzip(t, filepath.Join(dir, "redis.dump.gz"))
			for _, use := range []func(*testing.T, store.Store){
				goOn,
				func(t *testing.T, st store.Store) {
					defer st.Close()
					wantMeaning(t, unzip(t, filepath.Join(dir, "redis.txt.gz")), st)
				},
			} {
				address := redistest.Address(t)
				loadRedis(t, address, dump)
				if st, err := program.OpenStore(t.Context(), setup.Secret(address), false); err == nil && n < 4 {
					t.Error("a command beside an older program brings its store over")
					st.Close()
				}
				st, err := program.OpenStore(t.Context(), setup.Secret(address), true)
				if err != nil {
					t.Fatal(err)
				}
				for name, err := range st.Damaged(t.Context()) {
					t.Errorf("%s is damaged, %v", name, err)
				}
				use(t, st)
			}
		})
	}
}

// addStored writes the present form's files into a directory that is new.
func addStored(t *testing.T, dir string) {
	t.Helper()
	if err := os.Mkdir(dir, 0o755); err != nil { // refuses one that is there
		t.Fatal(err)
	}
	write := func(name string, data []byte) {
		t.Helper()
		if strings.HasSuffix(name, ".gz") {
			var b bytes.Buffer
			z := gzip.NewWriter(&b)
			if _, err := z.Write(data); err != nil {
				t.Fatal(err)
			}
			if err := z.Close(); err != nil {
				t.Fatal(err)
			}
			data = b.Bytes()
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	lines := func(ls []string) []byte { return []byte(strings.Join(ls, "\n") + "\n") }
	write("form.txt", lines(presentForm(t)))
	write("bodies.txt", presentBodies(t))

	path, copy := filepath.Join(t.TempDir(), "d.db"), filepath.Join(t.TempDir(), "copy.db")
	st, err := sqlite.Open(t.Context(), sqlite.Options{Path: path})
	if err != nil {
		t.Fatal(err)
	}
	liveBefore(t, st)
	if err := st.Backup(t.Context(), copy); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(copy)
	if err != nil {
		t.Fatal(err)
	}
	write("sqlite.db.gz", raw)
	write("sqlite.txt.gz", lines(meaning(t, st)))
	st.Close()

	address := redistest.Address(t)
	rd, err := program.OpenStore(t.Context(), setup.Secret(address), false)
	if err != nil {
		t.Fatal(err)
	}
	from, err := sqlite.Open(t.Context(), sqlite.Options{Path: copy})
	if err != nil {
		t.Fatal(err)
	}
	transfer(t, from, rd)
	from.Close()
	write("redis.dump.gz", dumpRedis(t, address))
	write("redis.txt.gz", lines(meaning(t, rd)))
	rd.Close()
}

func readLines(t *testing.T, path string) []string {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSpace(string(raw)), "\n")
}

func unzip(t *testing.T, path string) []byte {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}
