package sqlite

import (
	"errors"
	"fmt"
	"io"
	"os"

	"duskdawn/store"

	"golang.org/x/sys/windows"
)

// Hold takes the lock of the store's file, which lies beside it; ErrInUse where
// another program has it. It ends with the program, however that ends.
func Hold(path string) (io.Closer, error) {
	f, err := os.OpenFile(path+".lock", os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	const how = windows.LOCKFILE_EXCLUSIVE_LOCK | windows.LOCKFILE_FAIL_IMMEDIATELY
	if err := windows.LockFileEx(windows.Handle(f.Fd()), how, 0, 1, 0, &windows.Overlapped{}); err != nil {
		_ = f.Close()
		if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
			return nil, fmt.Errorf("%w: stop the one that serves it first", store.ErrInUse)
		}
		return nil, fmt.Errorf("locking %s.lock: %w", path, err)
	}
	return f, nil
}

// links is how many names a file has, as far as is known.
func links(string) (int, error) { return 1, nil }
