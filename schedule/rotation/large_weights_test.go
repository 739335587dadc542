package rotation

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
)

// Weights multiply what the check of a sweep rounds off acres: what the solver claims stays
// below what the check finds, however large they are.
func TestLargeWeights(t *testing.T) {
	for _, weight := range []float64{1, 1e3, 1e6, 1e9} {
		for name, rest := range map[string]string{
			"mix": `"mixes": {"m": [{"class": "a", "from": 0, "to": 0, "min_share": 1e-09, "max_share": 1}, {"class": "b", "from": 1}]},
				"weights": {"overdue": 0, "mix": %g, "season": 1, "evenness": 0, "keep": 0}`,
			"evenness": `"evenness": {"min_acres": 1e-9, "max_acres": 1000},
				"weights": {"overdue": 0, "mix": 0, "season": 1, "evenness": %g, "keep": 0}`,
		} {
			t.Run(fmt.Sprint(name, weight), func(t *testing.T) {
				mix := ""
				if name == "mix" {
					mix = `, "mix": "m"`
				}
				p, err := problem.Read(strings.NewReader(`{"format": "rotation-problem/1", "first_year": 2027, "years": 2, "lookahead": 0, "seasons": ["d"],
					"units": [{"id": "U0", "acres": 1, "min_interval": 2, "max_interval": 5, "age": 0, "seasons": {"d": 0.01}, "burn_days": 0, "cost": 0.01`+mix+`}],
					"caps": {"acres": 0, "burn_days": {"d": 0.1}}, `+fmt.Sprintf(rest, weight)+`}`), "p.json")
				if err != nil {
					t.Fatal(err)
				}
				r, err := Solve(context.Background(), p, Settings{TimeLimit: -1, Rounds: 5, Threads: 1, Seed: 3})
				if err != nil {
					t.Fatal(err)
				}
				check(t, p, r)
			})
		}
	}
}
