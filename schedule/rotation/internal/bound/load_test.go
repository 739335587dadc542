package bound

import (
	"os"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
	"emberquilt/testdata/refdata"
)

func load(t testing.TB, name string) *model.Model {
	t.Helper()
	f, err := os.Open(refdata.Bench(t, "problems/"+name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	p, err := problem.Read(f, name)
	if err != nil {
		t.Fatal(err)
	}
	m, err := model.New(p)
	if err != nil {
		t.Fatal(err)
	}
	return m
}
