package house_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the notices file anew")

const noticesFile = "../../../LICENSE-third-party.txt"

// linkedModule is a module whose code is part of the program.
type linkedModule struct{ path, version, dir string }

// linked lists the modules whose packages the program holds, on every system
// that it is built for.
func linked(t *testing.T) []linkedModule {
	t.Helper()
	seen := map[linkedModule]bool{}
	for _, system := range []string{"linux", "windows", "darwin"} {
		command := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{.Path}}\t{{.Version}}\t{{.Dir}}{{end}}", "emberquilt/cmd/emberquilt")
		command.Dir = "../../.."
		command.Env = append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0")
		var stderr bytes.Buffer
		command.Stderr = &stderr
		out, err := command.Output()
		if err != nil {
			t.Fatalf("go list for %s: %v\n%s", system, err, stderr.String())
		}
		for line := range strings.Lines(string(out)) {
			parts := strings.Split(strings.TrimSpace(line), "\t")
			if len(parts) == 3 && parts[1] != "" {
				seen[linkedModule{parts[0], parts[1], parts[2]}] = true
			}
		}
	}
	var all []linkedModule
	for m := range seen {
		all = append(all, m)
	}
	slices.SortFunc(all, func(a, b linkedModule) int { return strings.Compare(a.path, b.path) })
	return all
}

// goItself is the standard library and the runtime.
func goItself(t *testing.T) linkedModule {
	t.Helper()
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	return linkedModule{"the Go standard library and runtime", "", strings.TrimSpace(string(root))}
}

// notices puts the license texts of all linked modules into one file.
func notices(t *testing.T) string {
	t.Helper()
	var b strings.Builder
	b.WriteString("The program holds code from the modules below, each under its own license.\n" +
		"Written by: go test ./cmd/internal/house -update\n" +
		"The libraries in the pages have their license files beside them, where they are embedded.\n")
	for _, m := range append([]linkedModule{goItself(t)}, linked(t)...) {
		entries, err := os.ReadDir(m.dir)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&b, "\n%s\n%s %s\n%s\n", strings.Repeat("=", 78), m.path, m.version, strings.Repeat("=", 78))
		found := 0
		for _, entry := range entries {
			name := strings.ToUpper(entry.Name())
			if entry.IsDir() || !slices.ContainsFunc([]string{"LICENSE", "LICENSE", "UNLICENSE", "COPYING", "NOTICE"},
				func(prefix string) bool { return strings.HasPrefix(name, prefix) }) || strings.HasSuffix(name, ".GO") {
				continue
			}
			text, err := os.ReadFile(filepath.Join(m.dir, entry.Name()))
			if err != nil {
				t.Fatal(err)
			}
			fmt.Fprintf(&b, "\n%s:\n\n%s\n", entry.Name(), strings.TrimSpace(strings.ReplaceAll(string(text), "\r\n", "\n")))
			found++
		}
		if found == 0 {
			t.Errorf("%s has no license file that the test knows", m.path)
		}
	}
	return b.String()
}

func TestNoticesNameEveryLinkedModule(t *testing.T) {
	want := notices(t)
	if *update {
		if err := os.WriteFile(noticesFile, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(noticesFile)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Errorf("LICENSE-third-party.txt is not what the linked modules say; write it with: go test ./cmd/internal/house -update")
	}
}
