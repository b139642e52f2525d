package program

import (
	"context"
	"time"

	"duskdawn/bot/health"
)

// What the tests that play on a stage, which stands above this package, need to
// see and to touch of the inside.

const (
	LeastGap   = leastGap
	PolledName = polledName
	PolledBy   = polledBy
)

// Refused reports whether the platform refuses the token, be it for a moment.
func (p *Program) Refused() bool { return p.refused() }

// Well is what /readyz asks.
func (p *Program) Well() []health.Check { return p.well() }

// Conflict is what a 409 does.
func (p *Program) Conflict() { p.conflict() }

// ConflictLasts makes the conflict as old as ends the wait for the intake.
func (p *Program) ConflictLasts() {
	p.rival.mu.Lock()
	defer p.rival.mu.Unlock()
	p.rival.since = p.rival.since.Add(-2 * drainMost)
}

// ConflictEnds is an update that reaches us again.
func (p *Program) ConflictEnds() { p.rival.gone() }

// Away is the time in which no update could be taken, before the last that came.
func (p *Program) Away() time.Duration { return time.Duration(p.away.Load()) }

// Gap notes such a time.
func (p *Program) Gap(ctx context.Context, d time.Duration) { p.gap(ctx, d) }

// Regain puts the talks right after it.
func (p *Program) Regain(ctx context.Context) { p.regain(ctx) }

// Yield gives the turn to poll up, as where another process has it.
func (p *Program) Yield() { p.leader.until.Store(0) }

// Sibling is another process on the same store, whose loops do not run.
func (p *Program) Sibling() *Program {
	return &Program{Store: p.Store, Words: p.Words, Runner: p.Runner, api: p.api, Clock: p.Clock, zones: p.zones,
		log: p.log}
}
