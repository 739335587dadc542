package main

import (
	"context"
	"math"
	"os"
	"os/exec"
	"testing"

	"emberquilt/schedule/bench/family"
	"emberquilt/schedule/problem"
)

// TestLogsAreRead reads recorded logs. CBC 2.10.8 had 10 s for the grid of 225
// cells and 15%, HiGHS 1.15 proved its plan for that of 10%, and had 360 s for
// a problem of 75 units and 15 years.
func TestLogsAreRead(t *testing.T) {
	for _, c := range []struct {
		file string
		form form
		wall float64
		want map[float64]string
	}{
		{"cbc.log", cbcForm, 10.8, map[float64]string{
			0.2:         "neither plan nor bound",
			1:           "no plan, bound 92934.8",
			3:           "102610.0, bound 92934.8, gap 9.43%",
			5.4:         "98410.0, bound 92934.8, gap 5.56%",
			9:           "98410.0, bound 97210.0, gap 1.22%",
			math.Inf(1): "98410.0, bound 97210.0, gap 1.22% in 11 s",
		}},
		{"highs.log", highsForm, 361, map[float64]string{
			1:           "neither plan nor bound",
			2:           "no plan, bound -8565.7",
			10:          "30210.7, bound 4871.2, gap 83.88%",
			60:          "8777.9, bound 4898.9, gap 44.19%",
			300:         "8777.9, bound 4924.6, gap 43.90%",
			math.Inf(1): "8777.9, bound 4936.2, gap 43.77% in 361 s",
		}},
		{"highs-optimal.log", highsForm, 4.1, map[float64]string{
			1:           "neither plan nor bound",
			1.5:         "301210.0, no bound",
			2:           "199510.0, bound 197710.0, gap 0.90%",
			4:           "197710.0, bound 197710.0, gap 0.00%",
			10:          "optimal 197710.0 in 4.1 s",
			math.Inf(1): "optimal 197710.0 in 4.1 s",
		}},
	} {
		log, err := os.ReadFile("testdata/" + c.file)
		if err != nil {
			t.Fatal(err)
		}
		course := c.form.read(string(log), c.wall)
		for seconds, want := range c.want {
			if got := course.say(seconds); got != want {
				t.Errorf("%s after %g s: got %s, want %s", c.file, seconds, got, want)
			}
		}
	}
}

// TestEndsAreRead reads how runs ended, from lines as the two solvers write them.
func TestEndsAreRead(t *testing.T) {
	for _, c := range []struct {
		form               form
		log, trouble, want string
	}{
		{cbcForm, "Result - Optimal solution found\n\nObjective value:                29420.00000000\nEnumerated nodes:               0\n", "", "optimal 29420.0 in 2.0 s"},
		{cbcForm, "Result - Stopped on time limit\n\nNo feasible solution found\nLower bound:                    7000.5\n", "", "no plan, bound 7000.5 in 2 s"},
		{cbcForm, "Cbc0010I After 0 nodes, 1 on tree, 1e+50 best solution, best possible 7000.5 (1.07 seconds)\n", "did not come back in 2 s",
			"no plan, bound 7000.5 in 2 s; did not come back in 2 s"},
		{highsForm, "  Status            Time limit reached\n  Primal bound      inf\n  Dual bound        -inf\n", "", "neither plan nor bound in 2 s"},
		{highsForm, "  Status            Time limit reached\r\n  Primal bound      31000.25\r\n  Dual bound        28000\r\n", "", "31000.2, bound 28000.0, gap 9.68% in 2 s"},
		{highsForm, " z       0       0         0   0.00%   -inf            0                 Large        0      0      0         0     0.1s\n", "", "0.0, no bound in 2 s"},
		{highsForm, "", notInstalled, notInstalled},
	} {
		course := c.form.read(c.log, 2)
		course.trouble = c.trouble
		if got := course.say(math.Inf(1)); got != c.want {
			t.Errorf("got %s, want %s", got, c.want)
		}
	}
}

// TestMissingSolversAreSaid runs solvers where there are none.
func TestMissingSolversAreSaid(t *testing.T) {
	p := family.Make("pinwheel")[0].Problem
	t.Setenv("EMBERQUILT_NODE", t.TempDir()) // node may be there, the package is not
	missing := course{trouble: notInstalled}
	if c := others["highs"].run(context.Background(), p, 1); c.say(1) != missing.trouble {
		t.Errorf("highs without its package: %s", c.say(1))
	}
	t.Setenv("PATH", t.TempDir())
	for name, other := range others {
		if c := other.run(context.Background(), p, 1); c.say(1) != missing.trouble || c.say(math.Inf(1)) != missing.trouble {
			t.Errorf("%s: %s", name, c.say(1))
		}
	}
}

// TestOtherRuns has a shell in the place of a solver write what one would.
func TestOtherRuns(t *testing.T) {
	if _, err := exec.LookPath("sh"); err != nil {
		t.Skip("there is no sh to play a solver")
	}
	for script, want := range map[string]string{
		`echo "  Primal bound      12"; echo "  Dual bound        9"`: "12.0, bound 9.0, gap 25.00% in 0 s",
		`echo "  Status            Infeasible"; echo oh; exit 3`:      "exit status 3: oh",
	} {
		o := &other{highsForm, ".lp", problem.WriteLP, func(file, _ string) []string {
			return []string{"sh", "-c", `test -s "$0" && ` + script, file}
		}}
		c := o.run(context.Background(), family.Make("pinwheel")[0].Problem, 1)
		if got := c.say(math.Inf(1)); got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
}

// TestKnownFile reads the file that the repository keeps.
func TestKnownFile(t *testing.T) {
	all, err := readKnown("known.tsv")
	if err != nil {
		t.Fatal(err)
	}
	if k := all["medium-103"]; len(all) != 5 || k.best != 8777.874 || !k.hasBest || k.hasLin {
		t.Errorf("%d lines; medium-103: %+v", len(all), k)
	}
	if k := all["paper-101"]; k.linear != 58841.914416 || !k.hasLin || k.hasBest {
		t.Errorf("paper-101: %+v", k)
	}
}
