//go:build unix

package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"emberquilt/habitat/leftover"
)

// What a killed process left, a copy of a property among it, goes with the next run;
// what a process that runs uses, and what is not ours, stays.
func TestLeftoversOfKilledProcesses(t *testing.T) {
	gone := exec.Command("true")
	if err := gone.Run(); err != nil {
		t.Skip(err)
	}
	dead, alive := gone.Process.Pid, os.Getppid()
	folder := t.TempDir()
	t.Setenv("TMPDIR", folder)
	of := func(name string, process int) string {
		return strings.Replace(name, fmt.Sprintf("-%d-", os.Getpid()), fmt.Sprintf("-%d-", process), 1)
	}
	names := func(process int) []string {
		beside := of(leftover.Name(besidePrefix), process)
		return []string{beside + "0.part", beside + "0.part-journal"}
	}
	for _, name := range slices.Concat(names(dead), names(alive), []string{".emberquilt-notes", "p.emberquilt"}) {
		if err := os.WriteFile(filepath.Join(folder, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	stays := []string{of(leftover.Name("emberquilt-"), alive) + "12", "emberquilt-demo"}
	for _, name := range append([]string{of(leftover.Name("emberquilt-"), dead) + "12"}, stays...) {
		if err := os.MkdirAll(filepath.Join(folder, name, "inner"), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	made, err := leftover.Folder()
	if err != nil {
		t.Fatal(err)
	}
	s, err := Create(context.Background(), filepath.Join(folder, "new.emberquilt"), Making{}, oakHill(), noon)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(s.Close(), os.Remove(made)); err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var left []string
	for _, entry := range entries {
		left = append(left, entry.Name())
	}
	want := slices.Concat(names(alive), stays, []string{".emberquilt-notes", "p.emberquilt", "new.emberquilt"})
	slices.Sort(want)
	if !slices.Equal(left, want) {
		t.Errorf("left: %q\nwant: %q", left, want)
	}
}

// A name that cannot be made is named, not the file that should have got it.
func TestNamesThatCannotBeMade(t *testing.T) {
	for _, name := range []string{"no/../p.emberquilt", strings.Repeat("a", 300) + ".emberquilt"} {
		path := t.TempDir() + "/" + name
		_, err := Create(context.Background(), path, Making{}, oakHill(), noon)
		if err == nil || !strings.HasPrefix(err.Error(), path+": cannot be made (") || strings.Contains(err.Error(), ".part") {
			t.Errorf("%.30s: %v", name, err)
		}
	}
}
