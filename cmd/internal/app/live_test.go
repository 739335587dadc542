package app

import (
	"math"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
)

// What is shared out adds up to what there was: the last part takes what rounding
// leaves.
func TestSharesAddUp(t *testing.T) {
	parts := func(acres ...quantity.Acres) (all []habitat.UnitPart) {
		for _, a := range acres {
			all = append(all, habitat.UnitPart{Acres: a})
		}
		return all
	}
	for _, test := range []struct {
		amount, step float64
		by           []habitat.UnitPart
		want         []float64
	}{
		{100, 1, parts(10, 10, 10), []float64{33, 33, 34}},
		{101, 1, parts(1, 1), []float64{51, 50}},
		{7, 0.01, parts(2, 2, 2), []float64{2.33, 2.33, 2.34}},
		{0, 1, parts(3, 4), []float64{0, 0}},
		{12345, 1, parts(5), []float64{12345}},
	} {
		got := shareOut(test.amount, test.by, test.step)
		for i, want := range test.want {
			if math.Abs(got[i]-want) > 1e-9 {
				t.Errorf("%v by steps of %v: %v, want %v", test.amount, test.step, got, test.want)
				break
			}
		}
	}
}
