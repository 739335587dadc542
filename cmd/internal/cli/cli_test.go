package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/source"
	"emberquilt/schedule/problem"
	"emberquilt/store"
)

func TestExitStatus(t *testing.T) {
	stopped, stop := context.WithCancel(context.Background())
	stop()
	bad := &source.Error{Position: source.Position{File: "x"}, Found: "is bad"}
	for _, test := range []struct {
		name string
		ctx  context.Context
		err  error
		want int
	}{
		{"none", context.Background(), nil, 0},
		{"any", context.Background(), errors.New("broken"), 1},
		{"usage", context.Background(), fmt.Errorf("in: %w", usagef("no")), 2},
		{"bad input", context.Background(), fmt.Errorf("in: %w", bad), 3},
		{"bad list", context.Background(), (&source.List{Errors: []*source.Error{bad}}).Err(), 3},
		{"usage about a file", context.Background(), &usageError{bad}, 2},
		{"disk", context.Background(), errors.Join(bad, store.ErrFull), 1},
		{"unknown", context.Background(), fmt.Errorf("burn 7: %w", store.ErrUnknown), 3},
		{"no plan", context.Background(), fmt.Errorf("%w: why", problem.ErrInfeasible), 4},
		{"answered", context.Background(), answered{1}, 1},
		{"interrupted", stopped, &app.Interrupted{Done: "kept"}, 130},
		{"canceled", stopped, fmt.Errorf("read: %w", context.Canceled), 130},
		{"broken when stopped", stopped, errors.New("broken"), 1},
		{"canceled without a signal", context.Background(), context.Canceled, 1},
	} {
		if got := exitStatus(test.ctx, test.err); got != test.want {
			t.Errorf("%s: %d, want %d", test.name, got, test.want)
		}
	}
}

// program runs the command line in memory.
func program(args ...string) (status int, out, errs string) {
	var o, e bytes.Buffer
	p := Program{Args: args, In: strings.NewReader(""), Out: &o, Err: &e, Getenv: func(string) string { return "" }, Now: time.Now}
	status = p.Run(context.Background())
	return status, o.String(), e.String()
}

func TestEveryCommandSaysItsExitStatuses(t *testing.T) {
	root := (&terminal{}).root()
	seen := 0
	for _, command := range root.Commands() {
		if command.Name() == "completion" {
			continue
		}
		for _, one := range append(command.Commands(), command) {
			status, out, errs := program(append(strings.Fields(one.CommandPath())[1:], "--help")...)
			if status != 0 || errs != "" || !strings.Contains(out, "Exit status: 0 done, 1 failed, 2 wrong usage") {
				t.Errorf("%s --help: status %d\n%s%s", one.CommandPath(), status, out, errs)
			}
			before := ""
			for line := range strings.Lines(out[:strings.Index(out, "Usage:")] + out[strings.Index(out, "Flags:"):]) {
				line = strings.TrimRight(line, "\n")
				if len([]rune(line)) > helpWidth && strings.Contains(strings.TrimSpace(line), " ") {
					t.Errorf("%s: a line of its help is too wide: %q", one.CommandPath(), line)
				}
				// A line that ends early though the next one's first word fits was broken twice.
				if first, _, _ := strings.Cut(line, " "); first != "" && before != "" && !strings.HasPrefix(before, " ") && len([]rune(before))+1+len([]rune(first)) <= helpWidth {
					t.Errorf("%s: a line of its help is broken early: %q, then %q", one.CommandPath(), before, line)
				}
				before = line
			}
			seen++
		}
	}
	if seen < 35 {
		t.Errorf("only %d commands seen", seen)
	}
}

func TestJSONErrors(t *testing.T) {
	a := &terminal{Program: Program{Args: []string{"--json"}}}
	var errs bytes.Buffer
	a.Err = &errs
	var list source.List
	for line := range 25 {
		list.Addf(source.Position{File: "units.csv", Line: line + 2, Field: "acres"}, "a number", "%q is not a number", "x\x1b[31m</script>")
	}
	a.printError(a.root(), list.Err(), statusBadInput)
	var doc struct {
		Error struct {
			Status int
			Errors []struct {
				File, Field, Found, Accepts string
				Line                        int
			}
			More int
		}
	}
	if err := json.Unmarshal(errs.Bytes(), &doc); err != nil {
		t.Fatalf("%v\n%s", err, errs.String())
	}
	if doc.Error.Status != 3 || len(doc.Error.Errors) != source.MaxShown || doc.Error.More != 5 || doc.Error.Errors[3].Line != 5 {
		t.Errorf("%+v", doc)
	}
	if strings.Contains(errs.String(), "\x1b") {
		t.Error("a control character reaches the terminal")
	}
}

