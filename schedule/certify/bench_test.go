package certify

import (
	"context"
	"math/rand/v2"
	"testing"

	"emberquilt/schedule/bench/family"
	"emberquilt/schedule/problem"
)

// benchmarkLeaf checks one leaf of 711 units × 20 years.
func benchmarkLeaf(b *testing.B, blocks func(p *problem.Problem) []problem.Block) {
	p := family.Property(1, 711, 15, 5)
	d := newDrawer(rand.New(rand.NewPCG(1, 1)), p)
	leaf := &problem.Leaf{Blocks: blocks(p)}
	for _, r := range d.rows() {
		if r.Kind != problem.RowNeighbors {
			r.PerUnit = min(r.PerUnit, 0.1)
			leaf.Prices = append(leaf.Prices, r)
		}
	}
	c := &problem.Certificate{ProblemSHA256: p.SHA256, Bound: lowest, Tree: &problem.Node{Leaf: leaf}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Bound(context.Background(), p, c); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkUnits(b *testing.B) {
	benchmarkLeaf(b, func(*problem.Problem) []problem.Block { return nil })
}

// BenchmarkRefuges takes each refuge group as a block of up to six units.
func BenchmarkRefuges(b *testing.B) {
	benchmarkLeaf(b, func(p *problem.Problem) []problem.Block {
		blocks := make([]problem.Block, len(p.Refuges))
		for i := range p.Units {
			if r := p.Units[i].Refuge; r >= 0 && len(blocks[r].Units) < 6 {
				blocks[r].Units = append(blocks[r].Units, i)
			}
		}
		return blocks
	})
}
