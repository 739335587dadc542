package structure

import (
	"bytes"
	"cmp"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"unicode/utf16"
)

// file is what another writer made, by its objects.
type file struct {
	// bodies are the objects from "N 0 obj" to "endobj", by their numbers; nil for none.
	bodies     [][]byte
	root, info int
	// pages are the numbers of the pages, in their order.
	pages []int
}

var (
	startText     = regexp.MustCompile(`startxref\s+(\d+)\s+%%EOF\s*$`)
	tableText     = regexp.MustCompile(`^xref\s+0 (\d+)\s*\n`)
	entryText     = regexp.MustCompile(`^(\d{10}) \d{5} ([nf])\s*\n`)
	rootEntry     = regexp.MustCompile(`/Root (\d+) 0 R`)
	infoEntry     = regexp.MustCompile(`/Info (\d+) 0 R`)
	plainStream   = regexp.MustCompile(`^\d+ 0 obj\n<</Length (\d+)>>\nstream\n`)
	pageText      = []byte("<</Type /Page\n")
	contentsEntry = regexp.MustCompile(`\n/Contents (\d+) 0 R>>\n`)
	catalogText   = []byte("/Type /Catalog\n")
)

// parse reads a file with one table of objects, as the library writes it.
func parse(made []byte) (*file, error) {
	start := startText.FindSubmatch(made[max(0, len(made)-64):])
	if start == nil {
		return nil, errors.New("the PDF has no start of its table")
	}
	at, err := strconv.Atoi(string(start[1]))
	if err != nil || at >= len(made) {
		return nil, errors.New("the PDF's table is not where its end points")
	}
	head := tableText.FindSubmatch(made[at:])
	if head == nil {
		return nil, errors.New("the PDF has no table of objects")
	}
	count, err := strconv.Atoi(string(head[1]))
	if err != nil || count > len(made) {
		return nil, errors.New("the PDF's table has no size")
	}
	type entry struct{ number, offset int }
	var entries []entry
	rest := made[at+len(head[0]):]
	for number := range count {
		e := entryText.FindSubmatch(rest[:min(len(rest), 24)])
		if e == nil {
			return nil, fmt.Errorf("the PDF's table ends at object %d of %d", number, count)
		}
		rest = rest[len(e[0]):]
		offset, err := strconv.Atoi(string(e[1]))
		if err != nil || offset > at {
			return nil, fmt.Errorf("object %d of the PDF is not in it", number)
		}
		if string(e[2]) == "n" {
			entries = append(entries, entry{number, offset})
		}
	}
	f := &file{bodies: make([][]byte, count)}
	for entryName, found := range map[*regexp.Regexp]*int{rootEntry: &f.root, infoEntry: &f.info} {
		if e := entryName.FindSubmatch(rest); e != nil {
			*found, _ = strconv.Atoi(string(e[1]))
		}
	}
	if f.root <= 0 || f.root >= count {
		return nil, errors.New("the PDF has no catalog")
	}
	slices.SortFunc(entries, func(a, b entry) int { return cmp.Compare(a.offset, b.offset) })
	for i, e := range entries {
		end := at
		if i+1 < len(entries) {
			end = entries[i+1].offset
		}
		f.bodies[e.number] = made[e.offset:end]
	}
	for number, body := range f.bodies {
		if _, after, ok := bytes.Cut(body[:min(len(body), 40)], []byte(" 0 obj\n")); ok && bytes.HasPrefix(after, pageText) {
			f.pages = append(f.pages, number)
		}
	}
	return f, nil
}

// Additions are what another writer's file does not hold; the zero value is nothing.
type Additions struct {
	// Entries are added to the dictionaries of the pages: none, or one a page.
	Entries []string
	// Content gives the content of a page, by its index, in place of that in the file; nil
	// leaves that. It is asked once for each page, in their order, and what it gave is
	// written before the next one is asked for.
	Content func(page int) ([]byte, error)
}

