package pdf

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/pdf/internal/pdftest"
	"emberquilt/report/view"
)

var update = flag.Bool("update", false, "rewrite golden files")

// papers gives every paper of this package, of the sample or of hostile ground.
func papers(t testing.TB, hostile bool) map[string][]byte {
	t.Helper()
	plan, packet := sample.Terrace(), sample.Packet()
	if hostile {
		plan = sample.Hostile()
		names := sample.HostileNames()
		packet.Property = plan.Property
		packet.Stamp = plan.Stamp
		packet.Contract.Name, packet.Contract.Client, packet.Contract.Notes = names[11], names[16], names[16]
		for i := range packet.Records {
			packet.Records[i].Notes, packet.Records[i].Crew = names[i%len(names)], names[(i+7)%len(names)]
		}
		for i := range packet.Contract.Practices {
			packet.Contract.Practices[i].Name = names[i]
		}
	}
	draft, err := view.NewDraft(sample.Draft(plan))
	if err != nil {
		t.Fatal(err)
	}
	all := map[string][]byte{}
	for name, write := range map[string]func(io.Writer) error{
		"sheet":  func(w io.Writer) error { return Sheet(w, sample.Sheet(plan)) },
		"draft":  func(w io.Writer) error { return Draft(w, draft) },
		"packet": func(w io.Writer) error { return Packet(w, view.NewPacket(packet)) },
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		all[name] = b.Bytes()
		if folder := os.Getenv("PAPERS"); folder != "" {
			if err := os.WriteFile(filepath.Join(folder, name+map[bool]string{true: "-hostile"}[hostile]+".pdf"), b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	return all
}

// textOf reads a paper back by pdftotext (poppler), layout kept, and counts its
// pages by form feeds.
func textOf(t *testing.T, paper []byte) (text string, pageCount int) {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("no pdftotext on this machine: the papers are not read back")
	}
	command := exec.Command("pdftotext", "-layout", "-", "-")
	command.Stdin = bytes.NewReader(paper)
	out, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out), strings.Count(string(out), "\f")
}

func TestPapersAreStable(t *testing.T) {
	first, second := papers(t, false), papers(t, false)
	for name := range first {
		if !bytes.Equal(first[name], second[name]) {
			t.Errorf("%s: two runs give different bytes", name)
		}
	}
}

func TestPapersGolden(t *testing.T) {
	for name, paper := range papers(t, false) {
		text, _ := textOf(t, paper)
		path := filepath.Join("testdata", name+".txt")
		if *update {
			if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if text != string(want) {
			t.Errorf("%s.txt differs; run go test ./report/pdf -update and look at the difference", name)
		}
	}
}

func TestEveryPageIsStamped(t *testing.T) {
	for _, hostile := range []bool{false, true} {
		for name, paper := range papers(t, hostile) {
			text, count := textOf(t, paper)
			sheets := strings.Split(text, "\f")
			stamp := []string{"change 14 (b9dd05c4)", "program 0.1.0"}
			if hostile { // the stamp's own words are hostile too
				stamp = []string{" · program {nb}"}
			}
			for i, page := range sheets[:count] {
				for _, want := range append(stamp, "page "+strconv.Itoa(i+1)+" of "+strconv.Itoa(count), "Wed, Nov 25, 2026", "not a permit") {
					if !strings.Contains(page, want) {
						t.Errorf("%s, hostile %v, page %d does not say %q", name, hostile, i+1, want)
					}
				}
				if name == "draft" && !strings.Contains(page, view.DraftMark) {
					t.Errorf("page %d of the draft is not marked", i+1)
				}
			}
		}
	}
}

// TestNumbersOfManyUnitsAreNotBroken: the list of a season has room for a number of two or
// three digits.
func TestNumbersOfManyUnitsAreNotBroken(t *testing.T) {
	sheet := sample.Sheet(sample.Terrace())
	for i := range sheet.Units {
		sheet.Units[i].Number += 190
	}
	var b bytes.Buffer
	if err := Sheet(&b, sheet); err != nil {
		t.Fatal(err)
	}
	text, _ := textOf(t, b.Bytes())
	first, _, _ := strings.Cut(text, "\f")
	for _, u := range sheet.Units {
		if !regexp.MustCompile(fmt.Sprintf(`\b%d\b`, u.Number)).MatchString(first) {
			t.Errorf("the list does not show number %d in one piece", u.Number)
		}
	}
}

// A sheet is a page that lists the units, one a unit, and one for the day, in the order
// of the first windows.
func TestSheetHasAPageForEachUnit(t *testing.T) {
	sheet := sample.Sheet(sample.Terrace())
	if len(sheet.Units) != 9 {
		t.Fatalf("%d units", len(sheet.Units))
	}
	text, count := textOf(t, papers(t, false)["sheet"])
	pages := strings.Split(text, "\f")
	if count > len(sheet.Units)+4 { // for nine units the map and what to have on site take a page more each
		t.Errorf("%d pages for %d units", count, len(sheet.Units))
	}
	for i, u := range sheet.Units {
		found := 0
		for _, page := range pages {
			if strings.Contains(page, "Before it burns") && strings.Contains(page, fmt.Sprintf("%d %s\n", u.Number, u.Unit)) {
				found++
				for _, want := range []string{"Limits: " + "grass, dormant", "Winds", "When", "Why this one"} {
					if u.Prescription == "" {
						want = strings.TrimSuffix(want, ": grass, dormant")
					}
					if !strings.Contains(page, want) {
						t.Errorf("the page of %s does not say %q", u.Unit, want)
					}
				}
			}
		}
		if found != 1 {
			t.Errorf("%d pages of %s", found, u.Unit)
		}
		if i > 0 && len(u.Windows) > 0 && u.Windows[0].First.Before(sheet.Units[i-1].Windows[0].First) {
			t.Errorf("%s comes after %s, whose window opens later", u.Unit, sheet.Units[i-1].Unit)
		}
	}
	last := strings.Join(pages[len(sheet.Units)+1:], "")
	for _, want := range []string{"On the day", "Call, in this order", "Have on site", "Weather on the day", "After it has burned", "walk the whole line until nothing smokes"} {
		if strings.Count(last, want) != 1 && want != "Have on site" || !strings.Contains(last, want) {
			t.Errorf("the page for the day says %q %d times", want, strings.Count(last, want))
		}
	}
	if hostile, _ := textOf(t, papers(t, true)["sheet"]); strings.Count(hostile, "Before it burns") != 9 {
		t.Errorf("hostile names: %d units have a page", strings.Count(hostile, "Before it burns"))
	}
}

// Where a unit's name does not fit into it the sketch shows a number, and says below
// the map whose it is.
func TestSketchNamesEveryUnit(t *testing.T) {
	plan := sample.Terrace()
	text, count := textOf(t, papers(t, false)["draft"])
	sketch := strings.Join(strings.Fields(strings.Split(text, "\f")[count-1]), " ")
	for i := range plan.Units {
		if !strings.Contains(sketch, plan.Units[i].ID) {
			t.Errorf("the sketch does not name %s:\n%s", plan.Units[i].ID, sketch)
		}
	}
}

// A key is whole however many units it names.
func TestKeyIsWhole(t *testing.T) {
	p := newPaper("Key", "", sample.Terrace().Stamp)
	p.AddPage()
	var numbered []numberedUnit
	for i := 60; i > 0; i-- {
		numbered = append(numbered, numberedUnit{i, fmt.Sprintf("Field of the mill %02d", i)})
	}
	p.key(numbered, 9)
	var b bytes.Buffer
	if err := p.write(&b); err != nil {
		t.Fatal(err)
	}
	text, _ := textOf(t, b.Bytes())
	text = strings.Join(strings.Fields(text), " ")
	if want := "59 Field of the mill 59 60 Field of the mill 60"; !strings.Contains(text, want) {
		t.Errorf("the key does not end with %q:\n%s", want, text)
	}
}

// The text of a sheet is read at arm's length: 11 points at least, save for the rose's
// letters, the header and the footer. pdftotext gives each word's box; its height is
// that of the type (DejaVu: 1.164 times the size).
func TestSheetIsLargeEnough(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("no pdftotext on this machine: the sizes are not read back")
	}
	command := exec.Command("pdftotext", "-bbox", "-", "-")
	command.Stdin = bytes.NewReader(papers(t, false)["sheet"])
	out, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	small := map[string]bool{"wind": true, "from": true}
	for _, point := range []string{"N", "NE", "E", "SE", "S", "SW", "W", "NW"} {
		small[point] = true
	}
	page, words, hasMap := 0, 0, false
	word := regexp.MustCompile(`<word xMin="[0-9.]+" yMin="([0-9.]+)" xMax="[0-9.]+" yMax="([0-9.]+)">(.*)</word>`)
	for line := range strings.Lines(string(out)) {
		if strings.Contains(line, "<page ") {
			page, hasMap = page+1, false
		}
		m := word.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		hasMap = hasMap || m[3] == "hatched" // "Where: what burns is hatched": names on the map have sizes of their own
		if hasMap {
			continue
		}
		top, _ := strconv.ParseFloat(m[1], 64)
		bottom, _ := strconv.ParseFloat(m[2], 64)
		if top < 50 || bottom > 740 || small[m[3]] {
			continue
		}
		words++
		if bottom-top < 11*1.164-0.1 {
			t.Fatalf("page %d: %q is %.1f points high", page, m[3], (bottom-top)/1.164)
		}
	}
	if words < 500 {
		t.Errorf("only %d words were measured", words)
	}
}

// A text that the font cannot draw must show as a mark, never vanish.
func TestMissingGlyphsAreMarked(t *testing.T) {
	if got := printable("a\u202Eb🔥c\x00d\ue0fe", 99); got != "ab□c d□" {
		t.Errorf("%q", got)
	}
	for _, r := range "☐☑✓≤°–…→·□Aéß" {
		if !covered()[r] {
			t.Errorf("the font lacks %q", r)
		}
	}
	if covered()['\u4e00'] || len(covered()) < 4000 {
		t.Errorf("%d characters covered", len(covered()))
	}
	if got := printable(strings.Repeat("x", 5000), 80); len([]rune(got)) != 80 || !strings.HasSuffix(got, "…") {
		t.Errorf("cut to %q", got)
	}
}

// Names that a page count or a script would be read from stay as they are.
func TestHostileTextIsInert(t *testing.T) {
	all := papers(t, true)
	for name, paper := range all {
		doc, err := pdftest.Read(paper)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		names := doc.Names()
		for _, word := range []pdftest.Name{"JavaScript", "JS", "URI", "Launch"} {
			if names[word] {
				t.Errorf("%s holds %s", name, word)
			}
		}
		if !names["Catalog"] || !names["StructTreeRoot"] || !names["Figure"] && name == "sheet" {
			t.Errorf("%s: the names of its objects are not read: %v", name, names)
		}
		text, _ := textOf(t, paper)
		if name == "sheet" && !strings.Contains(text, "{nb}") {
			t.Errorf("%s: {nb} in a name was replaced or lost", name)
		}
	}
}

// A season without burns, and a plan that does not exist, still give papers
// that say so.
func TestEmptyPapers(t *testing.T) {
	for name, plan := range map[string]*view.Plan{"no plan": sample.Clashing(sample.Terrace()), "no burn": sample.Terrace()} {
		season := 0
		if name == "no burn" {
			season = 1 // nothing burns in the early growing season of 2027
		}
		due, err := view.NewDue(sample.Season(plan), season, 2027)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := Sheet(&b, view.NewSheet(due, view.SheetInput{})); err != nil {
			t.Fatal(err)
		}
		if text, count := textOf(t, b.Bytes()); count != 1 || !strings.Contains(text, "No unit burns in this season") {
			t.Errorf("%s: %d pages:\n%s", name, count, text)
		}
	}
	in := sample.Packet()
	in.Records, in.Contract.Items, in.Contract.Completions, in.Contract.Files = nil, nil, nil, nil
	var b bytes.Buffer
	if err := Packet(&b, view.NewPacket(in)); err != nil {
		t.Fatal(err)
	}
	if text, _ := textOf(t, b.Bytes()); strings.Count(text, "None.") != 2 {
		t.Errorf("an empty contract:\n%s", text)
	}
}

// Plain lines run on as sentences; titles, boxes and bold lines stay as they are.
func TestRunOn(t *testing.T) {
	got := runOn([]block{{text: "When", title: true}, {text: "No window.", bold: true}, {text: "Would give windows:"}, {text: bullet + "one wind more"}, {text: bullet + "one line more"},
		{text: "It needs 5 hours."}, {text: "Sensitive places", title: true}, {text: "Road: 10 ft"}, {text: "House: 20 ft"}, {text: "spray", box: true, lead: "Mon"}})
	want := []block{{text: "When", title: true}, {text: "No window.", bold: true}, {text: "Would give windows: one wind more; one line more. It needs 5 hours."},
		{text: "Sensitive places", title: true}, {text: "Road: 10 ft; House: 20 ft"}, {text: "spray", box: true, lead: "Mon"}}
	if !slices.Equal(got, want) {
		t.Errorf("%+v", got)
	}
}
