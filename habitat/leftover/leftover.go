// Package leftover names what is there for the time of a command alone, unfinished files
// and folders of copies, by the process that writes them, and takes away what processes
// that were killed left behind.
package leftover

import (
	"fmt"
	"hash/fnv"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode/utf8"
)

const (
	// longestPrefix, in bytes, leaves room for the rest of a name: file systems take 255.
	longestPrefix = 180
	// foreignTime is how long what another machine left stays: a folder may be shared, and
	// nothing here tells which processes run over there.
	foreignTime = 7 * 24 * time.Hour
)

// Name begins the name of something that this process takes away when it is done: the
// prefix, cut where it is very long, the machine and the process. What follows is the
// caller's.
func Name(prefix string) string {
	return fmt.Sprintf("%s%s-%d-", cut(prefix), machine(), os.Getpid())
}

func cut(prefix string) string {
	for len(prefix) > longestPrefix {
		_, size := utf8.DecodeLastRuneInString(prefix)
		prefix = prefix[:len(prefix)-size]
	}
	return prefix
}

// machine is a number of the machine's name, in eight digits.
var machine = sync.OnceValue(func() string {
	name, _ := os.Hostname() // without one, all that have none are one machine
	sum := fnv.New32a()
	sum.Write([]byte(name))
	return fmt.Sprintf("%08x", sum.Sum32())
})

// Sweep takes out of a folder what was left: whatever has a Name of the prefix, of a
// process of this machine that is gone or of another machine a week ago, and a rest that
// is the caller's. What cannot be taken away stays for the next time.
func Sweep(folder, prefix string, isRest func(rest string) bool) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return
	}
	for _, entry := range entries {
		named, isOurs := strings.CutPrefix(entry.Name(), cut(prefix))
		from, named, hasProcess := strings.Cut(named, "-")
		number, rest, hasRest := strings.Cut(named, "-")
		process, err := strconv.Atoi(number)
		if !isOurs || !hasProcess || !hasRest || len(from) != len(machine()) || err != nil || process <= 0 || !isRest(rest) {
			continue
		}
		if from == machine() && !isAlive(process) || from != machine() && isOld(entry) {
			os.RemoveAll(filepath.Join(folder, entry.Name()))
		}
	}
}

func isOld(entry fs.DirEntry) bool {
	info, err := entry.Info()
	return err == nil && time.Since(info.ModTime()) > foreignTime
}

// folderPrefix begins the names of folders of copies.
const folderPrefix = "emberquilt-"

// Folder makes a folder among the system's temporary files that its owner alone can read,
// for copies while a command works on them, and takes away those that killed processes left.
func Folder() (string, error) {
	Sweep(os.TempDir(), folderPrefix, isNumber)
	return os.MkdirTemp("", Name(folderPrefix))
}

// isNumber tells what os.MkdirTemp ends a name with.
func isNumber(rest string) bool {
	_, err := strconv.ParseUint(rest, 10, 64)
	return err == nil
}
