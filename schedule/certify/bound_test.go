package certify

import (
	"bytes"
	"context"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

// lowest is a claim that any valid certificate proves.
const lowest = -1e300

func certified(t *testing.T, p *problem.Problem, c *problem.Certificate) Certified {
	t.Helper()
	c.Bound = lowest
	got, err := Bound(context.Background(), p, c)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// TestNeverAboveOptimum draws problems and valid certificates of every kind:
// none may prove more than the joint-age optimum. 0 is allowed: what a plan
// costs in floats may differ by rounding.
func TestNeverAboveOptimum(t *testing.T) {
	var closed, close, blocks, years, cuts, infeasible int
	for seed := range uint64(1500) {
		r := rand.New(rand.NewPCG(seed, 4))
		p := reference.Random(r, reference.Size{Locks: 15})
		best, exists := reference.Optimum(p)
		if !exists {
			best.Cost = math.Inf(1)
			infeasible++
		}
		d := newDrawer(r, p)
		for range 3 {
			c := d.certificate(r.IntN(4))
			for _, l := range c.Shared {
				blocks += len(l.Blocks)
				years += len(l.Years)
				cuts += len(l.Cuts)
			}
			got := certified(t, p, c)
			closed += got.Closed
			if got.Bound > best.Cost+1e-9*max(1, best.Cost) {
				t.Fatalf("seed %d: proves %v, the optimum is %v", seed, got.Bound, best.Cost)
			}
			if got.Bound > 0.9*best.Cost {
				close++
			}
		}
	}
	t.Logf("%d closed leaves, %d bounds within 10%%, %d blocks, %d year blocks and %d cuts in shared leaves, %d infeasible", closed, close, blocks, years, cuts, infeasible)
	if closed < 200 || close < 100 || blocks < 500 || years < 1000 || cuts < 100 {
		t.Error("the draw is too one-sided")
	}
}

// TestWholeBlockIsExact takes problems whose every requirement and cost a block
// of all units keeps: then its value is the optimum.
func TestWholeBlockIsExact(t *testing.T) {
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 5))
		p := reference.Random(r, reference.Size{Locks: 15})
		for k := range p.Caps {
			for s := range p.Caps[k].BurnDays {
				p.Caps[k].BurnDays[s] = problem.NoLimit
			}
		}
		p.Weights.Evenness = 0
		best, exists := reference.Optimum(p)
		if !exists {
			best.Cost = math.Inf(1)
		}
		block := problem.Block{}
		for i := range p.Units {
			block.Units = append(block.Units, i)
		}
		for x := range p.Mixes {
			block.Mixes = append(block.Mixes, x)
		}
		c := &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Leaf: &problem.Leaf{Blocks: []problem.Block{block}}}}
		got := certified(t, p, c)
		if got.Bound != best.Cost && math.Abs(got.Bound-best.Cost) > 1e-9*max(1, best.Cost) {
			t.Fatalf("seed %d: proves %v, the optimum is %v", seed, got.Bound, best.Cost)
		}
	}
}

// TestValueOfLeaf computes the value of leaves without blocks in plain floats,
// by trying every path of every unit, straight from the table of terms.
func TestValueOfLeaf(t *testing.T) {
	worst, steps := 0.0, 0
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 6))
		p := reference.Random(r, reference.Size{MinUnits: 1, MaxUnits: 5, MinYears: 1, MaxYears: 5, Locks: 15})
		d := newDrawer(r, p)
		leaf := d.leaf()
		leaf.Blocks, leaf.Years = nil, nil
		got := certified(t, p, &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Leaf: leaf}})
		want, size := naive(p, leaf)
		if got.Bound == want {
			continue
		}
		if raised := d.f.raise(want); raised > want && math.Abs(got.Bound-raised) < 1e-9*raised {
			steps++
			best, exists := reference.Optimum(p)
			if exists && raised > best.Cost+1e-9*max(1, best.Cost) {
				t.Fatalf("seed %d: raised from %v to %v, above the optimum %v", seed, want, raised, best.Cost)
			}
			continue
		}
		off := math.Abs(got.Bound-want) / max(1, size)
		worst = max(worst, off)
		if !(off < 1e-13) {
			t.Fatalf("seed %d: value %v, by hand %v", seed, got.Bound, want)
		}
	}
	t.Logf("largest difference %.2g of the magnitudes that are summed; %d raised", worst, steps)
	if steps == 0 {
		t.Error("no value was raised to the next cost that a plan can have")
	}
}

