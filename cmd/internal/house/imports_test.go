package house_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

const module = "emberquilt/"

// rule says what the packages under a path may import of ours. A path that
// ends in "/" stands for all below it; the longest that fits a package rules.
type rule struct {
	packages string
	imports  []string
}

// leaves import nothing of ours but one another's errors.
var leaves = []string{"habitat/quantity", "habitat/source", "habitat/source/jsonscan", "habitat/date", "habitat/alias", "habitat/pattern", "habitat/leftover"}

func with(more ...string) []string { return append(slices.Clone(leaves), more...) }

var rules = []rule{
	{"habitat/quantity", nil},
	{"habitat/source", nil},
	{"habitat/source/jsonscan", []string{"habitat/source"}},
	{"habitat/date", nil},
	{"habitat/alias", nil},
	{"habitat/pattern", nil},
	// Names of what is unfinished: files and processes, nothing of the job.
	{"habitat/leftover", nil},
	{"habitat/county", []string{"habitat/source", "habitat"}},
	{"habitat", leaves},
	{"habitat/", with("habitat")},
	// Lists hold shapes too, and a shape is read by ground alone.
	{"habitat/ground/internal/flat", nil},
	{"habitat/ground/internal/groundtest", with("habitat/ground", "habitat/ground/internal/flat")},
	{"habitat/ground/projection", with("habitat", "habitat/ground")},
	{"habitat/ground/repair", with("habitat", "habitat/ground", "habitat/ground/internal/")},
	{"habitat/ground/geofile", with("habitat", "habitat/ground", "habitat/ground/internal/", "habitat/ground/projection", "habitat/ground/repair")},
	{"habitat/list", with("habitat", "habitat/ground", "habitat/ground/geofile")},
	// Task lists are TOML too, and settings finds where its keys stand.
	{"habitat/preparation", with("habitat", "habitat/settings")},
	{"habitat/template", with("habitat", "habitat/settings", "habitat/preparation", "habitat/prescription")},
	{"habitat/weather/", with("habitat", "habitat/weather")},
	{"schedule/problem", []string{"habitat/source", "habitat/source/jsonscan", "habitat", "habitat/quantity", "habitat/date"}},
	{"schedule/problem/", with("habitat", "schedule/problem")},
	{"schedule/guard", with()},
	{"schedule/rotation", with("habitat", "schedule/problem", "schedule/problem/clash", "schedule/guard")},
	{"schedule/certify", with("habitat", "schedule/problem", "schedule/guard")},
	{"schedule/window", with("habitat", "habitat/weather", "habitat/prescription", "habitat/ground")},
	// Plans come from outside as a function; the checker holds their bounds to it.
	{"schedule/rehearsal", with("habitat", "schedule/problem", "schedule/window", "schedule/certify", "schedule/guard")},
	// Small exact solvers and makers of problems, for the tests of others.
	{"schedule/reference", with("habitat", "schedule/problem")},
	{"schedule/whatif", with("habitat", "schedule/problem")},
	// The program that measures the solver.
	{"schedule/bench", with("habitat", "schedule/problem", "schedule/rotation", "schedule/certify", "schedule/bench/family")},
	{"schedule/bench/family", with("habitat", "schedule/problem")},
	// The way from a property to its problem; the expected burn days come in
	// as the window package's result.
	{"schedule/assemble", with("habitat", "schedule/problem", "schedule/problem/clash", "schedule/window")},
	{"store/signature", nil},
	{"store", with("habitat", "habitat/ground", "habitat/weather", "habitat/prescription", "habitat/list", "habitat/settings", "schedule/problem")},
	{"report/view", with("habitat", "habitat/ground", "habitat/weather", "habitat/prescription", "habitat/preparation", "schedule/assemble", "schedule/problem", "schedule/whatif", "schedule/window")},
	{"report/", with("habitat", "habitat/ground", "habitat/weather", "habitat/prescription", "habitat/preparation", "schedule/problem", "schedule/window", "report/view", "report/svgmap", "report/svgcard", "report/pdf/structure", "report/internal/sample")},
	// The structure of a PDF: bytes and texts, nothing of the job.
	{"report/pdf/structure", nil},
	// Plans of the demo's ground for the tests of the reports.
	{"report/internal/sample", with("habitat", "habitat/ground", "habitat/ground/geofile", "habitat/prescription", "habitat/preparation", "schedule/problem", "schedule/reference", "schedule/window", "report/view", "testdata/demo")},
	// What the writers' tests share.
	{"report/internal/", with("habitat", "habitat/", "schedule/", "report/view", "testdata/demo")},
	{"testdata/", nil},
	// What the program can do: no writer of papers, no command line.
	{"cmd/internal/app", []string{"habitat", "habitat/", "schedule/", "store", "store/signature", "report/view"}},
	// Flags, files and printing: problems are solved, checked and rehearsed below.
	{"cmd/internal/cli", []string{"habitat", "habitat/", "schedule/problem", "schedule/window", "store", "store/signature", "report/", "testdata/demo", "cmd/internal/app", "cmd/internal/web"}},
	// The page calls what the commands call.
	{"cmd/internal/web", []string{"habitat", "habitat/", "schedule/problem", "store", "report/page", "report/svgmap", "report/table", "report/view", "cmd/internal/app"}},
	{"cmd/", []string{"habitat", "habitat/", "schedule/", "store", "store/", "report/", "testdata/", "cmd/internal/"}},
}

