package structure

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"emberquilt/report/pdf/internal/pdftest"
)

// drawing is a PDF as the library writes it, of pages that a test draws in a type that every
// reader has.
type drawing struct {
	pages []*bytes.Buffer
	tree  *Tree
}

func newDrawing() *drawing {
	d := &drawing{}
	d.tree = NewTree(func(operators string) { fmt.Fprintln(d.pages[len(d.pages)-1], operators) })
	return d
}

func (d *drawing) page() {
	d.tree.Stop()
	d.pages = append(d.pages, &bytes.Buffer{})
	d.tree.NewPage()
}

// text draws a text at a height.
func (d *drawing) text(y int, text string) {
	d.tree.Text()
	d.plain(y, text)
}

func (d *drawing) plain(y int, text string) {
	fmt.Fprintf(d.pages[len(d.pages)-1], "BT /F1 12 Tf 72 %d Td (%s) Tj ET\n", y, text)
}

func (d *drawing) line(y int) {
	d.tree.Drawing()
	fmt.Fprintf(d.pages[len(d.pages)-1], "72 %d m 300 %d l S\n", y, y)
}

func (d *drawing) in(role Role, a Attributes, do func()) { d.tree.In(role, a, do) }

func (d *drawing) file() []byte {
	d.tree.Stop()
	var out bytes.Buffer
	offsets := map[int]int{}
	object := func(number int, body string) {
		offsets[number] = out.Len()
		fmt.Fprintf(&out, "%d 0 obj\n%s\nendobj\n", number, body)
	}
	out.WriteString("%PDF-1.3\n")
	kids := ""
	for i, page := range d.pages {
		number := 3 + 2*i
		object(number, fmt.Sprintf("<</Type /Page\n/Parent 1 0 R\n/Resources 2 0 R\n/Contents %d 0 R>>", number+1))
		object(number+1, fmt.Sprintf("<</Length %d>>\nstream\n%s\nendstream", page.Len(), page))
		kids += fmt.Sprintf("%d 0 R ", number)
	}
	next := 3 + 2*len(d.pages)
	object(1, fmt.Sprintf("<</Type /Pages\n/Kids [%s]\n/Count %d\n/MediaBox [0 0 612 792]\n>>", kids, len(d.pages)))
	object(2, "<<\n/Font <</F1 <</Type /Font /Subtype /Type1 /BaseFont /Helvetica>>>>\n>>")
	meta := "<dc:title>"
	object(next, fmt.Sprintf("<< /Type /Metadata /Subtype /XML /Length %d >>\nstream\n%s\nendstream", len(meta), meta))
	object(next+1, "<<\n/Title (Test)\n>>")
	object(next+2, fmt.Sprintf("<<\n/Type /Catalog\n/Pages 1 0 R\n/Lang (en-US)\n/Metadata %d 0 R\n>>", next))
	at := out.Len()
	fmt.Fprintf(&out, "xref\n0 %d\n0000000000 65535 f \n", next+3)
	for i := 1; i < next+3; i++ {
		fmt.Fprintf(&out, "%010d 00000 n \n", offsets[i])
	}
	fmt.Fprintf(&out, "trailer\n<<\n/Size %d\n/Root %d 0 R\n/Info %d 0 R\n>>\nstartxref\n%d\n%%%%EOF\n", next+3, next+2, next+1, at)
	return out.Bytes()
}

