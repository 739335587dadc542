package rotation

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
)

// What a burn takes may be next to nothing: the acres that stand for one day or one dollar
// are then beyond what numbers hold, and weights made of them would be no numbers.
func TestAmountsNextToNothing(t *testing.T) {
	for _, amount := range []float64{5e-324, 1e-310, 1e-300, 1e-100} {
		t.Run(fmt.Sprint(amount), func(t *testing.T) {
			p, err := problem.Read(strings.NewReader(`{"format": "rotation-problem/1", "first_year": 2027, "years": 5,
				"lookahead": 3, "seasons": ["dormant", "growing"], "units": [{"id": "A", "acres": 1e9, "min_interval": 2,
				"max_interval": 3, "age": 3, "seasons": {"dormant": 0}, "burn_days": 1, "cost": 1}]}`), "p.json")
			if err != nil {
				t.Fatal(err)
			}
			p.Units[0].BurnDays, p.Units[0].Cost = amount, amount
			r, err := Solve(context.Background(), p, Settings{TimeLimit: -1, Rounds: 5, Threads: 1, Seed: 3})
			if err != nil {
				t.Fatal(err)
			}
			check(t, p, r)
		})
	}
}
