package talktest

import (
	"flag"
	"hash/fnv"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"duskdawn/locales"
	"duskdawn/store/memory"
	"duskdawn/store/redistest"
	"duskdawn/store/sqlite"
)

func TestTalksThroughTheCore(t *testing.T) {
	for _, s := range loadTalks(t) {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			s.Play(t, NewPure(t), locales.KeyLang, *rewrite)
		})
	}
}

// Every talk is played through the program; then its patients are exported, and
// what is exported is replayed.
func TestTalksThroughTheProgram(t *testing.T) {
	var advices, nights, played atomic.Int64
	talks := loadTalks(t)
	t.Run("talk", func(t *testing.T) {
		for _, s := range talks {
			t.Run(s.name, func(t *testing.T) {
				t.Parallel()
				w := NewWhole(t, memory.New())
				defer w.Close()
				s.Play(t, w, locales.KeyLang, false)
				a, n := w.replayed(t)
				advices.Add(int64(a))
				nights.Add(int64(n))
				played.Add(1)
			})
		}
	})
	t.Logf("%d advices replayed from courses, %d nights from diaries", advices.Load(), nights.Load())
	if played.Load() == int64(len(talks)) && (advices.Load() < 250 || nights.Load() < 200) {
		t.Error("too few advices for the talks to show anything")
	}
}

// A third of the talks, chosen by their names, is played on SQLite too; in a siege
// all are. That all stores do the same is the suite's to prove (store/storetest).
func TestTalksOnSQLite(t *testing.T) {
	for _, s := range loadTalks(t) {
		h := fnv.New32a()
		h.Write([]byte(s.name))
		if h.Sum32()%3 != 0 && !Siege() {
			continue
		}
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			st, err := sqlite.Open(t.Context(), sqlite.Options{Path: filepath.Join(t.TempDir(), "talk.db")})
			if err != nil {
				t.Fatal(err)
			}
			w := NewWhole(t, st)
			defer w.Close()
			s.Play(t, w, locales.KeyLang, false)
		})
	}
}

// A tenth of the talks is played on a real redis-server too; in a siege all are.
func TestTalksOnRedis(t *testing.T) {
	for i, s := range loadTalks(t) {
		if i%10 != 0 && !Siege() {
			continue
		}
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			w := NewWhole(t, redistest.Store(t))
			defer w.Close()
			s.Play(t, w, locales.KeyLang, false)
			w.replayed(t)
		})
	}
}

// TestTalksInWords keeps some talks in words, in the languages that their
// "also" line names, so that a person can read them as a patient would. The
// lines that only assert are left out.
func TestTalksInWords(t *testing.T) {
	for _, s := range loadTalks(t) {
		for _, lang := range s.also {
			t.Run(s.name+"/"+lang, func(t *testing.T) {
				t.Parallel()
				path := filepath.Join(TalksDir, lang, s.name+".txt")
				got := s.inWords(t, lang)
				if *rewrite {
					if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
						t.Fatal(err)
					}
					if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
						t.Fatal(err)
					}
					return
				}
				want, err := os.ReadFile(path)
				if err != nil {
					t.Fatal(err)
				}
				if string(want) != got {
					t.Errorf("%s is not what the talk reads like now; run go test ./bot/talktest -run Talk -rewrite, and read it:\n%s", path,
						difference(strings.Split(string(want), "\n"), strings.Split(got, "\n")))
				}
			})
		}
	}
}

func TestReadTalks(t *testing.T) {
	if *readIn == "" {
		return // a tool for people: it prints the talks with -read en -v
	}
	for _, s := range loadTalks(t) {
		t.Run(s.name, func(t *testing.T) { t.Log("\n" + s.inWords(t, *readIn)) })
	}
}

var readIn = flag.String("read", "", "print every talk in this language, for a person to read")

var rewrite = flag.Bool("rewrite", false, "write what the talks print into their files, instead of comparing")
