package bound

import (
	"os"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
)

func load(t testing.TB, name string) *model.Model {
	t.Helper()
	f, err := os.Open("../../../../../shared/bench/problems/" + name + ".json")
	if err != nil {
		t.Skip(err)
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
