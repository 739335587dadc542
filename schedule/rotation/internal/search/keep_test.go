package search

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/schedule/rotation/internal/model"
)

// keep notes a plan among the best known ones in the folder KEEP, if set.
func keep(t testing.TB, m *model.Model, name string, plan model.Plan, cost float64) {
	folder := os.Getenv("KEEP")
	if folder == "" {
		return
	}
	path := filepath.Join(folder, name+".plan")
	if b, err := os.ReadFile(path); err == nil {
		var old float64
		fmt.Sscan(string(b), &old)
		if old <= cost+1e-9 {
			return
		}
	}
	var w strings.Builder
	fmt.Fprintf(&w, "%.6f\n", cost)
	for i := range m.N {
		for _, q := range plan[i*m.T:][:m.T] {
			fmt.Fprintf(&w, "%d ", q)
		}
		fmt.Fprintln(&w)
	}
	if err := os.WriteFile(path, []byte(w.String()), 0o644); err != nil {
		t.Error(err)
	}
}
