package problem

import (
	"bufio"
	"io"
	"strconv"
)

// WriteLP writes p as a mixed-integer program in LP text, for
// general-purpose solvers. Its optimum is the cost of the best plan, and
// x_uI_YEAR_sK = 1 says that the I-th unit burns in YEAR in the K-th season;
// comments at the top name units, seasons and groups.
func WriteLP(w io.Writer, p *Problem) error {
	m := formulate(p)
	out := lpWriter{bufio.NewWriterSize(w, 1<<16), 0}
	for _, note := range m.notes {
		out.raw(`\ ` + note + "\n")
	}
	out.raw("Minimize\n cost:")
	out.width = 0
	any := false
	for _, c := range m.columns {
		if c.cost != 0 {
			out.term(c.cost, c.name)
			any = true
		}
	}
	if !any {
		out.term(0, m.columns[0].name)
	}
	out.raw("\nSubject To\n")
	for _, r := range m.rows {
		out.raw(" " + r.name + ":")
		out.width = 0
		for _, t := range r.terms {
			out.term(t.factor, m.columns[t.column].name)
		}
		if len(r.terms) == 0 { // a row that cannot hold; a solver must see it
			out.term(0, m.columns[0].name)
		}
		out.raw(" " + map[byte]string{'L': "<=", 'G': ">=", 'E': "="}[r.sense] + " " + decimal(r.right) + "\n")
	}
	out.raw("Binary\n")
	for _, c := range m.columns {
		if c.binary {
			out.raw(" " + c.name + "\n")
		}
	}
	out.raw("End\n")
	return out.w.Flush()
}

type lpWriter struct {
	w     *bufio.Writer
	width int
}

// raw writes text; bufio keeps the first error for Flush.
func (out *lpWriter) raw(text string) { _, _ = out.w.WriteString(text) }

// term writes " + 3 x" and breaks long lines, which some readers refuse.
func (out *lpWriter) term(factor float64, name string) {
	if out.width > 200 {
		out.raw("\n  ")
		out.width = 0
	}
	sign := " + "
	if factor < 0 {
		sign, factor = " - ", -factor
	}
	text := sign + decimal(factor) + " " + name
	out.width += len(text)
	out.raw(text)
}

// decimal writes a number so that it reads back as the same float64.
func decimal(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// WriteMPS writes p as WriteLP does, in free MPS text.
func WriteMPS(w io.Writer, p *Problem) error {
	m := formulate(p)
	out := lpWriter{bufio.NewWriterSize(w, 1<<16), 0}
	for _, note := range m.notes {
		out.raw("* " + note + "\n")
	}
	out.raw("NAME rotation FREE\nROWS\n N cost\n")
	for _, r := range m.rows {
		out.raw(" " + string(r.sense) + " " + r.name + "\n")
	}
	entries := make([][]mipTerm, len(m.columns)) // of each column: row and factor
	for k, r := range m.rows {
		for _, t := range r.terms {
			entries[t.column] = append(entries[t.column], mipTerm{k, t.factor})
		}
	}
	out.raw("COLUMNS\n")
	marker := func(kind string, n int) { out.raw(" MARKER" + strconv.Itoa(n) + " 'MARKER' '" + kind + "'\n") }
	markers, inside := 0, false
	for k, c := range m.columns {
		if c.binary != inside {
			inside = c.binary
			marker(map[bool]string{true: "INTORG", false: "INTEND"}[inside], markers)
			markers++
		}
		if c.cost != 0 || len(entries[k]) == 0 {
			out.raw(" " + c.name + " cost " + decimal(c.cost) + "\n")
		}
		for _, e := range entries[k] {
			out.raw(" " + c.name + " " + m.rows[e.column].name + " " + decimal(e.factor) + "\n")
		}
	}
	if inside {
		marker("INTEND", markers)
	}
	out.raw("RHS\n")
	for _, r := range m.rows {
		if r.right != 0 {
			out.raw(" rhs " + r.name + " " + decimal(r.right) + "\n")
		}
	}
	out.raw("BOUNDS\n")
	for _, c := range m.columns {
		if c.binary {
			out.raw(" UP bound " + c.name + " 1\n")
		}
	}
	out.raw("ENDATA\n")
	return out.w.Flush()
}