// TestWriteLeavesNothingHalfDone breaks a second file after a first is complete:
// neither may change, and no part may stay behind.
func TestWriteLeavesNothingHalfDone(t *testing.T) {
	folder := t.TempDir()
	first, second := filepath.Join(folder, "first"), filepath.Join(folder, "second")
	if err := os.WriteFile(first, []byte("col\nold"), 0o600); err != nil {
		t.Fatal(err)
	}
	text := func(s string) func(io.Writer) error {
		return func(w io.Writer) error {
			_, err := io.WriteString(w, s)
			return err
		}
	}
	broken := errors.New("broken")
	a := &terminal{Program: Program{Out: io.Discard}}
	err := a.write(output{first, text("col\nnew")}, output{second, func(w io.Writer) error {
		io.WriteString(w, "half")
		return broken
	}})
	if !errors.Is(err, broken) {
		t.Errorf("the error is %v", err)
	}
	if got, _ := os.ReadFile(first); string(got) != "col\nold" {
		t.Errorf("the first file holds %q", got)
	}
	entries, _ := os.ReadDir(folder)
	if len(entries) != 1 {
		t.Errorf("the folder holds %v", entries)
	}
	if err := a.write(output{first, text("col\nnew")}, output{second, text("too")}); err != nil {
		t.Fatal(err)
	}
	if got, _ := os.ReadFile(first); string(got) != "col\nnew" {
		t.Errorf("the first file holds %q", got)
	}
	// A link is followed, and stays a link.
	link := filepath.Join(folder, "link")
	if err := os.Symlink(first, link); err != nil {
		t.Skip(err)
	}
	if err := a.write(output{link, text("col\nthrough")}); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link is gone")
	}
	if got, _ := os.ReadFile(first); string(got) != "col\nthrough" {
		t.Errorf("the linked file holds %q", got)
	}
}

// Who may read a file that is written anew was decided for it: it is opened to nobody
// and closed to nobody. One that its owner protected stays.
func TestWriteKeepsTheMode(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such modes")
	}
	for _, was := range []fs.FileMode{0o600, 0o640, 0o644, 0o666} {
		path := filepath.Join(t.TempDir(), "list.csv")
		if err := errors.Join(os.WriteFile(path, []byte("col\nold"), 0o600), os.Chmod(path, was)); err != nil {
			t.Fatal(err)
		}
		for _, write := range []func(*terminal, ...output) error{(*terminal).write, (*terminal).writePrivate} {
			err := write(&terminal{}, output{path, func(w io.Writer) error {
				_, err := io.WriteString(w, "col\nnew")
				return err
			}})
			if info, statErr := os.Stat(path); err != nil || statErr != nil || info.Mode().Perm() != was {
				t.Errorf("%v became %v (%v)", was, info.Mode(), errors.Join(err, statErr))
			}
		}
	}

	path := filepath.Join(t.TempDir(), "list.csv")
	if err := os.WriteFile(path, []byte("col\nold"), 0o444); err != nil {
		t.Fatal(err)
	}
	text := output{path, func(w io.Writer) error {
		_, err := io.WriteString(w, "col\nnew")
		return err
	}}
	if err := (&terminal{}).write(text); err == nil || !strings.Contains(err.Error(), "list.csv: is write-protected; accepts another name, or --replace") {
		t.Errorf("a protected file: %v", err)
	}
	if got, _ := os.ReadFile(path); string(got) != "col\nold" {
		t.Errorf("a protected file holds %q", got)
	}
	if err := (&terminal{replace: true}).write(text); err != nil {
		t.Error(err)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o444 {
		t.Errorf("with --replace its mode is %v (%v)", info.Mode(), err)
	}
}

