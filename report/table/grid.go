package table

import (
	"math"
	"slices"
	"strings"
	"sync"

	"charm.land/lipgloss/v2"

	"emberquilt/habitat/pattern"
)

// grid is a table for people. It keeps to the width of the page without leaving
// anything out: headers and texts are wrapped, columns of a series go below one
// another, and where that is not enough each row becomes a block of its own.
type grid struct {
	header []string
	rows   [][]cell
	// right tells which columns stand to the right: numbers, which are never wrapped.
	right func(column int) bool
	// keys counts the first columns, which name the row; 0 means one.
	keys int
	// isSeries says that the columns after the keys are of one kind, such as years.
	isSeries bool
	// gap is the space between two columns; 0 means the usual one.
	gap int
}

// space is the blanks between two columns.
func (g *grid) space() int {
	if g.gap > 0 {
		return g.gap
	}
	return between
}

// How a table gives way.
const (
	// between is the space between two columns.
	between = 2
	// leastText is the width down to which a column of text is wrapped, where its
	// longest word is not wider; longestWord is where a word itself is parted.
	leastText, longestWord = 8, 24
	// mostLines is how high a wrapped row may be before rows become blocks.
	mostLines = 10
)

// grid sets rows under a header.
func (p *page) grid(header []string, rows [][]cell, right func(column int) bool) {
	p.set(&grid{header: header, rows: rows, right: right})
}

// series sets rows whose columns after the first keys are of one kind, such as years.
func (p *page) series(keys int, header []string, rows [][]cell, right func(column int) bool) {
	p.set(&grid{header: header, rows: rows, right: right, keys: keys, isSeries: true})
}

func (p *page) set(g *grid) {
	if len(g.rows) == 0 {
		return
	}
	g.keys = max(1, g.keys)
	for _, band := range g.bands(p.tableWidth) {
		if len(p.parts) > 0 && band.isLater {
			p.parts = append(p.parts, "")
		}
		p.parts = append(p.parts, band.fitted(p.tableWidth)...)
	}
}

// fitted writes the grid in the first of the ways that fits: as it is, wrapped; with
// what is the same in all rows said once below it; with less space between columns; as
// blocks.
func (g *grid) fitted(width int) []string {
	// Most tables fit as they are: the other ways are made where they are tried.
	once := sync.OnceValues(g.once)
	narrow := func(g *grid) *grid {
		n := *g
		n.gap = 1
		return &n
	}
	asIs := func() *grid { return g }
	short := func() *grid { rest, _ := once(); return rest }
	for _, way := range []func() *grid{asIs, short, func() *grid { return narrow(g) }, func() *grid { return narrow(short()) }} {
		try := way()
		widths, fits := try.widths(width)
		if !fits || try.height(widths) > mostLines {
			continue
		}
		all := try.lines(widths)
		if len(try.header) < len(g.header) {
			_, said := once()
			for _, line := range wrap(said, width, "") {
				all = append(all, faint.render(line))
			}
		}
		return all
	}
	return g.blocks(width)
}

// once gives the grid without the columns of text that say the same in all of several
// rows, and says what those are.
func (g *grid) once() (rest *grid, said string) {
	rest = &grid{keys: g.keys}
	var columns []int
	var words []string
	for k, title := range g.header {
		same := len(g.rows) > 1 && k > 0 && title != "" && !g.right(k)
		for _, row := range g.rows {
			same = same && row[k].text == g.rows[0][k].text
		}
		if same {
			words = append(words, title+" "+g.rows[0][k].text)
			continue
		}
		columns, rest.header = append(columns, k), append(rest.header, title)
	}
	for _, row := range g.rows {
		var cells []cell
		for _, k := range columns {
			cells = append(cells, row[k])
		}
		rest.rows = append(rest.rows, cells)
	}
	rest.right = func(i int) bool { return g.right(columns[i]) }
	return rest, "In all rows: " + strings.Join(words, "; ")
}

// band is a grid, or the part of one that stands side by side.
type band struct {
	grid
	isLater bool
}

