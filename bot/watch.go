package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"duskdawn/bot/outside"
	"duskdawn/bot/setup"
	"duskdawn/flows"
)

// What can be wrong with the running program, as the outside call tells it.
const (
	troubleGone    = "gone"    // nobody answers at its address
	troubleLivez   = "livez"   // a loop of it hangs
	troublePolling = "polling" // no updates come in, or the token is refused
	trialKind      = "test"    // nothing: the owner tries the call
)

// vigil is what the watch remembers from one look to the next, and its record:
// what it told, and what came of it.
type vigil struct {
	Trouble string    `json:"trouble,omitempty"` // none while all is well
	Since   time.Time `json:"since,omitzero"`
	Told    int       `json:"told,omitempty"` // calls of this trouble that were made
	Last    time.Time `json:"last,omitzero"`  // the last of them
	Tries   []try     `json:"tries,omitempty"`
}

// try is one line of the record.
type try struct {
	At     time.Time `json:"at"`
	Kind   string    `json:"kind"`
	Number int       `json:"number"`
	Came   string    `json:"came"` // what came of it
}

// mostTries is how many lines of the record are kept, the newest.
const mostTries = 200

// watch looks once at the running program, from outside of it, and tells the
// owner by the outside call where something is wrong. A timer runs it each
// minute, and the service manager when the program has ended for good. What
// goes on is told again and again, with the pauses of an emergency.
func watch(ctx context.Context, a app, args []string) error {
	f := a.flags("watch", "look at the running program from outside, and tell the owner by the outside call (DUSKDAWN_CALL_FILE) where something is wrong")
	patience := f.Duration("patience", 40*time.Second, "how long it must be wrong: a restart is no trouble")
	path := f.String("record", "duskdawn-watch.json", "what was told, and what came of it")
	if err := parse(f, args); err != nil {
		return err
	}
	_, set, err := a.wordsAndSettings()
	if err != nil {
		return err
	}
	if set.Listen == "" {
		return errors.New("DUSKDAWN_LISTEN is missing: the address at which the running program tells of its health")
	}
	call, err := callOf(set)
	if err != nil {
		return err
	}
	v, unread := readVigil(*path)
	found := lasting(ctx, set.Listen, *patience)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	err = errors.Join(unread, v.hear(ctx, found, call, a))
	return errors.Join(err, v.write(*path))
}

// callOf reads the outside call; nil where none is set.
func callOf(set setup.Settings) (*outside.Call, error) {
	call, err := outside.Parse(set.Call.Reveal())
	if err != nil {
		return nil, fmt.Errorf("the outside call (DUSKDAWN_CALL_FILE): %w", err)
	}
	return call, nil
}

// hear takes what was found: "" for all is well.
func (v *vigil) hear(ctx context.Context, found string, call *outside.Call, a app) error {
	now := time.Now().UTC()
	if found == "" {
		if v.Trouble != "" {
			fmt.Fprintf(a.out, "well again; %s since %s, told %d times\n", v.Trouble, v.Since.Format(time.RFC3339), v.Told)
		}
		*v = vigil{Tries: v.Tries}
		return nil
	}
	if v.Trouble == "" {
		v.Since = now
	}
	if found != v.Trouble && v.Trouble != "" {
		fmt.Fprintf(a.out, "it was %s until now\n", v.Trouble)
	}
	v.Trouble = found
	fmt.Fprintf(a.out, "%s since %s\n", found, v.Since.Format(time.RFC3339))
	if call == nil {
		return errors.New("nobody was told: no outside call is set (DUSKDAWN_CALL_FILE)")
	}
	if next := v.Last.Add(time.Duration(flows.CallPause(v.Told)) * time.Minute); v.Told > 0 && now.Before(next) && !now.Before(v.Last) {
		fmt.Fprintf(a.out, "told %d times; again at %s\n", v.Told, next.Format(time.RFC3339))
		return nil
	}
	outcome, err := call.Make(ctx, outside.News{Kind: found, Number: v.Told + 1, At: now})
	came := "made"
	if err != nil {
		came = err.Error()
	}
	v.Tries = append(v.Tries, try{now, found, v.Told + 1, came})
	v.Tries = v.Tries[max(0, len(v.Tries)-mostTries):]
	fmt.Fprintf(a.out, "outside call %d: %s\n", v.Told+1, came)
	if outcome == outside.Made {
		v.Told, v.Last = v.Told+1, now
		return nil
	}
	return fmt.Errorf("the outside call was not made: %w; the next look tries again", err)
}

// lasting is what is wrong now and all the while: a program that is just
// started anew is given the time.
func lasting(ctx context.Context, address string, patience time.Duration) string {
	end := time.Now().Add(patience)
	for {
		found := trouble(ctx, address)
		left := time.Until(end)
		if found == "" || left <= 0 {
			return found
		}
		select {
		case <-ctx.Done():
			return found
		case <-time.After(min(left, max(patience/8, 10*time.Millisecond))):
		}
	}
}

// trouble asks the program how it is; "" where all is well.
func trouble(ctx context.Context, address string) string {
	status, _, err := asked(ctx, address, "/livez")
	switch {
	case err != nil:
		return troubleGone
	case status != http.StatusOK:
		return troubleLivez
	}
	_, lines, err := asked(ctx, address, "/readyz")
	if err != nil {
		return troubleGone
	}
	if slices.ContainsFunc(lines, func(l string) bool {
		return strings.HasPrefix(l, "polling:") || strings.HasPrefix(l, "token:") || strings.HasPrefix(l, "intake:")
	}) {
		return troublePolling
	}
	return ""
}

// healthFor is how long the program may take to say how it is; it takes five
// seconds at the most where a check of its own hangs.
const healthFor = 8 * time.Second

func asked(ctx context.Context, address, path string) (status int, lines []string, err error) {
	ctx, cancel := context.WithTimeout(ctx, healthFor)
	defer cancel()
	if host, port, err := net.SplitHostPort(address); err == nil && (host == "" || net.ParseIP(host).IsUnspecified()) {
		address = net.JoinHostPort("127.0.0.1", port)
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+address+path, nil)
	if err != nil {
		return 0, nil, err
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return 0, nil, err
	}
	defer res.Body.Close()
	for s := bufio.NewScanner(res.Body); s.Scan() && len(lines) < 50; {
		lines = append(lines, s.Text())
	}
	return res.StatusCode, lines, nil
}

// readVigil reads what was told before. A record that cannot be read is no
// reason to tell nobody: it begins anew, and says so.
func readVigil(path string) (v vigil, err error) {
	raw, _, err := setup.FromDisk(path)
	if errors.Is(err, fs.ErrNotExist) {
		return v, nil
	}
	if err == nil {
		err = json.Unmarshal(raw, &v)
	}
	if err != nil {
		return vigil{}, fmt.Errorf("the record could not be read and begins anew: %w", err)
	}
	return v, nil
}

func (v *vigil) write(path string) error {
	raw, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		return err
	}
	if info, err := os.Lstat(path); err == nil && !info.Mode().IsRegular() {
		return fmt.Errorf("the record cannot be kept: %s is no regular file", path)
	}
	beside, err := os.CreateTemp(filepath.Dir(path), ".watch-*")
	if err != nil {
		return fmt.Errorf("the record cannot be kept: %w", err)
	}
	_, err = beside.Write(append(raw, '\n'))
	err = errors.Join(err, beside.Close())
	if err == nil {
		err = os.Rename(beside.Name(), path)
	}
	if err != nil {
		_ = os.Remove(beside.Name())
		return fmt.Errorf("the record cannot be kept: %w", err)
	}
	return nil
}
