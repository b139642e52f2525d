package setup

import (
	"errors"
	"fmt"
	"io"
	"os"
)

// Most bytes of files that people name.
const (
	settingsMost = 1 << 20  // settings, plans, secrets
	RecordsMost  = 64 << 20 // diaries, courses, labelled sentences: a year's course has some hundred thousand bytes
	MediaMost    = 50 << 20 // pictures and films: the platform takes no more from a bot (its Bot API, "Sending files")
)

// Open opens a file that somebody named, to be read. What is no regular file is
// refused unopened: a device may have no end, and a pipe may wait for ever. Reading
// past so many bytes is an error.
func Open(path string, most int64) (io.ReadCloser, error) {
	if err := regular(os.Stat(path)); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	if err := regular(f.Stat()); err != nil { // another one has taken its place
		return nil, errors.Join(fmt.Errorf("%s: %w", path, err), f.Close())
	}
	return &bounded{File: f, left: most, most: most}, nil
}

// errIrregular is of a pipe, a device, a folder or the like.
var errIrregular = errors.New("it is no regular file")

func regular(info os.FileInfo, err error) error {
	if err == nil && !info.Mode().IsRegular() {
		err = errIrregular
	}
	var path *os.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	return err
}

// bounded is a file of which only so much is read.
type bounded struct {
	*os.File
	left, most int64
}

func (b *bounded) Read(p []byte) (int, error) {
	if int64(len(p)) > b.left+1 {
		p = p[:b.left+1]
	}
	n, err := b.File.Read(p)
	if b.left -= int64(n); b.left < 0 {
		return 0, fmt.Errorf("%s has more than %d bytes", b.Name(), b.most)
	}
	return n, err
}

// ReadFile reads a file that somebody named, as Open opens it.
func ReadFile(path string, most int64) ([]byte, error) {
	f, err := Open(path, most)
	if err != nil {
		return nil, err
	}
	raw, err := io.ReadAll(f)
	return raw, errors.Join(err, f.Close())
}
