package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"emberquilt/schedule/problem"
)

// other is a solver that can be run beside, on the same problem for the same
// wall time, on one thread.
type other struct {
	form
	suffix  string
	write   func(io.Writer, *problem.Problem) error
	command func(file, seconds string) []string
}

var others = map[string]*other{
	// Version 2.10.8 of Debian aborts with more than one thread.
	"cbc": {cbcForm, ".mps", problem.WriteMPS, func(file, seconds string) []string {
		return []string{"cbc", file, "timemode", "elapsed", "sec", seconds, "solve", "quit"}
	}},
	// The npm package highs: HiGHS as WebAssembly.
	"highs": {highsForm, ".lp", problem.WriteLP, func(file, seconds string) []string {
		return []string{"node", "-e", highsScript, file, seconds}
	}},
}

// highsScript runs HiGHS with its log on standard output. EMBERQUILT_NODE is the
// folder that holds node_modules.
const highsScript = `
const print = line => console.log(line);
let load;
try {
  load = require("node:module").createRequire(process.env.EMBERQUILT_NODE + "/")("highs");
} catch (e) { print("` + notInstalled + `"); process.exit(1); }
load({ print, printErr: print }).then(solver => {
  const text = require("node:fs").readFileSync(process.argv[1], "utf8");
  try { solver.solve(text, { time_limit: Number(process.argv[2]) }); } catch (e) { print("failed: " + e); process.exit(1); }
});`

const notInstalled = "not installed"

// run solves p and gives how far it came; what goes wrong stands in the course.
func (s *other) run(ctx context.Context, p *problem.Problem, seconds float64) course {
	folder, err := os.MkdirTemp("", "bench")
	if err != nil {
		return course{trouble: err.Error()}
	}
	defer os.RemoveAll(folder)
	file := filepath.Join(folder, "p"+s.suffix)
	if err := writeFile(file, p, s.write); err != nil {
		return course{trouble: err.Error()}
	}
	// Solvers look at the clock seldom; a little after its time one is stopped.
	limited, cancel := context.WithTimeout(ctx, time.Duration(1.5*seconds*float64(time.Second))+5*time.Second)
	defer cancel()
	words := s.command(file, strconv.FormatFloat(seconds, 'f', -1, 64))
	started := time.Now()
	log, err := exec.CommandContext(limited, words[0], words[1:]...).CombinedOutput()
	c := s.read(string(log), time.Since(started).Seconds())
	switch {
	case errors.Is(err, exec.ErrNotFound) || strings.HasPrefix(string(log), notInstalled):
		c.trouble = notInstalled
	case limited.Err() != nil:
		c.trouble = fmt.Sprintf("did not come back in %.0f s", c.seconds)
	case err != nil:
		lines := strings.Split(strings.TrimSpace(string(log)), "\n")
		c.trouble = fmt.Sprintf("%v: %.80s", err, lines[len(lines)-1])
	}
	return c
}
