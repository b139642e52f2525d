package program

import (
	"context"
	"strings"
	"time"

	"duskdawn/bot/health"
)

// Attend tells the service manager that we are ready, and goes on telling it
// that we live for as long as every loop moves. end stops that.
func (p *Program) Attend(ctx context.Context, m health.Manager) (end func()) {
	every := m.Every()
	if every <= 0 {
		every = 10 * time.Second
	}
	m.Ready() // best effort, as the others: the manager notices what it does not hear
	stopping := context.AfterFunc(ctx, func() {
		p.log.Info("stop")
		m.Stopping()
	})
	over, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		tick := time.NewTicker(every)
		defer tick.Stop()
		for stuck := false; ; {
			select {
			case <-over:
				return
			case <-tick.C:
			}
			wrong := health.Wrong(context.WithoutCancel(ctx), p.living())
			if len(wrong) == 0 {
				m.Alive()
			} else if !stuck {
				name, _, _ := strings.Cut(wrong[0], ":")
				p.log.Error("stuck", "check", name)
			}
			stuck = len(wrong) > 0
		}
	}()
	return func() {
		stopping()
		close(over)
		<-done
	}
}
