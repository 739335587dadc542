package store

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"emberquilt/habitat/source"
)

// Seals is a list of the seals of a property file, to be kept elsewhere: what the file
// held up to its last one cannot be altered without the list saying so.
type Seals struct {
	// Property is the id of the property.
	Property string
	// All are in the order of the changes, from 1.
	All []Seal
}

// Seal is the seal of one change.
type Seal struct {
	Change int
	At     time.Time
	SHA256 string
}

// Stamp is the version of the data that papers print after the change.
func (s Seal) Stamp() Stamp { return Change{Number: s.Change, SHA256: s.SHA256}.Stamp() }

// Seals gives the list of the seals as they are now.
func (s *Store) Seals(ctx context.Context) (l *Seals, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		l = &Seals{}
		if l.Property, err = tx.id(); err != nil {
			return err
		}
		changes, err := tx.changes()
		for _, c := range changes {
			l.All = append(l.All, Seal{c.Number, c.At, c.SHA256})
		}
		return err
	})
	return l, err
}

// sealsHead begins a file of seals.
const sealsHead = "emberquilt seals 1"

// Write writes the list as a text: a head, the id of the property, a line for each seal
// with its change, time and digits, and a last line with their number and the checksum
// of all lines before, so that a list that was cut off or mistyped is known.
func (l *Seals) Write(w io.Writer) error {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\nproperty %s\n", sealsHead, l.Property)
	for _, s := range l.All {
		fmt.Fprintf(&b, "%d %s %s\n", s.Change, s.At.Format(time.RFC3339), s.SHA256)
	}
	fmt.Fprintf(&b, "end %d %s\n", len(l.All), sumOf(b.String()))
	_, err := w.Write(b.Bytes())
	return err
}

// ReadSeals reads a list that Write wrote; name is what errors call it. The errors are
// *source.Error values with lines.
func ReadSeals(r io.Reader, name string) (*Seals, error) {
	l := &Seals{}
	scanner := bufio.NewScanner(r)
	line, ended := 0, false
	before := sha256.New() // over all lines before
	bad := func(accepts, format string, args ...any) error {
		return &source.Error{Position: source.Position{File: name, Line: line}, Found: fmt.Sprintf(format, args...), Accepts: accepts}
	}
	for scanner.Scan() {
		line++
		text := strings.TrimRight(scanner.Text(), "\r")
		words := strings.Fields(text)
		switch {
		case ended:
			return nil, bad("nothing after the line that begins with end", "goes on after its end")
		case line == 1 && text != sealsHead:
			return nil, bad("a list that emberquilt seal export wrote, which begins with "+source.Quote(sealsHead), "is not a list of seals")
		case line == 1:
		case line == 2:
			id, ok := strings.CutPrefix(text, "property ")
			if !ok || id == "" {
				return nil, bad("property and its id", "%s is not the id of a property", source.Quote(text))
			}
			l.Property = id
		case len(words) == 3 && words[0] == "end":
			if words[1] != strconv.Itoa(len(l.All)) || words[2] != hex.EncodeToString(before.Sum(nil)) {
				return nil, bad("the list as emberquilt seal export wrote it", "was altered or mistyped: its checksum is not that of its lines")
			}
			ended = true
		default:
			if len(words) != 3 || words[0] != strconv.Itoa(len(l.All)+1) || len(words[2]) != 64 {
				return nil, bad("the number of the change, its time and the 64 digits of its seal", "%s is not a seal of change %d", source.Quote(text), len(l.All)+1)
			}
			at, err := time.Parse(time.RFC3339, words[1])
			if err != nil {
				return nil, bad("a time such as 2026-11-25T12:00:00Z", "%s is not a time", source.Quote(words[1]))
			}
			l.All = append(l.All, Seal{len(l.All) + 1, at, words[2]})
		}
		io.WriteString(before, text+"\n")
	}
	if err := scanner.Err(); errors.Is(err, bufio.ErrTooLong) {
		line++
		return nil, bad("a list that emberquilt seal export wrote", "holds a line that no list of seals has")
	} else if err != nil {
		return nil, bad("the list as emberquilt seal export wrote it", "cannot be read (%v)", err)
	}
	line++
	if !ended {
		return nil, bad("the whole list, up to the line that begins with end", "is cut off")
	}
	return l, nil
}

// CheckSeals holds the file against a list that was kept: what differs, in plain words,
// nothing where all of the list holds; later counts the changes that came after it.
func (s *Store) CheckSeals(ctx context.Context, kept *Seals) (faults []string, later int, err error) {
	now, err := s.Seals(ctx)
	if err != nil {
		return nil, 0, err
	}
	if now.Property != kept.Property {
		faults = append(faults, "the list of seals is that of another property: its id is not the file's")
	}
	for i, seal := range kept.All {
		if i >= len(now.All) {
			faults = append(faults, fmt.Sprintf("the newest changes are cut off: the list knows changes up to %d, the file ends with change %d", len(kept.All), len(now.All)))
			break
		}
		if seal.SHA256 != now.All[i].SHA256 || !seal.At.Equal(now.All[i].At) {
			faults = append(
				faults,
				fmt.Sprintf(
					"change %d is not the one of the list: the list has %s, the file %s; what was recorded from it on was made anew",
					seal.Change,
					seal.Stamp(),
					now.All[i].Stamp(),
				),
			)
			break // all that follow on it differ too
		}
	}
	return faults, max(0, len(now.All)-len(kept.All)), nil
}
