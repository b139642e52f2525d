package redis

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"strings"
	"time"

	"duskdawn/store"

	"github.com/redis/go-redis/v9"
)

//go:embed lua/*.lua
var lua embed.FS

// scripts are the scripts, each behind what they share.
type scripts struct {
	commit, claim, lease, settle, wrote, owner, purge, swap, lead, waiting, spoil, bring, swapRow *redis.Script
}

func loadScripts() (s scripts, err error) {
	lib, err := lua.ReadFile("lua/lib.lua")
	if err != nil {
		return s, err
	}
	for name, into := range map[string]**redis.Script{
		"commit": &s.commit, "claim": &s.claim, "lease": &s.lease, "settle": &s.settle, "wrote": &s.wrote,
		"owner": &s.owner, "purge": &s.purge, "swap": &s.swap, "lead": &s.lead, "waiting": &s.waiting,
		"spoil": &s.spoil, "bring": &s.bring, "swaprow": &s.swapRow,
	} {
		body, err := lua.ReadFile("lua/" + name + ".lua")
		if err != nil {
			return s, err
		}
		*into = redis.NewScript(string(lib) + string(body))
	}
	return s, nil
}

// patience is how long a call tries to reach the server before it gives up.
const patience = 3 * time.Second

// confirmFor is how long one try waits for the replicas.
const confirmFor = time.Second

// again reports whether the same script, or read, is to be run again: the answer
// was lost, or the server says that it did nothing because it cannot just now.
func again(err error) bool {
	var reply redis.Error
	if !errors.As(err, &reply) {
		return err != nil
	}
	for _, code := range []string{"LOADING", "READONLY", "CLUSTERDOWN", "TRYAGAIN", "MASTERDOWN", "MOVED", "ASK",
		"NOREPLICAS", "BUSY ", "UNBLOCKED"} {
		if strings.HasPrefix(reply.Error(), code) {
			return true
		}
	}
	return false
}

// retry runs do until it succeeds or trying again would not help.
func (s *Store) retry(ctx context.Context, what string, do func() error) error {
	if s.closed.Load() {
		return store.ErrClosed
	}
	for began, wait := time.Now(), 10*time.Millisecond; ; wait = min(2*wait, 400*time.Millisecond) {
		if err := ctx.Err(); err != nil {
			return err
		}
		err := do()
		switch {
		case err == nil:
			return nil
		case s.closed.Load():
			return store.ErrClosed
		case !again(err) || time.Since(began) > patience:
			return fmt.Errorf("%s: %w", what, err)
		}
		if cluster, ok := s.c.(*redis.ClusterClient); ok {
			cluster.ReloadState(ctx) // the slot may have moved, or its master be gone
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(wait):
		}
	}
}

// run runs one script. Run again with the same arguments it gives the same answer.
func (s *Store) run(ctx context.Context, what string, script *redis.Script, prefix string, args ...any) (reply any,
	err error) {
	if s.looks {
		return nil, fmt.Errorf("%s: %w", what, errLook)
	}
	err = s.retry(ctx, what, func() (err error) {
		var cmd *redis.Cmd
		s.batches.do(func(p redis.Pipeliner) { cmd = script.EvalSha(ctx, p, []string{prefix}, args...) })
		if redis.HasErrorPrefix(cmd.Err(), "NOSCRIPT") {
			cmd = script.Eval(ctx, s.c, []string{prefix}, args...)
		}
		reply, err = cmd.Result()
		return err
	})
	return reply, err
}

// commit is run for what must not be lost with one server: it returns once as
// many replicas as were asked for have it.
func (s *Store) commit(ctx context.Context, what string, script *redis.Script, prefix string, args ...any) (reply any,
	err error) {
	if s.replicas == 0 || s.looks {
		return s.run(ctx, what, script, prefix, args...)
	}
	err = s.retry(ctx, what, func() error {
		var cmd *redis.Cmd
		err := s.confirmed(ctx, prefix, func(p redis.Pipeliner) { cmd = script.EvalSha(ctx, p, []string{prefix}, args...) })
		if err != nil && redis.HasErrorPrefix(err, "NOSCRIPT") {
			err = s.confirmed(ctx, prefix, func(p redis.Pipeliner) { cmd = script.Eval(ctx, p, []string{prefix}, args...) })
		}
		reply = cmd.Val()
		return err
	})
	return reply, err
}

// errUnconfirmed says that too few replicas have what was written.
var errUnconfirmed = errors.New("too few replicas have confirmed it")

// confirmed runs commands, and then a write and a wait for the replicas, all on
// one connection to one master. Without the write the wait would confirm
// nothing where the commands found their work done already.
func (s *Store) confirmed(ctx context.Context, prefix string, fill func(redis.Pipeliner)) error {
	var node redis.Cmdable = s.c
	if cluster, ok := s.c.(*redis.ClusterClient); ok {
		master, err := cluster.MasterForKey(ctx, prefix)
		if err != nil {
			return err
		}
		node = master
	}
	pipe := node.Pipeline()
	fill(pipe)
	pipe.Set(ctx, prefix+"confirm", token(), time.Hour)
	wait := pipe.Do(ctx, "WAIT", s.replicas, confirmFor.Milliseconds())
	cmds, _ := pipe.Exec(ctx) // each answer is looked at
	for _, c := range cmds {
		if err := c.Err(); err != nil && c != redis.Cmder(wait) && !errors.Is(err, redis.Nil) {
			return err
		}
	}
	if n, err := wait.Int(); err != nil || n < s.replicas { // an error: it is no master any more
		return errUnconfirmed
	}
	return nil
}

// call is one of several scripts that run together.
type call struct {
	script *redis.Script
	prefix string
	args   []any
	reply  any
}

// runAll runs scripts in one round trip.
func (s *Store) runAll(ctx context.Context, what string, calls []*call) error {
	if len(calls) == 0 {
		return nil
	}
	if len(calls) == 1 || s.looks {
		c := calls[0]
		var err error
		c.reply, err = s.run(ctx, what, c.script, c.prefix, c.args...)
		return err
	}
	pipe := s.c.Pipeline()
	cmds := make([]*redis.Cmd, len(calls))
	for i, c := range calls {
		cmds[i] = pipe.EvalSha(ctx, c.script.Hash(), []string{c.prefix}, c.args...)
	}
	if s.closed.Load() {
		return store.ErrClosed
	}
	_, _ = pipe.Exec(ctx) // each answer is looked at
	for i, c := range calls {
		reply, err := cmds[i].Result()
		if err != nil { // unknown to the server, or lost: alone, with all that belongs to it
			if reply, err = s.run(ctx, what, c.script, c.prefix, c.args...); err != nil {
				return err
			}
		}
		c.reply = reply
	}
	return nil
}

// read runs reads in one round trip of their own, since they may be many; what
// is not there is no error.
func (s *Store) read(ctx context.Context, what string, fill func(redis.Pipeliner)) error {
	return s.retry(ctx, what, func() error {
		pipe := s.c.Pipeline()
		fill(pipe)
		cmds, _ := pipe.Exec(ctx) // each answer is looked at
		return firstError(cmds)
	})
}

// glance is read for a few, which go along with what others ask for.
func (s *Store) glance(ctx context.Context, what string, fill func(redis.Pipeliner)) error {
	return s.retry(ctx, what, func() error { return firstError(s.batches.do(fill)) })
}

func firstError(cmds []redis.Cmder) error {
	for _, c := range cmds {
		if err := c.Err(); err != nil && !errors.Is(err, redis.Nil) {
			return err
		}
	}
	return nil
}
