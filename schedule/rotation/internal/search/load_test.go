package search

import (
	"os"
	"path/filepath"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
)

// repository is the folder of go.mod.
func repository(t testing.TB) string {
	t.Helper()
	folder, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(folder, "go.mod")); err == nil {
			return folder
		}
		if folder == filepath.Dir(folder) {
			t.Fatal("no go.mod above the working folder")
		}
		folder = filepath.Dir(folder)
	}
}

// load reads a development problem; without the folder beside the repository
// the test is skipped.
func load(t testing.TB, name string) *model.Model {
	t.Helper()
	file, err := os.Open(filepath.Join(repository(t), "..", "shared", "bench", "problems", name+".json"))
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