func (d *drawing) write(t *testing.T, entries ...string) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := d.tree.Write(&out, d.file(), Additions{Entries: entries}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// sample draws two pages with one of everything, and a table over both.
func sample() *drawing {
	d := newDrawing()
	d.page()
	d.in(Heading1, Attributes{}, func() { d.text(700, "Title") })
	d.tree.OpenSection(1)
	d.in(Heading2, Attributes{}, func() { d.text(680, "First") })
	d.line(678)
	d.in(Paragraph, Attributes{}, func() { d.text(660, "one "); d.text(650, "two") })
	d.in(List, Attributes{}, func() {
		d.in(Item, Attributes{}, func() {
			d.in(Label, Attributes{Actual: "☐"}, func() { d.line(640) })
			d.in(Body, Attributes{}, func() { d.text(640, "item") })
		})
	})
	d.in(Figure, Attributes{Alt: "A map: \"<&>\" (north)"}, func() { d.line(600); d.text(590, "N"); d.line(580); d.tree.Cover(Box{72, 580, 300, 600}) })
	d.tree.OpenSection(2)
	d.in(Heading3, Attributes{}, func() { d.text(570, "Below") })
	d.in(Table, Attributes{}, func() {
		d.in(Row, Attributes{}, func() {
			d.in(HeaderCell, Attributes{Scope: "Column"}, func() { d.text(560, "a") })
			d.in(HeaderCell, Attributes{Scope: "Column"}, func() { d.text(560, "b") })
		})
		d.tree.Suspend(Footer)
		d.text(30, "page 1")
		d.tree.Resume()
		d.page()
		d.tree.Suspend(Repeated)
		d.text(700, "a")
		d.text(700, "b")
		d.tree.Resume()
		d.in(Row, Attributes{}, func() {
			d.in(DataCell, Attributes{}, func() { d.text(680, "1") })
			d.in(DataCell, Attributes{}, func() {})
		})
	})
	d.tree.OpenSection(1)
	d.in(Section, Attributes{}, func() {}) // nothing: left out
	d.in(Heading2, Attributes{}, func() { d.text(660, "Second") })
	d.text(640, "in no element ") // becomes a paragraph
	d.text(620, "goes on")
	return d
}

func TestTreeIsWhole(t *testing.T) {
	made := sample().write(t)
	if !bytes.Equal(made, sample().write(t)) {
		t.Error("the same paper makes another file")
	}
	if tree, info := bytes.LastIndex(made, []byte("/ObjStm")), bytes.Index(made, []byte("/Title (Test)")); tree < 0 || info < tree {
		t.Error("the file does not end with whose it is")
	}
	doc, err := pdftest.Read(made)
	if err != nil {
		t.Fatal(err)
	}
	doc.IsNarrow = true
	root, faults := doc.Tree()
	if len(faults) > 0 {
		t.Errorf("%q", faults)
	}
	if got, want := len(root.All("Sect")), 3; got != want {
		t.Errorf("%d sections", got)
	}
	if f := root.All("Figure"); len(f) != 1 || f[0].Alt != "A map: \"<&>\" (north)" || len(f[0].Kids) != 1 {
		t.Errorf("%+v", f)
	}
	if l := root.All("Lbl"); len(l) != 1 || l[0].Actual != "☐" {
		t.Errorf("%+v", l)
	}
	if rows := root.All("Table")[0].All("TR"); len(rows) != 2 || len(rows[1].Kids) != 2 {
		t.Errorf("%d rows", len(rows))
	}
	if p := root.All("P"); len(p) != 2 || p[0].Words() != "one two" || p[1].Words() != "in no element goes on" {
		t.Errorf("%d paragraphs: %+v", len(p), p)
	}
}

// lose takes the last kid from the open element.
func (t *Tree) lose() (lost ref) {
	of := &t.all[t.at]
	before := of.first
	for t.all[before].next != of.last {
		before = t.all[before].next
	}
	lost, of.last = of.last, before
	t.all[before].next = none
	return lost
}

// What is wrong with a structure is found by the reader that the other tests use.
func TestFaultsAreFound(t *testing.T) {
	for name, test := range map[string]struct {
		draw func(d *drawing)
		want string
	}{
		"outside":               {func(d *drawing) { d.tree.Stop(); d.plain(100, "x") }, "is outside of the structure"},
		"ornament with text":    {func(d *drawing) { d.line(100); d.plain(100, "x") }, "is an ornament"},
		"figure without a text": {func(d *drawing) { d.in(Figure, Attributes{}, func() { d.line(1) }) }, "a figure says nothing"},
		"header of nothing": {func(d *drawing) {
			d.in(Table, Attributes{}, func() { d.in(Row, Attributes{}, func() { d.in(HeaderCell, Attributes{}, func() { d.text(1, "x") }) }) })
		}, "is of no column or row"},
		"rows of other lengths": {func(d *drawing) {
			d.in(Table, Attributes{}, func() {
				for n := range 2 {
					d.in(Row, Attributes{}, func() {
						for range n + 1 {
							d.in(DataCell, Attributes{}, func() { d.text(1, "x") })
						}
					})
				}
			})
		}, "rows of 1 and 2 cells"},
		"another order": {func(d *drawing) {
			d.in(Paragraph, Attributes{}, func() { d.text(2, "x") })
			d.in(Paragraph, Attributes{}, func() { d.text(1, "y") })
			d.tree.lose()
			lost := d.tree.lose()
			d.tree.all[d.tree.all[d.tree.at].last].next = lost + 1
			d.tree.all[lost+1].next = lost
		}, "drawn before"},
		"lost": {func(d *drawing) {
			d.in(Paragraph, Attributes{}, func() { d.text(2, "lost") })
			d.tree.lose()
		}, "is in no element"},
		"begins twice": {func(d *drawing) { d.text(2, "x"); d.tree.isMarked = false; d.line(1) }, "begins in another one"},
	} {
		d := sample()
		test.draw(d)
		doc, err := pdftest.Read(d.write(t))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		doc.IsNarrow = true
		_, faults := doc.Tree()
		if !slices.ContainsFunc(faults, func(f string) bool { return strings.Contains(f, test.want) }) {
			t.Errorf("%s: not found: %q", name, faults)
		}
	}
	d := newDrawing()
	d.page()
	d.in(Heading1, Attributes{}, func() { d.text(2, "x") })
	d.tree.OpenSection(1)
	d.in(Heading3, Attributes{}, func() { d.text(1, "x") })
	doc, err := pdftest.Read(d.write(t))
	if err != nil {
		t.Fatal(err)
	}
	doc.IsNarrow = true
	if _, faults := doc.Tree(); len(faults) != 1 || !strings.Contains(faults[0], "level 3 follows one of level 1") {
		t.Errorf("%q", faults)
	}
}

// A content that is given takes the place of that in the file, as if it had been there.
func TestContentIsTaken(t *testing.T) {
	want := sample().write(t)
	d := sample()
	d.tree.Stop() // as file does
	content := bytes.Clone(d.pages[1].Bytes())
	d.pages[1].Reset()
	var asked []int
	write := func(give func() ([]byte, error)) ([]byte, error) {
		var out bytes.Buffer
		err := d.tree.Write(&out, d.file(), Additions{Content: func(page int) ([]byte, error) {
			if asked = append(asked, page); page == 1 {
				return give()
			}
			return nil, nil
		}})
		return out.Bytes(), err
	}
	got, err := write(func() ([]byte, error) { return content, nil })
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("another file, or %v", err)
	}
	if !slices.Equal(asked, []int{0, 1}) {
		t.Errorf("asked for %v", asked)
	}
	fault := errors.New("a fault")
	if _, err := write(func() ([]byte, error) { return nil, fault }); err != fault {
		t.Errorf("the fault is %v", err)
	}
	without := bytes.Replace(d.file(), []byte("/Contents "), []byte("/Discount "), 1)
	if err := d.tree.Write(&bytes.Buffer{}, without, Additions{Content: func(int) ([]byte, error) { return nil, nil }}); err == nil || !strings.Contains(err.Error(), "page 1 of the PDF has no content") {
		t.Errorf("a page without a content: %v", err)
	}
}

