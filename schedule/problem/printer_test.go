package problem_test

import (
	"bytes"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
)

// Names that a terminal would obey are the same names in the file, and not the same bytes.
func TestNamesThatATerminalWouldObey(t *testing.T) {
	const name = "a\u202e\u2066z"
	text := `{"format": "rotation-problem/1", "first_year": 2027, "years": 2, "lookahead": 0, "seasons": ["s"],
		"units": [{"id": "` + name + `", "acres": 1, "min_interval": 1, "max_interval": 2, "age": 0, "seasons": {"s": 0}, "burn_days": 0, "cost": 0}]}`
	p, err := problem.Read(strings.NewReader(text), "p.json")
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := problem.Write(&out, p); err != nil {
		t.Fatal(err)
	}
	if strings.ContainsAny(out.String(), "\u202e\u2066") || !strings.Contains(out.String(), `a\u202e\u2066z`) {
		t.Errorf("written as %q", out.String())
	}
	again, err := problem.Read(&out, "again.json")
	if err != nil || again.Units[0].ID != name {
		t.Errorf("read again: %q, %v", again.Units[0].ID, err)
	}
}