// Write writes what another writer made with the structure: made is its whole file.
func (t *Tree) Write(w io.Writer, made []byte, a Additions) error {
	f, err := parse(made)
	if err != nil {
		return err
	}
	if len(f.pages) != len(t.pages) || len(a.Entries) > 0 && len(a.Entries) != len(t.pages) {
		return fmt.Errorf("the PDF has %d pages, its structure %d with %d entries", len(f.pages), len(t.pages), len(a.Entries))
	}
	if err := f.nameCharacters(); err != nil {
		return err
	}
	f.countBookmarks()
	tree := newTreeObjects(t, len(f.bodies), f.pages)
	out := &objectWriter{w: w, where: make([]location, len(f.bodies))}
	out.text("%PDF-1.7\n%\xb5\xb6\xb5\xb6\n")
	pageOf := map[int]int{} // by the number of its content
	for i, number := range f.pages {
		extra := ""
		if len(a.Entries) > 0 {
			extra = a.Entries[i] + "\n"
		}
		if a.Content != nil {
			at := contentsEntry.FindSubmatch(f.bodies[number])
			if at == nil {
				return fmt.Errorf("page %d of the PDF has no content", i+1)
			}
			content, _ := strconv.Atoi(string(at[1]))
			pageOf[content] = i
		}
		f.bodies[number] = insert(f.bodies[number], pageText, fmt.Sprintf("/StructParents %d /Tabs /S\n%s", i, extra))
	}
	if !bytes.Contains(f.bodies[f.root], catalogText) {
		return errors.New("the PDF's catalog is of no known form")
	}
	f.bodies[f.root] = insert(
		f.bodies[f.root],
		catalogText,
		fmt.Sprintf("/MarkInfo <</Marked true>>\n/StructTreeRoot %d 0 R\n/ViewerPreferences <</DisplayDocTitle true>>\n", tree.first),
	)
	copied := func(number int) {
		if body := f.bodies[number]; body != nil {
			out.where[number] = location{kind: 1, first: out.offset}
			out.object(number, body)
		}
	}
	for number := range f.bodies {
		if page, ok := pageOf[number]; ok {
			content, err := a.Content(page)
			if err != nil {
				return err
			}
			if content != nil {
				out.where[number] = location{kind: 1, first: out.offset}
				out.stream(number, "", content)
				continue
			}
		}
		if number != f.info && number != f.root {
			copied(number)
		}
	}
	out.packed(tree.count(), tree.object)
	// Last, as the library has it: what looks at the end of a file finds whose it is.
	copied(f.info)
	copied(f.root)
	return out.finish(f.root, f.info)
}

// insert puts a text behind the first place of another one.
func insert(body, behind []byte, text string) []byte {
	at := bytes.Index(body, behind) + len(behind)
	return slices.Concat(body[:at], []byte(text), body[at:])
}

// treeObjects are the objects of a tree, numbered from first on: its root, then its elements.
type treeObjects struct {
	*Tree
	first    int
	elements []ref
	// numbers are those of the pages.
	numbers []int
}

func newTreeObjects(t *Tree, first int, numbers []int) *treeObjects {
	o := &treeObjects{Tree: t, first: first, numbers: numbers}
	var number func(e ref)
	number = func(e ref) {
		t.all[e].number = int32(first + o.count())
		o.elements = append(o.elements, e)
		for kid := t.all[e].first; kid != none; kid = t.all[kid].next {
			if t.all[kid].role != content && !t.isEmpty(kid) {
				number(kid)
			}
		}
	}
	number(0)
	return o
}

// count counts the objects.
func (o *treeObjects) count() int { return 1 + len(o.elements) }

// object writes one of them.
func (o *treeObjects) object(b *bytes.Buffer, i int) {
	if i > 0 {
		o.element(b, o.elements[i-1])
		return
	}
	fmt.Fprintf(b, "<</Type /StructTreeRoot /K %d 0 R /ParentTreeNextKey %d /ParentTree <</Nums [", o.first+1, len(o.pages))
	for i, page := range o.pages {
		fmt.Fprintf(b, "%d [", i)
		for _, e := range page {
			fmt.Fprintf(b, "%d 0 R ", o.all[e].number)
		}
		b.WriteString("]")
	}
	b.WriteString("]>>>>")
}

func (o *treeObjects) element(b *bytes.Buffer, of ref) {
	e := &o.all[of]
	parent := int32(o.first)
	if of != 0 {
		parent = o.all[e.parent].number
	}
	fmt.Fprintf(b, "<</S /%s /P %d 0 R", e.role, parent)
	page := e.page
	for kid := e.first; kid != none && page < 0; kid = o.all[kid].next {
		if o.all[kid].role == content {
			page = o.all[kid].page
		}
	}
	if page >= 0 {
		fmt.Fprintf(b, " /Pg %d 0 R", o.numbers[page])
	}
	says := &o.says[e.says]
	if says.Scope != "" {
		fmt.Fprintf(b, " /A <</O /Table /Scope /%s>>", says.Scope)
	}
	if box := o.lies[of]; box.Left < box.Right && !box.isSplit {
		fmt.Fprintf(b, " /A <</O /Layout /BBox [%.1f %.1f %.1f %.1f]>>", box.Left, box.Bottom, box.Right, box.Top)
	}
	if says.Alt != "" {
		fmt.Fprintf(b, " /Alt %s", textString(says.Alt))
	}
	if says.Actual != "" {
		fmt.Fprintf(b, " /ActualText %s", textString(says.Actual))
	}
	if e.page >= 0 && e.first == none { // most are: a list of one takes more room
		fmt.Fprintf(b, " /K %d>>", e.id)
		return
	}
	b.WriteString(" /K [")
	if e.page >= 0 {
		fmt.Fprintf(b, "%d ", e.id)
	}
	for kid := e.first; kid != none; kid = o.all[kid].next {
		switch k := &o.all[kid]; {
		case k.role != content && o.isEmpty(kid):
		case k.role != content:
			fmt.Fprintf(b, "%d 0 R ", k.number)
		case k.page == page:
			fmt.Fprintf(b, "%d ", k.id)
		default:
			fmt.Fprintf(b, "<</Type /MCR /Pg %d 0 R /MCID %d>> ", o.numbers[k.page], k.id)
		}
	}
	b.WriteString("]>>")
}

