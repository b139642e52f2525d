// Command bot is Duskdawn: it follows dental sleep patients at home while an
// adjustable mandibular advancement appliance is titrated.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"syscall"
	"time"

	"duskdawn/bot/logs"
	"duskdawn/bot/stage"
	"duskdawn/bot/telegram"
)

// command is one thing the program does, one file each.
type command struct {
	name string
	what string // one line for the help
	run  func(ctx context.Context, a app, args []string) error
}

// app is what a command works with: the outside world, so that tests can put
// in their own.
type app struct {
	out, err io.Writer
	in       io.Reader
	env      []string // as os.Environ
	// refused is how long the platform must refuse the token before serve ends; 0 for
	// as long as it is meant to be.
	refused time.Duration

	on *stage.World // a rehearsal that a command of the host is run on; nil for the store of the settings
}

func commands() []command {
	return []command{
		{"serve", "run the bot", serve},
		{"rehearse", "the whole program with an invented practice, on a page of this machine", rehearse},
		{"watch", "tell the owner by the outside call where the running program is not well", watch},
		{"check", "read settings, store, zones and locales, and say what is wrong", check},
		{"staff", "add, list and remove the people of the practice", staff},
		{"enrol", "enrol a patient from a plan file", enrolPatient},
		{"backup", "copy the store of a running program", backup},
		{"restore", "put a copy back; nothing is sent before the release", restore},
		{"release", "after a restore: let the program speak again", release},
		{"halt", "stop all steps where the rules themselves are in doubt, until lifted", halt},
		{"unit", "the files for systemd: the service, a nightly backup, and the watch", unit},
		{"export", "write a patient's diary", export},
		{"replay", "run a plan over a diary, night by night", replayDiary},
		{"simulate", "play virtual patients through a plan", simulate},
		{"read", "how a text is read, and how well labelled sentences are", readText},
		{"why", "what a rule, a red flag or a limit rests on", explain},
		{"hazards", "the hazard log, and the tests that show each control", hazards},
	}
}

func main() {
	os.Exit(process(os.Environ(), os.Args[1:]))
}

// process runs one command as a process does, until a signal ends it, and gives
// its exit code.
func process(env, args []string) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	// commands speak for themselves; what a library has to say could hold anything
	logs.Capture(slog.New(slog.DiscardHandler))
	return run(ctx, app{out: os.Stdout, err: os.Stderr, in: os.Stdin, env: env}, args)
}

// errUsage says that the command line was wrong and that the help was printed.
var errUsage = errors.New("see the help")

// exitCode is what a command's end means to whoever started the program: 0 where
// it worked, 1 where it failed, 2 where the command line was wrong, and 78
// (EX_CONFIG of sysexits.h) where the platform refuses the token for good, so
// that starting again would end the same way.
func exitCode(err error) int {
	switch {
	case err == nil, errors.Is(err, flag.ErrHelp):
		return 0
	case errors.Is(err, errUsage):
		return 2
	case errors.Is(err, telegram.ErrRevoked):
		return 78
	}
	return 1
}

// run runs one command and gives its exit code.
func run(ctx context.Context, a app, args []string) int {
	if len(args) == 2 && args[0] == "help" {
		args = []string{args[1], "-h"}
	}
	if len(args) > 0 {
		for _, c := range commands() {
			if c.name != args[0] {
				continue
			}
			err := c.run(ctx, a, args[1:])
			code := exitCode(err)
			if code != 0 && code != 2 { // otherwise all is said
				fmt.Fprintf(a.err, "%s: %v\n", c.name, err)
			}
			return code
		}
	}
	fmt.Fprintln(a.err, "Duskdawn follows dental sleep patients at home, in a chat. Commands:")
	for _, c := range commands() {
		fmt.Fprintf(a.err, "  %-10s %s\n", c.name, c.what)
	}
	fmt.Fprintln(a.err, "Each has its own help: COMMAND -h, or help COMMAND. The README says how to begin.")
	if len(args) == 0 || args[0] == "help" || args[0] == "-h" || args[0] == "--help" {
		return 0
	}
	fmt.Fprintf(a.err, "There is no command %q.\n", args[0])
	return 2
}

// flags makes a command's flag set, whose help opens with what the command does.
func (a app) flags(name, what string) *flag.FlagSet {
	f := flag.NewFlagSet(name, flag.ContinueOnError)
	f.SetOutput(a.err)
	f.Usage = func() {
		fmt.Fprintf(a.err, "%s: %s\n", name, what)
		f.PrintDefaults()
	}
	return f
}

// parse reads a command's flags; leftovers are refused.
func parse(f *flag.FlagSet, args []string) error {
	if err := f.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return err
		}
		return errUsage // the flag set has said what is wrong
	}
	if f.NArg() > 0 {
		fmt.Fprintf(f.Output(), "%s: unexpected %q\n", f.Name(), f.Arg(0))
		f.Usage()
		return errUsage
	}
	return nil
}
