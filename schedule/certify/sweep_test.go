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

// sweepLeaf draws prices and blocks that do not overlap.
func (d drawer) sweepLeaf(claim float64) *problem.Leaf {
	leaf := d.leaf()
	leaf.Blocks = nil
	inside := map[[2]int]bool{}
	for i := 0; i < d.f.N; {
		n := 1 + d.IntN(3)
		var units []int
		for ; n > 0 && i < d.f.N; n-- {
			for _, j := range units {
				inside[[2]int{j, i}] = true
			}
			units = append(units, i)
			i++
		}
		if len(units) > 1 || d.IntN(2) == 0 {
			leaf.Blocks = append(leaf.Blocks, problem.Block{Units: units})
		}
	}
	paid := d.pay(leaf.Blocks)
	yearly := map[problem.Row]bool{}
	if leaf.Years = nil; d.IntN(2) == 0 {
		leaf.Years = d.years(inside, paid, yearly)
	}
	kept := leaf.Prices[:0]
	for _, r := range leaf.Prices {
		if !yearly[r.Row] && !(r.Kind == problem.RowNeighbors && inside[r.Pair]) && !isPaid(r.Row, paid) {
			kept = append(kept, r)
		}
	}
	leaf.Prices, leaf.Sweep = kept, claim
	return leaf
}

// throughFile writes a certificate and reads it again.
func throughFile(t *testing.T, p *problem.Problem, c *problem.Certificate) *problem.Certificate {
	t.Helper()
	var file bytes.Buffer
	if err := problem.WriteCertificate(&file, c, p); err != nil {
		t.Fatal(err)
	}
	back, err := problem.ReadCertificate(&file, "certificate.json", p)
	if err != nil {
		t.Fatal(err)
	}
	return back
}

// locked gives the least cost of a plan in which a unit burns or rests in a
// year; false where there is none.
func locked(p *problem.Problem, unit, year int, burn bool) (float64, bool) {
	q := p.Clone()
	q.Locks = append(q.Locks, problem.Lock{Unit: unit, Year: year, Burn: burn, Season: -1})
	best, ok := reference.Optimum(q)
	return best.Cost, ok
}

// A sweep certifies the optimum, at whatever prices, and nothing above it. The
// optimum comes from the program over joint ages that tests share.
func TestSweepProvesTheOptimumAndNoMore(t *testing.T) {
	proved := 0
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 0x5eeb))
		p := reference.Random(r, reference.Size{MinUnits: 1, MaxUnits: 5, MinYears: 2, MaxYears: 6, Locks: 30})
		p, err := problem.Canonical(p)
		if err != nil {
			t.Fatal(err)
		}
		best, ok := reference.Optimum(p)
		if !ok || best.Cost < 1e-3 {
			continue
		}
		proved++
		d := newDrawer(r, p)
		claim := best.Cost - 1e-9*math.Max(1, best.Cost)
		c := &problem.Certificate{ProblemSHA256: p.SHA256, Bound: claim, Tree: &problem.Node{Leaf: d.sweepLeaf(claim)}}
		if got, err := Bound(context.Background(), p, throughFile(t, p, c)); err != nil || got.Bound < claim || got.Bound > best.Cost {
			t.Fatalf("seed %d: the optimum %v is certified as %+v, %v", seed, best.Cost, got, err)
		}
		claim = best.Cost + 1e-6*math.Max(1, best.Cost)
		c = &problem.Certificate{ProblemSHA256: p.SHA256, Bound: claim, Tree: &problem.Node{Leaf: d.sweepLeaf(claim)}}
		if got, err := Bound(context.Background(), p, c); err == nil {
			t.Fatalf("seed %d: %v is certified, the optimum is %v", seed, got.Bound, best.Cost)
		}
		// The same below a split, where each side has its own optimum.
		unit, year := r.IntN(len(p.Units)), p.FirstYear+r.IntN(p.T())
		node := &problem.Node{Unit: unit, Year: year}
		least := math.Inf(1)
		side := func(burn bool) *problem.Node {
			cost, ok := locked(p, unit, year, burn)
			if !ok {
				cost = best.Cost + 100 // no plan: any claim holds
			}
			claim := cost - 1e-9*math.Max(1, cost)
			least = min(least, claim)
			return &problem.Node{Leaf: d.sweepLeaf(claim)}
		}
		node.Burn, node.Rest = side(true), side(false)
		c = &problem.Certificate{ProblemSHA256: p.SHA256, Bound: least, Tree: node}
		if _, err := Bound(context.Background(), p, c); err != nil {
			t.Fatalf("seed %d: split on %s in %d: %v", seed, p.Units[unit].ID, year, err)
		}
	}
	if proved < 200 {
		t.Errorf("only %d problems had a plan", proved)
	}
}

func TestSweepRefuses(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 0x5eeb))
	p, err := problem.Canonical(reference.Random(r, reference.Size{MinUnits: 4, MaxUnits: 5, MinYears: 4, MaxYears: 5}))
	if err != nil {
		t.Fatal(err)
	}
	d := newDrawer(r, p)
	for want, spoil := range map[string]func(*problem.Leaf){
		"its blocks overlap": func(l *problem.Leaf) {
			l.Blocks = []problem.Block{{Units: []int{0, 1}, Share: []float64{0.5, 1}}, {Units: []int{0, 2}, Share: []float64{0.5, 1}}}
			l.Years = nil // which may split pairs of the blocks that were there
		},
		"below the": func(l *problem.Leaf) { l.Sweep = 1e9 },
	} {
		leaf := d.sweepLeaf(1e8)
		leaf.Prices = nil
		spoil(leaf)
		c := &problem.Certificate{ProblemSHA256: p.SHA256, Bound: leaf.Sweep, Tree: &problem.Node{Leaf: leaf}}
		if _, err := Bound(context.Background(), p, c); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want one with %q", err, want)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	leaf := d.sweepLeaf(1e9)
	if _, err := Bound(ctx, p, &problem.Certificate{ProblemSHA256: p.SHA256, Bound: 1e9, Tree: &problem.Node{Leaf: leaf}}); err == nil {
		t.Error("a canceled check says that it holds")
	}
}
