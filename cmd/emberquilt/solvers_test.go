package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"emberquilt/cmd/internal/cli"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

// outsideSolver is a general solver for integer programs that nobody here
// wrote. Its run gives the optimum, or ok = false where there is no plan.
type outsideSolver struct {
	name, format string
	run          func(file string) (cost float64, ok bool, err error)
}

// outsideSolvers are those that are installed.
func outsideSolvers(t *testing.T) []outsideSolver {
	t.Helper()
	var all []outsideSolver
	if _, err := exec.LookPath("glpsol"); err == nil {
		all = append(all, outsideSolver{"GLPK", "lp", func(file string) (float64, bool, error) { return glpk("--lp", file) }},
			outsideSolver{"GLPK", "mps", func(file string) (float64, bool, error) { return glpk("--freemps", file) }})
	}
	if _, err := exec.LookPath("cbc"); err == nil {
		all = append(all, outsideSolver{"CBC", "lp", cbc}, outsideSolver{"CBC", "mps", cbc})
	}
	if os.Getenv("EMBERQUILT_NODE") != "" {
		all = append(all, outsideSolver{"HiGHS", "lp", highs})
	}
	if len(all) == 0 {
		t.Skip("no outside solver is installed: glpsol, cbc, or HiGHS by EMBERQUILT_NODE; .ci/run installs them")
	}
	return all
}

var glpkObjective = regexp.MustCompile(`(?m)^Objective: .* = ([-+0-9.eE]+) `)

func glpk(option, file string) (float64, bool, error) {
	out := file + ".glpk"
	log, err := exec.Command("glpsol", option, file, "--tmlim", "60", "-o", out).CombinedOutput()
	if err != nil {
		return 0, false, fmt.Errorf("%w\n%s", err, log)
	}
	if bytes.Contains(log, []byte("HAS NO PRIMAL FEASIBLE")) || bytes.Contains(log, []byte("NO INTEGER FEASIBLE")) || bytes.Contains(log, []byte("PROBLEM HAS NO FEASIBLE")) {
		return 0, false, nil
	}
	text, err := os.ReadFile(out)
	if err != nil {
		return 0, false, fmt.Errorf("%w\n%s", err, log)
	}
	if strings.Contains(string(text), "INTEGER EMPTY") || strings.Contains(string(text), "INTEGER UNDEFINED") {
		return 0, false, nil
	}
	found := glpkObjective.FindStringSubmatch(string(text))
	if !strings.Contains(string(text), "INTEGER OPTIMAL") || found == nil {
		return 0, false, fmt.Errorf("glpsol proved nothing:\n%.600s", text)
	}
	cost, err := strconv.ParseFloat(found[1], 64)
	return cost, true, err
}

var cbcObjective = regexp.MustCompile(`^Optimal - objective value ([-+0-9.eE]+)`)

func cbc(file string) (float64, bool, error) {
	out := file + ".cbc"
	log, err := exec.Command("cbc", file, "ratioGap", "0", "allowableGap", "1e-9", "seconds", "60", "solve", "solution", out).CombinedOutput()
	if err != nil {
		return 0, false, fmt.Errorf("%w\n%s", err, log)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		return 0, false, fmt.Errorf("%w\n%s", err, log)
	}
	if strings.HasPrefix(string(text), "Infeasible") || strings.HasPrefix(string(text), "Integer infeasible") {
		return 0, false, nil
	}
	found := cbcObjective.FindStringSubmatch(string(text))
	if found == nil {
		return 0, false, fmt.Errorf("cbc proved nothing:\n%.600s\n%s", text, log)
	}
	cost, err := strconv.ParseFloat(found[1], 64)
	return cost, true, err
}

func highs(file string) (float64, bool, error) {
	log, err := exec.Command("node", "../../.ci/node/highs.mjs", file).Output()
	if err != nil {
		return 0, false, fmt.Errorf("%w\n%s", err, log)
	}
	var found struct {
		Status string
		Cost   float64
	}
	if err := json.Unmarshal(log, &found); err != nil {
		return 0, false, err
	}
	if found.Status == "Infeasible" {
		return 0, false, nil
	}
	if found.Status != "Optimal" {
		return 0, false, fmt.Errorf("HiGHS says %q", found.Status)
	}
	return found.Cost, true, nil
}

// TestOutsideSolversAgree writes random small problems with emberquilt problem,
// solves them with emberquilt solve and with general solvers, and compares the
// costs. A bound above the true optimum is the worst defect there is.
func TestOutsideSolversAgree(t *testing.T) {
	solvers := outsideSolvers(t)
	count := 6
	if os.Getenv("CI") != "" && !testing.Short() {
		count = 24
	}
	const firstSeed = 6000
	infeasible := 0
	for seed := firstSeed; seed < firstSeed+count; seed++ {
		p := reference.Random(rand.New(rand.NewPCG(uint64(seed), 1)), reference.Size{MinUnits: 2, MaxUnits: 5, MinYears: 2, MaxYears: 5, Locks: 30})
		folder := t.TempDir()
		file := filepath.Join(folder, "p.json")
		var text bytes.Buffer
		if err := problem.Write(&text, p); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, text.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
		cost, bound, ok := solveFile(t, file)
		if !ok {
			infeasible++
		}
		for _, solver := range solvers {
			out := filepath.Join(folder, "p."+solver.format)
			run(t, "2026-11-25", "problem", file, "--format", solver.format, "--output", out)
			theirs, theirOK, err := solver.run(out)
			if err != nil {
				t.Errorf("seed %d: %s on %s: %v", seed, solver.name, solver.format, err)
				continue
			}
			slack := 1e-5 * math.Max(1, math.Abs(theirs)) // theirs rounds what it prints
			if theirOK != ok || ok && (math.Abs(cost-theirs) > slack || bound > theirs+slack) {
				t.Errorf("seed %d: %s on %s finds %v (a plan exists: %v); ours %v, bound %v (%v)", seed, solver.name, solver.format, theirs, theirOK, cost, bound, ok)
			}
		}
	}
	t.Logf("seeds %d to %d, %d of them without a plan, %d solvers and formats", firstSeed, firstSeed+count-1, infeasible, len(solvers))
}

// solveFile is emberquilt solve on a file; ok is false for status 4.
func solveFile(t *testing.T, file string) (cost, bound float64, ok bool) {
	t.Helper()
	var out, errs bytes.Buffer
	p := cli.Program{Args: []string{"solve", file, "--seconds", "60"}, In: strings.NewReader(""), Out: &out, Err: &errs,
		Getenv: func(string) string { return "" }, Now: time.Now}
	switch status := p.Run(context.Background()); status {
	case 4:
		return 0, 0, false
	case 0:
	default:
		t.Fatalf("solve %s: status %d\n%s", file, status, errs.String())
	}
	var answer struct {
		Status      string
		Cost, Bound float64
	}
	decode(t, out.String(), &answer)
	if answer.Status != "optimal" {
		t.Errorf("%s is only %s after 60 s", file, answer.Status)
	}
	return answer.Cost, answer.Bound, true
}
