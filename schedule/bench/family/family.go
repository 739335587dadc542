package family

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"emberquilt/schedule/problem"
)

// Instance is one problem of a family.
type Instance struct {
	Family, Name string
	Problem      *problem.Problem
}

// Names lists the families that Make knows.
var Names = []string{"pinwheel", "grid", "paper-size", "growth"}

// Make gives the problems of a family, none for an unknown name.
//
// paper-size is 711 units × 15 years, the size of Rachmawati, Ozlen, Reinke and
// Hearne 2015 (A model for solving the prescribed burn planning problem,
// SpringerPlus 4). growth is 10 to 10,000 units × 20 years, of which the last
// five are lookahead.
func Make(name string) []Instance {
	var all []Instance
	add := func(label string, p *problem.Problem) { all = append(all, Instance{name, label, p}) }
	switch name {
	case "pinwheel":
		for _, periods := range [][]int{{2, 4, 4}, {3, 3, 3}, {2, 4, 8, 8}, {3, 5, 5, 10}, {5, 6, 7, 8, 9}, {2, 3, 6}, {2, 3, 12}, {2, 3, 20}} {
			add(strings.ReplaceAll(strings.Trim(fmt.Sprint(periods), "[]"), " ", "-"), Pinwheel(24, periods...))
		}
	case "grid":
		for _, side := range []int{5, 10, 15, 20, 25, 30, 35} {
			for _, budget := range []int{5, 10, 15} {
				add(fmt.Sprintf("%d cells, %d%%", side*side, budget), Grid(1, side, 10, budget))
			}
		}
	case "paper-size":
		for seed := range uint64(3) {
			add(fmt.Sprintf("seed %d", seed+1), Property(seed+1, 711, 15, 0))
		}
	case "growth":
		for _, units := range []int{10, 30, 100, 300, 1000, 3000, 10000} {
			add(fmt.Sprintf("%d units", units), Property(1, units, 15, 5))
		}
	}
	return all
}

// empty gives a problem without units, caps and wishes.
func empty(years, lookahead int, seasons ...string) *problem.Problem {
	p := &problem.Problem{FirstYear: 2027, Years: years, Lookahead: lookahead, Seasons: seasons,
		EvenLo: math.Inf(-1), EvenHi: problem.NoLimit, Weights: problem.DefaultWeights()}
	for range p.T() {
		c := problem.YearCaps{Acres: problem.NoLimit, Burns: problem.NoLimit, Cost: problem.NoLimit}
		for range seasons {
			c.BurnDays = append(c.BurnDays, problem.NoLimit)
		}
		p.Caps = append(p.Caps, c)
	}
	return p
}

// finish brings a problem to its canonical form.
func finish(p *problem.Problem) *problem.Problem {
	good, err := problem.Canonical(p)
	if err != nil {
		panic("family: a problem is bad: " + err.Error())
	}
	return good
}

// Pinwheel gives units that want to burn at least once in each run of so many
// years, of which one a year may, all having burned in the year before.
func Pinwheel(years int, periods ...int) *problem.Problem {
	p := empty(years, 0, "dormant")
	for i, period := range periods {
		p.Units = append(p.Units, problem.Unit{ID: fmt.Sprintf("u%d", i+1), Acres: 10, MinInterval: 1, MaxInterval: period,
			Penalty: []float64{0}, BurnDays: 1, Mix: -1, Refuge: -1})
	}
	for t := range p.Caps {
		p.Caps[t].Burns = 1
	}
	return finish(p)
}

// Grid gives side × side equal cells; budget is the percentage of the area that
// may burn in a year. Neighbors are cells that share a side.
func Grid(seed uint64, side, years, budget int) *problem.Problem {
	r := rand.New(rand.NewPCG(seed, uint64(side*100+budget)))
	p := empty(years, 0, "any")
	for i := range side * side {
		p.Units = append(p.Units, problem.Unit{ID: fmt.Sprintf("c%d-%d", i/side+1, i%side+1), Acres: 100, MinInterval: 2,
			MaxInterval: []int{4, 8, 12}[r.IntN(3)], Age: 1 + r.IntN(12), Penalty: []float64{0}, BurnDays: 1, Mix: -1, Refuge: -1})
		if i%side > 0 {
			p.Neighbors = append(p.Neighbors, [2]int{i - 1, i})
		}
		if i >= side {
			p.Neighbors = append(p.Neighbors, [2]int{i - side, i})
		}
	}
	p.Weights.Neighbors = 0.1
	for t := range p.Caps {
		p.Caps[t].Acres = float64(side * side * budget) // 100 acres a cell
	}
	return finish(p)
}
