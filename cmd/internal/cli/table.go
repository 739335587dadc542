package cli

import (
	"encoding/json"
	"io"
	"strings"

	"charm.land/lipgloss/v2"
	"charm.land/lipgloss/v2/table"
)

// grid is a table for the terminal. Its cells are formatted already.
type grid struct {
	// Heads are the column titles; a column whose title starts with ">" is set
	// to the right, as numbers are.
	Heads []string
	Rows  [][]string
}

// add appends one row.
func (g *grid) add(cells ...string) { g.Rows = append(g.Rows, cells) }

// print draws the table: a rule under the titles, two blanks between columns.
func (a *app) print(g grid) error {
	right := make([]bool, len(g.Heads))
	heads := make([]string, len(g.Heads))
	for i, head := range g.Heads {
		heads[i], right[i] = strings.CutPrefix(head, ">")
	}
	border := lipgloss.Border{Top: "─", Middle: "─", Left: " "}
	t := table.New().Headers(heads...).Rows(g.Rows...).
		Border(border).BorderTop(false).BorderBottom(false).BorderLeft(false).BorderRight(false).BorderColumn(false).BorderRow(false).
		Wrap(false).
		StyleFunc(func(row, column int) lipgloss.Style {
			style := lipgloss.NewStyle().PaddingRight(2)
			if right[column] {
				style = style.Align(lipgloss.Right)
			}
			if row == table.HeaderRow {
				style = style.Bold(true)
			}
			return style
		})
	_, err := lipgloss.Fprintln(a.Out, trimRight(t.String()))
	return err
}

// trimRight takes the blanks at the ends of lines away, which the table's
// padding leaves there.
func trimRight(text string) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		lines[i] = strings.TrimRight(line, " ")
	}
	return strings.Join(lines, "\n")
}

// printJSON prints a value as JSON, indented for people.
func (a *app) printJSON(value any) error { return writeJSON(a.Out, value) }

func writeJSON(w io.Writer, value any) error {
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	return encoder.Encode(value)
}
