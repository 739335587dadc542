package problem_test

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/testdata/refdata"
)

// Two outside solvers, each with the text that it is given and what it says of
// the optimum. GLPK 5.0 and CBC 2.10 are Debian packages glpk-utils and
// coinor-cbc.
var outside = []struct {
	program, suffix string
	write           func(w io.Writer, p *problem.Problem) error
	args            func(in, out string) []string
	optimum, none   *regexp.Regexp
}{
	{"glpsol", ".lp", problem.WriteLP, func(in, out string) []string { return []string{"--lp", in, "-o", out, "--tmlim", "60"} },
		regexp.MustCompile(`(?s)Status:\s+(?:INTEGER )?OPTIMAL.*Objective:\s+cost = (\S+)`), regexp.MustCompile(`(?:INTEGER )?(?:EMPTY|UNDEFINED|INFEASIBLE)`)},
	{"glpsol", ".mps", problem.WriteMPS, func(in, out string) []string { return []string{"--freemps", in, "-o", out, "--tmlim", "60"} },
		regexp.MustCompile(`(?s)Status:\s+(?:INTEGER )?OPTIMAL.*Objective:\s+cost = (\S+)`), regexp.MustCompile(`(?:INTEGER )?(?:EMPTY|UNDEFINED|INFEASIBLE)`)},
	{"cbc", ".lp", problem.WriteLP, func(in, out string) []string { return []string{in, "sec", "60", "solve", "solu", out} },
		regexp.MustCompile(`^Optimal - objective value (\S+)`), regexp.MustCompile(`(?i)^(Integer )?infeasible`)},
	{"cbc", ".mps", problem.WriteMPS, func(in, out string) []string { return []string{in, "sec", "60", "solve", "solu", out} },
		regexp.MustCompile(`^Optimal - objective value (\S+)`), regexp.MustCompile(`(?i)^(Integer )?infeasible`)},
}

// solveOutside gives the optimum that an outside solver finds, +Inf for none.
func solveOutside(t *testing.T, k int, p *problem.Problem) float64 {
	t.Helper()
	s := outside[k]
	in, out := filepath.Join(t.TempDir(), "p"+s.suffix), filepath.Join(t.TempDir(), "out")
	var b bytes.Buffer
	if err := s.write(&b, p); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(in, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	log, err := exec.Command(s.program, s.args(in, out)...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", s.program, err, log)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatalf("%v\n%s", err, log)
	}
	if m := s.optimum.FindSubmatch(text); m != nil {
		x, err := strconv.ParseFloat(string(m[1]), 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	if s.none.Match(text) || strings.Contains(string(log), "NO PRIMAL FEASIBLE") || strings.Contains(string(log), "HAS NO INTEGER FEASIBLE") {
		return math.Inf(1)
	}
	t.Fatalf("%s says neither:\n%.600s\n%s", s.program, text, log)
	return 0
}

func need(t *testing.T, program string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Skipf("%s is not installed; Debian has it in glpk-utils or coinor-cbc", program)
	}
}

// TestOutsideSolversAgree writes random small problems for other solvers; their
// optimum must be that of the joint-age program.
func TestOutsideSolversAgree(t *testing.T) {
	for k, s := range outside {
		t.Run(s.program+s.suffix, func(t *testing.T) {
			need(t, s.program)
			none := 0
			for seed := range uint64(25) {
				p := reference.Random(rand.New(rand.NewPCG(seed, uint64(20+k))), reference.Size{Locks: 30})
				best, exists := reference.Optimum(p)
				if !exists {
					best.Cost = math.Inf(1)
					none++
				}
				got := solveOutside(t, k, p)
				if got != best.Cost && !(math.Abs(got-best.Cost) <= 1e-5*max(1, best.Cost)) {
					t.Errorf("seed %d: %s finds %v, the optimum is %v", seed, s.program, got, best.Cost)
				}
			}
			t.Logf("%d without a plan", none)
		})
	}
}

// TestOutsideSolversOnBench holds them against bench/results.tsv, which was
// computed from the problem files by others.
func TestOutsideSolversOnBench(t *testing.T) {
	bench := refdata.Bench(t, "")
	table, err := os.ReadFile(filepath.Join(bench, "results.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	for k, s := range outside {
		t.Run(s.program+s.suffix, func(t *testing.T) {
			need(t, s.program)
			checked := 0
			for n, line := range strings.Split(string(table), "\n") {
				cells := strings.Split(line, "\t")
				if !strings.HasPrefix(line, "tiny-") || n%4 != k { // a quarter each
					continue
				}
				want, err := strconv.ParseFloat(cells[1], 64)
				if err != nil {
					t.Fatal(err)
				}
				data, err := os.ReadFile(filepath.Join(bench, "problems", cells[0]+".json"))
				if err != nil {
					t.Fatal(err)
				}
				if got := solveOutside(t, k, read(t, string(data))); math.Abs(got-want) > 1e-5*max(1, want) {
					t.Errorf("%s: %s finds %v, others %v", cells[0], s.program, got, want)
				}
				checked++
			}
			if checked < 5 {
				t.Errorf("only %d problems", checked)
			}
		})
	}
}

func TestExportIsPlainText(t *testing.T) {
	p := read(t, strings.ReplaceAll(example, `"n1"`, `"\u202e</script>\" 🔥 = <= x\\y"`))
	for _, write := range []func(io.Writer, *problem.Problem) error{problem.WriteLP, problem.WriteMPS} {
		var b, again bytes.Buffer
		if err := write(&b, p); err != nil {
			t.Fatal(err)
		}
		if err := write(&again, p); err != nil || b.String() != again.String() {
			t.Error("two runs differ")
		}
		for n, line := range strings.Split(b.String(), "\n") {
			if len(line) > 400 {
				t.Errorf("line %d has %d characters", n+1, len(line))
			}
			for _, r := range line {
				if r > 126 || r < 32 {
					t.Errorf("line %d holds %q", n+1, r)
				}
			}
		}
	}
}

func ExampleWriteLP() {
	p, err := problem.Read(strings.NewReader(`{"format": "rotation-problem/1", "first_year": 2027, "years": 1, "seasons": ["dormant"],
	 "units": [{"id": "creek", "acres": 12.5, "min_interval": 1, "max_interval": 2, "age": 1, "seasons": {"dormant": 0}}],
	 "caps": {"acres": 40}}`), "creek.json")
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := problem.WriteLP(os.Stdout, p); err != nil {
		fmt.Println(err)
	}
	// Output:
	// \ rotation problem 6b8a5c1e91532e2347c6afa18dbf59cda104c05be0aceb2c32d065b88f24c048
	// \ minimize the cost in acre-years; x_uI_YEAR_sK = 1: unit I burns in YEAR in season K
	// \ s1 = "dormant"
	// \ u1 = "creek"
	// Minimize
	//  cost: + 37.5 q_u1_2027_g1
	// Subject To
	//  flow_u1_2027_g1: - 1 b_u1_2027_g1 - 1 q_u1_2027_g1 = -1
	//  burn_u1_2027: + 1 b_u1_2027_g1 - 1 x_u1_2027_s1 = 0
	//  acres_2027: + 12.5 x_u1_2027_s1 <= 40.00004
	// Binary
	//  x_u1_2027_s1
	// End
}
