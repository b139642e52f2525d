package health

import (
	"context"
	"fmt"
	"net/http"
	"time"
)

// Check is one thing that must be so. Its error is read by a person who has no
// right to see an answer or a name: it is made of fixed words and numbers.
type Check struct {
	Name string
	Is   func(ctx context.Context) error
}

// Loop is the check of a pulse.
func Loop(name string, p *Pulse) Check {
	return Check{name, func(context.Context) error { return p.Alive() }}
}

// patience is how long all checks may take together.
const patience = 5 * time.Second

// Wrong runs the checks and says what is wrong, a line each.
func Wrong(ctx context.Context, checks []Check) (lines []string) {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	for _, c := range checks {
		if err := run(ctx, c); err != nil {
			lines = append(lines, fmt.Sprintf("%s: %v", c.Name, err))
		}
	}
	return lines
}

// run runs one check. One that does not come back is wrong, and the others are
// still asked.
func run(ctx context.Context, c Check) error {
	done := make(chan error, 1)
	go func() {
		defer func() {
			if recover() != nil {
				done <- fmt.Errorf("the check itself failed")
			}
		}()
		done <- c.Is(ctx)
	}()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
		return fmt.Errorf("no answer within %s", patience)
	}
}

// Handler answers 200 and ok, or 503 and a line for each thing that is wrong.
func Handler(checks []Check) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		w.Header().Set("Cache-Control", "no-store")
		wrong := Wrong(r.Context(), checks)
		if len(wrong) == 0 {
			fmt.Fprintln(w, "ok")
			return
		}
		w.WriteHeader(http.StatusServiceUnavailable)
		for _, line := range wrong {
			fmt.Fprintln(w, line)
		}
	})
}
