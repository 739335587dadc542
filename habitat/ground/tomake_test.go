package ground_test

import (
	"math"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/groundtest"
	"emberquilt/habitat/quantity"
)

// The stretches to be made are as long as Breaks says, whatever burns together.
func TestToMakeIsAsLongAsNeeded(t *testing.T) {
	shapes := []ground.Shape{groundtest.Rectangle(0, 0, 100, 100, 0), groundtest.Rectangle(100, 0, 100, 100, 0), groundtest.Rectangle(200, 0, 100, 100, 0), groundtest.Rectangle(0, 100, 100, 100, 0)}
	s := ground.NewSurvey(shapes, 0)
	road := s.NewStanding([]ground.Line{{shapes[0].Polygons[0].Outer[0], shapes[2].Polygons[0].Outer[1]}}) // along the south side
	for _, standing := range []*ground.Standing{nil, road} {
		for _, together := range [][]int{{0}, {1}, {0, 1}, {0, 2}, {0, 1, 2, 3}, {2, 1}} {
			want := needed(s.Breaks(together, standing))
			var got float64
			for _, line := range s.ToMake(together, standing) {
				for i := 1; i < len(line); i++ {
					got += ground.MetersBetween(line[i-1], line[i])
				}
			}
			if feet := quantity.FeetFromMeters(got); math.Abs(float64(feet-want)) > 1e-3*float64(want)+0.01 {
				t.Errorf("%v together, standing %v: lines of %v ft, %v ft needed", together, standing != nil, feet, want)
			}
		}
	}
	if alone, both := needed(s.Breaks([]int{0}, nil))+needed(s.Breaks([]int{1}, nil)), needed(s.Breaks([]int{0, 1}, nil)); !(both < 0.8*alone) {
		t.Errorf("two squares side by side need %v ft together and %v ft apart", both, alone)
	}
}
