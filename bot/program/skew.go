package program

import (
	"net/http"
	"time"
)

// maxSkew is how far our clock may be from the platform's before no advice goes forward.
const maxSkew = 2 * time.Minute

// dateWatch compares our clock with the platform's, by the date of its answers.
type dateWatch struct {
	next   http.RoundTripper
	now    func() time.Time
	skewed func(time.Duration)
}

// WatchDate is a transport that looks at the date of every answer; a program
// that was built hears of it after watch.
func WatchDate(next http.RoundTripper) *dateWatch { return &dateWatch{next: next} }

func (d *dateWatch) RoundTrip(r *http.Request) (*http.Response, error) {
	res, err := d.next.RoundTrip(r)
	if err == nil && d.skewed != nil {
		if at, err := http.ParseTime(res.Header.Get("Date")); err == nil {
			d.skewed(d.now().Sub(at))
		}
	}
	return res, err
}

// Watch has a transport tell this program how far its clock is off. It is called
// before the first request.
func (p *Program) Watch(d *dateWatch) {
	d.now = p.Clock.Now
	d.skewed = func(off time.Duration) {
		p.skew.Store(&off)
		p.Runner.SetDoubt(off.Abs() > maxSkew)
	}
}
