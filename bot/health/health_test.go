package health

import (
	"context"
	"errors"
	"net"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

func TestPulse(t *testing.T) {
	var p Pulse
	if p.Alive() != nil {
		t.Error("a loop that has not begun is taken for stuck")
	}
	p.Within(time.Hour)
	if p.Alive() != nil {
		t.Error("a loop that may sleep an hour is taken for stuck")
	}
	p.Within(-2 * time.Second)
	if err := p.Alive(); err == nil || err.Error() != "should have moved 2s ago" {
		t.Errorf("a loop that hangs: %v", err)
	}
	p.Ended()
	if p.Alive() != nil {
		t.Error("a loop that ended is taken for stuck")
	}
}

func TestHandlerNamesEachThingThatIsWrong(t *testing.T) {
	fine := Check{"fine", func(context.Context) error { return nil }}
	ask := func(checks ...Check) (int, string) {
		w := httptest.NewRecorder()
		Handler(checks).ServeHTTP(w, httptest.NewRequest("GET", "/readyz", nil))
		return w.Code, w.Body.String()
	}
	if code, body := ask(fine); code != 200 || body != "ok\n" {
		t.Errorf("all well: %d %q", code, body)
	}
	code, body := ask(fine, Check{"store", func(context.Context) error { return errors.New("it does not write") }},
		Check{"broken", func(context.Context) error { panic("sore, a 9") }})
	if code != 503 || body != "store: it does not write\nbroken: the check itself failed\n" {
		t.Errorf("two things wrong: %d %q", code, body)
	}
}

// A check that hangs is wrong by itself and does not hide another.
func TestACheckThatHangs(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		end := make(chan struct{})
		defer close(end)
		lines := Wrong(t.Context(), []Check{
			{"hangs", func(context.Context) error { <-end; return nil }},
			{"behind it", func(ctx context.Context) error { return errors.New("wrong") }},
		})
		if len(lines) != 2 || !strings.HasPrefix(lines[0], "hangs: no answer") ||
			!strings.HasPrefix(lines[1], "behind it: ") {
			t.Errorf("%q", lines)
		}
	})
}

func TestManager(t *testing.T) {
	path := filepath.Join(t.TempDir(), "notify")
	l, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: path, Net: "unixgram"})
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	m := ManagerOf([]string{"NOTIFY_SOCKET=" + path, "WATCHDOG_USEC=30000000"})
	if m.Every() != 10*time.Second {
		t.Errorf("every %v", m.Every())
	}
	for want, say := range map[string]func() error{"READY=1": m.Ready, "WATCHDOG=1": m.Alive, "STOPPING=1": m.Stopping} {
		if err := say(); err != nil {
			t.Fatal(err)
		}
		got := make([]byte, 64)
		n, err := l.Read(got)
		if err != nil || string(got[:n]) != want {
			t.Errorf("it hears %q, %v, want %q", got[:n], err, want)
		}
	}
	if none := ManagerOf(nil); none.Ready() != nil || none.Every() != 0 {
		t.Error("nobody asked, and somebody is told")
	}
}
