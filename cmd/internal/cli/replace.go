package cli

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"emberquilt/habitat/leftover"
)

// takesPlace refuses outputs that would take the place of what they should not: of a
// file that the command reads, of the property file or any other one, of another
// output of the same command. Nothing is written then.
func (a *terminal) takesPlace(all []output) error {
	names := map[string]string{}
	for _, o := range all {
		if o.Path == "" || o.Path == "-" {
			continue
		}
		full, err := filepath.Abs(o.Path)
		if err != nil {
			full = o.Path
		}
		if folder, err := filepath.EvalSymlinks(filepath.Dir(full)); err == nil {
			full = filepath.Join(folder, filepath.Base(full))
		}
		if names[full] != "" {
			return refused(o.Path, "two outputs of this command have this name", "a name for each")
		}
		names[full] = o.Path
		info, err := os.Stat(o.Path)
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		for _, read := range a.inputs {
			if os.SameFile(read, info) {
				return refused(o.Path, "this command reads this file, and would write over it", "another name")
			}
		}
		for other := range names {
			if there, err := os.Stat(other); err == nil && other != full && os.SameFile(there, info) {
				return refused(o.Path, "another output of this command is the same file", "a file for each")
			}
		}
		if info.Mode().Perm()&0o200 == 0 && !a.replace {
			return refused(o.Path, "is write-protected", "another name, or --replace")
		}
		if head, _ := ends(o.Path); bytes.HasPrefix(head, []byte(databaseMark)) && formOf(head) != geoPackage {
			return refused(o.Path, "is a property file or another database, which no paper takes the place of", "another name")
		}
	}
	return nil
}

func refused(path, found, accepts string) error {
	return usagef("%s: %s; accepts %s", path, found, accepts)
}

// databaseMark begins every property file, and every GeoPackage, which holds its own
// mark at applicationAt.
const (
	databaseMark  = "SQLite format 3\x00"
	applicationAt = 68
	geoPackage    = "GPKG"
)

// endBytes is how much of a file's beginning and end tells whose it is.
const endBytes = 64 << 10

// ends reads the beginning and the end of a file.
func ends(path string) (head, tail []byte) {
	file, err := os.Open(path)
	if err != nil {
		return nil, nil
	}
	defer file.Close()
	head, _ = io.ReadAll(io.LimitReader(file, endBytes))
	if info, err := file.Stat(); err == nil && info.Size() > endBytes {
		tail, _ = io.ReadAll(io.NewSectionReader(file, info.Size()-endBytes, endBytes))
	}
	return head, tail
}

// checkOld refuses to take the place of a file that this program did not write; a
// finished file stands ready beside it. --replace allows it.
func (a *terminal) checkOld(d *draft, path string) error {
	if d.target == "" || a.replace {
		return nil
	}
	if info, err := os.Stat(d.target); err != nil || info.Size() == 0 {
		return nil
	}
	if sameMaker(d.target, d.file.Name()) {
		return nil
	}
	return refused(path, "is there already, and emberquilt did not write it, or wrote it with other columns", "another name, or --replace")
}

// pageMark and calendarMark say who made a page and a calendar.
const (
	pageMark     = `<meta name="generator" content="` + programMark
	calendarMark = "PRODID:-//" + programMark + "//"
)

// isPage tells HTML from the other forms that begin with <.
func isPage(head []byte) bool {
	head = bytes.ToLower(head[:min(len(head), 100)])
	return bytes.HasPrefix(head, []byte("<!doctype html")) || bytes.HasPrefix(head, []byte("<html"))
}

// programMark stands in every file of ours that has a place for it.
const programMark = "emberquilt"

// sameMaker reports whether a file looks like one that this program wrote, of the
// same form as the new one. Forms with a place for the maker's name must hold it:
// HTML, SVG, KML, PDF, calendars, workbooks. Of the others JSON begins alike, a table
// has the same columns, and a ZIP file the same entries.
func sameMaker(old, fresh string) bool {
	a, end := ends(old)
	b, _ := ends(fresh)
	form := formOf(b)
	if formOf(a) != form {
		return false
	}
	switch form {
	case "<":
		if isPage(a) || isPage(b) { // which may be about this program, and another's
			return bytes.Contains(a, []byte(pageMark))
		}
		return holdsMark(a) || holdsMark(end)
	case "BEGIN:VCALENDAR": // another program's holds our events, once they were imported
		return bytes.Contains(a, []byte(calendarMark))
	case "%PDF", geoPackage:
		return holdsMark(a) || holdsMark(end)
	case "PK":
		return sameArchive(old, fresh)
	case "{":
		return bytes.HasPrefix(b, a[:min(len(a), alikeBytes)])
	}
	first, _, _ := bytes.Cut(a, []byte{'\n'})
	second, _, _ := bytes.Cut(b, []byte{'\n'})
	return bytes.Equal(first, second)
}

// alikeBytes is how far documents of one form of ours are the same.
const alikeBytes = 42

func formOf(head []byte) string {
	head = bytes.TrimPrefix(head, []byte("\xef\xbb\xbf"))
	if bytes.HasPrefix(head, []byte(databaseMark)) && len(head) > applicationAt && bytes.HasPrefix(head[applicationAt:], []byte(geoPackage)) {
		return geoPackage
	}
	for _, form := range []string{"%PDF", "PK", "BEGIN:VCALENDAR", "<", "{"} {
		if bytes.HasPrefix(head, []byte(form)) {
			return form
		}
	}
	return ""
}

// signed writes a drawing under a line that says whose it is.
func signed(w io.Writer, draw func(io.Writer) error) error {
	if _, err := io.WriteString(w, "<!-- "+programMark+" -->\n"); err != nil {
		return err
	}
	return draw(w)
}

func holdsMark(text []byte) bool {
	var wide []byte // PDF writes names in UTF-16
	for _, letter := range []byte(programMark) {
		wide = append(wide, 0, letter)
	}
	return bytes.Contains(text, []byte(programMark)) || bytes.Contains(text, wide)
}

// sameArchive compares two ZIP files: both are workbooks of ours, or their entries have
// the same names.
func sameArchive(old, fresh string) bool {
	a, err := zip.OpenReader(old)
	if err != nil {
		return false
	}
	defer a.Close()
	b, err := zip.OpenReader(fresh)
	if err != nil {
		return false
	}
	defer b.Close()
	if entry, err := a.Open("docProps/core.xml"); err == nil {
		defer entry.Close()
		text, _ := io.ReadAll(io.LimitReader(entry, endBytes))
		return bytes.Contains(text, []byte(programMark))
	}
	return slices.Equal(entryNames(&a.Reader), entryNames(&b.Reader))
}

func entryNames(z *zip.Reader) []string {
	var names []string
	for _, f := range z.File {
		names = append(names, f.Name)
	}
	slices.Sort(names)
	return names
}

// unfinishedName names a file or folder that is not finished, beside its target.
func unfinishedName(target string) string {
	return filepath.Join(filepath.Dir(target), fmt.Sprintf("%s%08x%s", leftover.Name(unfinishedPrefix(target)), rand.Uint32(), unfinishedEnding))
}

const unfinishedEnding = ".part"

func unfinishedPrefix(target string) string { return "." + filepath.Base(target) + "." }

// sweep takes away what killed runs left beside a target: unfinished files and folders
// of its name.
func sweep(target string) {
	leftover.Sweep(filepath.Dir(target), unfinishedPrefix(target), func(rest string) bool {
		random, isUnfinished := strings.CutSuffix(rest, unfinishedEnding)
		return isUnfinished && len(random) == 8
	})
}
