package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"duskdawn/bot/outside"
	"duskdawn/bot/program"
	"duskdawn/bot/setup"
	"duskdawn/flows/practice"
	"duskdawn/locales"
	"duskdawn/scheduler"
	"duskdawn/store"
	"duskdawn/store/redis"
	"duskdawn/store/sqlite"
)

// check reads everything that serve would, and says what is wrong. It changes nothing.
func check(ctx context.Context, a app, args []string) error {
	f := a.flags("check", "read settings, store, zones and locales, and say what is wrong")
	tried := f.Bool("call", false, "make the outside call, to try it: kind test, number 0")
	if err := parse(f, args); err != nil {
		return err
	}
	bad := 0
	say := func(ok bool, what string, v ...any) {
		mark := "ok   "
		if !ok {
			mark, bad = "WRONG", bad+1
		}
		fmt.Fprintf(a.out, "%s %s\n", mark, fmt.Sprintf(what, v...))
	}
	words, err := locales.Load()
	if err != nil {
		say(false, "locales: %v", err)
		return errors.New("1 thing is wrong")
	}
	say(true, "locales: %d languages %v", len(words.Languages()), words.Languages())
	say(scheduler.DataVersion() != "", "zones: data %s", scheduler.DataVersion())

	set, err := a.settings(words)
	if err != nil {
		say(false, "settings: see the lines that begin with settings")
	} else if set.Listen == "" {
		say(true, "settings: store %s, no address for health, metrics and a webhook", kindOf(set))
	} else {
		say(true, "settings: store %s, listening on %s", kindOf(set), set.Listen)
	}
	if set.Token.Reveal() != "" {
		say(true, "token: one is given")
	} else {
		say(false, "token: serve needs DUSKDAWN_TOKEN or DUSKDAWN_TOKEN_FILE")
	}
	checkCall(ctx, a, set, *tried, say)
	if set.Practice == "" {
		say(true, "practice: no file is named; the one in the store is used")
	} else if raw, _, err := setup.FromDisk(set.Practice); err != nil {
		say(false, "practice: DUSKDAWN_PRACTICE names a file that cannot be read: %v", err)
	} else {
		_, faults := setup.Practice(raw, words.Languages())
		say(a.faults(words, "practice", faults) == nil, "practice: %d remarks", len(faults))
	}
	path, file := strings.CutPrefix(set.Store.Reveal(), "sqlite:")
	st, err := program.LookAt(ctx, set.Store)
	switch {
	case file && errors.Is(err, fs.ErrNotExist):
		if err := room(path); err != nil {
			say(false, "store: the first start could not make the file %s: %v", path, err)
		} else {
			say(true, "store: there is no file yet at %s; the first start makes it", path)
		}
		say(false, noPractice)
	case errors.Is(err, store.ErrNotFound):
		say(true, "store: nothing is stored yet; the first start begins")
		say(false, noPractice)
	case err != nil:
		say(false, "store: %v", err)
	default:
		defer st.Close()
		if file {
			info, err := os.Stat(path)
			if err == nil && len(setup.Exposed("", path, info.Mode())) > 0 {
				fmt.Fprintf(a.out, "warn  store: others on this machine can read %s (mode %04o); serve makes it its owner's alone when it starts\n", path, info.Mode().Perm())
			}
		}
		if err := checkStore(ctx, a, st, say); err != nil {
			say(false, "store: %v", err)
		}
	}
	switch {
	case bad == 1:
		return errors.New("1 thing is wrong")
	case bad > 1:
		return fmt.Errorf("%d things are wrong", bad)
	}
	return nil
}

// checkCall reports whether somebody outside can be told when the platform, the
// program or everybody at the practice is silent.
func checkCall(ctx context.Context, a app, set setup.Settings, tried bool, say func(bool, string, ...any)) {
	call, err := callOf(set)
	switch {
	case err != nil:
		say(false, "%v", err)
	case call == nil && tried:
		say(false, "outside call: none is set, name its file in DUSKDAWN_CALL_FILE")
	case call == nil:
		fmt.Fprintln(a.out, "warn  outside call: none is set, so nobody is told when the program ends, or nobody takes an emergency; name its file in DUSKDAWN_CALL_FILE")
	case !tried:
		say(true, "outside call: %s; try it with check -call", call.Kind())
	default:
		_, err := call.Make(ctx, outside.News{Kind: trialKind, At: time.Now()})
		if err != nil {
			say(false, "outside call: %s, tried: %v", call.Kind(), err)
		} else {
			say(true, "outside call: %s, tried: it was made; see that it arrived, as test 0", call.Kind())
		}
	}
}

const noPractice = "practice: none in the store; name its file in DUSKDAWN_PRACTICE and start serve once"

// room reports whether a file could be made beside path, and leaves none.
func room(path string) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".check-*")
	if err != nil {
		return err
	}
	return errors.Join(f.Close(), os.Remove(f.Name()))
}

// counted tells how many patients are in each state, in the order of the names.
func counted(states map[string]int) string {
	var b strings.Builder
	for _, s := range slices.Sorted(maps.Keys(states)) {
		fmt.Fprintf(&b, ", %d %s", states[s], s)
	}
	return b.String()
}

func kindOf(s setup.Settings) string {
	for i, r := range s.Store.Reveal() {
		if r == ':' {
			return s.Store.Reveal()[:i]
		}
	}
	return "unknown"
}

