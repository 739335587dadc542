package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"emberquilt/cmd/internal/cli"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"emberquilt": func() { os.Exit(cli.Main()) }})
}

// TestScript runs the user stories of testdata/script. $DATA is the top
// testdata folder, $OLD holds property files of older programs; the program's
// date is fixed.
func TestScript(t *testing.T) {
	data, err := filepath.Abs("../../testdata")
	if err != nil {
		t.Fatal(err)
	}
	old, err := filepath.Abs("../../store/testdata")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		UpdateScripts:       os.Getenv("UPDATE_SCRIPTS") != "",
		Setup: func(env *testscript.Env) error {
			env.Setenv("DATA", data)
			env.Setenv("OLD", old)
			env.Setenv("EMBERQUILT_TODAY", "2026-11-25")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status":  runStatus,
			"files":   listFiles,
			"waitfor": waitFor,
			"tmpfs":   mountSmall,
		},
		Condition: func(name string) (bool, error) {
			switch name {
			case "root":
				return os.Getuid() == 0, nil
			case "tmpfs":
				return canMount(), nil
			case "openpyxl":
				return exec.Command("/usr/bin/python3", "-c", "import openpyxl").Run() == nil, nil
			}
			return false, errors.New("no such condition")
		},
	})
}

// runStatus is "status N program args…": the program must end with the exit
// status N.
func runStatus(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N program args…")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	if err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
	// An error stands on standard error once, and a crash never looks like one.
	if text := ts.ReadFile("stderr"); strings.Contains(text, "panic:") || strings.Contains(text, "goroutine ") {
		ts.Fatalf("the program crashed")
	}
}

// listFiles is "files FOLDER [NAME…]": the folder holds exactly these names,
// hidden ones too, so that nothing half-written stays behind.
func listFiles(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) == 0 {
		ts.Fatalf("usage: files FOLDER [NAME…]")
	}
	entries, err := os.ReadDir(ts.MkAbs(args[0]))
	ts.Check(err)
	var got []string
	for _, entry := range entries {
		got = append(got, entry.Name())
	}
	if want := strings.Join(args[1:], " "); strings.Join(got, " ") != want {
		ts.Fatalf("%s holds %q, want %q", args[0], strings.Join(got, " "), want)
	}
}

// waitFor is "waitfor FILE": waits until the file exists.
func waitFor(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: waitfor FILE")
	}
	for deadline := time.Now().Add(30 * time.Second); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		if _, err := os.Stat(ts.MkAbs(args[0])); err == nil {
			return
		}
	}
	ts.Fatalf("%s did not appear", args[0])
}

// canMount reports whether this process may mount a small file system in memory.
func canMount() bool {
	folder, err := os.MkdirTemp("", "tmpfs")
	if err != nil {
		return false
	}
	defer os.Remove(folder)
	if exec.Command("mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", folder).Run() != nil {
		return false
	}
	return exec.Command("umount", folder).Run() == nil
}

// mountSmall is "tmpfs FOLDER SIZE": mounts an empty disk of the size until the
// end of the script.
func mountSmall(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: tmpfs FOLDER SIZE")
	}
	folder := ts.MkAbs(args[0])
	ts.Check(os.MkdirAll(folder, 0o777))
	ts.Check(exec.Command("mount", "-t", "tmpfs", "-o", "size="+args[1], "tmpfs", folder).Run())
	ts.Defer(func() { exec.Command("umount", "-l", folder).Run() })
}
