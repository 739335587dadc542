package problem

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"emberquilt/habitat/source"
)

// printer writes JSON text and keeps the first error.
type printer struct {
	w   *bufio.Writer
	err error
	buf [32]byte
	// quoted keeps names as JSON: a certificate names the same ones a million
	// times.
	quoted map[string]string
}

func newPrinter(w io.Writer) *printer {
	return &printer{w: bufio.NewWriterSize(w, 1<<16), quoted: map[string]string{}}
}

// done flushes and gives the first error.
func (p *printer) done() error {
	if p.err != nil {
		return p.err
	}
	return p.w.Flush()
}

// raw writes pieces of JSON as they are.
func (p *printer) raw(pieces ...string) {
	for _, piece := range pieces {
		if _, err := p.w.WriteString(piece); err != nil && p.err == nil {
			p.err = err
		}
	}
}

// number writes a finite number with as many digits as read back as the same
// float64.
func (p *printer) number(x float64) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		if p.err == nil {
			p.err = &source.Error{Found: fmt.Sprintf("%v is not a number that a file can hold", x), Accepts: "finite numbers"}
		}
		return
	}
	form := byte('f')
	if size := math.Abs(x); size != 0 && (size < 1e-6 || size >= 1e21) {
		form = 'e'
	}
	if _, err := p.w.Write(strconv.AppendFloat(p.buf[:0], x, form, -1, 64)); err != nil && p.err == nil {
		p.err = err
	}
}

func (p *printer) integer(n int) { p.raw(strconv.Itoa(n)) }

func (p *printer) text(s string) {
	quoted, ok := p.quoted[s]
	if !ok {
		quoted = quoteJSON(s)
		p.quoted[s] = quoted
	}
	p.raw(quoted)
}

// list writes n members between brackets, with a separator between them.
func (p *printer) list(n int, separator string, member func(i int)) {
	p.raw("[")
	for i := range n {
		if i > 0 {
			p.raw(separator)
		}
		member(i)
	}
	p.raw("]")
}

// lines writes n members, each on a line of its own.
func (p *printer) lines(n int, member func(i int)) {
	if n == 0 {
		p.raw("[]")
		return
	}
	p.raw("[\n  ")
	for i := range n {
		if i > 0 {
			p.raw(",\n  ")
		}
		member(i)
	}
	p.raw("\n]")
}

// quoteJSON gives text as a JSON string; <, > and & stay readable. The characters
// that override the direction of writing, and a second set of controls, are escaped:
// these files are also read on a terminal.
func quoteJSON(s string) string {
	var b bytes.Buffer
	encoder := json.NewEncoder(&b)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(s); err != nil {
		panic("problem: text that JSON cannot hold: " + err.Error())
	}
	text := string(bytes.TrimRight(b.Bytes(), "\n"))
	if !strings.ContainsFunc(text, source.IsHidden) {
		return text
	}
	var out strings.Builder
	for _, r := range text {
		if source.IsHidden(r) {
			fmt.Fprintf(&out, `\u%04x`, r)
		} else {
			out.WriteRune(r)
		}
	}
	return out.String()
}

// fields writes the members of an object and puts the commas.
type fields struct {
	*printer
	any bool
}

// key starts the next field.
func (f *fields) key(name string) {
	if f.any {
		f.raw(", ")
	}
	f.any = true
	f.raw(`"`, name, `": `)
}

// object writes an object on one line.
func (p *printer) object(body func(f *fields)) {
	p.raw("{")
	body(&fields{printer: p})
	p.raw("}")
}
