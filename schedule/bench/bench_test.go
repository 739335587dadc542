package main

import (
	"bytes"
	"context"
	"encoding/xml"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
)

// TestRunPrintsTables solves two small problems from files, known results
// beside them, and one that the program makes.
func TestRunPrintsTables(t *testing.T) {
	folder := t.TempDir()
	problems := filepath.Join(folder, "problems")
	if err := run(context.Background(), []string{"-families", "pinwheel", "-only", "2-4-4,3-3-3", "-write", problems}, &bytes.Buffer{}); err != nil {
		t.Fatal(err)
	}
	for _, suffix := range []string{".json", ".lp", ".mps"} {
		if _, err := os.Stat(filepath.Join(problems, "pinwheel-2-4-4"+suffix)); err != nil {
			t.Error(err)
		}
	}
	more := filepath.Join(folder, "known.tsv")
	if err := os.WriteFile(more, []byte("# by hand\nname\tcost\tbound\thow\tlinear\tseconds\n"+
		"pinwheel-2-4-4\t9\t9\tnot asked\t-\t1\n2-4-4\t10\t5\ta guess\t-\t300\n2-3-6\t-\t-\ta relaxation\t80\t7\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	table := "name\tbest_cost\tbest_bound\tfound_by\tlp_bound\tcpu_s\npinwheel-2-4-4\t0\t0\tHolte et al.\t-\t0\n"
	if err := os.WriteFile(filepath.Join(folder, "results.tsv"), []byte(table), 0o666); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	err := run(context.Background(), []string{"-folder", problems, "-families", "pinwheel", "-only", "2-4-4,3-3-3,2-3-6", "-seconds", "5", "-at", "1",
		"-known", more, "-plot", filepath.Join(folder, "p.svg")}, &out)
	if err != nil {
		t.Fatal(err)
	}
	// How long it takes to a small gap is the machine's affair.
	text := regexp.MustCompile(`\| \d+\.\d s \|`).ReplaceAllString(out.String(), "| t |")
	for _, want := range []string{"| cost at 1 s | bound at 1 s | gap at 1 s | cost at 1 s above best known | bound at 1 s as share of linear |",
		"| pinwheel | pinwheel-2-4-4 | 3 × 24 | optimal |", "| 0.0 | 0.0 | 0.00% | +0.00% | – | 0.000 | 0.000 | 0.00% | t | 0.000 | +0.00% | – | – |",
		"| pinwheel | 2-4-4 | 3 × 24 | optimal |", "| 0.0 | 0.0 | 0.00% | -100.00% | – | 0.000 | 0.000 | 0.00% | t | 10.000 | -100.00% | – | – |",
		"| 90.0 | 90.0 | 0.00% | – | 112.50% | 90.000 | 90.000 | 0.00% | t | – | – | 80.000 | +12.50% |",
		"| pinwheel | 5 | 5 |", "\n- known of 2-4-4: cost 10, bound 5, linear bound - after 300 s: a guess\n"} {
		if !strings.Contains(text, want) {
			t.Errorf("the tables do not hold %s:\n%s", want, text)
		}
	}
	columns := strings.Count(strings.Split(text, "\n")[2], "|")
	for _, line := range strings.Split(text, "\n")[2:9] {
		if line != "" && strings.Count(line, "|") != columns {
			t.Errorf("%d columns, not %d: %s", strings.Count(line, "|"), columns, line)
		}
	}
}

func TestRunRefuses(t *testing.T) {
	for _, c := range []struct{ args, want string }{
		{"", "nothing to solve"},
		{"-families other", `"other" is unknown`},
		{"-families pinwheel -at x", `"x" is not a number`},
		{"-families pinwheel -other zimt", `"zimt" is unknown`},
		{"-families pinwheel -only zzz", "nothing to solve"},
		{"-results testdata/none.md", "no such file"},
		{"-results testdata/short.tsv", `short.tsv: there is no line "<!-- bench: small -->"`},
		{"-families pinwheel -known testdata/none.tsv", "no such file"},
		{"-families pinwheel -known testdata/twice.tsv", `twice.tsv:3:name: "2-4-4" stands twice`},
		{"-families pinwheel -known testdata/short.tsv", "short.tsv:2: 3 columns; accepts 6"},
	} {
		if err := run(context.Background(), strings.Fields(c.args), &bytes.Buffer{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v", c.args, err)
		}
	}
}

// TestTablesGoBetweenTheirMarks puts a table into the file of results and leaves the
// rest of it as it is; the repository's own has a place for each.
func TestTablesGoBetweenTheirMarks(t *testing.T) {
	data, err := os.ReadFile("RESULTS.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range tables {
		got, err := replaceTable(data, one.mark, []byte("\n| new |\n\n"))
		if err != nil {
			t.Fatal(err)
		}
		before, rest, _ := strings.Cut(string(data), markLine(one.mark))
		_, after, _ := strings.Cut(rest, endLine)
		if want := before + markLine(one.mark) + "\n| new |\n" + endLine + after; string(got) != want {
			t.Errorf("%s: the file became\n%s", one.mark, got)
		}
	}
	if _, err := replaceTable([]byte(markLine("small")+"\nopen"), "small", nil); err == nil {
		t.Error("a table without an end is accepted")
	}
}

// TestPlot sees that the picture is well-formed and has a point for each problem
// in each of its two charts.
func TestPlot(t *testing.T) {
	all := []outcome{{units: 10, megabytes: 12, near: 0.25, answer: &problem.Answer{Gap: 0}},
		{units: 3000, megabytes: 900, near: math.Inf(1), answer: &problem.Answer{Gap: 0.08}}}
	picture := plot(all, 60)
	if n := bytes.Count(picture, []byte("<circle")); n != 4 {
		t.Errorf("%d points", n)
	}
	for decoder := xml.NewDecoder(bytes.NewReader(picture)); ; {
		if _, err := decoder.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	for _, label := range []string{">0 (2% in 0.2 s)<", ">8<", ">12<", ">900<"} {
		if !bytes.Contains(picture, []byte(label)) {
			t.Errorf("no label %s", label)
		}
	}
	if bytes.Contains(picture, []byte("NaN")) {
		t.Error("a place that is not a number")
	}
}
