package certify

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

// oddAmounts gives burn days and acres that no decimal grid holds, or that only a
// finer one does than one would guess: a grid of half days once proved too much.
func oddAmounts(r *rand.Rand, p *problem.Problem) *problem.Problem {
	q := *p
	q.Units = append([]problem.Unit(nil), p.Units...)
	for i := range q.Units {
		q.Units[i].BurnDays = []float64{0.3, 0.75, 1.0 / 3, 0.333, 1, 0.1}[r.IntN(6)]
		if r.IntN(2) == 0 {
			q.Units[i].Acres = []float64{119.7703, 65.0621, 1.0 / 3, 33.3, 0.07, 12.3456789, 40}[r.IntN(7)]
		}
	}
	q.Caps = append([]problem.YearCaps(nil), p.Caps...)
	for t := range q.Caps {
		c := &q.Caps[t]
		c.BurnDays = append([]float64(nil), c.BurnDays...)
		for s := range c.BurnDays {
			if r.IntN(2) == 0 {
				c.BurnDays[s] = []float64{0.6, 0.9, 1, 1.05, 2.0 / 3, 1.5, 0.3}[r.IntN(7)]
			}
		}
		if r.IntN(3) == 0 {
			c.Acres = 20 + 150*r.Float64()
		}
	}
	good, err := problem.Canonical(&q)
	if err != nil {
		panic(err)
	}
	return good
}

// TestOddAmountsNeverAboveOptimum is TestNeverAboveOptimum with year blocks over
// amounts that do not fit their cells.
func TestOddAmountsNeverAboveOptimum(t *testing.T) {
	seeds := uint64(800)
	if testing.Short() {
		seeds = 200
	}
	close, years := 0, 0
	for seed := range seeds {
		r := rand.New(rand.NewPCG(seed, 44))
		p := oddAmounts(r, reference.Random(r, reference.Size{Locks: 10}))
		best, exists := reference.Optimum(p)
		if !exists {
			continue
		}
		d := newDrawer(r, p)
		for range 4 {
			c := d.certificate(r.IntN(2))
			for _, l := range c.Shared {
				years += len(l.Years)
			}
			got := certified(t, p, c)
			if got.Bound > best.Cost+1e-9*max(1, best.Cost) {
				t.Fatalf("seed %d: proves %v, the optimum is %v", seed, got.Bound, best.Cost)
			}
			if got.Bound > 0.9*best.Cost {
				close++
			}
		}
	}
	t.Logf("%d bounds within 10%%, %d year blocks in shared leaves", close, years)
}

// TestYearBlockByAllSets holds the value of year blocks against all sets of their
// units, in plain floats: never above the least, and on it where the cells hold
// the amounts.
func TestYearBlockByAllSets(t *testing.T) {
	same, below := map[problem.YearKind]int{}, map[problem.YearKind]int{}
	for seed := range uint64(600) {
		r := rand.New(rand.NewPCG(seed, 45))
		p := reference.Random(r, reference.Size{MinUnits: 2, MaxUnits: 9, MinYears: 1, MaxYears: 3})
		if seed%2 == 1 {
			p = oddAmounts(r, p)
		}
		d := newDrawer(r, p)
		for _, b := range d.years(map[[2]int]bool{}, nil, map[problem.Row]bool{}) {
			q, err := d.f.price(&problem.Leaf{})
			if err != nil {
				t.Fatal(err)
			}
			values, err := d.f.yearsOf(&problem.Leaf{Years: []problem.YearBlock{b}}, q, nil, map[[2]int]bool{}, map[int]bool{})
			if err != nil {
				t.Fatal(err)
			}
			got := math.Ldexp(float64(values[0].grains), -int(values[0].scale))
			want := yearByHand(p, &b)
			size := 1.0
			for _, x := range b.Prices {
				size += math.Abs(x)
			}
			switch off := want - got; {
			case off < -1e-9*size:
				t.Fatalf("seed %d: %+v is worth %v, found %v", seed, b, want, got)
			case off < 1e-9*size:
				same[b.Kind]++
			default:
				below[b.Kind]++
				if b.Kind == problem.YearGraph {
					t.Fatalf("seed %d: %+v is worth %v, found %v", seed, b, want, got)
				}
			}
		}
	}
	t.Logf("found exactly: %v; less: %v", same, below)
	for _, kind := range problem.YearKinds {
		if same[kind] < 50 {
			t.Errorf("only %d of kind %s were exact", same[kind], kind)
		}
	}
}