// A file of another form is refused, never half understood.
func TestOtherFilesAreRefused(t *testing.T) {
	good := sample().file()
	for name, made := range map[string][]byte{
		"empty": nil, "text": []byte("hello"), "cut": good[:len(good)-20],
		"no table":  bytes.Replace(good, []byte("xref\n0 "), []byte("xrof\n0 "), 1),
		"no root":   bytes.Replace(good, []byte("/Root "), []byte("/Roof "), 1),
		"size":      bytes.Replace(good, []byte("xref\n0 10"), []byte("xref\n0 90"), 1),
		"page":      bytes.Replace(good, []byte("/Type /Page\n"), []byte("/Type /Rage\n"), 1),
		"catalog":   bytes.Replace(good, []byte("/Type /Catalog\n"), []byte("/Type /Analog \n"), 1),
		"length":    bytes.Replace(good, []byte("<</Length "), []byte("<</Length 99"), 1),
		"beginning": bytes.Replace(good, []byte("startxref\n"), []byte("startxref\n9"), 1),
	} {
		if bytes.Equal(made, good) {
			t.Errorf("%s: unchanged", name)
		}
		if err := sample().tree.Write(&bytes.Buffer{}, made, Additions{}); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	if err := sample().tree.Write(&bytes.Buffer{}, good, Additions{Entries: []string{"/VP []"}}); err == nil {
		t.Error("entries of one page for two")
	}
}

// Other people's readers find the file whole and read the same structure: qpdf its objects,
// poppler's pdfinfo its elements.
func TestOtherReaders(t *testing.T) {
	path := filepath.Join(t.TempDir(), "sample.pdf")
	if err := os.WriteFile(path, sample().write(t, "/VP []", "/VP []"), 0o666); err != nil {
		t.Fatal(err)
	}
	run := func(name, debian string, args ...string) string {
		tool, err := exec.LookPath(name)
		if err != nil {
			t.Logf("%s (Debian %s) is not installed; .ci/run installs it", name, debian)
			return ""
		}
		out, err := exec.Command(tool, append(args, path)...).CombinedOutput()
		if err != nil {
			t.Errorf("%s: %v\n%s", name, err, out)
		}
		return string(out)
	}
	if out := run("qpdf", "qpdf", "--check"); out != "" && !strings.Contains(out, "No syntax or stream encoding errors") {
		t.Errorf("qpdf:\n%s", out)
	}
	if out := run("pdfinfo", "poppler-utils", "-struct-text"); out != "" {
		want := `Document H1 (block) "Title" Sect H2 (block) "First" P (block) "one two" L (block) LI (block) Lbl (block) "" LBody (block) "item" Figure: /BBox [72 580 300 600] "N" Sect H3 (block) "Below" Table (block) TR TH: /Scope /Column "a" TH: /Scope /Column "b" TR TD "1" TD Sect H2 (block) "Second" P (block) "in no element goes on"`
		if got := strings.Join(strings.Fields(out), " "); got != want {
			t.Errorf("pdfinfo reads\n%s\nwant\n%s", got, want)
		}
	}
}
