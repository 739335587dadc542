package store

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"emberquilt/habitat/leftover"
	"emberquilt/habitat/source"
)

// temporaryBeside makes an empty file in the folder of a path. Unlike those of
// os.CreateTemp it may be read by whom the user's umask lets.
func temporaryBeside(path string) (string, error) {
	leftover.Sweep(filepath.Dir(path), besidePrefix, isBeside)
	for n := 0; ; n++ {
		name := filepath.Join(filepath.Dir(path), leftover.Name(besidePrefix)+strconv.Itoa(n)+besideEnding)
		f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o666)
		if errors.Is(err, fs.ErrExist) && n < 1000 {
			continue
		}
		if err != nil {
			return "", err
		}
		return name, f.Close()
	}
}

const (
	besidePrefix = ".emberquilt-"
	besideEnding = ".part"
)

func isBeside(rest string) bool {
	return strings.HasSuffix(strings.TrimSuffix(rest, "-journal"), besideEnding)
}

// moveNew gives a finished file its name, unless something has that name.
func moveNew(from, to string) error {
	if err := syncFile(from); err != nil {
		return err
	}
	// A link fails where the name is taken; a rename would replace. Not every
	// file system has links, and there a look before must do.
	err := os.Link(from, to)
	if errors.Is(err, fs.ErrExist) {
		return faultOf(ErrExists, to, "the name of a file that does not exist yet", "", "exists already")
	}
	if err != nil {
		if _, err := os.Lstat(to); err == nil {
			return faultOf(ErrExists, to, "the name of a file that does not exist yet", "", "exists already")
		}
		if err := os.Rename(from, to); err != nil { // which names the temporary file
			return faultOf(ErrReadOnly, to, "a name in a folder that exists and may be written", "", "cannot be made (%v)", plainCause(err))
		}
	}
	syncFolder(filepath.Dir(to))
	return nil
}

// syncFile brings a file to the disk. It is opened for writing: some systems
// sync nothing else.
func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// syncFolder brings the names in a folder to the disk, where the system can.
func syncFolder(path string) {
	if f, err := os.Open(path); err == nil {
		f.Sync()
		f.Close()
	}
}

// plainCause gives the innermost reason of a file error, without the path.
func plainCause(err error) error {
	var pathErr *fs.PathError
	if errors.As(err, &pathErr) {
		return pathErr.Err
	}
	var linkErr *os.LinkError
	if errors.As(err, &linkErr) {
		return linkErr.Err
	}
	return err
}

// renamed makes an error about a temporary file speak of the real one.
func renamed(err error, from, to string) error {
	var e *source.Error
	if errors.As(err, &e) && e.File == from {
		e.File = to
	}
	return err
}