// yearByHand goes through all sets of a problem's units.
func yearByHand(p *problem.Problem, b *problem.YearBlock) float64 {
	price := make([]float64, len(p.Units))
	named := make([]bool, len(p.Units))
	for n, i := range b.Units {
		price[i], named[i] = b.Prices[n], true
	}
	c := &p.Caps[b.Year-p.FirstYear]
	least := math.Inf(1)
	total := 0.0
	for i := range p.Units {
		if p.Units[i].Mix == b.Mix {
			total += p.Units[i].Acres
		}
	}
	shares := p.RefugeAcres()
	for set := range 1 << len(p.Units) {
		var acres, days, dollars, burns, cost float64
		refuge := make([]float64, len(p.Refuges))
		ok := true
		for i := range p.Units {
			if set>>i&1 == 0 {
				continue
			}
			u := &p.Units[i]
			ok = ok && (named[i] || b.Kind != problem.YearGraph) && (b.Kind != problem.YearMix || u.Mix == b.Mix)
			cost -= price[i]
			acres, days, dollars, burns = acres+u.Acres, days+u.BurnDays, dollars+u.Cost, burns+1
			if u.Refuge >= 0 {
				refuge[u.Refuge] += u.Acres
			}
		}
		both := func(pair [2]int) bool { return (set>>pair[0])&(set>>pair[1])&1 == 1 }
		switch b.Kind {
		case problem.YearGraph:
			for r := range refuge {
				ok = ok && problem.Meets(refuge[r], p.Refuges[r].MaxShare*shares[r])
			}
			for _, pair := range p.Apart {
				ok = ok && !both(pair)
			}
			for _, pair := range p.Neighbors {
				if both(pair) {
					cost += p.Weights.Neighbors * min(p.Units[pair[0]].Acres, p.Units[pair[1]].Acres)
				}
			}
		case problem.YearMix:
			class := p.Mixes[b.Mix].Classes[b.Class]
			cost += p.Weights.Mix * max(0, class.MinShare*total-acres, acres-class.MaxShare*total)
		case problem.YearEvenness:
			cost += p.Weights.Evenness * max(0, p.EvenLo-acres, acres-p.EvenHi)
			ok = problem.Meets(acres, c.Acres)
		case problem.YearAcres:
			ok = problem.Meets(acres, c.Acres)
		case problem.YearBurns:
			ok = problem.Meets(burns, c.Burns)
		case problem.YearCost:
			ok = problem.Meets(dollars, c.Cost)
		case problem.YearBurnDays:
			ok = problem.Meets(days, c.BurnDays[b.Season])
		}
		if ok {
			least = min(least, cost)
		}
	}
	return least
}

// TestSplitDamage does damage to pairs that a block and a year pay together.
func TestSplitDamage(t *testing.T) {
	p := readText(t, pastures) // neighbors c and d, 30 acre-years a year
	c, d := 2, 3
	good := func() *problem.Leaf {
		return &problem.Leaf{
			Blocks: []problem.Block{{Units: []int{c, d}}},
			Years: []problem.YearBlock{
				{Kind: problem.YearGraph, Year: 2030, Season: -1, Units: []int{c, d}, Prices: []float64{3, 4}, Split: []problem.PairCost{{Pair: [2]int{c, d}, Cost: 20}}},
				{Kind: problem.YearMix, Year: 2030, Season: -1, Cell: 1, Units: []int{d}, Prices: []float64{1}},
			},
		}
	}
	check := func(leaf *problem.Leaf) error {
		cert := &problem.Certificate{ProblemSHA256: p.SHA256, Bound: lowest, Tree: &problem.Node{Leaf: leaf}}
		var file bytes.Buffer
		if err := problem.WriteCertificate(&file, cert, p); err != nil {
			return err
		}
		back, err := problem.ReadCertificate(&file, "c", p)
		if err == nil {
			_, err = Bound(context.Background(), p, back)
		}
		return err
	}
	if err := check(good()); err != nil {
		t.Fatal("the undamaged certificate is refused:", err)
	}
	part := func(i, j int, cost float64) []problem.PairCost {
		return []problem.PairCost{{Pair: [2]int{i, j}, Cost: cost}}
	}
	for _, damage := range []struct {
		name, want string
		do         func(l *problem.Leaf)
	}{
		{"twice", "twice in the year", func(l *problem.Leaf) { l.Years[0].Split = append(l.Years[0].Split, part(c, d, 1)...) }},
		{"in two year blocks", "twice in the year", func(l *problem.Leaf) { l.Years = append(l.Years, l.Years[0]) }},
		{"more than it costs", "out of its range", func(l *problem.Leaf) { l.Years[0].Split = part(c, d, 30.1) }},
		{"less than nothing", "out of its range", func(l *problem.Leaf) { l.Years[0].Split = part(c, d, -1) }},
		{"a unit that is not named", "does not name both", func(l *problem.Leaf) { l.Years[0].Units = []int{1, d} }},
		{"no neighbors", "no block pays", func(l *problem.Leaf) { l.Years[0].Units, l.Years[0].Split = []int{1, d}, part(1, d, 0) }},
		{"apart", "no block pays", func(l *problem.Leaf) { l.Years[0].Units, l.Years[0].Split = []int{0, 1}, part(0, 1, 0) }},
		{"no block", "no block pays", func(l *problem.Leaf) { l.Blocks = nil }},
		{"a unit with itself", "no pair of units", func(l *problem.Leaf) { l.Years[0].Split = part(c, c, 1) }},
		{"a sum", "does not have", func(l *problem.Leaf) { l.Years[1].Split = part(c, d, 1) }},
	} {
		leaf := good()
		damage.do(leaf)
		if err := check(leaf); err == nil || !strings.Contains(err.Error(), damage.want) {
			t.Errorf("%s: got %v, want %s", damage.name, err, damage.want)
		}
	}
}
