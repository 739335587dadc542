package pdf

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
)

// holding does something with so many pages held by the library.
func holding(pages int, do func()) {
	defer func(before int) { mostHeld = before }(mostHeld)
	mostHeld = pages
	do()
}

const all = 1 << 20

// A paper with leaves is, byte for byte, the one whose pages the library holds: contents,
// types, bookmarks, numbers of pages, places on earth, structure.
func TestLeavesChangeNothing(t *testing.T) {
	papersWith := func(held int) (papers map[string][]byte) {
		written = nil
		defer func() { written = nil }()
		holding(held, func() { papers = everyPaper(t) })
		return papers
	}
	want := papersWith(all)
	for _, held := range []int{1, 2, 5} {
		for name, got := range papersWith(held) {
			if !bytes.Equal(got, want[name]) {
				t.Errorf("%s with %d pages held: %d bytes, want %d", name, held, len(got), len(want[name]))
			}
		}
	}
}

// What is set when a page ends is set on the next one: type, widths, and the three colors in
// every relation to each other.
func TestLeavesGoOnWithWhatIsSet(t *testing.T) {
	draw := func() []byte {
		p := newPaper("Test", "DRAFT", sample.Stamp())
		p.AddPage()
		p.mainHeading("Test", 18, 9)
		for i := range 64 {
			gray := func(bit int) int { return 90 * (i >> (2 * bit) & 3) }
			p.SetTextColor(gray(0), 0, 0)
			p.SetFillColor(gray(1), 0, 0)
			p.SetDrawColor(gray(2), 0, 0)
			p.SetLineWidth(0.1 * float64(1+i%7))
			p.SetFont("text", []string{"", "B"}[i%2], 6+float64(i%5))
			p.AddPage()
			p.CellFormat(50, 5, fmt.Sprint("page ", i), "", 2, "L", false, 0, "")
			p.Line(20, 60, 90, 60)
			p.Rect(20, 70, 9, 9, "FD")
		}
		return made(t, p.write)
	}
	var want, got []byte
	holding(all, func() { want = draw() })
	holding(1, func() { got = draw() })
	if !bytes.Equal(got, want) {
		t.Error("pages that are leaves are other ones")
	}
}

// A fault while a leaf is drawn is told, as is one before.
func TestFaultsOfLeavesAreTold(t *testing.T) {
	for page := range 6 {
		holding(2, func() {
			p := newPaper("Test", "", sample.Stamp())
			for i := range 6 {
				p.AddPage()
				if i == page {
					p.SetError(errors.New("a fault"))
				}
				p.para("text", "", 10)
			}
			if err := p.write(io.Discard); err == nil || !strings.Contains(err.Error(), "a fault") {
				t.Errorf("page %d: %v", page, err)
			}
		})
	}
}

// What a long paper holds while it is drawn grows by less than what a page takes as it was
// drawn, and that is seen where all pages are held.
func TestLeavesAreSmall(t *testing.T) {
	v := longSheet(8)
	grows := func() int {
		p := newPaper("Season sheet", "", v.Due.Stamp)
		p.setNarrow()
		draw := func(rounds int) int {
			for i := range rounds * len(v.Units) {
				p.AddPage()
				p.unit(v, &v.Units[i%len(v.Units)])
			}
			var m runtime.MemStats
			runtime.GC()
			runtime.ReadMemStats(&m)
			return int(m.HeapAlloc)
		}
		before := draw(4)
		pages := p.PageNo()
		grown := (draw(16) - before) / (p.PageNo() - pages)
		if err := p.write(io.Discard); err != nil {
			t.Fatal(err)
		}
		return grown
	}
	leaves := grows()
	if leaves > 16<<10 {
		t.Errorf("each page holds %d bytes", leaves)
	}
	holding(all, func() {
		if held := grows(); held < 2*leaves {
			t.Errorf("a page that is held takes %d bytes, a leaf %d: the measure sees nothing", held, leaves)
		}
	})
	t.Logf("%d bytes a page", leaves)
}

// Other people's readers find a long paper whole: qpdf its objects, and its bookmarks on the
// pages that show their titles; poppler every page with its number of all, and the elements.
func TestLongSheet(t *testing.T) {
	v := longSheet(60)
	paper := made(t, func(w io.Writer) error { return Sheet(w, v) })
	root := structureOf(t, "long sheet", paper)
	if parts := len(root.All("H2")); parts < 61 { // the units, and the day
		t.Errorf("%d parts", parts)
	}
	text, count := textOf(t, paper)
	if count < 4*mostHeld {
		t.Fatalf("%d pages show little", count)
	}
	pages := strings.Split(text, "\f")
	for i, page := range pages[:count] {
		if want := fmt.Sprintf("page %d of %d", i+1, count); !strings.Contains(page, want) {
			t.Errorf("page %d does not say %q", i+1, want)
		}
	}
	qpdf, err := exec.LookPath("qpdf")
	if err != nil {
		t.Skip("qpdf (Debian qpdf) is not installed; .ci/run installs it")
	}
	path := filepath.Join(t.TempDir(), "long.pdf")
	if err := os.WriteFile(path, paper, 0o666); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(qpdf, "--check", path).CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
	out, err := exec.Command(qpdf, "--json=1", "--json-key=outlines", path).Output()
	if err != nil {
		t.Fatal(err)
	}
	type bookmark struct {
		Title string
		Page  int `json:"destpageposfrom1"`
		Kids  []bookmark
	}
	var found struct{ Outlines []bookmark }
	if err := json.Unmarshal(out, &found); err != nil {
		t.Fatal(err)
	}
	bookmarks, on := 0, map[int]bool{}
	var look func(all []bookmark)
	look = func(all []bookmark) {
		for _, b := range all {
			bookmarks++
			on[b.Page] = true
			words := func(s string) string { return strings.Join(strings.Fields(s), " ") }
			if b.Page < 1 || b.Page > count || !strings.Contains(words(pages[b.Page-1]), words(b.Title)) {
				t.Errorf("the bookmark %q points at page %d", b.Title, b.Page)
			}
			look(b.Kids)
		}
	}
	look(found.Outlines)
	if bookmarks < 61 || len(on) < 61 {
		t.Errorf("%d bookmarks on %d pages", bookmarks, len(on))
	}
}
