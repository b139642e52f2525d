package program

import (
	"os"
	"time"

	"duskdawn/store/sqlite"
)

// A whole copy leaves a mark beside the file it was made of, empty and of its
// time, so that serve can tell how old the last one is.
const copiedMark = ".copied"

func MarkCopied(path string) error {
	if err := os.WriteFile(path+copiedMark, nil, 0o600); err != nil {
		return err
	}
	now := time.Now()
	return os.Chtimes(path+copiedMark, now, now)
}

func (p *Program) backedUp() time.Time {
	if file, ok := p.Store.(*sqlite.Store); ok {
		if info, err := os.Stat(file.Path() + copiedMark); err == nil {
			return info.ModTime()
		}
	}
	return time.Time{}
}
