package pdf

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/internal/sample"
	"emberquilt/report/pdf/internal/pdftest"
	"emberquilt/report/pdf/structure"
	"emberquilt/report/view"
)

// written holds what everyPaper gives, which two tests read.
var written map[string][]byte

// everyPaper gives the papers of the samples, a week and a field map.
func everyPaper(t *testing.T) map[string][]byte {
	t.Helper()
	if written != nil {
		return written
	}
	all := papers(t, false)
	for name, paper := range papers(t, true) {
		all["hostile "+name] = paper
	}
	all["field map"] = fieldPDF(t, fieldGround(60, ground.Point{Lon: -97, Lat: 36.9}))
	all["empty week"] = made(t, func(w io.Writer) error {
		return Week(w, &view.Week{Stamp: view.Stamp{Property: "Bend"}, Cautions: view.Cautions()})
	})
	week := &view.Week{Stamp: sample.Stamp(), Cautions: view.Cautions(), Warnings: []string{"a year is missing"}, Slipped: []view.WeekSlip{{Words: "Gate One slipped"}},
		Unfinished: []view.BurnedUnit{{Unit: "Gate Two", Words: "half of it"}}, Budget: view.WeekBudget{Words: []string{"$100 left"}}, Crew: view.Crew{Words: []string{"The crew"}},
		Open: []view.WeekBurn{{Unit: "Gate One", Season: "dormant", Year: 2027, Days: []date.Day{{Year: 2027, Month: 2, Dom: 1}}, Closes: date.Day{Year: 2027, Month: 3, Dom: 1}}}, Tasks: []view.TaskRow{{Unit: "Gate One", Name: "call", State: "late"}}}
	week.Stamp.Property = "Nine Gate Farm"
	week.Stamp.Overtaken, week.Stamp.Lines = "Something changed since.", "line 1 is at risk\nline 2 is at risk"
	all["week"] = made(t, func(w io.Writer) error { return Week(w, week) })
	south := quantity.Bearing(180)
	sheet := sample.Sheet(sample.Terrace())
	for i := range sheet.Units { // the sheet for a wind, with a task done, and more than a page holds
		u := &sheet.Units[i]
		u.Wind = &view.DayWind{From: "S", Bearing: south, Edge: "north"}
		if u.Rose != nil {
			u.Rose.Day = &south
		}
		for k := range 30 {
			u.Plain = append(u.Plain, fmt.Sprintf("One more reason, %d: it has not burned for long enough that the last of the grass stands.", k))
			u.Breaks = append(u.Breaks, bullet+fmt.Sprintf("one more break, %d", k))
		}
	}
	all["long sheet"] = made(t, func(w io.Writer) error { return Sheet(w, sheet) })
	written = all
	return all
}

