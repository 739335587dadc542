package view_test

import (
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

// 3,000 units over 20 years.
func BenchmarkProgram3000(b *testing.B) {
	plan := sample.Large(125, 20)
	for b.Loop() {
		if _, err := view.NewProgram(plan); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDue3000(b *testing.B) {
	in := sample.Season(sample.Large(125, 20))
	for b.Loop() {
		if _, err := view.NewDue(in, 0, 2027); err != nil {
			b.Fatal(err)
		}
	}
}
