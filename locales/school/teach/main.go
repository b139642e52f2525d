// Command teach writes the weights of the nets. It runs in package school's folder, by go generate.
package main

import (
	"errors"
	"fmt"
	"os"

	"duskdawn/locales/school"
)

func main() {
	t, err := school.Teach(os.DirFS(".."))
	if err == nil {
		err = errors.Join(os.WriteFile("../danger/net.bin", t.Dangers, 0o644), os.WriteFile("../answer/tagger.bin", t.Tagger, 0o644),
			os.WriteFile("../answer/verdicts.bin", t.Verdicts, 0o644))
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "teach:", err)
		os.Exit(1)
	}
	fmt.Print(t.Report)
}
