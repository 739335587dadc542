package problem

import (
	"os"
	"path/filepath"
	"testing"

	"emberquilt/schedule/problem/internal/shared"
)

func TestReadBenchProblems(t *testing.T) {
	files, _ := filepath.Glob(filepath.Join(shared.Folder(t), "bench/problems/*.json"))
	if len(files) < 30 {
		t.Fatalf("only %d problems", len(files))
	}
	for _, file := range files {
		f, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		p, err := Read(f, file)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		t.Log(filepath.Base(file), len(p.Units), p.T(), p.Warnings)
	}
}
