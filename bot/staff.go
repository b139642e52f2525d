package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"strings"

	"duskdawn/bot/program"
	"duskdawn/flows"
	"duskdawn/flows/practice"
	"duskdawn/scheduler"
)

// staff adds, lists and removes the people of the practice. It is the owner's,
// on the host alone.
func staff(ctx context.Context, a app, args []string) error {
	if len(args) == 0 {
		fmt.Fprintln(a.err, "staff: add, list, remove, code, pin or group")
		return errUsage
	}
	name := "staff"
	if !strings.HasPrefix(args[0], "-") {
		name += " " + args[0]
	} else {
		args = append([]string{""}, args...)
	}
	f := a.flags(name, "add, list and remove the people of the practice:\n"+
		"add -role clinician|assistant -label NAME; list; remove -id ID; code -id ID: another code for a person;\n"+
		"pin -id ID: forget a clinician's PIN, whose tries are used up or who forgot it; the next signature sets another;\n"+
		"group: a code for a group chat of staff, which hears of escalations too")
	role := f.String("role", "", "clinician or assistant")
	label := f.String("label", "", "what the practice calls this person")
	lang := f.String("lang", "", "the language this person reads; the practice's by default")
	id := f.String("id", "", "the person's id, as list shows it")
	if err := parse(f, args[1:]); err != nil {
		return err
	}
	t, err := a.open(ctx)
	if err != nil {
		return err
	}
	defer t.close()
	if err := a.loadPractice(ctx, t.Runner, t.Words, t.settings.Practice); err != nil {
		return err
	}
	switch args[0] {
	case "add":
		r := practice.RoleOf(*role)
		if *label == "" || r != practice.Assistant && r != practice.Clinician {
			fmt.Fprintln(a.err, "staff add: -label is needed, and -role is clinician or assistant")
			return errUsage
		}
		if *lang != "" && !t.Words.Has(*lang) {
			return fmt.Errorf("there are no words in %q; there are %v", *lang, t.Words.Languages())
		}
		if other, ok := t.labelled(ctx, *label); ok {
			return fmt.Errorf("%s %s is called so already; a label names one person", other.ID, other.Label)
		}
		return t.invite(ctx, a, flows.StaffAdd, practice.Staff{ID: newStaffID(), Label: *label, Role: r, Lang: *lang})
	case "code", "remove", "pin":
		if *id == "" {
			fmt.Fprintf(a.err, "staff %s: -id is needed; list shows the ids\n", args[0])
			return errUsage
		}
		pr, err := t.Runner.Practice(ctx)
		if err != nil {
			return err
		}
		s, ok := pr.ByID(*id)
		if !ok || s.Removed {
			return fmt.Errorf("nobody has the id %q; list shows them", *id)
		}
		if args[0] == "code" {
			return t.invite(ctx, a, flows.StaffCode, s)
		}
		if args[0] == "pin" {
			if err := t.change(ctx, flows.StaffChange{Op: flows.StaffPIN, Staff: s}); err != nil {
				return err
			}
			fmt.Fprintf(a.out, "the PIN of %s %s is forgotten; the next signature sets another. Make sure who has the telephone.\n", s.ID, s.Label)
			return nil
		}
		if err := t.change(ctx, flows.StaffChange{Op: flows.StaffRemove, Staff: s}); err != nil {
			return err
		}
		fmt.Fprintf(a.out, "%s %s is removed; old buttons do nothing but say so\n", s.ID, s.Label)
		return nil
	case "group":
		return t.invite(ctx, a, flows.StaffGroup, practice.Staff{})
	case "list":
		return t.list(ctx, a)
	}
	fmt.Fprintf(a.err, "staff: there is no %q\n", args[0])
	return errUsage
}

// labelled finds who is called so now.
func (t *tool) labelled(ctx context.Context, label string) (practice.Staff, bool) {
	pr, err := t.Runner.Practice(ctx)
	if err != nil {
		return practice.Staff{}, false
	}
	for _, s := range pr.Staff {
		if !s.Removed && strings.EqualFold(strings.TrimSpace(s.Label), strings.TrimSpace(label)) {
			return s, true
		}
	}
	return practice.Staff{}, false
}

// invite prints a one-time link and a typed code.
func (t *tool) invite(ctx context.Context, a app, op flows.StaffOp, s practice.Staff) error {
	var seed [16]byte
	rand.Read(seed[:])
	head, start := flows.StaffHead, "start"
	if op == flows.StaffGroup {
		head, start = flows.GroupHead, "startgroup"
	}
	code := flows.NewCode(head, seed)
	err := t.change(ctx, flows.StaffChange{Op: op, Staff: s, Code: practice.Code{Hash: t.Runner.StaffKey(code),
		Staff: s.ID, Ends: t.Clock.Now().Add(program.CodeLife).Unix()}})
	if err != nil {
		return err
	}
	pr, err := t.Runner.Practice(ctx)
	if err != nil {
		return err
	}
	if s.ID != "" {
		fmt.Fprintf(a.out, "id    %s\n", s.ID)
	}
	if pr.BotName != "" {
		fmt.Fprintf(a.out, "link  %s\n", joinLink(pr.BotName, start, code))
	} else {
		fmt.Fprintln(a.out, "link  known once serve has run: open the bot and type the code")
	}
	ends := t.Clock.Now().Add(program.CodeLife)
	if z, err := scheduler.NewZones().Load(pr.Zone); err == nil {
		w := z.Wall(ends)
		fmt.Fprintf(a.out, "code  %s\nBoth work once, until %s (%s).\n", code, w.Clock, pr.Zone)
		return nil
	}
	fmt.Fprintf(a.out, "code  %s\nBoth work once, until %s.\n", code, ends.Format("15:04 MST"))
	return nil
}

func (t *tool) change(ctx context.Context, c flows.StaffChange) error {
	return t.Runner.Handle(ctx, scheduler.PracticeRef(), "staff/"+rand.Text(), c)
}

func (t *tool) list(ctx context.Context, a app) error {
	pr, err := t.Runner.Practice(ctx)
	if err != nil {
		return err
	}
	if len(pr.Staff) == 0 {
		fmt.Fprintln(a.out, "Nobody yet. Begin with: staff add -role clinician -label NAME")
		return nil
	}
	for _, s := range pr.Staff {
		where := "has not joined"
		switch {
		case s.Removed:
			where = "removed"
		case s.Unreach:
			where = "cannot be reached"
		case s.Chat != 0:
			where = "joined"
		}
		fmt.Fprintf(a.out, "%-10s %-10s %-24s %s\n", s.ID, s.Role, s.Label, where)
	}
	return nil
}

// joinLink is the platform's link that opens the bot with a code.
func joinLink(bot, start, code string) string {
	return "https://t.me/" + bot + "?" + start + "=" + code
}

func newStaffID() string { return "s" + rand.Text()[:8] }
