package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"emberquilt/schedule/problem"
)

// others are the solvers that can be run beside. Each works on the same problem
// for the same wall time, on one thread, and says in a few words how far it came.
var others = map[string]func(ctx context.Context, p *problem.Problem, seconds float64, at []float64) string{
	// Version 2.10.8 of Debian aborts with more than one thread.
	"cbc": func(ctx context.Context, p *problem.Problem, seconds float64, at []float64) string {
		return runOther(ctx, p, seconds, at, ".mps", problem.WriteMPS, cbcReport, func(file string) *exec.Cmd {
			return exec.Command("cbc", file, "timemode", "elapsed", "sec", decimal(seconds), "solve", "quit")
		})
	},
	// The npm package highs: HiGHS as WebAssembly.
	"highs": func(ctx context.Context, p *problem.Problem, seconds float64, at []float64) string {
		return runOther(ctx, p, seconds, at, ".lp", problem.WriteLP, highsReport, func(file string) *exec.Cmd {
			return exec.Command("node", "-e", highsScript, file, decimal(seconds))
		})
	},
}

// highsScript runs HiGHS with its log on standard output. EMBERQUILT_NODE is the
// folder that holds node_modules.
const highsScript = `
const load = require("node:module").createRequire(process.env.EMBERQUILT_NODE + "/");
const print = line => console.log(line);
load("highs")({ print, printErr: print }).then(solver => {
  const text = require("node:fs").readFileSync(process.argv[1], "utf8");
  try { solver.solve(text, { time_limit: Number(process.argv[2]) }); } catch (e) { print("failed: " + e); }
});`

// report is how the log of a solver is read. The lines of progress, nil where
// they are not read, give bound, solution and seconds.
type report struct{ solution, bound, optimal, progress *regexp.Regexp }

var (
	cbcReport = report{regexp.MustCompile(`(?m)^Objective value:\s+(\S+)`), regexp.MustCompile(`(?m)^Lower bound:\s+(\S+)`),
		regexp.MustCompile(`Result - Optimal solution found`), nil}
	highsReport = report{regexp.MustCompile(`(?m)^  Primal bound\s+(\S+)`), regexp.MustCompile(`(?m)^  Dual bound\s+(\S+)`),
		regexp.MustCompile(`(?m)^  Status\s+Optimal`),
		regexp.MustCompile(`(?m)^[ A-Z]{1,3} +\d+ +\d+ +\d+ +[\d.]+% +(\S+) +(\S+) .* ([\d.]+)s$`)}
)

func decimal(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func runOther(ctx context.Context, p *problem.Problem, seconds float64, at []float64, suffix string, write func(io.Writer, *problem.Problem) error,
	form report, command func(file string) *exec.Cmd) string {
	folder, err := os.MkdirTemp("", "bench")
	if err != nil {
		return err.Error()
	}
	defer os.RemoveAll(folder)
	file := filepath.Join(folder, "p"+suffix)
	if err := writeFile(file, p, write); err != nil {
		return err.Error()
	}
	// Solvers look at the clock seldom; a little after its time one is stopped.
	limited, cancel := context.WithTimeout(ctx, time.Duration(1.5*seconds*float64(time.Second))+5*time.Second)
	defer cancel()
	wanted := command(file)
	started := time.Now()
	log, err := exec.CommandContext(limited, wanted.Path, wanted.Args[1:]...).CombinedOutput()
	said := form.read(string(log), time.Since(started).Seconds(), errors.Join(limited.Err(), err))
	for _, seconds := range slices.Backward(at) {
		if state := form.stateAt(string(log), seconds); state != "" {
			said = state + "; " + said
		}
	}
	return said
}

// stateAt says how far a log's lines of progress had come after so many seconds;
// nothing where there is none, or it had ended by then.
func (form report) stateAt(log string, seconds float64) string {
	if form.progress == nil {
		return ""
	}
	last, after := "", false
	for _, line := range form.progress.FindAllStringSubmatch(log, -1) {
		if s, err := strconv.ParseFloat(line[3], 64); err != nil || s > seconds {
			after = true
			break
		}
		bound, solution := figure(line[1]), figure(line[2])
		switch {
		case solution == "":
			last = "no plan, bound " + bound
		default:
			last = solution + ", bound " + bound
		}
	}
	switch {
	case last == "" && after:
		return fmt.Sprintf("neither plan nor bound at %g s", seconds)
	case last == "" || !after && form.optimal.MatchString(log):
		return ""
	}
	return fmt.Sprintf("%s at %g s", last, seconds)
}

// figure writes a log's number as the tables do; nothing for none.
func figure(text string) string {
	if strings.Contains(text, "inf") || strings.HasPrefix(text, "1e+5") {
		return "" // CBC writes 1e+50 for none
	}
	if x, err := strconv.ParseFloat(text, 64); err == nil {
		return number(x, 1)
	}
	return text
}

// read says what a log tells.
func (form report) read(log string, seconds float64, err error) string {
	find := func(what *regexp.Regexp) string {
		found := what.FindStringSubmatch(log)
		if found == nil {
			return ""
		}
		return figure(found[1])
	}
	solution, bound := find(form.solution), find(form.bound)
	switch {
	case errors.Is(err, context.DeadlineExceeded):
		return fmt.Sprintf("did not come back in %.0f s", seconds)
	case err != nil:
		return err.Error()
	case solution != "" && form.optimal.MatchString(log):
		return fmt.Sprintf("optimal %s in %.1f s", solution, seconds)
	case solution == "" && bound == "":
		return fmt.Sprintf("neither plan nor bound in %.0f s", seconds)
	case solution == "":
		return fmt.Sprintf("no plan, bound %s in %.0f s", bound, seconds)
	case bound == "":
		return fmt.Sprintf("%s, no bound in %.0f s", solution, seconds)
	}
	return fmt.Sprintf("%s, bound %s in %.0f s", solution, bound, seconds)
}
