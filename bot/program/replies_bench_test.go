package program_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/standin"
	"duskdawn/bot/telegram"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/memory"
	"duskdawn/store/redis"
	"duskdawn/store/redistest"
	"duskdawn/store/sqlite"

	library "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
)

// BenchmarkReplies measures durable replies end to end, update in, commit,
// answer sent, beside the same library echoing a constant with 16 workers and
// no store, over loopback HTTP in one run. It reports updates a second, CPU a
// reply, and both as ratios to the echo. There is no flood limit on either side.
//
// Where a durable reply goes (-cpuprofile, two cores, the echo taken as 1): memory
// about 1.2 of its CPU and 0.8 of its rate, which is reading the update, the flow,
// its stored form and the words. SQLite adds two durable writes: about a third of
// the reply is the one writer, half of that statements, a quarter frames of the
// log, a quarter the sync; without any sync its rate would be 0.65 to 0.7, so that
// what is left is the writer's own work, in one thread. Redis adds its own process,
// which takes as much of the two cores as an echo does, nearly all of it in
// scripts, and stands still while it syncs.
func BenchmarkReplies(b *testing.B) {
	var echo, cpu float64
	b.Run("echo", func(b *testing.B) { echo, cpu = measure(b, readyEcho) })
	for _, s := range []struct {
		name string
		open func(b *testing.B) store.Store
	}{
		{"memory", func(*testing.B) store.Store { return memory.New() }},
		{"sqlite", func(b *testing.B) store.Store {
			st, err := sqlite.Open(b.Context(), sqlite.Options{Path: filepath.Join(b.TempDir(), "bench.db"), Lock: true})
			if err != nil {
				b.Fatal(err)
			}
			return st
		}},
		{"redis", func(b *testing.B) store.Store { // fsync always; its server's own CPU is not counted
			st, err := redis.Open(b.Context(), redistest.Address(b))
			if err != nil {
				b.Fatal(err)
			}
			return st
		}},
	} {
		b.Run(s.name, func(b *testing.B) {
			rate, used := measure(b, func(b *testing.B, address string) (func(), func()) {
				return readyProgram(b, address,
					s.open(b))
			})
			if echo > 0 {
				b.ReportMetric(rate/echo, "of-echo")
				b.ReportMetric(used/cpu, "cpu-of-echo")
			}
		})
	}
}

// measure posts b.N messages over many chats, starts what ready made, and waits
// until all are answered.
func measure(b *testing.B, ready func(b *testing.B, address string) (start, stop func())) (perSecond, cpuEach float64) {
	platform := standin.New(standin.Options{})
	defer platform.Close()
	srv := httptest.NewServer(platform)
	defer srv.Close()
	for i := range benchChats {
		platform.AddUser(standin.User{ID: int64(1000 + i), Name: "somebody"})
	}
	for i := range b.N {
		if _, err := platform.Say(int64(1000+i%benchChats), "today"); err != nil {
			b.Fatal(err)
		}
	}
	start, stop := ready(b, srv.URL)
	from, used := time.Now(), cpuTime()
	b.ResetTimer()
	start()
	ctx, cancel := context.WithTimeout(b.Context(), 2*time.Minute)
	defer cancel()
	if err := platform.Wait(ctx, func() bool { return platform.Calls("sendMessage") >= b.N }); err != nil {
		b.Fatalf("%d of %d answered: %v", platform.Calls("sendMessage"), b.N, err)
	}
	took := time.Since(from)
	b.StopTimer()
	used = cpuTime() - used
	stop()
	perSecond, cpuEach = float64(b.N)/took.Seconds(), used.Seconds()/float64(b.N)
	b.ReportMetric(perSecond, "replies/s")
	b.ReportMetric(cpuEach*1e6, "us-cpu/reply")
	return perSecond, cpuEach
}

func readyEcho(b *testing.B, address string) (start, stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	bot, err := library.New(standin.Token, library.WithServerURL(address), library.WithSkipGetMe(),
		library.WithWorkers(16), library.WithNotAsyncHandlers(),
		library.WithHTTPClient(time.Minute, &http.Client{Transport: telegram.Kept(), Timeout: 65 * time.Second}),
		library.WithDefaultHandler(func(ctx context.Context, bot *library.Bot, u *models.Update) {
			if _, err := bot.SendMessage(ctx, &library.SendMessageParams{ChatID: u.Message.Chat.ID,
				Text: "The queue is empty."}); err != nil && ctx.Err() == nil {
				b.Error(err)
			}
		}))
	if err != nil {
		b.Fatal(err)
	}
	done := make(chan struct{})
	return func() { go func() { bot.Start(ctx); close(done) }() }, func() { cancel(); <-done }
}

func readyProgram(b *testing.B, address string, st store.Store) (start, stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	api, err := telegram.New(telegram.Options{Token: standin.Token, Address: address})
	if err != nil {
		b.Fatal(err)
	}
	p, err := program.Build(ctx, program.Parts{Store: st, API: api, Clock: scheduler.RealClock{}, Free: true})
	if err != nil {
		b.Fatal(err)
	}
	enrolBench(b, p)
	done := make(chan error, 1)
	return func() { go func() { done <- p.Poll(ctx, nil) }() }, func() { cancel(); <-done; st.Close() }
}

// cpuTime is what this process has used.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
