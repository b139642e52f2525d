//go:build unix

package sqlite

import (
	"errors"
	"fmt"
	"io"
	"os"

	"duskdawn/store"

	"golang.org/x/sys/unix"
)

// Hold takes the lock of the store's file, which lies beside it; ErrInUse where
// another program has it. It ends with the program, however that ends.
func Hold(path string) (io.Closer, error) {
	f, err := os.OpenFile(path+".lock", os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		_ = f.Close()
		if errors.Is(err, unix.EWOULDBLOCK) {
			return nil, fmt.Errorf("%w: stop the one that serves it first", store.ErrInUse)
		}
		return nil, fmt.Errorf("locking %s.lock: %w", path, err)
	}
	return f, nil
}

// links is how many names a file has.
func links(path string) (int, error) {
	var info unix.Stat_t
	if err := unix.Stat(path, &info); err != nil {
		return 0, err
	}
	return int(info.Nlink), nil
}
