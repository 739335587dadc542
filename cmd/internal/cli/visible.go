package cli

import (
	"fmt"
	"io"
	"os"
	"unicode/utf8"

	"emberquilt/habitat/source"
)

// visible is the one door to the terminal: text that came from outside (names of
// units, columns, files, lines of a weather record) may hold what a terminal takes
// for commands, or what turns the order of letters around. Such characters are
// written as Go and JSON write them, \x1b or \u202e, so that a JSON document stays
// the same document. Line ends and tabs pass.
type visible struct {
	to io.Writer
	// begun holds the first bytes of a character that the next Write completes.
	begun []byte
	// controls are the characters that stand for control sequences of ours, while
	// WriteMarked writes; nil otherwise.
	controls map[rune]string
}

// Beneath is where the text goes.
func (v *visible) Beneath() io.Writer { return v.to }

// WriteMarked writes a text in which some characters stand for control sequences of ours.
func (v *visible) WriteMarked(text string, controls map[rune]string) error {
	v.controls = controls
	defer func() { v.controls = nil }()
	_, err := v.Write([]byte(text))
	return err
}

// Write never splits a character: what is begun waits.
func (v *visible) Write(p []byte) (int, error) {
	text := append(v.begun, p...)
	v.begun = nil
	var out []byte
	kept := 0 // text[kept:i] passes as it is
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRune(text[i:])
		switch {
		case r == utf8.RuneError && size == 1 && !utf8.FullRune(text[i:]):
			v.begun = append([]byte(nil), text[i:]...)
			text = text[:i]
			continue
		case r == '\r' && i+1 == len(text):
			// Half a line end, or a character that hides the line: the next byte says.
			v.begun = []byte{'\r'}
			text = text[:i]
			continue
		case r == '\r' && text[i+1] == '\n':
		case isControl(v.controls, r):
			out = append(append(out, text[kept:i]...), v.controls[r]...)
			kept = i + size
		case isHidden(r, size):
			out = append(append(out, text[kept:i]...), escaped(r, text[i])...)
			kept = i + size
		}
		i += size
	}
	if _, err := v.to.Write(append(out, text[kept:]...)); err != nil {
		return 0, err
	}
	return len(p), nil
}

// end writes what was begun and never completed.
func (v *visible) end() {
	var out []byte
	for _, b := range v.begun {
		out = append(out, escaped(utf8.RuneError, b)...)
	}
	v.begun = nil
	if len(out) > 0 {
		v.to.Write(out)
	}
}

func isControl(controls map[rune]string, r rune) bool {
	_, ok := controls[r]
	return ok
}

// isHidden finds what a terminal may obey, but for line ends and tabs, and bytes that are
// no text.
func isHidden(r rune, size int) bool {
	switch {
	case r == '\n' || r == '\t':
		return false
	case r == utf8.RuneError && size == 1:
		return true
	}
	return source.IsHidden(r)
}

func escaped(r rune, first byte) string {
	if r == utf8.RuneError {
		return fmt.Sprintf(`\x%02x`, first)
	}
	return fmt.Sprintf(`\u%04x`, r)
}

// asFile gives the file behind a writer of the terminal, where there is one.
func asFile(w io.Writer) (*os.File, bool) {
	if v, ok := w.(*visible); ok {
		w = v.to
	}
	file, ok := w.(*os.File)
	return file, ok
}
