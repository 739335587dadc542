package search

import (
	"os"
	"path/filepath"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
)

// load reads a development problem; without the folder beside the repository
// the test is skipped.
func load(t testing.TB, name string) *model.Model {
	t.Helper()
	folder, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(folder, "go.mod")); err == nil {
			break
		}
		if folder == filepath.Dir(folder) {
			t.Fatal("no go.mod above the working folder")
		}
		folder = filepath.Dir(folder)
	}
	file, err := os.Open(filepath.Join(folder, "..", "shared", "bench", "problems", name+".json"))
	if err != nil {
		t.Skip("no development problems:", err)
	}
	defer file.Close()
	p, err := problem.Read(file, name)
	if err != nil {
		t.Fatal(err)
	}
	m, err := model.New(p)
	if err != nil {
		t.Fatal(err)
	}
	return m
}
