package main

import (
	"bytes"
	"errors"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/bot/standin"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/redistest"
	"duskdawn/store/sqlite"
)

// childArgs names the variable that makes TestChild a process of the program.
const childArgs = "CHILD_ARGS"

// TestChild is the program itself where this test's binary runs as a process of its own.
func TestChild(t *testing.T) {
	t.Parallel()
	args := os.Getenv(childArgs)
	if args == "" {
		return
	}
	var env []string
	for _, v := range os.Environ() {
		if strings.HasPrefix(v, "DUSKDAWN_") && !strings.HasPrefix(v, "DUSKDAWN_NO_SKIP") && !strings.HasPrefix(v, "DUSKDAWN_SIEGE") {
			env = append(env, v)
		}
	}
	os.Exit(process(env, strings.Split(args, " ")))
}

// child makes a process that runs a command of the program.
func (h *host) child(args ...string) (*exec.Cmd, *lockedBuffer) {
	cmd := exec.Command(os.Args[0], "-test.run=^TestChild$")
	cmd.Env = append(append(os.Environ(), h.env...), childArgs+"="+strings.Join(args, " "))
	out := &lockedBuffer{}
	cmd.Stdout, cmd.Stderr = out, out
	return cmd, out
}

// runs runs a command as a process and wants this exit code.
func (h *host) runs(code int, args ...string) string {
	h.t.Helper()
	cmd, out := h.child(args...)
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) || cmd.ProcessState.ExitCode() != code {
		h.t.Fatalf("%v: %v, want %d\n%s", args, err, code, out)
	}
	return out.String()
}

// serves starts serve as a process and waits until it polls.
func (h *host) serves(platform *standin.Server) *exec.Cmd {
	h.t.Helper()
	cmd, out := h.child("serve")
	if err := cmd.Start(); err != nil {
		h.t.Fatal(err)
	}
	h.t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	h.await("polling: "+out.String(), platform.Polling)
	return cmd
}

func (h *host) await(what string, cond func() bool) {
	h.t.Helper()
	for end := time.Now().Add(60 * time.Second); !cond(); time.Sleep(2 * time.Millisecond) {
		if time.Now().After(end) {
			h.t.Fatalf("%s never came", what)
		}
	}
}

// TestBackupAndRestoreOfARunningProgram takes copies of a real serve while staff
// write to it, is refused a restore while it runs, kills it, puts a copy back,
// and releases it.
func TestBackupAndRestoreOfARunningProgram(t *testing.T) {
	t.Parallel()
	platform := standin.New(standin.Options{})
	t.Cleanup(platform.Close)
	srv := httptest.NewServer(platform)
	t.Cleanup(srv.Close) // after the processes
	h := newHost(t, "DUSKDAWN_TOKEN="+standin.Token, "DUSKDAWN_API="+srv.URL)
	copy := filepath.Join(h.dir, "copy.db")
	out, _ := h.run(0, "staff", "add", "-role", "clinician", "-label", "Dr Marsh")
	code := regexp.MustCompile(`code\s+(S0\w{12})`).FindStringSubmatch(out)[1]
	serve := h.serves(platform)
	const doctor = 501
	platform.AddUser(standin.User{ID: doctor, Name: "Dr Marsh", Language: "en"})
	said := func() (text string, n int) {
		for _, m := range platform.Messages(doctor) {
			if m.Bot {
				text, n = m.Text, n+1
			}
		}
		return text, n
	}
	say := func(text string) string {
		t.Helper()
		_, before := said()
		if _, err := platform.Say(doctor, text); err != nil {
			t.Fatal(err)
		}
		h.await("an answer to "+text, func() bool { _, n := said(); return n > before })
		text, _ = said()
		return text
	}
	say("/start " + code)

	// Under load: a few strangers write without a pause. Each message is a commit,
	// and an answer once a minute, so that the flood limit holds nothing up.
	stop, load := make(chan struct{}), sync.WaitGroup{}
	var written atomic.Int64
	for user := int64(9000); user < 9005; user++ {
		platform.AddUser(standin.User{ID: user, Name: "somebody", Language: "en"})
	}
	load.Go(func() {
		for n := int64(0); ; n++ {
			select {
			case <-stop:
				return
			default:
			}
			if _, err := platform.Say(9000+n%5, "hello"); err != nil {
				t.Error(err)
				return
			}
			written.Add(1)
			time.Sleep(2 * time.Millisecond)
		}
	})
	before := written.Load()
	if out := h.runs(0, "backup", "-to", copy); !strings.Contains(out, "whole") {
		t.Errorf("backup says %s", out)
	}
	t.Logf("%d messages came in while the copy was made", written.Load()-before)
	if written.Load() == before {
		t.Error("nothing was written while the copy was made")
	}
	if out := h.runs(1, "backup", "-to", copy); !strings.Contains(out, "never overwrites") {
		t.Errorf("over a copy it says %s", out)
	}
	kept, err := os.ReadFile(copy)
	if err != nil {
		t.Fatal(err)
	}
	if out := h.runs(1, "restore", "-from", copy); !strings.Contains(out, "in use") ||
		!strings.Contains(out, "nothing was changed") {
		t.Errorf("while serve runs restore says %s", out)
	}
	late, _ := h.run(0, "staff", "add", "-role", "assistant", "-label", "Later") // not in the copy
	if !strings.Contains(late, "code") {
		t.Fatal(late)
	}
	say("queue") // it still serves
	close(stop)
	load.Wait()
	h.await("all that was written being taken", platform.Quiet) // the copy would answer it again

	// The machine dies; the copy is put back.
	if err := serve.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = serve.Wait()
	out = h.runs(0, "restore", "-from", copy)
	aside := regexp.MustCompile(`kept: (\S+)\. `).FindStringSubmatch(out)
	if aside == nil || !strings.Contains(out, "release -sure") {
		t.Fatalf("restore says %s", out)
	}
	t.Logf("restore says\n%s", out)
	if now, err := os.ReadFile(copy); err != nil || !bytes.Equal(now, kept) {
		t.Errorf("the copy was changed: %v", err)
	}
	if out, _ := h.run(1, "check"); !strings.Contains(out, "WRONG restore") {
		t.Errorf("check says %s", out)
	}
	if out, _ := h.run(0, "staff", "list"); strings.Contains(out, "Later") || !strings.Contains(out, "Dr Marsh") {
		t.Errorf("the store holds %s", out)
	}
	old, err := sqlite.Open(t.Context(), sqlite.Options{Path: aside[1]})
	if err != nil {
		t.Fatal(err)
	}
	a, err := old.Get(t.Context(), scheduler.PracticeRef())
	var pr practice.Practice
	if err = errors.Join(err, store.Decode(a.Body, &pr), old.Close()); err != nil || len(pr.Staff) != 2 {
		t.Errorf("the file that was there holds %d people, %v", len(pr.Staff), err)
	}

	_, told := said()
	h.serves(platform)
	if got := say("queue"); !strings.HasPrefix(got, "A restored copy") {
		t.Errorf("before the release the clinician hears %q", got)
	}
	if _, n := said(); n != told+1 {
		t.Errorf("%d messages before the release", n-told)
	}
	if out, _ := h.run(0, "release"); !strings.Contains(out, "Nothing is changed") {
		t.Errorf("release says %s", out)
	}
	h.run(0, "release", "-sure")
	h.await("word of the release", func() bool {
		text, _ := said()
		return strings.Contains(text,
			"the owner has released it")
	})
	if out, _ := h.run(0, "release", "-sure"); !strings.Contains(out, "released before") {
		t.Errorf("a second release says %s", out)
	}
	if out, _ := h.run(0, "release"); !strings.Contains(out, "Nothing waits") {
		t.Errorf("afterwards release says %s", out)
	}
	if out, _ := h.run(0, "check"); !strings.Contains(out, "ok    journals") || !strings.Contains(out, "ok    restore") {
		t.Errorf("check says %s", out)
	}
}