func made(t *testing.T, write func(io.Writer) error) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := write(&out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// structureOf reads a paper's structure, which must be whole.
func structureOf(t *testing.T, name string, paper []byte) *pdftest.Node {
	t.Helper()
	doc, err := pdftest.Read(paper)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	root, faults := doc.Tree()
	if len(faults) > 0 {
		t.Errorf("%s: %d faults: %q", name, len(faults), faults[:min(5, len(faults))])
	}
	return root
}

// Everything on every page of every paper is in its structure or an artifact; the order of
// reading is that of drawing; headings skip no level, tables are regular, figures say in
// words what they show.
func TestEveryPaperIsTagged(t *testing.T) {
	for name, paper := range everyPaper(t) {
		root := structureOf(t, name, paper)
		if h := root.All("H1"); len(h) != 1 {
			t.Errorf("%s has %d headings of its own", name, len(h))
		}
		if words := len(strings.Fields(root.Words())); words < 50 && name != "field map" {
			t.Errorf("%s: only %d words are in the structure", name, words)
		}
	}
}

// What the structure says is what the papers' values say.
func TestStructureOfThePapers(t *testing.T) {
	all := papers(t, false)
	sheet := sample.Sheet(sample.Terrace())
	root := structureOf(t, "sheet", all["sheet"])
	table := root.All("Table")[0].Cells()
	if len(table) != len(sheet.Units)+1 || len(table[0]) != 6 || table[0][1] != "Unit" {
		t.Errorf("the table of units: %q", table)
	}
	var parts []string
	for _, h := range root.All("H2") {
		parts = append(parts, h.Words())
	}
	for i, u := range sheet.Units {
		if row := table[i+1]; row[1] != u.Unit || row[2] != u.Left.String() {
			t.Errorf("row %d is %q, not of %s", i+1, row, u.Unit)
		}
		if want := fmt.Sprintf("%d  %s", u.Number, u.Unit); !slices.Contains(parts, want) {
			t.Errorf("%q is no heading: %q", want, parts)
		}
	}
	roses, maps := 0, 0
	for _, f := range root.All("Figure") {
		switch {
		case strings.HasPrefix(f.Alt, "Rose of the sixteen winds. "):
			roses++
		case strings.HasPrefix(f.Alt, "Map, north up. Hatched: "):
			maps++
		}
	}
	if roses != len(sheet.Units)-1 || maps != 1 { // one unit has no depth
		t.Errorf("%d roses, %d maps", roses, maps)
	}
	packet := view.NewPacket(sample.Packet())
	root = structureOf(t, "packet", all["packet"])
	tables := root.All("Table")
	for i, want := range []struct{ rows, columns int }{{len(packet.Practices) + 1, 11}, {0, 7}, {len(packet.Schedule) + 1, 11}} {
		cells := tables[i].Cells()
		if want.rows > 0 && len(cells) != want.rows || len(cells[0]) != want.columns {
			t.Errorf("table %d is of %d rows and %d columns, want %+v", i+1, len(cells), len(cells[0]), want)
		}
	}
	for _, row := range tables[2].Cells()[1:] {
		if row[2] == "" || row[4] == "" {
			t.Errorf("a row of the schedule: %q", row)
		}
	}
	years := 0
	for _, f := range root.All("Figure") {
		if strings.HasPrefix(f.Alt, "Map of ") {
			years++
		}
	}
	if years != 1+len(packet.AsBurned.Map.Years) { // and one of the contract's units
		t.Errorf("%d maps of %d years and of the contract's units", years, len(packet.AsBurned.Map.Years))
	}
	if !strings.Contains(root.Words(), "not a permit") {
		t.Error("the cautions are not read")
	}
	draft, err := view.NewDraft(sample.Draft(sample.Terrace()))
	if err != nil {
		t.Fatal(err)
	}
	root = structureOf(t, "draft", all["draft"])
	for i, s := range draft.Sections {
		cells := root.All("Table")[i].Cells()
		if len(cells) != len(s.Fields) || len(cells[0]) != 2 || cells[0][0] != s.Fields[0].Label {
			t.Errorf("section %s: %q", s.Title, cells)
		}
	}
	boxes := 0
	for _, l := range root.All("Lbl") {
		if l.Actual == emptyBox {
			boxes++
		}
	}
	if boxes < len(draft.GoNoGo) {
		t.Errorf("%d boxes", boxes)
	}
	root = structureOf(t, "field map", fieldPDF(t, fieldGround(60, ground.Point{Lon: -97, Lat: 36.9})))
	for _, f := range root.All("Figure") {
		if !strings.Contains(f.Alt, "Hatched: Unit ") || !strings.Contains(f.Alt, "WGS 84") || !strings.Contains(f.Alt, view.CautionLine) {
			t.Errorf("a page of the field map says %q", f.Alt)
		}
	}
}

// What is drawn past the canvas, or said wrongly, does not pass.
func TestUntaggedPapersAreFound(t *testing.T) {
	for name, test := range map[string]struct {
		draw func(p *paper)
		want string
	}{
		"nothing wrong": {func(p *paper) {}, ""},
		"text past the canvas": {func(p *paper) {
			p.tree.Stop()
			p.Fpdf.CellFormat(20, 5, "lost", "", 2, "L", false, 0, "")
		}, `Tj of "lost" is outside of the structure`},
		"line past the canvas": {func(p *paper) {
			p.tree.Stop()
			p.Fpdf.Line(1, 1, 9, 9)
		}, "S of \"\" is outside of the structure"},
		"text among ornaments": {func(p *paper) {
			p.Line(1, 1, 9, 9)
			p.Fpdf.Text(1, 1, "lost")
		}, `the text "lost" is an ornament`},
		"figure without a text": {func(p *paper) { p.figure("", func() { p.Line(1, 1, 9, 9) }) }, "a figure says nothing"},
		"figure past the canvas": {func(p *paper) {
			p.figure("A line.", func() { p.tree.Drawing(); p.Fpdf.Line(1, 1, 9, 9) })
		}, "a Figure does not say where it lies"},
		"figure that is larger than it says": {func(p *paper) {
			p.figure("Two lines.", func() { p.Line(1, 1, 9, 9); p.Fpdf.Line(9, 9, 11, 9) })
		}, "but does in"},
		"figure that is smaller than it says": {func(p *paper) {
			p.figure("A line.", func() { p.Line(1, 1, 9, 9); p.cover(1, 1, 99, 9) })
		}, "but does in"},
		"table that is larger than it says": {func(p *paper) {
			p.in(structure.Table, func() {
				p.in(structure.Row, func() {
					p.tableCell(true, "Row", func() { p.Text(20, 50, "a"); p.Fpdf.Text(20, 60, "b") })
				})
			})
		}, "but does in"},
		"figure within its clip": {func(p *paper) {
			p.figure("A line.", func() {
				p.ClipRect(10, 10, 20, 20, false)
				p.Line(1, 15, 199, 15)
				p.ClipEnd()
				p.Line(40, 40, 41, 41)
			})
		}, ""},
		"skipped level": {func(p *paper) { p.level = 3; p.heading("deep") }, "level 3 follows one of level 1"},
	} {
		p := newPaper("Test", "", sample.Stamp())
		p.AddPage()
		p.mainHeading("Test", 18, 9)
		test.draw(p)
		doc, err := pdftest.Read(made(t, p.write))
		if err != nil {
			t.Fatal(err)
		}
		_, faults := doc.Tree()
		if test.want == "" && len(faults) > 0 || test.want != "" && !slices.ContainsFunc(faults, func(f string) bool { return strings.Contains(f, test.want) }) {
			t.Errorf("%s: %q", name, faults)
		}
	}
}

// Other people's readers find the same: pdfinfo (poppler) the elements with their text, qpdf
// whole objects and the texts of figures.
func TestOtherReadersFindTheStructure(t *testing.T) {
	tool := func(name, debian string) string {
		path, err := exec.LookPath(name)
		if err != nil {
			t.Logf("%s (Debian %s) is not installed; .ci/run installs it", name, debian)
		}
		return path
	}
	pdfinfo, qpdf := tool("pdfinfo", "poppler-utils"), tool("qpdf", "qpdf")
	element := regexp.MustCompile(`(?m)^ *(H[123]|P|LI|TR|TH|TD|Figure|Table|Sect)\b`)
	for _, name := range []string{"sheet", "draft", "packet", "week", "field map"} {
		paper := everyPaper(t)[name]
		path := filepath.Join(t.TempDir(), "paper.pdf")
		if err := os.WriteFile(path, paper, 0o666); err != nil {
			t.Fatal(err)
		}
		root := structureOf(t, name, paper)
		if qpdf != "" {
			if out, err := exec.Command(qpdf, "--check", path).CombinedOutput(); err != nil {
				t.Errorf("%s: %v\n%s", name, err, out)
			}
			out, err := exec.Command(qpdf, "--json=1", "--json-key=objects", path).Output()
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			var found struct{ Objects map[string]json.RawMessage }
			if err := json.Unmarshal(out, &found); err != nil {
				t.Fatal(err)
			}
			var got, want []string
			for _, object := range found.Objects {
				var e struct {
					S   string `json:"/S"`
					Alt string `json:"/Alt"`
				}
				if json.Unmarshal(object, &e) == nil && e.S == "/Figure" {
					got = append(got, e.Alt)
				}
			}
			for _, f := range root.All("Figure") {
				want = append(want, f.Alt)
			}
			slices.Sort(got)
			slices.Sort(want)
			if !slices.Equal(got, want) {
				t.Errorf("%s: qpdf finds %d figures: %.300q; want %d: %.300q", name, len(got), got, len(want), want)
			}
		}
		if pdfinfo != "" {
			out, err := exec.Command(pdfinfo, "-struct", path).Output()
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			counts := map[string]int{}
			for _, m := range element.FindAllStringSubmatch(string(out), -1) {
				counts[m[1]]++
			}
			for _, role := range []string{"H1", "H2", "H3", "P", "LI", "TR", "TH", "TD", "Figure", "Table", "Sect"} {
				if counts[role] != len(root.All(role)) {
					t.Errorf("%s: pdfinfo finds %d of %s, not %d", name, counts[role], role, len(root.All(role)))
				}
			}
			if name != "draft" && name != "week" { // it draws the page anew for each element
				continue
			}
			out, err = exec.Command(pdfinfo, "-struct-text", path).Output()
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			text := strings.Join(strings.Fields(string(out)), " ")
			for _, role := range []string{"H2", "P", "LBody", "TH", "TD"} {
				for _, n := range root.All(role) {
					words := ""
					for _, kid := range n.Kids {
						words += kid.Text
					}
					if words = strings.Join(strings.Fields(words), " "); !strings.Contains(words, `"`) && !strings.Contains(text, words) {
						t.Errorf("%s: pdfinfo does not read the %s %q", name, role, words)
					}
				}
			}
		}
	}
}
