package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"strings"

	"duskdawn/flows"
	"duskdawn/locales"
)

// why prints what a rule, a red flag or a blank of the plan is and what it
// rests on; without a name, what can be asked.
func why(_ context.Context, a app, args []string) error {
	f := a.flags("why", "what a rule, a red flag or a limit is and what it rests on: why P07, why pain.severe, why step-mm")
	lang := f.String("lang", locales.Source, "language of the answer")
	asked := ""
	for first := true; first || f.NArg() > 0; first = false { // the flag may stand before the name or after it
		if err := f.Parse(args); errors.Is(err, flag.ErrHelp) {
			return err
		} else if err != nil {
			return errUsage
		}
		if f.NArg() > 0 {
			if asked != "" {
				fmt.Fprintf(a.err, "why: unexpected %q\n", f.Arg(0))
				return errUsage
			}
			asked, args = f.Arg(0), f.Args()[1:]
		}
	}
	words, err := a.wordsIn(*lang)
	if err != nil {
		return err
	}
	say := func(l flows.Line) { fmt.Fprintln(a.out, locales.Plain(words.Line(*lang, l))) }
	if asked != "" {
		lines, ok := flows.Why(asked)
		if !ok {
			return errors.New(words.Line(*lang, flows.Say("why.unknown", flows.ArgS("said", asked))))
		}
		for _, l := range lines {
			say(l)
		}
		return nil
	}
	rules, reds, blanks := flows.WhyKinds()
	say(flows.Say("why.list"))
	for _, kind := range []struct {
		head string
		ids  []string
	}{{"why.list.rules", rules}, {"why.list.flags", reds}, {"why.list.fields", blanks}} {
		say(flows.Say(kind.head))
		fmt.Fprintf(a.out, "  %s\n", strings.Join(kind.ids, ", "))
	}
	return nil
}

// wordsIn loads the words and refuses a language without them.
func (a app) wordsIn(lang string) (*locales.Words, error) {
	words, err := locales.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the words: %w", err)
	}
	if !words.Has(lang) {
		return nil, fmt.Errorf("there is no language %q", lang)
	}
	return words, nil
}
