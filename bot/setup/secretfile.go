package setup

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"

	"duskdawn/flows/message"
)

// secretMost is the most bytes a file of settings may have.
const secretMost = 1 << 20

// FromDisk reads a file of settings or with a secret, and its mode. What is no regular
// file is refused unopened: a device may have no end, and a pipe may wait for ever.
func FromDisk(path string) ([]byte, fs.FileMode, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, 0, err
	}
	if !info.Mode().IsRegular() {
		return nil, 0, fmt.Errorf("%s is no regular file", path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, err
	}
	text, err := io.ReadAll(io.LimitReader(f, secretMost+1))
	if err = errors.Join(err, f.Close()); err == nil && len(text) > secretMost {
		err = fmt.Errorf("%s has more than %d bytes", path, secretMost)
	}
	return text, info.Mode(), err
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
