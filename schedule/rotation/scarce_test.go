package rotation

import (
	"context"
	"math"
	"testing"

	"emberquilt/schedule/problem"
)

// scarce makes a problem like Konza's: nothing couples its units but the acres of a
// year, which are too few for all to burn in time, and what is late costs more each year.
func scarce() *problem.Problem {
	acres := make([]float64, 60)
	for i := range acres {
		acres[i] = float64(20+37*i%101*(1+i%4)) + float64(i*i%89)/7919
	}
	p := given(18, acres...)
	total := 0.0
	for i := range p.Units {
		u := &p.Units[i]
		u.ID, u.MaxInterval, u.Age = u.ID+"-"+u.ID, 4, max(0, i%8-4)
		total += u.Acres
	}
	for t := range p.Caps {
		p.Caps[t].Acres = math.Floor(0.22 * total)
	}
	p.EvenHi = math.Floor(0.21 * total)
	p.OverdueGrowth, p.OverdueGrowthYears = 1, 3
	return p
}

// scarceRelaxed is the optimum of scarce's linear program without whole numbers, by CBC
// 2.10.8 on the file that problem.WriteMPS makes (cbc p.mps initialSolve quit).
const scarceRelaxed = 48831.305

// The bound of units by themselves is that of the linear program; where capacity is
// short for years the prices must come a long way: first steps of 0.5 left the bound at
// 44,778.
func TestPricesComeFarWhereCapacityIsShort(t *testing.T) {
	p := scarce()
	r, err := Solve(context.Background(), p, Settings{TimeLimit: -1, Rounds: 20, Threads: 2})
	if err != nil {
		t.Fatal(err)
	}
	if b := r.Answer.Bound; b < 0.999*scarceRelaxed || b > 1.0001*scarceRelaxed {
		t.Errorf("bound %.3f, want %.3f as of the linear program", b, scarceRelaxed)
	}
}
