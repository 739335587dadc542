package certify

import (
	"context"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
)

// TestPartsAreRefused damages the parts of a neighbor pair that two blocks pay.
func TestPartsAreRefused(t *testing.T) {
	p := readText(t, pastures)
	leaf := func() *problem.Leaf {
		half := []float64{0.5, 0.5, 0.5}
		costs := make([]float64, p.T())
		for y := range costs {
			costs[y] = 2
		}
		return &problem.Leaf{Blocks: []problem.Block{{Units: []int{1, 2, 3}, Share: half},
			{Units: []int{1, 2, 3}, Share: half, Parts: []problem.PairParts{{Pair: [2]int{2, 3}, Cost: costs}}}}}
	}
	prove := func(l *problem.Leaf, bound float64) error {
		_, err := Bound(context.Background(), p, throughFile(t, p, &problem.Certificate{ProblemSHA256: p.SHA256, Bound: bound, Tree: &problem.Node{Leaf: l}}))
		return err
	}
	if err := prove(leaf(), 0); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, want string
		damage     func(l *problem.Leaf)
	}{
		{"a year is missing", "parts of c and d for", func(l *problem.Leaf) { l.Blocks[1].Parts[0].Cost = l.Blocks[1].Parts[0].Cost[1:] }},
		{"twice", "named twice", func(l *problem.Leaf) { l.Blocks[1].Parts = append(l.Blocks[1].Parts, l.Blocks[1].Parts[0]) }},
		{"below 0", "out of its range", func(l *problem.Leaf) { l.Blocks[1].Parts[0].Cost[1] = -0.5 }},
		{"more than the pair", "out of its range", func(l *problem.Leaf) { l.Blocks[1].Parts[0].Cost[1] = 1e6 }},
		{"in the first block", "no earlier block pays", func(l *problem.Leaf) {
			l.Blocks[0].Parts, l.Blocks[1].Parts = l.Blocks[1].Parts, nil
		}},
		{"of no neighbors", "no earlier block pays", func(l *problem.Leaf) { l.Blocks[1].Parts[0].Pair = [2]int{1, 2} }},
		{"of a unit outside", "does not hold", func(l *problem.Leaf) { l.Blocks[1].Parts[0].Pair = [2]int{0, 3} }},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := leaf()
			c.damage(l)
			if err := prove(l, 0); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %s", err, c.want)
			}
		})
	}
}
