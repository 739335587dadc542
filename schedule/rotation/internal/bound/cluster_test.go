package bound

import (
	"fmt"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation/internal/model"
)

// A property of patches alone keeps some of them unburned each year: one refuge of all.
// Its links are so many a unit, not as many as there are pairs.
func TestLinksOfALargeRefugeAreFew(t *testing.T) {
	for _, units := range []int{900, 3000} {
		inf := problem.NoLimit
		open := problem.YearCaps{Acres: inf, Burns: inf, Cost: inf, BurnDays: []float64{inf}}
		p := &problem.Problem{
			FirstYear: 2027, Years: 2, Seasons: []string{"dormant"}, Caps: []problem.YearCaps{open, open},
			Refuges: []problem.Refuge{{Name: "all", MaxShare: 0.5}}, EvenLo: -inf, EvenHi: inf, Weights: problem.Weights{Overdue: 1},
		}
		for i := range units {
			p.Units = append(p.Units, problem.Unit{
				ID: fmt.Sprint(i), Acres: float64(1 + i%40), MinInterval: 1, MaxInterval: 3, Age: 1, Penalty: []float64{0}, Mix: -1, Refuge: 0,
			})
		}
		m, err := model.New(p)
		if err != nil {
			t.Fatal(err)
		}
		got, all := len(links(m, nil, nil)), units*(units-1)/2
		if units <= manyInRefuge && got != all || units > manyInRefuge && (got > units*reachInRefuge || got < (units-reachInRefuge)*reachInRefuge) {
			t.Errorf("%d units have %d links of %d", units, got, all)
		}
	}
}
