package cli

import (
	"bufio"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"emberquilt/cmd/internal/app"
)

// demoMarker is the file by which the demo knows a folder of its own. It lists what
// the demo wrote: a line a file, its checksum and its name.
const demoMarker = ".emberquilt-demo"

const demoMarkerTitle = "This folder is written by emberquilt demo, which writes these files anew when it runs again:"

// newDemoFolder begins a folder beside its place.
func newDemoFolder(folder string) (string, error) {
	parent := filepath.Dir(folder)
	if err := os.MkdirAll(parent, 0o777); err != nil {
		return "", fmt.Errorf("make %s: %w", parent, cause(err))
	}
	sweep(folder)
	built := unfinishedName(folder)
	if err := os.Mkdir(built, 0o777); err != nil {
		return "", fmt.Errorf("make a folder beside %s: %w", folder, cause(err))
	}
	return built, nil
}

// writeMarker lists what stands in a finished folder.
func writeMarker(built string) error {
	sums, err := folderSums(built)
	if err != nil {
		return err
	}
	var text strings.Builder
	text.WriteString(demoMarkerTitle + "\n")
	for _, name := range sums.names {
		fmt.Fprintf(&text, "%s  %s\n", sums.of[name], name)
	}
	return os.WriteFile(filepath.Join(built, demoMarker), []byte(text.String()), 0o666)
}

// sums are the checksums of a folder's files by name, with slashes.
type sums struct {
	names []string
	of    map[string]string
}

func folderSums(folder string) (sums, error) {
	s := sums{of: map[string]string{}}
	err := filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name, err := filepath.Rel(folder, path)
		if err != nil {
			return err
		}
		name = filepath.ToSlash(name)
		sum := "" // a link or a device is nothing that the demo wrote
		if entry.Type().IsRegular() {
			if sum, err = app.Checksum(path); err != nil {
				return err
			}
		}
		if name != demoMarker {
			s.names, s.of[name] = append(s.names, name), sum
		}
		return nil
	})
	return s, err
}

// readMarker gives what the demo wrote into a folder.
func readMarker(folder string) map[string]string {
	written := map[string]string{}
	file, err := os.Open(filepath.Join(folder, demoMarker))
	if err != nil {
		return written
	}
	defer file.Close()
	lines := bufio.NewScanner(file)
	for lines.Scan() {
		if sum, name, ok := strings.Cut(lines.Text(), "  "); ok && len(sum) == sha256.Size*2 {
			written[name] = sum
		}
	}
	return written
}

// writtenAgain are those of papers, which are written again from what they rest on.
var writtenAgain = []string{".html", ".pdf", ".svg", ".ics", ".xlsx"}

// beforeEnding is added to the name of a property file in which a user has worked, and of
// a list or settings that a user altered.
const beforeEnding = ".before"

// keepUsers moves what a user put into the demo's folder over into the one that takes
// its place: files that the demo did not write, and the property files, lists and
// settings in which something was changed since, under a name of their own. It gives the names.
func keepUsers(old, built string) ([]string, error) {
	written := readMarker(old)
	there, err := folderSums(old)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var kept []string
	for _, name := range there.names {
		as := name
		switch sum, ours := written[name]; {
		case ours && (sum == there.of[name] || slices.Contains(writtenAgain, filepath.Ext(name))):
			continue
		case ours:
			as += beforeEnding
		case len(written) == 0 && isThere(filepath.Join(built, filepath.FromSlash(name))):
			// The marker of an older demo has no list.
			continue
		}
		to := filepath.Join(built, filepath.FromSlash(as))
		for n := 2; isThere(to); n++ {
			to = filepath.Join(built, filepath.FromSlash(fmt.Sprintf("%s%s-%d", name, beforeEnding, n)))
		}
		if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
			return nil, err
		}
		// A link keeps the old name until the whole folder has taken its place.
		from := filepath.Join(old, filepath.FromSlash(name))
		if err := os.Link(from, to); err != nil {
			if err := copyFile(from, to); err != nil {
				return nil, err
			}
		}
		within, err := filepath.Rel(built, to)
		if err != nil {
			return nil, err
		}
		kept = append(kept, filepath.ToSlash(within))
	}
	return kept, nil
}

func isThere(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// ownFolder refuses a folder that holds anything and is not the demo's.
func ownFolder(folder string) error {
	entries, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return usagef("%s is there and cannot be read as a folder; accepts a folder that does not exist, or one that the demo made", quote(folder))
	case len(entries) == 0:
		return nil
	}
	if _, err := os.Lstat(filepath.Join(folder, demoMarker)); err != nil {
		return usagef("%s holds files that the demo did not make; accepts a folder that does not exist, or one that the demo made", quote(folder))
	}
	return nil
}

// replaceFolder moves a finished folder to its place; what is there makes way
// first and is deleted last.
func replaceFolder(built, folder string) error {
	if err := os.Chmod(built, 0o755); err != nil {
		return err
	}
	aside := asideName(folder)
	err := os.Rename(folder, aside)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := os.Rename(built, folder); err != nil {
		os.Rename(aside, folder)
		return err
	}
	return os.RemoveAll(aside)
}

// asideName is where the old folder stands while the new one takes its place.
func asideName(folder string) string {
	return filepath.Join(filepath.Dir(folder), "."+filepath.Base(folder)+".old")
}

// mendSwap ends what a killed run had begun: the old folder goes back to its place
// where the new one did not get there, and away where it did.
func mendSwap(folder string) error {
	aside := asideName(folder)
	if !isThere(filepath.Join(aside, demoMarker)) {
		return nil
	}
	if !isThere(folder) {
		return os.Rename(aside, folder)
	}
	return os.RemoveAll(aside)
}
