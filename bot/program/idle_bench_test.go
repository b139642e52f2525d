package program_test

import (
	"flag"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/redistest"
	"duskdawn/store/sqlite"
)

var enrolledIdle = flag.Int("idle", 10_000, "patients enrolled in BenchmarkIdle")

// BenchmarkIdle is what the built program keeps in memory with many enrolled on
// SQLite and nothing to do: resident and peak, ten seconds after it was ready.
// Each patient has the stored form of one in the middle of the course, a
// summary and two timers.
func BenchmarkIdle(b *testing.B) {
	path := filepath.Join(b.TempDir(), "idle.db")
	fillIdle(b, path)
	program := filepath.Join(b.TempDir(), "duskdawn")
	if out, err := exec.Command("go", "build", "-o", program, "duskdawn/bot").CombinedOutput(); err != nil {
		b.Fatalf("building the program: %v\n%s", err, out)
	}
	platform := standin.New(standin.Options{})
	b.Cleanup(platform.Close)
	srv := httptest.NewServer(platform)
	b.Cleanup(srv.Close)
	for b.Loop() {
		at := redistest.FreeAddress(b)
		c := exec.Command(program, "serve")
		c.Env = append(os.Environ(), "DUSKDAWN_TOKEN="+standin.Token, "DUSKDAWN_API="+srv.URL, "DUSKDAWN_STORE=sqlite:"+path,
			"DUSKDAWN_LISTEN="+at)
		c.Stderr = os.Stderr
		must(b, c.Start())
		for began := time.Now(); ; time.Sleep(100 * time.Millisecond) {
			r, err := http.Get("http://" + at + "/readyz")
			if err == nil {
				said, _ := io.ReadAll(r.Body)
				r.Body.Close()
				if r.StatusCode == http.StatusOK {
					break
				}
				if time.Since(began) > 2*time.Minute {
					b.Fatalf("not ready: %s", said)
				}
			} else if time.Since(began) > 2*time.Minute {
				b.Fatal(err)
			}
		}
		time.Sleep(10 * time.Second)
		raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", c.Process.Pid))
		if err != nil {
			b.Skip("the kernel does not tell here what a process keeps")
		}
		for field, unit := range map[string]string{"VmRSS": "MB-resident", "VmHWM": "MB-peak"} {
			m := regexp.MustCompile(field + `:\s+(\d+) kB`).FindSubmatch(raw)
			kb, _ := strconv.ParseFloat(string(m[1]), 64)
			b.ReportMetric(kb/1024, unit)
		}
		must(b, c.Process.Signal(syscall.SIGTERM))
		must(b, c.Wait())
	}
}

// fillIdle enrols one patient by the program's own way, and many more like that one.
func fillIdle(b *testing.B, path string) {
	st, err := sqlite.Open(b.Context(), sqlite.Options{Path: path})
	must(b, err)
	defer st.Close()
	api, err := telegram.New(telegram.Options{Token: standin.Token, Address: "http://127.0.0.1:1"})
	must(b, err)
	p, err := program.Build(b.Context(), program.Parts{Store: st, API: api, Clock: scheduler.RealClock{}, Free: true})
	must(b, err)
	enrolBench(b, p)
	var like flows.Patient
	for s, err := range st.List(b.Context(), store.Query{Limit: 1}) {
		must(b, err)
		a, err := st.Get(b.Context(), s.Ref)
		must(b, err)
		like, err = store.DecodePatient(a.Body)
		must(b, err)
	}
	now := time.Now()
	var wg sync.WaitGroup
	var next atomic.Int64
	for range 64 {
		wg.Go(func() {
			for i := int(next.Add(1)); i <= *enrolledIdle; i = int(next.Add(1)) {
				one := like
				one.ID, one.Label, one.Chat = chart.PatientID(fmt.Sprintf("%02d%016d", i%store.Shards, i)), fmt.Sprint("I-", i), 0
				body, err := store.EncodePatient(&one)
				if err == nil {
					err = st.Update(b.Context(), scheduler.PatientRef(one.ID), "enrol", now,
						func(store.Aggregate) (store.Change, error) {
							return store.Change{Body: body, Summary: &store.Summary{Label: p.Runner.LabelKey(one.Label),
									State: one.Course.State.String()},
									Set: []store.Timer{{Name: "evening", At: now.AddDate(0, 0, 1)}, {Name: "milestone", At: now.AddDate(0, 1, 0)}}},
								nil
						})
				}
				if err != nil {
					b.Error(err)
				}
			}
		})
	}
	wg.Wait()
}