// checkKept reports whether what is kept is whole, and kept safely.
func checkKept(ctx context.Context, st store.Store, say func(bool, string, ...any)) {
	told := func(err error, well string) {
		if err != nil {
			say(false, "store: %v", err)
		} else {
			say(true, "store: %s", well)
		}
	}
	switch s := st.(type) {
	case *sqlite.Store:
		told(s.Check(ctx), "every page of the file reads well")
	case *redis.Store:
		told(s.Check(ctx), "the server keeps what it is told: appendonly, appendfsync and maxmemory-policy are as the address asks")
	}
	if o, ok := st.(interface{ Older() (int, int, bool) }); ok {
		if has, writes, older := o.Older(); older {
			say(true, "store: it has form %d, which the next start brings to %d; until then nothing shows a flipped bit", has, writes)
		}
	}
	damaged := 0
	for name, err := range st.Damaged(ctx) {
		if err != nil {
			say(false, "rows: %v", err)
			break
		}
		damaged++
		say(false, "rows: %q is not as it was stored; restore a backup, or ask who can repair it", name)
	}
	if damaged == 0 {
		say(true, "rows: every one is as it was stored")
	}
	audited, err := store.Audit(ctx, st)
	if err != nil {
		say(false, "journals: %v", err)
	} else {
		say(true, "journals: %d with %d records, no chain is broken", audited.Journals, audited.Records)
	}
}

// warnGaps warns of the times of the next weeks at which who covers leaves nobody, or no
// clinician, on duty.
func warnGaps(a app, pr *practice.Practice) {
	zone, err := scheduler.NewZones().Load(pr.Zone)
	if err != nil {
		return // told elsewhere
	}
	const ahead = 60
	today := zone.Wall(time.Now()).Date
	for _, g := range pr.Gaps(today, today+ahead) {
		who := map[practice.Role]string{practice.NoRole: "nobody", practice.Clinician: "no clinician", practice.Assistant: "no assistant"}[g.Role]
		fmt.Fprintf(a.out, "warn  practice: %s is on duty from %s %s to %s %s, because of who covers; mend it with cover in the chat\n", who,
			g.From.Date, g.From.Clock, g.To.Date, g.To.Clock)
	}
}

// checkStore counts what is kept, and shows what waits for a person.
func checkStore(ctx context.Context, a app, st store.Store, say func(bool, string, ...any)) error {
	checkKept(ctx, st, say)
	var pr practice.Practice
	kept, err := st.Get(ctx, scheduler.PracticeRef())
	switch {
	case errors.Is(err, store.ErrNotFound):
		say(false, noPractice)
	case err != nil:
		return err
	default:
		if err := store.Decode(kept.Body, &pr); err != nil {
			return err
		}
		doctors := 0
		for _, s := range pr.Staff {
			if s.Role == practice.Clinician && !s.Removed && s.Chat != 0 {
				doctors++
			}
		}
		if doctors > 0 {
			say(true, "practice: clinicians who have joined: %d", doctors)
		} else {
			say(false, "practice: no clinician has joined; add one with staff add -role clinician, and give out the code")
		}
		warned := map[string]bool{}
		for _, s := range pr.Rota {
			if !slices.ContainsFunc(pr.Staff, func(x practice.Staff) bool { return !x.Removed && x.Label == s.Staff }) {
				warned[s.Staff] = true
			}
		}
		for _, who := range slices.Sorted(maps.Keys(warned)) {
			fmt.Fprintf(a.out, "warn  practice: the rota names %q, and nobody is called so; add them with staff add, or mend the rota\n", who)
		}
		warnGaps(a, &pr)
		if pr.Emergency != "" && pr.Phone != "" {
			say(true, "practice: telephone and emergency number are set")
		} else {
			say(false, "practice: its telephone or its emergency number is missing; name its file in DUSKDAWN_PRACTICE and start serve once")
		}
		if pr.Frozen() {
			say(false, "restore: a copy waits for the owner's release, and nobody is written to; look at it with staff, then: release -sure")
		} else {
			say(true, "restore: nothing waits for the owner's release")
		}
	}
	var refs []store.Ref
	open, states := 0, map[string]int{}
	for s, err := range st.List(ctx, store.Query{}) {
		if err != nil {
			return err
		}
		refs = append(refs, s.Ref)
		states[s.State]++
		if s.Class != 0 && !s.Acked {
			open++
		}
	}
	say(true, "patients: %d%s; %d wait for somebody to take them", len(refs), counted(states), open)
	b, err := budgetOf(ctx, st, refs, pr.Zone, time.Now())
	if err != nil {
		return err
	}
	for _, ref := range b.damaged {
		say(false, "the record of patient %s cannot be read: the bot neither asks nor answers there; restore a backup, or ask who can repair it", ref.ID)
	}
	b.tell(say)
	zone, _ := scheduler.NewZones().Load(pr.Zone)
	b.tellDesk(&pr, zone.Wall(time.Now()).Date, say)
	asides := 0
	for x, err := range st.Asides(ctx) {
		if err != nil {
			return err
		}
		asides++
		say(false, "set aside: an update of %s, class %s", x.At.UTC().Format("2006-01-02 15:04"), x.Class)
	}
	doubt := 0
	for _, err := range st.Doubtful(ctx) {
		if err != nil {
			return err
		}
		doubt++
	}
	say(true, "outbox: %d messages in doubt, %d updates set aside", doubt, asides)
	return nil
}