// naive gives the value of a leaf without blocks, and the sum of magnitudes.
func naive(p *problem.Problem, leaf *problem.Leaf) (value, size float64) {
	mixAcres, refugeAcres := p.MixAcres(), p.RefugeAcres()
	limit := func(x float64, amount func(i int) float64) float64 {
		return reachByHand(x+problem.SlackAllowed(x), len(p.Units), amount)
	}
	constant := 0.0
	burn := make([][][]float64, len(p.Units)) // unit, year, season
	class := map[[3]int]float64{}             // mix, class, year
	for i := range burn {
		burn[i] = make([][]float64, p.T())
		for t := range burn[i] {
			burn[i][t] = make([]float64, len(p.Seasons))
		}
	}
	add := func(t, season int, price, right float64, amount func(i int) float64) {
		constant -= price * right
		size += math.Abs(price * right)
		for i := range burn {
			for s := range burn[i][t] {
				if season < 0 || s == season {
					burn[i][t][s] += price * amount(i)
					size += math.Abs(price * amount(i))
				}
			}
		}
	}
	acres := func(i int) float64 { return p.Units[i].Acres }
	member := func(units ...int) func(int) float64 {
		return func(i int) float64 {
			for _, j := range units {
				if i == j {
					return 1
				}
			}
			return 0
		}
	}
	for _, r := range leaf.Prices {
		t := r.Year - p.FirstYear
		c := p.Caps[t]
		switch r.Kind {
		case problem.RowAcres:
			add(t, -1, r.PerUnit, limit(c.Acres, acres), acres)
		case problem.RowBurns:
			one := func(int) float64 { return 1 }
			add(t, -1, r.PerUnit, limit(c.Burns, one), one)
		case problem.RowCost:
			cost := func(i int) float64 { return p.Units[i].Cost }
			add(t, -1, r.PerUnit, limit(c.Cost, cost), cost)
		case problem.RowBurnDays:
			days := func(i int) float64 { return p.Units[i].BurnDays }
			add(t, r.Season, r.PerUnit, limit(c.BurnDays[r.Season], days), days)
		case problem.RowRefuge:
			inGroup := func(i int) float64 {
				if p.Units[i].Refuge == r.Refuge {
					return p.Units[i].Acres
				}
				return 0
			}
			add(t, -1, r.PerUnit, limit(p.Refuges[r.Refuge].MaxShare*refugeAcres[r.Refuge], inGroup), inGroup)
		case problem.RowApart, problem.RowNeighbors:
			add(t, -1, r.PerUnit, 1, member(r.Pair[0], r.Pair[1]))
		case problem.RowEvenLow:
			add(t, -1, -r.PerUnit, p.EvenLo, acres)
		case problem.RowEvenHigh:
			add(t, -1, r.PerUnit, p.EvenHi, acres)
		case problem.RowMixLow:
			constant += r.PerUnit * p.Mixes[r.Mix].Classes[r.Class].MinShare * mixAcres[r.Mix]
			class[[3]int{r.Mix, r.Class, t}] -= r.PerUnit
			size += r.PerUnit * mixAcres[r.Mix]
		case problem.RowMixHigh:
			constant -= r.PerUnit * p.Mixes[r.Mix].Classes[r.Class].MaxShare * mixAcres[r.Mix]
			class[[3]int{r.Mix, r.Class, t}] += r.PerUnit
			size += r.PerUnit * mixAcres[r.Mix]
		}
	}
	for _, c := range leaf.Cuts {
		weight := map[int]float64{}
		for k, i := range c.Units {
			weight[i] = float64(c.Weight[k])
		}
		add(c.Year-p.FirstYear, c.Season, c.Price, float64(c.AtMost), func(i int) float64 { return weight[i] })
	}
	value = constant
	for i := range p.Units {
		value += naivePath(p, i, refugeAcres, burn[i], class, 0, p.Units[i].Age)
		size += 3 * p.Weights.Overdue * p.Units[i].Acres * float64(p.T())
	}
	return value, size
}

// reachByHand brings a limit down to a whole multiple of what all amounts are
// whole multiples of, in fractions.
func reachByHand(limit float64, n int, amount func(i int) float64) float64 {
	if math.IsInf(limit, 1) {
		return limit
	}
	step := new(big.Rat)
	for i := range n {
		if a := new(big.Rat).SetFloat64(amount(i)); a.Sign() > 0 {
			// Over one denominator the numerators have their usual divisor.
			x, y := new(big.Int).Mul(step.Num(), a.Denom()), new(big.Int).Mul(a.Num(), step.Denom())
			step.SetFrac(new(big.Int).GCD(nil, nil, x, y), new(big.Int).Mul(step.Denom(), a.Denom()))
		}
	}
	if step.Sign() == 0 {
		return limit
	}
	times := new(big.Rat).Quo(new(big.Rat).SetFloat64(limit), step)
	whole := new(big.Int).Quo(times.Num(), times.Denom())
	most, _ := step.Mul(step, new(big.Rat).SetInt(whole)).Float64()
	return most
}

