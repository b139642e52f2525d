// Package disk is a file layer under SQLite for tests: it notes what is written
// and synced, in order, and can be full. It wraps the engine's own layer, so
// everything else is as it is in the program.
package disk

import (
	"errors"
	"strings"
	"sync"
	"unsafe"

	"modernc.org/libc"
	lib "modernc.org/sqlite/lib"
)

// Note is one thing that happened to a file.
type Note struct {
	File string
	Sync bool   // the file was synced; otherwise data was written
	Data []byte // what was written
}

// disk is the one layer of the process.
var disk struct {
	sync.Mutex
	err     error
	once    sync.Once
	names   map[uintptr]string                   // of open files
	methods map[uintptr]uintptr                  // ours, by the engine's own
	under   map[uintptr]*lib.Tsqlite3_io_methods // the engine's own, by ours
	watched map[string][]Note                    // by beginning of the path
	full    map[string]bool                      // the same
	open    uintptr                              // the engine's own way to open a file
}

// Install puts the layer under every file that is opened from now on.
func Install() error {
	disk.once.Do(func() {
		disk.names, disk.methods, disk.under = map[uintptr]string{}, map[uintptr]uintptr{},
			map[uintptr]*lib.Tsqlite3_io_methods{}
		disk.watched, disk.full = map[string][]Note{}, map[string]bool{}
		disk.err = install()
	})
	return disk.err
}

var errEngine = errors.New("disk: the engine does not take the layer")

func install() error {
	tls := libc.NewTLS()
	defer tls.Close()
	if lib.Xsqlite3_initialize(tls) != lib.SQLITE_OK {
		return errEngine
	}
	own := lib.Xsqlite3_vfs_find(tls, 0)
	size := unsafe.Sizeof(lib.Tsqlite3_vfs{})
	mine, name := libc.Xmalloc(tls, lib.Tsize_t(size)), libc.Xmalloc(tls, 16)
	if own == 0 || mine == 0 || name == 0 {
		return errEngine
	}
	copy(unsafe.Slice(at[byte](name), 16), "noted\x00")
	*at[lib.Tsqlite3_vfs](mine) = *at[lib.Tsqlite3_vfs](own)
	disk.open = at[lib.Tsqlite3_vfs](own).FxOpen
	at[lib.Tsqlite3_vfs](mine).FzName = name
	at[lib.Tsqlite3_vfs](mine).FpNext = 0
	at[lib.Tsqlite3_vfs](mine).FxOpen = pointer(&opening)
	if lib.Xsqlite3_vfs_register(tls, mine, 1) != lib.SQLITE_OK {
		return errEngine
	}
	return nil
}

// Watch notes what happens to the files whose paths begin so.
func Watch(path string) { set(func() { disk.watched[path] = nil }) }

// Notes is what happened since Watch.
func Notes(path string) (out []Note) {
	set(func() { out = append(out, disk.watched[path]...) })
	return out
}

// Len is how many notes there are.
func Len(path string) (n int) {
	set(func() { n = len(disk.watched[path]) })
	return n
}

// Fill makes the disk full for the files whose paths begin so, or gives it room again.
func Fill(path string, full bool) { set(func() { disk.full[path] = full }) }

func set(change func()) {
	disk.Lock()
	defer disk.Unlock()
	change()
}

// The engine's calls, as it makes them.
type (
	openFunc  = func(tls *libc.TLS, vfs, name, file uintptr, flags int32, outFlags uintptr) int32
	writeFunc = func(tls *libc.TLS, file, data uintptr, n int32, offset int64) int32
	syncFunc  = func(tls *libc.TLS, file uintptr, flags int32) int32
)

var (
	opening openFunc
	writing writeFunc
	syncing syncFunc
)

func init() { opening, writing, syncing = onOpen, onWrite, onSync }

// at reads an address of the engine's own memory, which the garbage collector does not know.
func at[T any](p uintptr) *T { return *(**T)(unsafe.Pointer(&p)) }

// pointer is a function as the engine keeps it, and function the way back.
func pointer[F any](f *F) uintptr { return *(*uintptr)(unsafe.Pointer(f)) }
func function[F any](p uintptr) F { return *(*F)(unsafe.Pointer(&p)) }

func onOpen(tls *libc.TLS, vfs, name, file uintptr, flags int32, outFlags uintptr) int32 {
	code := function[openFunc](disk.open)(tls, vfs, name, file, flags, outFlags)
	own := at[lib.Tsqlite3_file](file).FpMethods
	if code != lib.SQLITE_OK || own == 0 || name == 0 {
		return code
	}
	disk.Lock()
	defer disk.Unlock()
	mine, ok := disk.methods[own]
	if !ok {
		if mine = libc.Xmalloc(tls, lib.Tsize_t(unsafe.Sizeof(lib.Tsqlite3_io_methods{}))); mine == 0 {
			return code
		}
		*at[lib.Tsqlite3_io_methods](mine) = *at[lib.Tsqlite3_io_methods](own)
		at[lib.Tsqlite3_io_methods](mine).FxWrite, at[lib.Tsqlite3_io_methods](mine).FxSync = pointer(&writing),
			pointer(&syncing)
		disk.methods[own], disk.under[mine] = mine, at[lib.Tsqlite3_io_methods](own)
	}
	at[lib.Tsqlite3_file](file).FpMethods = mine
	disk.names[file] = libc.GoString(name)
	return code
}

func onWrite(tls *libc.TLS, file, data uintptr, n int32, offset int64) int32 {
	own, full := note(file, false, unsafe.Slice(at[byte](data), n))
	if full {
		return lib.SQLITE_FULL
	}
	return function[writeFunc](own.FxWrite)(tls, file, data, n, offset)
}

func onSync(tls *libc.TLS, file uintptr, flags int32) int32 {
	disk.Lock()
	own := disk.under[at[lib.Tsqlite3_file](file).FpMethods]
	disk.Unlock()
	code := function[syncFunc](own.FxSync)(tls, file, flags)
	if code == lib.SQLITE_OK {
		note(file, true, nil) // only now is it on the disk
	}
	return code
}

// note remembers what happens to a file, and gives the engine's own methods of it.
func note(file uintptr, sync bool, data []byte) (own *lib.Tsqlite3_io_methods, full bool) {
	disk.Lock()
	defer disk.Unlock()
	name := disk.names[file]
	own = disk.under[at[lib.Tsqlite3_file](file).FpMethods]
	for path, is := range disk.full {
		full = full || is && strings.HasPrefix(name, path)
	}
	for path := range disk.watched {
		if !full && strings.HasPrefix(name, path) {
			disk.watched[path] = append(disk.watched[path], Note{name, sync, append([]byte(nil), data...)})
		}
	}
	return own, full
}
