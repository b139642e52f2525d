package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"duskdawn/bot/hearing"
	"duskdawn/bot/setup"
	"duskdawn/locales"
	"duskdawn/locales/sentence"
)

// readText prints how a text is read, or how well a file of labelled sentences is.
func readText(_ context.Context, a app, args []string) error {
	f := a.flags("read", `how a text is read: read "pain 3, wore it all night"; with -file, how well labelled sentences are`)
	lang := f.String("lang", locales.Source, "language of the answer")
	why := f.Bool("why", false, "say what carried each answer and danger")
	file := f.String("file", "", "sentences to measure, or a folder of such files: class, text and expected values a line, apart by tabs")
	format := f.String("format", "text", "text or json")
	misses := f.Int("misses", -1, "with -file: how many misses to list, -1 for all")
	if err := f.Parse(args); errors.Is(err, flag.ErrHelp) {
		return err
	} else if err != nil {
		return errUsage
	}
	text := strings.Join(f.Args(), " ")
	if (*file == "") == (text == "") || *format != "text" && *format != "json" {
		fmt.Fprintln(a.err, "read: give a text or a file, and text or json for the format")
		return errUsage
	}
	words, err := a.wordsIn(*lang)
	if err != nil {
		return err
	}
	if *file == "" {
		heard := hearing.Hear(words, *lang, text, *why)
		if *format == "json" {
			return a.json(heard)
		}
		return heard.Print(a.out)
	}
	all, err := sentencesOf(*file)
	if err != nil {
		return err
	}
	report, err := hearing.Measure(words, all)
	if err != nil {
		return err
	}
	if *misses >= 0 {
		report.Misses = report.Misses[:min(*misses, len(report.Misses))]
	}
	if *format == "json" {
		return a.json(report)
	}
	return report.Print(a.out)
}

// sentencesOf reads a file of labelled sentences, or every one of a folder.
func sentencesOf(name string) ([]sentence.Sentence, error) {
	about, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	if about.IsDir() {
		return sentencesIn(name)
	}
	f, err := setup.Open(name, setup.RecordsMost)
	if err != nil {
		return nil, err
	}
	all, err := sentence.Read(f)
	if err = errors.Join(err, f.Close()); err != nil {
		return nil, fmt.Errorf("reading %s: %w", name, err)
	}
	for i := range all {
		all[i].File = filepath.Base(name)
	}
	return all, nil
}

// sentencesIn reads every file of a folder, and nothing that is no regular file.
func sentencesIn(folder string) ([]sentence.Sentence, error) {
	names, err := filepath.Glob(filepath.Join(folder, "*.tsv"))
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		f, err := setup.Open(name, setup.RecordsMost)
		if err == nil {
			err = f.Close()
		}
		if err != nil {
			return nil, err
		}
	}
	return sentence.Folder(os.DirFS(folder))
}

// json writes a value as indented JSON.
func (a app) json(v any) error {
	enc := json.NewEncoder(a.out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}
