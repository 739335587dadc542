package search

import (
	"os"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
	"emberquilt/testdata/refdata"
)

// load reads a development problem; without the reference data folder
// the test is skipped.
func load(t testing.TB, name string) *model.Model {
	t.Helper()
	file, err := os.Open(refdata.Bench(t, "problems/"+name+".json"))
	if err != nil {
		t.Fatal(err)
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
