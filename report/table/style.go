package table

import (
	"io"
	"os"
	"strings"

	"charm.land/lipgloss/v2"
)

// style is how a terminal may show a text. Until the text is written it stands in it as
// one of the characters that Unicode keeps for a program's own use (noncharacters, Unicode
// 17.0, 23.7): a control sequence there could not be told from one in a name, which must
// not reach a terminal.
type style rune

const (
	none  style = 0
	bold  style = '\uFDD0'
	faint style = '\uFDD1'
	ember style = '\uFDD2'
	alarm style = '\uFDD3'
	// end is where a style ends.
	end style = '\uFDD4'
)

// looks are the styles. Colors are by number in the terminal's own palette, so that they
// keep the contrast that its owner has chosen.
var looks = map[style]lipgloss.Style{
	bold:  lipgloss.NewStyle().Bold(true),
	faint: lipgloss.NewStyle().Faint(true),
	ember: lipgloss.NewStyle().Bold(true).Foreground(lipgloss.Color("3")),
	alarm: lipgloss.NewStyle().Bold(true).Foreground(lipgloss.Color("1")),
}

// render marks a text as one of the style.
func (s style) render(text string) string {
	if s == none || text == "" {
		return text
	}
	return string(s) + text + string(end)
}

func isMark(r rune) bool { return r >= rune(bold) && r <= rune(end) }

// bare gives a text without its marks.
func bare(text string) string {
	return strings.Map(func(r rune) rune {
		if isMark(r) {
			return -1
		}
		return r
	}, text)
}

// unmarked gives a text from outside in which nothing passes for a mark.
func unmarked(text string) string {
	return strings.Map(func(r rune) rune {
		if isMark(r) {
			return '\uFFFD'
		}
		return r
	}, text)
}

// Terminal is a writer that makes visible what a terminal would obey.
type Terminal interface {
	io.Writer
	// Beneath is where it writes to.
	Beneath() io.Writer
	// WriteMarked writes a text in which these characters stand for control sequences.
	WriteMarked(text string, controls map[rune]string) error
}

// writeMarked writes a text with marks: with control sequences on a terminal that shows
// colors and whose owner does not refuse them, else without.
func writeMarked(w io.Writer, text string) error {
	t, ok := w.(Terminal)
	if !ok {
		_, err := io.WriteString(w, bare(text))
		return err
	}
	controls := map[rune]string{}
	for s, look := range looks {
		before, after, err := sequences(t.Beneath(), look)
		if err != nil {
			return err
		}
		controls[rune(s)], controls[rune(end)] = before, after
	}
	return t.WriteMarked(text, controls)
}

// sequences gives what the library writes before and after a text of a look: it knows
// terminals, NO_COLOR and the like, and writes nothing where colors do not belong.
func sequences(w io.Writer, look lipgloss.Style) (before, after string, err error) {
	const text = "x"
	made := &strings.Builder{}
	var probe io.Writer = made
	if file, ok := w.(*os.File); ok {
		probe = probeFile{made, file}
	}
	if _, err := lipgloss.Fprint(probe, look.Render(text)); err != nil {
		return "", "", err
	}
	before, after, _ = strings.Cut(made.String(), text)
	return before, after, nil
}

// probeFile passes for a file, so that the library sees which it is, and keeps what is
// written.
type probeFile struct {
	*strings.Builder
	file *os.File
}

func (p probeFile) Fd() uintptr              { return p.file.Fd() }
func (p probeFile) Read([]byte) (int, error) { return 0, io.EOF }
func (p probeFile) Close() error             { return nil }
