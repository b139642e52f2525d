// Command teach writes the weights of the net of package danger. It runs in that package's folder, by go generate.
package main

import (
	"fmt"
	"os"

	"duskdawn/locales/danger/school"
)

func main() {
	buf, report, err := school.Teach(os.DirFS(".."))
	if err == nil {
		err = os.WriteFile("net.bin", buf, 0o644)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "teach:", err)
		os.Exit(1)
	}
	fmt.Print(report)
}
