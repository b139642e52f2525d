package siege

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"slices"
	"syscall"
	"time"
)

// Process is one run of the program.
type Process struct {
	g     *Siege
	cmd   *exec.Cmd
	logs  bytes.Buffer
	ended chan error
	asked int // requests for work that came before it
}

// Start starts the program, with more settings than all of them have.
func (g *Siege) Start(env ...string) *Process {
	return g.start(g.program, env)
}

func (g *Siege) start(program string, env []string) *Process {
	p := &Process{g: g, cmd: exec.Command(program, "serve"), ended: make(chan error, 1), asked: g.asked()}
	p.cmd.Env = slices.Concat(os.Environ(), g.env, env)
	p.cmd.Stderr = &p.logs
	if err := p.cmd.Start(); err != nil {
		g.t.Fatal(err)
	}
	go func() { p.ended <- p.cmd.Wait() }()
	g.t.Cleanup(func() { _ = p.cmd.Process.Kill() })
	return p
}

// asked is how often a program said that it is there to take updates.
func (g *Siege) asked() int {
	if g.hook {
		return g.platform.Calls("setWebhook")
	}
	return g.platform.Calls("getUpdates")
}

// Ready waits until the program takes updates.
func (p *Process) Ready(ctx context.Context) {
	p.g.t.Helper()
	p.wait(ctx, "the program takes no updates", func() bool { return p.g.asked() != p.asked })
}

// Begun waits until the program has asked the platform who it is, which it does once its store is open; met is how often that was
// asked before.
func (p *Process) Begun(ctx context.Context, met int) {
	p.g.t.Helper()
	p.wait(ctx, "the program does not start", func() bool { return p.g.platform.Calls("getMe") != met })
}

// longestStart is how long a program may take to begin, on a machine that others use too.
const longestStart = 30 * time.Second

// wait waits until something is so, or fails with what is not.
func (p *Process) wait(ctx context.Context, not string, so func() bool) {
	p.g.t.Helper()
	for end := time.Now().Add(longestStart); !so() && ctx.Err() == nil; time.Sleep(2 * time.Millisecond) {
		select {
		case err := <-p.ended:
			p.g.t.Fatalf("the program ended by itself: %v\n%s", err, &p.logs)
		default:
		}
		if time.Now().After(end) {
			p.g.t.Fatalf("%s\n%s", not, &p.logs)
		}
	}
}

// Kill is kill -9.
func (p *Process) Kill() {
	g := p.g
	select {
	case err := <-p.ended:
		g.t.Fatalf("the program ended by itself: %v\n%s", err, &p.logs)
	default:
	}
	_ = p.cmd.Process.Kill()
	<-p.ended
	g.mu.Lock()
	g.kills = append(g.kills, time.Now())
	g.mu.Unlock()
	g.logs.Write(p.logs.Bytes())
}

// Stop ends it as a service manager does, and wants a clean end. One that has not
// said a word had not begun: the system ends that by itself.
func (p *Process) Stop() {
	_ = p.cmd.Process.Signal(syscall.SIGTERM)
	select {
	case err := <-p.ended:
		if err != nil && p.logs.Len() > 0 {
			p.g.t.Errorf("after a SIGTERM: %v\n%s", err, &p.logs)
		}
	case <-time.After(40 * time.Second):
		p.g.t.Error("the program does not end")
	}
	p.g.logs.Write(p.logs.Bytes())
}
