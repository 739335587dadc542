package pdf

import (
	"bytes"
	"flag"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
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

func TestSheetHasAPageForEachUnit(t *testing.T) {
	for _, hostile := range []bool{false, true} {
		plan := sample.Terrace()
		if hostile {
			plan = sample.Hostile()
		}
		sheet := sample.Sheet(plan)
		text, _ := textOf(t, papers(t, hostile)["sheet"])
		found := 0
		for page := range strings.SplitSeq(text, "\f") {
			heads := strings.Count(page, "Weather on the day")
			if heads != strings.Count(page, "Have on site") || heads > 1 {
				t.Errorf("hostile %v: a page holds a part of a unit or two of them", hostile)
			}
			found += heads
		}
		if found != len(sheet.Units) || found != 9 {
			t.Errorf("hostile %v: %d pages for %d units", hostile, found, len(sheet.Units))
		}
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
		for _, word := range []string{"/JavaScript", "/JS", "/URI", "/Launch"} {
			if bytes.Contains(paper, []byte(word)) {
				t.Errorf("%s holds %s", name, word)
			}
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
