package main

import (
	"bytes"
	"context"
	"encoding/xml"
	"io"
	"os"
	"path/filepath"
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
	table := "name\tbest_cost\tbest_bound\tfound_by\tlp_bound\tcpu_s\npinwheel-2-4-4\t0\t0\tHolte et al.\t-\t0\n"
	if err := os.WriteFile(filepath.Join(folder, "results.tsv"), []byte(table), 0o666); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	err := run(context.Background(), []string{"-folder", problems, "-families", "pinwheel", "-only", "2-4-4,3-3-3", "-seconds", "5", "-at", "1", "-plot", filepath.Join(folder, "p.svg")}, &out)
	if err != nil {
		t.Fatal(err)
	}
	text := out.String()
	for _, want := range []string{"| cost at 1 s |", "| pinwheel | pinwheel-2-4-4 | 3 × 24 | optimal |", "| 0.000 | 0.000 | 0.00 % | 0.0 s | 0.000 | +0.00 % | – | – |",
		"| pinwheel | 2-4-4 | 3 × 24 | optimal |", "| pinwheel | 4 | 4 |"} {
		if !strings.Contains(text, want) {
			t.Errorf("the tables do not hold %s:\n%s", want, text)
		}
	}
	columns := strings.Count(strings.Split(text, "\n")[2], "|")
	for _, line := range strings.Split(text, "\n")[2:8] {
		if line != "" && strings.Count(line, "|") != columns {
			t.Errorf("%d columns, not %d: %s", strings.Count(line, "|"), columns, line)
		}
	}
}

func TestRunRefuses(t *testing.T) {
	for _, c := range []struct{ args, want string }{
		{"", "nothing to solve"},
		{"-families other", `"other" is unknown`},
		{"-families pinwheel -at x", `"x" is no number`},
		{"-families pinwheel -other zimt", `"zimt" is unknown`},
		{"-families pinwheel -only zzz", "nothing to solve"},
	} {
		if err := run(context.Background(), strings.Fields(c.args), &bytes.Buffer{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v", c.args, err)
		}
	}
}

// TestPlot sees that the picture is well-formed and has a point for each problem
// in each of its two charts.
func TestPlot(t *testing.T) {
	all := []outcome{{units: 10, megabytes: 12, answer: &problem.Answer{Gap: 0}}, {units: 3000, megabytes: 900, answer: &problem.Answer{Gap: 0.08}}}
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
	if bytes.Contains(picture, []byte("NaN")) {
		t.Error("a place that is no number")
	}
}

// TestReportsAreRead reads what the two solvers wrote, shortened.
func TestReportsAreRead(t *testing.T) {
	for _, c := range []struct {
		form      report
		log, want string
	}{
		{cbcReport, "Result - Optimal solution found\n\nObjective value:                29420.00000000\nEnumerated nodes:               0\n", "optimal 29420.0 in 2.0 s"},
		{cbcReport, "Result - Stopped on time limit\n\nObjective value:                85510.00000000\nLower bound:                    85509.895\n", "85510.0, bound 85509.9 in 2 s"},
		{cbcReport, "Result - Stopped on time limit\n\nNo feasible solution found\nLower bound:                    7000.5\n", "no plan, bound 7000.5 in 2 s"},
		{highsReport, "  Status            Optimal\n  Primal bound      29400\n  Dual bound        29400\n", "optimal 29400.0 in 2.0 s"},
		{highsReport, "  Status            Time limit reached\n  Primal bound      inf\n  Dual bound        -inf\n", "neither plan nor bound in 2 s"},
		{highsReport, "  Status            Time limit reached\n  Primal bound      31000.25\n  Dual bound        28000\n", "31000.2, bound 28000.0 in 2 s"},
	} {
		if got := c.form.read(c.log, 2, nil); got != c.want {
			t.Errorf("got %s, want %s", got, c.want)
		}
	}
	if got := cbcReport.read("", 9, context.DeadlineExceeded); got != "did not come back in 9 s" {
		t.Error(got)
	}
}

// Lines of progress as HiGHS 1.15 writes them.
const highsProgress = `        Nodes      |    B&B Tree     |            Objective Bounds              |  Dynamic Constraints |       Work
Src  Proc. InQueue |  Leaves   Expl. | BestBound       BestSol              Gap |   Cuts   InLp Confl. | LpIters     Time

         0       0         0   0.00%   5820.5          inf                  inf        0      0      0         0     0.8s
 R       0       0         0   0.00%   11305.884323    57141.4          80.21%        0      0      0     13240     7.9s
       470     469         1   0.00%   11472.705682    23877.467         51.95%     3581     97    259    271114    30.0s
`

// TestProgressIsRead reads how far a run had come before its end.
func TestProgressIsRead(t *testing.T) {
	for seconds, want := range map[float64]string{
		0.5: "neither plan nor bound at 0.5 s",
		1:   "no plan, bound 5820.5 at 1 s",
		10:  "57141.4, bound 11305.9 at 10 s",
		40:  "23877.5, bound 11472.7 at 40 s",
	} {
		if got := highsReport.stateAt(highsProgress, seconds); got != want {
			t.Errorf("after %g s: got %s, want %s", seconds, got, want)
		}
	}
	if got := highsReport.stateAt(highsProgress+"\n  Status            Optimal\n", 40); got != "" {
		t.Errorf("it had ended, yet it says %s", got)
	}
	if got := cbcReport.stateAt(highsProgress, 10); got != "" {
		t.Error(got)
	}
}