// A Redis server's data are put back by its own means; the owner declares it,
// while nothing serves.
func TestRestoreIsDeclaredOnRedis(t *testing.T) {
	t.Parallel()
	h := newHost(t)
	h.env[0] = "DUSKDAWN_STORE=" + redistest.Address(t)
	h.run(0, "staff", "add", "-role", "clinician", "-label", "Dr Marsh")
	if _, errs := h.run(1, "restore", "-from", "copy.rdb"); !strings.Contains(errs, "-declare") {
		t.Errorf("restore says %s", errs)
	}
	if _, errs := h.run(1, "release"); !strings.Contains(errs, "never restored") {
		t.Errorf("release says %s", errs)
	}
	st, err := program.OpenStore(t.Context(), setup.Secret(strings.TrimPrefix(h.env[0], "DUSKDAWN_STORE=")), false)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	for _, name := range []string{program.PollLease, program.CalledLease} {
		if ok, err := st.Lead(t.Context(), name, "another", time.Minute); err != nil || !ok {
			t.Fatal(ok, err)
		}
		if _, errs := h.run(1, "restore", "-declare"); !strings.Contains(errs, "stop all of them") {
			t.Errorf("while another serves (%s) restore says %s", name, errs)
		}
		if _, err := st.Lead(t.Context(), name, "another", 0); err != nil {
			t.Fatal(err)
		}
	}
	out, _ := h.run(0, "restore", "-declare")
	if !strings.Contains(out, "release -sure") {
		t.Errorf("restore says %s", out)
	}
	if out, _ := h.run(1, "check"); !strings.Contains(out, "WRONG restore") || !strings.Contains(out, "appendfsync") ||
		!strings.Contains(out, "ok    journals") {
		t.Errorf("check says %s", out)
	}
	h.run(0, "release", "-sure")
	if out, _ := h.run(1, "check"); strings.Contains(out, "WRONG restore") {
		t.Errorf("check says %s", out)
	}
}

func TestRestoreIsTold(t *testing.T) {
	t.Parallel()
	h := newHost(t)
	h.run(2, "restore")
	h.run(2, "restore", "-from", "x", "-declare")
	h.run(1, "restore", "-declare") // SQLite
	if _, errs := h.run(1, "restore", "-from", filepath.Join(h.dir, "none.db")); !strings.Contains(errs,
		"nothing was put back") {
		t.Errorf("restore says %s", errs)
	}
	if left, _ := filepath.Glob(filepath.Join(h.dir, "d.db")); len(left) > 0 {
		t.Error("a store was made where there was none")
	}
}