// bands parts a series into as many columns as fit, each part with the keys in front.
func (g *grid) bands(width int) []band {
	if !g.isSeries || g.natural(0, len(g.header)) <= width {
		return []band{{grid: *g}}
	}
	var all []band
	keys := g.natural(0, g.keys)
	for from := g.keys; from < len(g.header); {
		to := from + 1
		for to < len(g.header) && keys+between+g.natural(from, to+1) <= width {
			to++
		}
		part, first := band{grid: grid{keys: g.keys}, isLater: len(all) > 0}, from
		pick := func(i int) int {
			if i < g.keys {
				return i
			}
			return first + i - g.keys
		}
		part.right = func(i int) bool { return g.right(pick(i)) }
		part.header = slices.Concat(g.header[:g.keys], g.header[from:to])
		for _, row := range g.rows {
			part.rows = append(part.rows, slices.Concat(row[:g.keys], row[from:to]))
		}
		all = append(all, part)
		from = to
	}
	return all
}

// natural is the width of some columns with nothing wrapped.
func (g *grid) natural(from, to int) int {
	total := g.space() * (to - from - 1)
	for k := from; k < to; k++ {
		total += g.widest(k)
	}
	return total
}

func (g *grid) widest(column int) int {
	most := lipgloss.Width(g.header[column])
	for _, row := range g.rows {
		most = max(most, lipgloss.Width(row[column].text))
	}
	return most
}

// least is the width down to which a column can be wrapped.
func (g *grid) least(column int) int {
	least := 1
	for _, word := range words(g.header[column]) {
		least = max(least, min(longestWord, lipgloss.Width(word)))
	}
	for _, row := range g.rows {
		text := row[column].text
		if g.right(column) {
			least = max(least, lipgloss.Width(text))
			continue
		}
		least = max(least, min(leastText, lipgloss.Width(text)))
		for _, word := range words(text) {
			least = max(least, min(longestWord, lipgloss.Width(word)))
		}
	}
	return least
}

// widths gives each column its width; fits is false where not even wrapping brings the
// table below the width.
func (g *grid) widths(width int) (widths []int, fits bool) {
	n := len(g.header)
	widths, least := make([]int, n), make([]int, n)
	total := g.space() * (n - 1)
	for k := range widths {
		widths[k] = g.widest(k)
		total += widths[k]
	}
	if total <= width {
		return widths, true
	}
	for k := range widths {
		least[k] = g.least(k)
		if g.right(k) {
			// A long header over short numbers is wrapped first of all.
			least[k] = min(least[k], widths[k])
		}
	}
	// Headers first: they say the same on two lines.
	for k := range widths {
		if total <= width {
			break
		}
		for bare := max(least[k], g.cells(k)); total > width && widths[k] > bare; total-- {
			widths[k]--
		}
	}
	for total > width {
		widest := -1
		for k := range widths {
			if widths[k] > least[k] && (widest < 0 || widths[k]-least[k]/2 > widths[widest]-least[widest]/2) {
				widest = k
			}
		}
		if widest < 0 {
			return widths, false
		}
		widths[widest]--
		total--
	}
	return widths, true
}

// cells is the width of a column without its header.
func (g *grid) cells(column int) int {
	most := 1
	for _, row := range g.rows {
		most = max(most, lipgloss.Width(row[column].text))
	}
	return most
}

// height is how many lines the highest row takes.
func (g *grid) height(widths []int) int {
	most := 1
	for _, row := range g.rows {
		for k := range row {
			most = max(most, len(fold(row[k].text, widths[k], 1)))
		}
	}
	return most
}

// lines writes the table.
func (g *grid) lines(widths []int) []string {
	var all []string
	head := make([][]string, len(g.header))
	highest := 1
	for k, title := range g.header {
		head[k] = fold(title, widths[k], 0)
		highest = max(highest, len(head[k]))
	}
	for k := range head { // titles stand on the line
		head[k] = append(make([]string, highest-len(head[k])), head[k]...)
	}
	put := func(cells [][]string, render func(k int, text string) string) {
		high := 0
		for _, lines := range cells {
			high = max(high, len(lines))
		}
		for i := range high {
			var b strings.Builder
			for k, lines := range cells {
				text := ""
				if i < len(lines) {
					text = lines[i]
				}
				space := strings.Repeat(" ", max(0, widths[k]-lipgloss.Width(text)))
				if text != "" {
					text = render(k, text)
				}
				if k > 0 {
					b.WriteString(strings.Repeat(" ", g.space()))
				}
				if g.right(k) {
					b.WriteString(space + text)
				} else {
					b.WriteString(text + space)
				}
			}
			all = append(all, strings.TrimRight(b.String(), " "))
		}
	}
	put(head, func(_ int, title string) string { return bold.render(title) })
	total := g.space() * (len(widths) - 1)
	for _, w := range widths {
		total += w
	}
	all = append(all, strings.Repeat("─", total))
	for _, row := range g.rows {
		cells := make([][]string, len(row))
		for k := range row {
			cells[k] = fold(row[k].text, widths[k], 1)
		}
		put(cells, func(k int, text string) string { return row[k].style.render(text) })
	}
	return all
}

