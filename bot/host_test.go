package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/stage"
	"duskdawn/flows/chart"
)

// At the host of a rehearsal a second clinician, a second assistant, a patient and a
// group are brought in, by the commands of the host and on the rehearsal's clock, and
// staff are removed; a store that is a file is copied.
func TestRehearsalHost(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	house, err := stage.NewHouse(nil)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	house.Keep(filepath.Join(dir, "room.db"))
	house.WithHost(atHost)
	opened, err := house.Open(ctx, "enrolment")
	if err != nil {
		t.Fatal(err)
	}
	w := opened.(*stage.World)
	t.Cleanup(w.Close)
	host := func(line string) string {
		t.Helper()
		n := w.Heard(stage.UserHost)
		if err := w.Host(ctx, line); err != nil {
			t.Fatal(err)
		}
		return w.BotSaid(stage.UserHost, n)
	}
	find := func(who string) rehearsal.Chat {
		t.Helper()
		all := w.Chats()
		i := slices.IndexFunc(all, func(c rehearsal.Chat) bool { return c.Who == who && c.Room == 0 })
		if i < 0 {
			t.Fatalf("nobody is called %s", who)
		}
		return all[i]
	}
	code := regexp.MustCompile(`(?m)^code +(\S+)`)
	id := regexp.MustCompile(`(?m)^(?:id|patient) +(\S+)`)
	joins := func(who, command string) string {
		t.Helper()
		said := host(command)
		c := code.FindStringSubmatch(said)
		if c == nil {
			t.Fatalf("%s: %s", command, said)
		}
		host("person " + who)
		if err := w.Scene.Say(ctx, find(who).User, "/start "+c[1]); err != nil {
			t.Fatal(err)
		}
		return id.FindStringSubmatch(said)[1]
	}
	second := joins("Dr Rail", `staff add -role clinician -label "Dr Rail"`)
	joins("Wren", "staff add -role assistant -label Wren")
	if find("Dr Rail").Role != "clinician" || find("Wren").Role != "assistant" {
		t.Errorf("%+v %+v", find("Dr Rail"), find("Wren"))
	}
	plan, err := stage.Scenario.ReadFile("scenario/two.toml")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(plan), "Heron-04", "Teal-77", 1)
	if said := host("enrol\n" + text); !strings.Contains(said, "Nothing is kept") || !strings.Contains(said, "Worn nights between steps: 3") {
		t.Errorf("the dry run says %s", said)
	}
	joins("somebody new", "enrol -sign -clinician "+second+"\n"+text)
	if p, err := w.ByChat(find("Teal-77").User); err != nil || p.Label != "Teal-77" || p.Course.State >= chart.Settling {
		t.Errorf("%s %s %v", p.Label, p.Course.State, err)
	}
	host("group")
	if said := host("staff group"); code.FindStringSubmatch(said) == nil {
		t.Error(said)
	}
	if !slices.ContainsFunc(w.Chats(), func(c rehearsal.Chat) bool { return c.Who == "Dr Rail" && c.Room != 0 }) {
		t.Error("the second clinician is not in the new group")
	}
	host("staff remove -id " + second)
	if said := host("staff list"); !strings.Contains(said, "removed") {
		t.Error(said)
	}
	copied := filepath.Join(dir, "copy.db")
	if said := host("backup -to " + copied); !strings.Contains(said, "is whole") {
		t.Error(said)
	}
	if _, err := os.Stat(copied); err != nil {
		t.Error(err)
	}
	for _, line := range []string{"serve", "restore -from x", "staff add", "help", `staff add -role clinician -label "open`} {
		if said := host(line); said == "" {
			t.Errorf("%q is not answered", line)
		}
	}
}

func TestInWords(t *testing.T) {
	for line, want := range map[string]string{`staff add -label "Dr A"  -role x`: "staff|add|-label|Dr A|-role|x", `a 'b "c"' ""`: `a|b "c"|`,
		"": "", "  x": "x"} {
		if got := strings.Join(inWords(line), "|"); got != want {
			t.Errorf("%q: %q", line, got)
		}
	}
}
