package siege

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// smallDisk is a file system of its own in memory and what fills it to the last
// block. Where none may be mounted it is a directory that never is full, and the
// log says so.
func smallDisk(t *testing.T) (dir string, full func() func()) {
	t.Helper()
	dir = t.TempDir()
	if err := syscall.Mount("none", dir, "tmpfs", 0, "size=256m,mode=0700"); err != nil {
		t.Logf("no disk becomes full here: a file system may not be mounted: %v", err)
		return dir, nil
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	filler := filepath.Join(dir, "filler")
	return dir, func() func() {
		f, err := os.Create(filler)
		if err != nil {
			t.Error(err)
			return func() {}
		}
		block := make([]byte, 1<<20)
		for size := len(block); size >= 512; { // ever smaller pieces, until none fits
			if _, err := f.Write(block[:size]); err != nil {
				size /= 2
			}
		}
		if err := f.Close(); err != nil {
			t.Error(err)
		}
		return func() {
			if err := os.Remove(filler); err != nil {
				t.Error(err)
			}
		}
	}
}