// blocks writes each row as a block: what names it, then the other columns with their
// titles, side by side as far as they go.
func (g *grid) blocks(width int) []string {
	const inset, gap = "  ", "   "
	var all []string
	for i, row := range g.rows {
		if i > 0 {
			all = append(all, "")
		}
		for _, line := range fold(strings.TrimSpace(g.header[0]+" "+row[0].text), width, 1) {
			all = append(all, bold.render(line))
		}
		line := ""
		end := func() {
			if line != "" {
				all = append(all, line)
			}
			line = ""
		}
		for k := 1; k < len(row); k++ {
			text := row[k].text
			if strings.TrimSpace(text) == "" {
				continue
			}
			title := g.header[k]
			if title != "" {
				title += ": "
			}
			if lipgloss.Width(bare(line))+len(gap)+lipgloss.Width(title+text) > width {
				end()
			}
			if lipgloss.Width(inset+title+text) > width {
				for j, part := range fold(title+text, width-2*len(inset), 0) {
					if j > 0 {
						part = inset + part
					}
					all = append(all, inset+part)
				}
				continue
			}
			if line == "" {
				line = inset
			} else {
				line += gap
			}
			line += faint.render(strings.TrimSuffix(title, " ")) + strings.Repeat(" ", len(title)-len(strings.TrimSuffix(title, " "))) + row[k].style.render(text)
		}
		end()
	}
	return all
}

// keptTogether finds what is not parted at its blanks where there is room: dates as
// people read them, and numbers with their unit.
var keptTogether = pattern.Lazy(
	`(?:(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun), )?(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec) \d{1,2}(?:, \d{4})?|[\d.,]+ (?:ft|mi|mph|h|in|acres?|hours?|days?)\b|[●!✓] \S+`,
)

// heldBlank keeps what stands on both of its sides together; glue ends a piece of a word
// to which the next one is joined without a blank.
const (
	heldBlank = "\u00a0"
	glue      = "\x01"
)

// afterHyphen finds where a word may be parted: within words of letters, and within
// lists without blanks.
var afterHyphen = pattern.Lazy(`(\pL-|;)(\pL\pL)`)

// words gives the pieces of a text between which it may be parted.
func words(text string) []string {
	if !strings.ContainsAny(text, " -;\u00a0") {
		if text == "" {
			return nil
		}
		return []string{text} // as most cells are
	}
	text = keptTogether().ReplaceAllStringFunc(text, func(s string) string {
		if lipgloss.Width(s) > longestWord {
			return s
		}
		return strings.ReplaceAll(s, " ", heldBlank)
	})
	return strings.FieldsFunc(afterHyphen().ReplaceAllString(text, "$1"+glue+" $2"), func(r rune) bool { return r == ' ' })
}

// fold parts a text at its blanks into lines of a width, those after the first set in
// by some blanks. Words that are wider than a line are parted where it ends.
func fold(text string, width, inset int) []string {
	if lipgloss.Width(text) <= width {
		return []string{text}
	}
	if width <= inset+4 {
		inset = 0
	}
	var lines []string
	line, room := "", width
	end := func() {
		if len(lines) > 0 && lipgloss.Width(line)+inset <= width {
			line = strings.Repeat(" ", inset) + line
		}
		lines = append(lines, strings.ReplaceAll(line, heldBlank, " "))
		line, room = "", width-inset
	}
	isGlued := false
	for _, word := range words(text) {
		space := " "
		if isGlued {
			space = ""
		}
		word, isGlued = strings.CutSuffix(word, glue)
		if line != "" && lipgloss.Width(line+space+word) > room {
			end()
		}
		for lipgloss.Width(word) > width {
			line = headOf(word, width)
			word = word[len(line):]
			end()
		}
		if line != "" {
			line += space
		}
		line += word
	}
	if line != "" || len(lines) == 0 {
		end()
	}
	return lines
}

// headOf gives as much of a word as fits, a letter at least.
func headOf(word string, width int) string {
	head := ""
	for _, r := range word {
		if head != "" && lipgloss.Width(head+string(r)) > width {
			break
		}
		head += string(r)
	}
	return head
}

// unlimited is the width of a table in a pipe: nothing gives way there.
const unlimited = math.MaxInt
