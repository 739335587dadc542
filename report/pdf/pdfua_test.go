package pdf

import (
	"cmp"
	"encoding/json"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/pdf/structure"
)

// control is a paper with one of everything that a rule is about, small, since it is
// damaged in a hundred ways.
func control(t *testing.T) []byte {
	t.Helper()
	stamp := sample.Stamp()
	stamp.Property = "Nine Gate Farm"
	p := newPaper("Control", "", stamp)
	p.AddPage()
	p.mainHeading("Control", 18, 9)
	p.part("Part", 14, 8)
	for range 3 {
		p.para("One to two – a paragraph.", "", 9)
	}
	p.heading("Table, list and figure")
	p.table([]column{{"One", 30, "L"}, {"Two", 30, "R"}}, [][]string{{"a", "1"}, {"b", "2"}}, 9, 0)
	p.cautions([]string{"This is not a permit."})
	p.in(structure.List, func() { p.box("done", 9); p.box("not done", 9) })
	p.figure("A line.", func() { p.Line(20, 200, 40, 220) })
	return made(t, p.write)
}

// Every paper keeps the rules of PDF/UA-1 (ISO 14289-1) that a program can check, as a reader
// of another hand finds it: pikepdf, by the rules in testdata/pdfua/rules.py. Of the things
// that a rule is about some paper has one, or none has and the rule says why. And for each
// rule a damaged paper is found out.
func TestPapersKeepTheRulesOfPDFUA(t *testing.T) {
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import pikepdf").Run(); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("python3-pikepdf is not installed; .ci/run installs it")
		}
		t.Skip("no python3 with pikepdf (Debian package python3-pikepdf): the rules are not checked")
	}
	type findings struct {
		Faults map[string]map[string][]string
		Rules  map[string]struct {
			Kind, Absent string
			Count        int
		}
		Damages []struct {
			Rule  string
			Named []string
		}
	}
	folder := t.TempDir()
	check := func(arguments ...string) (report findings) {
		t.Helper()
		command := exec.Command(python, append([]string{"-B", "testdata/pdfua/check.py"}, arguments...)...)
		var stderr strings.Builder
		command.Stderr = &stderr
		out, err := command.Output() // status 1 where there are faults
		if failed := json.Unmarshal(out, &report); failed != nil {
			t.Fatalf("check.py: %v, %v\n%s", cmp.Or(err, failed), failed, stderr.String())
		}
		return report
	}
	write := func(name string, paper []byte) string {
		path := filepath.Join(folder, strings.ReplaceAll(name, " ", "-")+".pdf")
		if err := os.WriteFile(path, paper, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	var paths []string
	for name, paper := range everyPaper(t) {
		paths = append(paths, write(name, paper))
	}
	slices.Sort(paths)
	report := check(append([]string{"--all"}, paths...)...)
	for path, faults := range report.Faults {
		for _, rule := range slices.Sorted(maps.Keys(faults)) {
			t.Errorf("%s, rule %s: %q", filepath.Base(path), rule, faults[rule])
		}
	}
	applied, absent := 0, 0
	for _, r := range report.Rules {
		if r.Absent == "" {
			applied++
		} else {
			absent++
		}
	}
	t.Logf("%d rules are about something in the papers, %d about what they do not have", applied, absent)

	rules := report.Rules
	report = check("--damage", write("control", control(t)))
	if len(report.Faults) > 0 {
		t.Fatalf("the control has faults: %q", report.Faults)
	}
	for _, d := range report.Damages {
		if !slices.Contains(d.Named, d.Rule) {
			t.Errorf("a damage against %s is not named, but %q", d.Rule, d.Named)
		}
		delete(rules, d.Rule)
	}
	if len(rules) > 0 {
		t.Errorf("nothing is damaged against %q", slices.Sorted(maps.Keys(rules)))
	}
}
