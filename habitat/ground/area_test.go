package ground_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/groundtest"
)

// Made-up polygons from a hundred feet to a state in size, from the equator to
// 75 degrees and across the date line, against GeographicLib.
func TestAreasOfAllSizesAgainstPlanimeter(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	var rings []ground.Ring
	var sizes []float64
	for range 300 {
		size := math.Pow(10, -4+4.7*r.Float64()) // 0.0001 to 5 degrees
		lat := -75 + 150*r.Float64()
		lon := -180 + 360*r.Float64()
		if r.IntN(4) == 0 {
			lon = 180 - size/2
		}
		var ring ground.Ring
		for k := range 3 + r.IntN(9) {
			angle := 2 * math.Pi * (float64(k) + 0.8*r.Float64()) / 12
			p := ground.Point{Lon: lon + size*math.Cos(angle)/math.Cos(lat*math.Pi/180), Lat: lat + size*math.Sin(angle)}
			p.Lon = ground.WrapDegrees(p.Lon)
			ring = append(ring, p)
		}
		rings, sizes = append(rings, ring), append(sizes, size)
	}
	perimeters, areas := groundtest.Planimeter(t, rings)
	worst := 0.0
	for i, ring := range rings {
		got := ground.Shape{Polygons: []ground.Polygon{{Outer: ring}}}.Acres().SquareMeters()
		off := math.Abs(got - areas[i])
		if off > 1e-6*areas[i]+2e-5 {
			t.Errorf("ring %d of %v degrees at %v: %v m², Planimeter says %v", i, sizes[i], ring[0], got, areas[i])
		}
		if areas[i] > 1000 {
			worst = max(worst, off/areas[i])
		}
		if got := ring.Meters(); math.Abs(got-perimeters[i]) > 1e-6*perimeters[i]+1e-6 {
			t.Errorf("ring %d of %v degrees: perimeter %v m, Planimeter says %v", i, sizes[i], got, perimeters[i])
		}
	}
	t.Logf("worst area differs by %.1e of itself", worst)
}
