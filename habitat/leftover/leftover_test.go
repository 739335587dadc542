package leftover

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// What a process of this machine that is gone left goes, what another machine left goes
// after a week, and what is in use or not ours stays.
func TestSweep(t *testing.T) {
	folder := t.TempDir()
	const gone, prefix = 999_999_999, ".book.html." // above what any system numbers
	here := prefix + machine()
	there := prefix + "00000001"
	if there == here {
		there = prefix + "00000002"
	}
	weekAgo := time.Now().Add(-foreignTime - time.Hour)
	names := map[string]struct{ old, stays bool }{
		fmt.Sprintf("%s-%d-mine", here, gone):                  {},
		Name(prefix) + "mine":                                  {stays: true},
		fmt.Sprintf("%s-%d-yours", here, gone):                 {stays: true},
		fmt.Sprintf("%s-%d", here, gone):                       {stays: true},
		fmt.Sprintf("%s-x%d-mine", here, gone):                 {stays: true},
		fmt.Sprintf("%s-0-mine", here):                         {stays: true},
		fmt.Sprintf("%s-%d-mine", there, os.Getpid()):          {old: true},
		fmt.Sprintf("%s-%d-mine", there, gone):                 {stays: true},
		fmt.Sprintf(".other.html.%s-%d-mine", machine(), gone): {stays: true},
		fmt.Sprintf("%s%d-mine", prefix, gone):                 {old: true, stays: true},
		"book.html":                                            {old: true, stays: true},
	}
	for name, of := range names {
		path := filepath.Join(folder, name)
		if err := os.MkdirAll(filepath.Join(path, "inner"), 0o777); err != nil {
			t.Fatal(err)
		}
		if of.old {
			if err := os.Chtimes(path, weekAgo, weekAgo); err != nil {
				t.Fatal(err)
			}
		}
	}
	Sweep(folder, prefix, func(rest string) bool { return rest == "mine" })
	for name, of := range names {
		if _, err := os.Lstat(filepath.Join(folder, name)); (err == nil) != of.stays {
			t.Errorf("%s: stays %v, want %v", name, err == nil, of.stays)
		}
	}
}

// A name that fits a file system alone fits it while it is unfinished, and is found again.
func TestLongNames(t *testing.T) {
	folder := t.TempDir()
	for _, prefix := range []string{"." + strings.Repeat("a", 250) + ".", "." + strings.Repeat("ä", 125) + "."} {
		name := Name(prefix) + "01234567.part"
		if err := os.Mkdir(filepath.Join(folder, name), 0o777); err != nil {
			t.Fatal(err)
		}
		left := filepath.Join(folder, strings.Replace(name, fmt.Sprintf("-%d-", os.Getpid()), "-999999999-", 1))
		if err := os.Mkdir(left, 0o777); err != nil {
			t.Fatal(err)
		}
		Sweep(folder, prefix, func(string) bool { return true })
		if _, err := os.Lstat(left); err == nil {
			t.Errorf("%s stays", left)
		}
		if _, err := os.Lstat(filepath.Join(folder, name)); err != nil {
			t.Error(err)
		}
	}
}
