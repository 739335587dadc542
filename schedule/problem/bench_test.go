package problem_test

import (
	"bytes"
	"testing"

	"emberquilt/schedule/bench/family"
	"emberquilt/schedule/problem"
)

// BenchmarkRead reads a property of 10,000 units.
func BenchmarkRead(b *testing.B) {
	var text bytes.Buffer
	if err := problem.Write(&text, family.Property(1, 10_000, 15, 5)); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(text.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := problem.Read(bytes.NewReader(text.Bytes()), "p"); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkReadCertificate reads a tree of 200 leaves with prices on every cap,
// class and neighbor row of 711 units × 15 years.
func BenchmarkReadCertificate(b *testing.B) {
	p := family.Property(1, 711, 15, 0)
	leaf := &problem.Leaf{}
	for t := range p.T() {
		add := func(r problem.Row) {
			r.Year = p.FirstYear + t
			leaf.Prices = append(leaf.Prices, problem.RowPrice{Row: r, PerUnit: 1.0 / float64(3+len(leaf.Prices))})
		}
		add(problem.Row{Kind: problem.RowAcres})
		for m := range p.Mixes {
			for k := range p.Mixes[m].Classes {
				add(problem.Row{Kind: problem.RowMixLow, Mix: m, Class: k})
			}
		}
		for _, pair := range p.Neighbors {
			add(problem.Row{Kind: problem.RowNeighbors, Pair: pair})
		}
	}
	c := &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Leaf: leaf}}
	for k := range 200 {
		c.Tree = &problem.Node{Unit: k, Year: p.FirstYear, Burn: &problem.Node{Leaf: leaf}, Rest: c.Tree}
	}
	var text bytes.Buffer
	if err := problem.WriteCertificate(&text, c, p); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(text.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := problem.ReadCertificate(bytes.NewReader(text.Bytes()), "c", p); err != nil {
			b.Fatal(err)
		}
	}
}
