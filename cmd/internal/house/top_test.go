package house_test

import (
	"os"
	"slices"
	"strings"
	"testing"
)

// topLevel is what stands beside the dotfiles, and what .gitignore names: the rooms of the
// program and its papers. Nothing else does, so that nobody commits what a command of
// theirs left there.
var topLevel = []string{
	"CHANGELOG.md", "CONTRIBUTING.md", "DEVELOPERS.md", "LICENSE", "LICENSE-third-party.txt", "README.md",
	"cmd", "go.mod", "go.sum", "habitat", "report", "schedule", "store", "testdata",
}

func TestTopLevelIsFixed(t *testing.T) {
	entries, err := os.ReadDir("../../..")
	if err != nil {
		t.Fatal(err)
	}
	ignored, err := os.ReadFile("../../../.gitignore")
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for line := range strings.Lines(string(ignored)) {
		names = append(names, strings.Trim(strings.TrimSpace(line), "/"))
	}
	var found []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && !slices.Contains(names, e.Name()) {
			found = append(found, e.Name())
		}
	}
	for _, name := range found {
		if !slices.Contains(topLevel, name) {
			t.Errorf("%s stands at the top level; accepts %s, dotfiles, and what .gitignore names", name, strings.Join(topLevel, ", "))
		}
	}
	for _, name := range topLevel {
		if !slices.Contains(found, name) {
			t.Errorf("%s is not there", name)
		}
	}
}
