package problem_test

import (
	"strings"
	"testing"

	"emberquilt/schedule/problem"
)

const nextToNothing = `{"format": "rotation-problem/1", "first_year": 2027, "years": 2, "lookahead": 0, "seasons": ["s"],
"units": [{"id": "n1", "acres": 1, "min_interval": 1, "max_interval": 2, "age": 0, "seasons": {"s": 0}, "burn_days": 1, "cost": 1}],
"caps": {"cost": 5}}`

// A file names amounts of some size or none; a property's are made so.
func TestAmountsNextToNothing(t *testing.T) {
	for old, fresh := range map[string]string{
		`"acres": 1,`: `"acres": 5e-324,`, `"burn_days": 1`: `"burn_days": 1e-300`, `"cost": 1}`: `"cost": 1e-30}`,
		`"seasons": {"s": 0}`: `"seasons": {"s": 1e-10}`, `{"cost": 5}`: `{"cost": 9e-10}`,
	} {
		text := strings.Replace(nextToNothing, old, fresh, 1)
		if _, err := problem.Read(strings.NewReader(text), "p.json"); err == nil || !strings.HasSuffix(err.Error(), " is next to nothing; accepts 0, or 1e-9 and more") {
			t.Errorf("%s: %v", fresh, err)
		}
		// Plans of programs before have what rounding left of a cap, and stay readable.
		kept, err := problem.ReadKept(strings.NewReader(text), "plan 1")
		if err != nil {
			t.Fatalf("%s in a property: %v", fresh, err)
		}
		if _, err := problem.Canonical(kept); err != nil {
			t.Errorf("%s for a second solve: %v", fresh, err)
		}
	}
	p, err := problem.Read(strings.NewReader(nextToNothing), "p.json")
	if err != nil {
		t.Fatal(err)
	}
	p.Units[0].Acres, p.Units[0].BurnDays, p.Units[0].Penalty[0], p.Weights.Mix, p.Caps[0].Cost = 1e-12, 5e-324, 1e-10, 1e-320, 1e-9
	p.Level()
	u := &p.Units[0]
	if u.Acres != problem.LeastAmount || u.BurnDays != 0 || u.Penalty[0] != 0 || p.Weights.Mix != 0 || p.Caps[0].Cost != 1e-9 || u.Cost != 1 {
		t.Errorf("%+v, weights %+v, caps %+v", u, p.Weights, p.Caps[0])
	}
	if _, err := problem.Canonical(p); err != nil {
		t.Error(err)
	}
}