// A demo that is stopped while it plans makes nothing, and does not say that a plan is
// kept.
func TestStoppedDemoKeepsNothing(t *testing.T) {
	for _, after := range []time.Duration{500 * time.Millisecond, 800 * time.Millisecond, 1300 * time.Millisecond} {
		folder := filepath.Join(t.TempDir(), "demo")
		ctx, stop := context.WithTimeout(context.Background(), after)
		var errs bytes.Buffer
		status := Program{Args: []string{"demo", folder}, In: strings.NewReader(""), Out: io.Discard, Err: &errs, Getenv: os.Getenv, Now: time.Now}.Run(ctx)
		stop()
		if _, err := os.Stat(folder); status == 0 || err == nil {
			t.Skip("the demo was made within ", after)
		}
		if text := errs.String(); strings.Contains(text, "is kept") || strings.Contains(text, "kept;") {
			t.Errorf("after %v: %s", after, text)
		}
	}
}

func TestUnmade(t *testing.T) {
	kept := fmt.Errorf("build it: %w", &app.Interrupted{Done: "the best plan so far is kept"})
	if err := unmade(kept, "no demo was made"); err.Error() != "interrupted; no demo was made" || exitStatus(context.Background(), err) != statusInterrupted {
		t.Error(err)
	}
	if other := errors.New("full disk"); unmade(other, "no demo was made") != other {
		t.Error("another error is another one now")
	}
}

func TestFileWord(t *testing.T) {
	for name, want := range map[string]string{
		"Creek Patch": "creek-patch", "  ": "unnamed", "../../etc/passwd": "etc-passwd", "A/B\\C:D": "a-b-c-d", "名前": "名前", "N1 – a": "n1-a", "=1+1": "1-1",
	} {
		if got := fileWord(name); got != want {
			t.Errorf("%q gives %q, want %q", name, got, want)
		}
	}
	if got := fileWord(strings.Repeat("x", 500)); len(got) > 60 {
		t.Errorf("%d characters", len(got))
	}
}

func TestOwnFolder(t *testing.T) {
	folder := t.TempDir()
	if err := ownFolder(filepath.Join(folder, "missing")); err != nil {
		t.Error(err)
	}
	if err := ownFolder(folder); err != nil {
		t.Errorf("an empty folder: %v", err)
	}
	if err := os.WriteFile(filepath.Join(folder, "letter"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := ownFolder(folder); err == nil {
		t.Error("a folder with a letter is taken for the demo's")
	}
	if err := os.WriteFile(filepath.Join(folder, demoMarker), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := ownFolder(folder); err != nil {
		t.Errorf("the demo's own folder: %v", err)
	}
}

func TestUnitsWhoseNamesMakeOneFileNameKeepTheirOwn(t *testing.T) {
	units := []habitat.Unit{{ID: "Unit 1"}, {ID: "unit-1"}, {ID: "Unit 2"}}
	a, b, c := unitWord("Unit 1", units), unitWord("unit-1", units), unitWord("Unit 2", units)
	if a == b || !strings.HasPrefix(a, "unit-1-") || !strings.HasPrefix(b, "unit-1-") || c != "unit-2" {
		t.Errorf("%s, %s, %s", a, b, c)
	}
}

func TestSweepTakesAwayWhatKilledRunsLeft(t *testing.T) {
	folder := t.TempDir()
	mine := filepath.Base(unfinishedName("book.html"))
	of := func(name string) string { // a process that is gone: no system has so many
		return strings.Replace(name, fmt.Sprintf("-%d-", os.Getpid()), "-999999999-", 1)
	}
	left := map[string]bool{
		of(mine):                              false,
		mine:                                  true, // this process is alive
		strings.TrimSuffix(of(mine), ".part"): true,
		strings.Replace(of(mine), "book", "other", 1):   true,
		strings.TrimPrefix(of(mine), "."):               true,
		strings.Replace(of(mine), ".part", "0.part", 1): true,
		".book.html.part":                               true,
		"book.html":                                     true,
	}
	for name := range left {
		if err := os.WriteFile(filepath.Join(folder, name), nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	sweep(filepath.Join(folder, "book.html"))
	for name, stays := range left {
		if _, err := os.Lstat(filepath.Join(folder, name)); (err == nil) != stays {
			t.Errorf("%s: stays %v, want %v", name, err == nil, stays)
		}
	}
}
