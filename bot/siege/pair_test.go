package siege

import (
	"net/http/httptest"
	"os"
	"os/exec"
	"regexp"
	"syscall"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/standin"
	"duskdawn/bot/talktest"
	"duskdawn/store/redistest"
)

// TestTwoProcesses runs two real processes on one real Redis, each started the
// same way, while people write, are asked and raise red flags.
func TestTwoProcesses(t *testing.T) {
	talktest.OnlyInSiege(t)
	program := Build(t)
	t.Run("one of two is killed, by webhook", func(t *testing.T) {
		t.Parallel()
		g := New(t, program, redistest.Address(t), true, *crashFor)
		g.fewest.redelivered = 0 // the other takes what one would have
		g.RunTwo(3 * time.Second)
	})
	t.Run("one of two is killed, polled", func(t *testing.T) {
		t.Parallel()
		g := New(t, program, redistest.Address(t), false, *crashFor)
		g.fewest.kills, g.fewest.redelivered = 2, 0 // a handover takes its time
		g.RunTwo(8 * time.Second)
	})
	t.Run("Redis is gone for a while", func(t *testing.T) {
		t.Parallel()
		r := redistest.New(t)
		g := New(t, program, r.Address, false, *crashFor)
		g.fewest.kills, g.fewest.redelivered = 1, 0
		g.RunWithout(r)
	})
	t.Run("handover", func(t *testing.T) {
		t.Parallel()
		testHandover(t, program)
	})
}

// within is the longest that nobody may poll after the process that did has died.
const within = 15 * time.Second

// testHandover kills the process that polls, then ends the next one in order,
// and takes the time until a person is answered again.
func testHandover(t *testing.T, built string) {
	platform := standin.New(standin.Options{})
	t.Cleanup(platform.Close)
	srv := httptest.NewServer(platform)
	t.Cleanup(srv.Close)
	env := []string{"DUSKDAWN_TOKEN=" + standin.Token, "DUSKDAWN_API=" + srv.URL, "DUSKDAWN_STORE=" + redistest.Address(t),
		"DUSKDAWN_PRACTICE=../../testdata/setup/practice.toml"}
	add := exec.Command(built, "staff", "add", "-role", "clinician", "-label", "Dr Marsh")
	add.Env = append(os.Environ(), env...)
	out, err := add.CombinedOutput()
	code := regexp.MustCompile(`code\s+(S0\w{12})`).FindSubmatch(out)
	if err != nil || code == nil {
		t.Fatalf("no code: %v\n%s", err, out)
	}
	platform.AddUser(standin.User{ID: 501, Name: "Dr Marsh", Language: "en"})
	g := &Siege{t: t, platform: platform, program: built, env: env}
	begin := func() *Process {
		t.Helper()
		n := platform.Calls("getMe")
		p := g.Start()
		p.Begun(t.Context(), n)
		return p
	}
	said := 0
	answered := func(text string) time.Duration {
		t.Helper()
		began := time.Now()
		if _, err := platform.Say(501, text); err != nil {
			t.Fatal(err)
		}
		said++
		for answers := 0; answers < said; time.Sleep(5 * time.Millisecond) {
			answers = 0
			for _, m := range platform.Messages(501) {
				if m.Bot {
					answers++
				}
			}
			if time.Since(began) > time.Minute {
				t.Fatalf("%q is never answered", text)
			}
		}
		return time.Since(began)
	}

	first := g.Start()
	first.Ready(t.Context())
	second := begin()
	answered("/start " + string(code[1]))
	time.Sleep(2 * program.RenewEvery) // so that both have settled who polls
	calls := platform.Calls("getUpdates")
	first.Kill()
	crash := answered("queue")
	if platform.Calls("getUpdates") == calls {
		t.Error("nobody polled")
	}
	third := begin()
	time.Sleep(2 * program.RenewEvery)
	if err := second.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	<-second.ended
	order := answered("queue")
	third.Stop()
	t.Logf("answered %v after a kill -9 of the process that polled, %v after it ended in order",
		crash.Round(time.Millisecond), order.Round(time.Millisecond))
	if crash > within || order > within {
		t.Errorf("a handover took longer than %v", within)
	}
	time.Sleep(time.Second)
	answers := 0
	for _, m := range platform.Messages(501) {
		if m.Bot {
			answers++
		}
	}
	if answers != said {
		t.Errorf("%d answers to %d messages", answers, said)
	}
}