// naivePath gives the least cost of a unit's years from t on.
func naivePath(p *problem.Problem, i int, refugeAcres []float64, burn [][]float64, class map[[3]int]float64, t, age int) float64 {
	if t == p.T() {
		return 0
	}
	u := &p.Units[i]
	best := math.Inf(1)
	for s := -1; s < len(p.Seasons); s++ {
		cost, next := 0.0, age+1
		if s >= 0 {
			c := &p.Caps[t]
			if age+1 < u.MinInterval || !u.Allows(s) || !problem.Meets(u.Acres, c.Acres) || !problem.Meets(1, c.Burns) || !problem.Meets(u.Cost, c.Cost) || !problem.Meets(u.BurnDays, c.BurnDays[s]) ||
				u.Refuge >= 0 && !problem.Meets(u.Acres, p.Refuges[u.Refuge].MaxShare*refugeAcres[u.Refuge]) {
				continue
			}
			cost, next = burn[t][s]+p.Weights.Season*u.Penalty[s]*u.Acres, 0
		}
		allowed := true
		for _, l := range p.Locks {
			if l.Unit == i && l.Year == p.FirstYear+t && (l.Burn != (s >= 0) || l.Burn && l.Season >= 0 && l.Season != s) {
				allowed = false
			}
		}
		for _, c := range p.Closed {
			if c.Unit == i && c.Year == p.FirstYear+t && s >= 0 && (c.Season < 0 || c.Season == s) {
				allowed = false
			}
		}
		if !allowed {
			continue
		}
		before := false
		for _, b := range p.Previous {
			before = before || b == problem.UnitYear{Unit: i, Year: p.FirstYear + t}
		}
		if t < p.KeepYears && before != (s >= 0) {
			cost += p.Weights.Keep * u.Acres
		}
		if next >= u.MaxInterval {
			cost += p.Weights.Overdue * u.Acres * (1 + p.OverdueGrowth*float64(min(next-u.MaxInterval, p.OverdueGrowthYears)))
		}
		if u.Mix >= 0 {
			for k, c := range p.Mixes[u.Mix].Classes {
				if next >= c.From && next <= c.To {
					cost += class[[3]int{u.Mix, k, t}] * u.Acres
				}
			}
		}
		best = min(best, cost+naivePath(p, i, refugeAcres, burn, class, t+1, next))
	}
	return best
}

// TestCutsAgainstAllSets asks of random cuts whether they hold, and tries every
// set of their units.
func TestCutsAgainstAllSets(t *testing.T) {
	holds, fails := 0, 0
	for seed := range uint64(3000) {
		r := rand.New(rand.NewPCG(seed, 7))
		p := reference.Random(r, reference.Size{MinUnits: 2, MaxUnits: 8, MinYears: 1, MaxYears: 2})
		d := newDrawer(r, p)
		c, ok := d.cut()
		if !ok {
			continue
		}
		got := d.f.checkCut(&c) == nil
		if want := holdsByHand(p, &c); got != want {
			t.Fatalf("seed %d: %+v: checked %v, by hand %v", seed, c, got, want)
		}
		if got {
			holds++
		} else {
			fails++
		}
	}
	t.Logf("%d hold, %d do not", holds, fails)
	if holds < 500 || fails < 500 {
		t.Error("the draw is too one-sided")
	}
}

func holdsByHand(p *problem.Problem, c *problem.Cut) bool {
	caps := p.Caps[c.Year-p.FirstYear]
	group := p.RefugeAcres()
	for set := range 1 << len(c.Units) {
		var weight int
		var acres, burns, cost, days float64
		refuge := make([]float64, len(p.Refuges))
		in := map[int]bool{}
		for k, i := range c.Units {
			if set>>k&1 == 0 {
				continue
			}
			u := &p.Units[i]
			in[i] = true
			weight += c.Weight[k]
			acres += u.Acres
			burns++
			cost += u.Cost
			days += u.BurnDays
			if u.Refuge >= 0 {
				refuge[u.Refuge] += u.Acres
			}
		}
		ok := problem.Meets(acres, caps.Acres) && problem.Meets(burns, caps.Burns) && problem.Meets(cost, caps.Cost)
		if c.Season >= 0 {
			ok = ok && problem.Meets(days, caps.BurnDays[c.Season])
		}
		for r := range refuge {
			ok = ok && problem.Meets(refuge[r], p.Refuges[r].MaxShare*group[r])
		}
		for _, pair := range p.Apart {
			ok = ok && !(in[pair[0]] && in[pair[1]])
		}
		if ok && weight > c.AtMost {
			return false
		}
	}
	return true
}

// TestFileMakesNoDifference writes certificates and reads them back.
func TestFileMakesNoDifference(t *testing.T) {
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 8))
		p := reference.Random(r, reference.Size{Locks: 15})
		c := newDrawer(r, p).certificate(3)
		want := certified(t, p, c)
		var b bytes.Buffer
		if err := problem.WriteCertificate(&b, c, p); err != nil {
			t.Fatal(err)
		}
		again, err := problem.ReadCertificate(&b, "c", p)
		if err != nil {
			t.Fatal(err)
		}
		if got := certified(t, p, again); got != want {
			t.Fatalf("seed %d: %v from the file, %v before", seed, got, want)
		}
	}
}
