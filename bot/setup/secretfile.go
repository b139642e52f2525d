package setup

import (
	"fmt"
	"io/fs"
	"os"
	"runtime"

	"duskdawn/flows/message"
)

// FromDisk reads a file of settings or with a secret, and its mode.
func FromDisk(path string) ([]byte, fs.FileMode, error) {
	text, err := ReadFile(path, settingsMost)
	if err != nil {
		return nil, 0, err
	}
	info, err := os.Stat(path)
	if err != nil {
		return nil, 0, err
	}
	return text, info.Mode(), nil
}

// others are the permissions by which somebody else reads or changes a file. That
// its group reads it is not among them: a service's user often reads so.
const others fs.FileMode = 0o027

// Exposed remarks that others can read or change a file which holds a secret, as
// its mode says. It refuses nothing: a bot that does not start helps nobody.
func Exposed(key, path string, mode fs.FileMode) []Fault {
	if runtime.GOOS == "windows" || mode.Perm()&others == 0 { // there a mode says nothing of who may read
		return nil
	}
	f := fault(key, 0, "setup.bad.exposed", message.ArgS("path", path), message.ArgS("mode", fmt.Sprintf("%04o", mode.Perm())))
	f.Soft = true
	return []Fault{f}
}
