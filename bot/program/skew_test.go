package program

import (
	"net/http"
	"net/http/httptest"
	"testing"
	"time"
)

// A clock that differs from the platform's by more than the bound is noticed,
// by the date of any answer, to either side.
func TestAClockThatDiffersIsNoticed(t *testing.T) {
	at := time.Date(2026, 11, 3, 21, 0, 0, 0, time.UTC)
	platform := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Date", at.Format(http.TimeFormat))
	}))
	defer platform.Close()
	for _, c := range []struct {
		off   time.Duration
		doubt bool
	}{{0, false}, {maxSkew, false}, {maxSkew + time.Second, true}, {-maxSkew - time.Second, true},
		{5 * time.Minute, true}} {
		told, doubt := false, false
		watch := &dateWatch{
			next:   http.DefaultTransport,
			now:    func() time.Time { return at.Add(c.off) },
			skewed: func(d time.Duration) { told, doubt = true, d.Abs() > maxSkew },
		}
		client := http.Client{Transport: watch}
		res, err := client.Get(platform.URL)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		if !told || doubt != c.doubt {
			t.Errorf("%v off: told %t, in doubt %t", c.off, told, doubt)
		}
	}
}
