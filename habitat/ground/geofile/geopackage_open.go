package geofile

import (
	"errors"
	"os"
	"path/filepath"
	"time"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/leftover"
	"emberquilt/habitat/source"
)

// Beside a database SQLite keeps, behind its name, what was saved and is not in it yet (a
// write-ahead log, which map programs use while they have the file open), or what takes
// back pages that were written and never saved (a journal). Source: sqlite.org, File
// format, 3 and 4.
const (
	logEnding     = "-wal"
	journalEnding = "-journal"
)

// logVersion is the byte of a database's header that says whether it uses a log.
const (
	logVersionAt = 18
	logVersion   = 2
)

// mostCopies is how often a database is copied that changes meanwhile.
const mostCopies = 5

// copyName is the name of a copy in a folder of its own.
const copyName = "copy.gpkg"

// settled gives the path of a database as it was saved last, which is a copy where another
// program has left something beside it; isCopy may be written to. remove takes the copy
// away.
func settled(path, name string) (whole string, isCopy bool, remove func(), err error) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	remove = func() {}
	if !holdsSomething(path+logEnding) && !holdsSomething(path+journalEnding) {
		return path, false, remove, nil
	}
	folder, err := leftover.Folder()
	if err != nil {
		return "", false, remove, err
	}
	remove = func() { os.RemoveAll(folder) }
	whole = filepath.Join(folder, copyName)
	for range mostCopies {
		before := stampsOf(path)
		if err := copyDatabase(path, whole); err != nil {
			remove()
			return "", false, func() {}, err
		}
		if stampsOf(path) == before {
			return whole, true, remove, nil
		}
	}
	remove()
	return "", false, func() {}, &source.Error{
		Position: source.Position{File: name},
		Found:    "another program is writing it",
		Accepts:  "a file that stays as it is while it is read",
		Hint:     "close it in that program first",
	}
}

func holdsSomething(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Size() > 0
}

// stampsOf tells whether a database or what lies beside it changed.
func stampsOf(path string) (stamps [3]struct {
	size int64
	at   time.Time
}) {
	for i, ending := range []string{"", logEnding, journalEnding} {
		if info, err := os.Stat(path + ending); err == nil {
			stamps[i].size, stamps[i].at = info.Size(), info.ModTime()
		}
	}
	return stamps
}

func copyDatabase(path, to string) error {
	for _, ending := range []string{"", logEnding, journalEnding} {
		data, err := readFile(path + ending)
		switch {
		case ending != "" && errors.Is(err, os.ErrNotExist):
			err = os.Remove(to + ending) // of a copy before
			if errors.Is(err, os.ErrNotExist) {
				err = nil
			}
		case err == nil:
			err = os.WriteFile(to+ending, data, 0o600)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// sayLog says that a database uses a log and lies without it.
func (b *builder) sayLog(path string) error {
	file, err := os.Open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	version := make([]byte, 1)
	if _, err := file.ReadAt(version, logVersionAt); err != nil || version[0] != logVersion {
		return nil // too short for a database, which is said where it is read
	}
	if _, err := os.Stat(path + logEnding); err != nil {
		b.say(ground.Assumed, "its writer keeps what it saved last in a file beside it, whose name ends in %s and which is not there; "+
			"if a program still had it open when it was copied, what it saved last may be missing", logEnding)
	}
	return nil
}