// pkg is what go list says of a package.
type pkg struct {
	ImportPath                         string
	Imports, TestImports, XTestImports []string
	Standard                           bool
}

func packages(t *testing.T) []pkg {
	t.Helper()
	command := exec.Command("go", "list", "-json=ImportPath,Imports,TestImports,XTestImports", module+"...")
	command.Dir = "../../.."
	var stderr bytes.Buffer
	command.Stderr = &stderr
	out, err := command.Output()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, stderr.String())
	}
	var all []pkg
	for decoder := json.NewDecoder(bytes.NewReader(out)); ; {
		var p pkg
		err := decoder.Decode(&p)
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

// ruleFor finds the longest rule that speaks of a package.
func ruleFor(path string) (best rule, ok bool) {
	for _, r := range rules {
		if path == r.packages || strings.HasPrefix(path, strings.TrimSuffix(r.packages, "/")+"/") {
			if !ok || len(r.packages) > len(best.packages) {
				best, ok = r, true
			}
		}
	}
	return best, ok
}

// forbidden lists the imports of a package that the map of the house does not
// allow.
func forbidden(path string, imports []string) []string {
	r, ok := ruleFor(path)
	if !ok {
		return []string{"the package itself: the map has no place for it"}
	}
	var bad []string
	for _, imported := range imports {
		own, isOurs := strings.CutPrefix(imported, module)
		if !isOurs || isBelow(own, r.packages, path) {
			continue
		}
		if !slices.ContainsFunc(r.imports, func(allowed string) bool {
			return own == allowed || strings.HasSuffix(allowed, "/") && strings.HasPrefix(own, allowed)
		}) {
			bad = append(bad, own)
		}
	}
	return bad
}

// isBelow reports whether an import is an internal part of the package's own
// house, which the compiler guards already.
func isBelow(imported, ruled, path string) bool {
	head, _, isInternal := strings.Cut(imported, "/internal/")
	// The rooms under cmd/internal have rules of their own.
	return isInternal && head != "cmd" && (head == strings.TrimSuffix(ruled, "/") || path == head || strings.HasPrefix(path, head+"/"))
}

func TestImportsFollowTheMap(t *testing.T) {
	all := packages(t)
	if len(all) < 10 {
		t.Fatalf("go list found %d packages; the test looks at the wrong place", len(all))
	}
	for _, p := range all {
		path := strings.TrimPrefix(p.ImportPath, module)
		for _, bad := range forbidden(path, p.Imports) {
			t.Errorf("%s imports %s, which the map of the house does not allow", path, bad)
		}
		if !strings.HasPrefix(path, "cmd/") {
			for _, imported := range slices.Concat(p.TestImports, p.XTestImports) {
				if strings.HasPrefix(imported, module+"cmd/") {
					t.Errorf("a test of %s imports %s: nothing imports cmd", path, imported)
				}
			}
		}
	}
}

// TestMapRefuses is the check's own check.
func TestMapRefuses(t *testing.T) {
	for _, test := range []struct{ path, imported string }{
		{"habitat/date", "habitat"},
		{"habitat", "store"},
		{"habitat/ground", "habitat/ground/geofile"},
		{"habitat/ground/projection", "habitat/ground/repair"},
		{"store", "habitat/ground/geofile"},
		{"schedule/certify", "schedule/rotation"},
		{"schedule/certify", "schedule/rotation/internal/bound"},
		{"schedule/rotation", "store"},
		{"store", "report/view"},
		{"report/page", "store"},
		{"schedule/window", "cmd/internal/cli"},
		{"elsewhere", "habitat"},
		{"cmd/internal/app", "report/page"},
		{"cmd/internal/app", "report/table"},
		{"cmd/internal/app", "cmd/internal/cli"},
		{"cmd/internal/app", "testdata/demo"},
		{"cmd/internal/cli", "schedule/rotation"},
		{"cmd/internal/cli", "schedule/rehearsal"},
		{"cmd/internal/web", "schedule/rotation"},
		{"cmd/internal/web", "cmd/internal/cli"},
		{"cmd/internal/app", "cmd/internal/web"},
	} {
		if len(forbidden(test.path, []string{module + test.imported})) == 0 {
			t.Errorf("%s may import %s", test.path, test.imported)
		}
	}
	for _, test := range []struct{ path, imported string }{
		{"habitat", "habitat/date"},
		{"schedule/rotation/internal/search", "schedule/rotation/internal/bound"},
		{"report/page", "report/view"},
		{"cmd/internal/cli", "store"},
		{"cmd/internal/cli", "cmd/internal/app"},
		{"cmd/internal/app", "report/view"},
	} {
		if bad := forbidden(test.path, []string{module + test.imported}); len(bad) > 0 {
			t.Errorf("%s may not import %s", test.path, bad)
		}
	}
}

// wrappers names, for the modules from outside, the package that wraps each.
// Text and time-zone data are for all. Workbooks are written in one place and
// read in another, which share nothing but the module.
var wrappers = map[string][]string{
	"charm.land/lipgloss/v2":               {"report/table"},
	"github.com/xuri/excelize/v2":          {"report/table", "habitat/list"},
	"codeberg.org/go-fonts/dejavu":         {"report/pdf"},
	"codeberg.org/go-pdf/fpdf":             {"report/pdf"},
	"github.com/arran4/golang-ical":        {"report/ical"},
	"github.com/go-echarts/go-echarts/v2":  {"report/page"},
	"github.com/peterstace/simplefeatures": {"habitat/ground"},
	"github.com/rickar/cal/v2":             {"habitat/date"},
	"github.com/spf13/cobra":               {"cmd/internal/cli"},
	"github.com/spf13/pflag":               {"cmd/internal/cli"},
	"github.com/vbauerster/mpb/v8":         {"cmd/internal/cli"},
	"github.com/wroge/wgs84":               {"habitat/ground"},
	"modernc.org/sqlite":                   {"store", "habitat/ground"},
	"golang.org/x/term":                    {"cmd/internal/cli"},
	"golang.org/x/crypto":                  {"store/signature"},
	"golang.org/x/sys/windows":             {"cmd/internal/cli"},
	// Of the standard library: who talks to a browser, and who to a terminal and
	// the process.
	"net/http":      {"cmd/internal/web"},
	"os/signal":     {"cmd/internal/cli", "schedule/bench"},
	"html/template": {"report/page", "report/svgmap", "report/svgcard", "cmd/internal/web"},
}

// misplaced lists the modules that a package imports and another one wraps.
func misplaced(path string, imports []string) (bad []string) {
	for _, imported := range imports {
		for name, wrapping := range wrappers {
			if imported != name && !strings.HasPrefix(imported, name+"/") {
				continue
			}
			if !slices.ContainsFunc(wrapping, func(w string) bool { return path == w || strings.HasPrefix(path, w+"/") }) {
				bad = append(bad, imported+", which "+strings.Join(wrapping, " or ")+" wraps")
			}
		}
	}
	return bad
}

func TestOneWrapperPerModule(t *testing.T) {
	for _, p := range packages(t) {
		path := strings.TrimPrefix(p.ImportPath, module)
		for _, bad := range misplaced(path, p.Imports) {
			t.Errorf("%s imports %s", path, bad)
		}
	}
}

// TestWrapperRefuses is that check's own check.
func TestWrapperRefuses(t *testing.T) {
	for _, test := range []struct{ path, imported string }{
		{"cmd/internal/app", "github.com/spf13/cobra"},
		{"cmd/internal/app", "golang.org/x/term"},
		{"cmd/internal/cli", "net/http"},
		{"cmd/internal/app", "net/http"},
		{"store", "net/http/httptest"},
	} {
		if misplaced(test.path, []string{test.imported}) == nil {
			t.Errorf("%s may import %s", test.path, test.imported)
		}
	}
	if bad := misplaced("cmd/internal/cli", []string{"github.com/spf13/cobra", "net/url"}); bad != nil {
		t.Errorf("cmd/internal/cli may not import %s", bad)
	}
}
