package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"strings"

	"duskdawn/flows/why"
	"duskdawn/locales"
)

// explain prints what a rule, a red flag, a blank of the plan or a number is and what it
// rests on; without a name, what can be asked.
func explain(_ context.Context, a app, args []string) error {
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
				fmt.Fprintf(a.err, "why: unexpected %q; ask for one at a time\n", f.Arg(0))
				return errUsage
			}
			asked, args = f.Arg(0), f.Args()[1:]
		}
	}
	words, err := a.wordsIn(*lang)
	if err != nil {
		return err
	}
	lines, ok := why.Why(asked)
	switch {
	case asked == "":
		lines = why.WhyList("")
	case !ok:
		var said []string
		for _, l := range why.WhyList(asked) {
			said = append(said, locales.Plain(words.Line(*lang, l)))
		}
		return errors.New(strings.Join(said, "\n"))
	}
	for _, l := range lines {
		fmt.Fprintln(a.out, locales.Plain(words.Line(*lang, l)))
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