// textString is a text as a PDF holds it, in hexadecimal digits.
func textString(text string) string {
	var b bytes.Buffer
	b.WriteString("<FEFF")
	for _, unit := range utf16.Encode([]rune(text)) {
		fmt.Fprintf(&b, "%04X", unit)
	}
	b.WriteString(">")
	return b.String()
}

// location says where an object is: kind 1 at an offset, kind 2 in an object stream, by the
// number of the stream and its place there; 0 for no object.
type location struct {
	first  int
	second uint16
	kind   uint8
}

// objectWriter writes objects and remembers where they are.
type objectWriter struct {
	w      io.Writer
	offset int
	where  []location
	err    error
	// packer is for all streams in turn: a new one takes a megabyte.
	packer *zlib.Writer
	// streamed is the last stream as it was packed.
	streamed bytes.Buffer
}

func (o *objectWriter) bytes(b []byte) {
	if o.err == nil {
		var n int
		n, o.err = o.w.Write(b)
		o.offset += n
	}
}

func (o *objectWriter) text(s string) { o.bytes([]byte(s)) }

// object writes an object as it is, but packs the data of a stream that is not: the
// library packs the contents of pages for speed, not for size.
func (o *objectWriter) object(number int, body []byte) {
	head := plainStream.FindSubmatch(body[:min(len(body), 80)])
	if head == nil {
		o.bytes(body)
		return
	}
	length, err := strconv.Atoi(string(head[1]))
	if data := body[len(head[0]):]; err == nil && length <= len(data) {
		o.stream(number, "", data[:length])
	} else if o.err == nil {
		o.err = fmt.Errorf("object %d of the PDF is shorter than it says", number)
	}
}

// stream writes an object that is a compressed stream of all data.
func (o *objectWriter) stream(number int, entries string, data ...[]byte) {
	packed := &o.streamed
	packed.Reset()
	if o.packer == nil {
		o.packer = zlib.NewWriter(packed)
	}
	z := o.packer
	z.Reset(packed)
	for _, part := range data {
		if _, err := z.Write(part); err != nil && o.err == nil { // a buffer takes all
			o.err = err
		}
	}
	if err := z.Close(); err != nil && o.err == nil {
		o.err = err
	}
	o.text(fmt.Sprintf("%d 0 obj\n<<%s /Filter /FlateDecode /Length %d>>\nstream\n", number, entries, packed.Len()))
	o.bytes(packed.Bytes())
	o.text("\nendstream\nendobj\n")
}

// mostPacked is how many objects one stream holds: a reader unpacks a whole one.
const mostPacked = 1000

// packed writes so many objects into compressed streams, and numbers them and then the streams
// on from those that are there. object gives one of them.
func (o *objectWriter) packed(count int, object func(b *bytes.Buffer, i int)) {
	stream := len(o.where) + count
	o.where = slices.Grow(o.where, count+count/mostPacked+2)
	var streams []location
	var index, data bytes.Buffer
	for from := 0; from < count; from += mostPacked {
		index.Reset()
		data.Reset()
		number := stream + len(streams)
		upTo := min(count, from+mostPacked)
		for i := from; i < upTo; i++ {
			fmt.Fprintf(&index, "%d %d ", len(o.where), data.Len())
			o.where = append(o.where, location{kind: 2, first: number, second: uint16(i - from)})
			object(&data, i)
			data.WriteByte('\n')
		}
		streams = append(streams, location{kind: 1, first: o.offset})
		o.stream(number, fmt.Sprintf("/Type /ObjStm /N %d /First %d", upTo-from, index.Len()), index.Bytes(), data.Bytes())
	}
	o.where = append(o.where, streams...)
}

// finish writes the table of objects, as a stream (7.5.8), and the end of the file.
func (o *objectWriter) finish(root, info int) error {
	number, at := len(o.where), o.offset
	o.where = append(o.where, location{kind: 1, first: at})
	// Each row is written as its difference to the one before (PNG's predictor Up), which
	// leaves little to compress.
	const up, width = 2, 1 + 4 + 2
	var table, row []byte
	before := make([]byte, width)
	for i, l := range o.where {
		if i == 0 {
			l.second = 0xFFFF // the head of the list of free objects
		}
		row = append(row[:0], l.kind)
		row = binary.BigEndian.AppendUint32(row, uint32(l.first))
		row = binary.BigEndian.AppendUint16(row, l.second)
		table = append(table, up)
		for k := range row {
			table = append(table, row[k]-before[k])
		}
		copy(before, row)
	}
	entries := fmt.Sprintf("/Type /XRef /Size %d /W [1 4 2] /DecodeParms <</Predictor 12 /Columns %d>> /Root %d 0 R", len(o.where), width, root)
	if info > 0 {
		entries += fmt.Sprintf(" /Info %d 0 R", info)
	}
	o.stream(number, entries, table)
	o.text(fmt.Sprintf("startxref\n%d\n%%%%EOF\n", at))
	return o.err
}
