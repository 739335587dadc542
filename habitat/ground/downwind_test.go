package ground

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"

	"emberquilt/habitat/quantity"
)

// Plane coordinates of the tests: feet east and north of a point, put onto the
// ground with the radii of curvature of the WGS 84 ellipsoid there, which is not
// how the package projects.
type field struct{ center Point }

func (f field) point(east, north float64) Point {
	sin, cos := math.Sincos(f.center.Lat * math.Pi / 180)
	w := 1 - eccentricity2*sin*sin
	prime := EquatorMeters / math.Sqrt(w)
	meridian := prime * (1 - eccentricity2) / w
	const ft = 0.3048
	return Point{f.center.Lon + east*ft/(prime*cos)*180/math.Pi, f.center.Lat + north*ft/meridian*180/math.Pi}
}

func (f field) points(pairs ...float64) []Point {
	var all []Point
	for i := 0; i < len(pairs); i += 2 {
		all = append(all, f.point(pairs[i], pairs[i+1]))
	}
	return all
}

func (f field) shape(pairs ...float64) Shape {
	return Shape{[]Polygon{{Outer: f.points(pairs...)}}}
}

func sixteen() []quantity.Bearing {
	all := make([]quantity.Bearing, 16)
	for i := range all {
		all[i] = quantity.Bearing(22.5 * float64(i))
	}
	return all
}

// suiting lists the winds that do not reach the place.
func suiting(d Downwind) string {
	var all []string
	for i, reached := range d.Reached {
		if !reached {
			all = append(all, compass()[i])
		}
	}
	return strings.Join(all, " ")
}

func TestDownwindByHand(t *testing.T) {
	at := field{Point{-96, 39}}
	square := at.shape(0, 0, 1320, 0, 1320, 1320, 0, 1320)
	for _, c := range []struct {
		name   string
		unit   Shape
		place  Place
		within quantity.Feet
		want   string // winds that suit
	}{
		// From 90 + atan(55/1320) = 92.4 to 267.6 degrees; the smoke of the wind
		// from SW goes to 45 and ends at 75.
		{"a road along the whole south side", square, Place{Lines: []Line{at.points(0, -55, 1320, -55)}}, 5280, "SE SSE S SSW SW"},
		// From 90 + asin(400/1100) = 111.3 to 180 − asin(980/1100) = 117.0 degrees.
		{"a part of it far off", square, Place{Lines: []Line{at.points(2300, -400, 2400, -400)}}, 1100, "N NNE NE ENE E ESE SE SSE S SSW SW WSW NNW"},
		// From 90 − atan(660/1000) = 56.6 to 123.4 degrees.
		{"a house due east, 1,000 ft", square, Place{Points: at.points(2320, 660)}, 5280, "N NNE NE ENE E ESE SE SSE S SSW NNW"},
		{"the same beyond its reach", square, Place{Points: at.points(2320, 660)}, 990, strings.Join(compass(), " ")},
		{"a house inside", square, Place{Points: at.points(660, 660)}, 10, ""},
		{"a road across", square, Place{Lines: []Line{at.points(-500, 700, 3000, 700)}}, 10, ""},
		{"a road on the boundary", square, Place{Lines: []Line{at.points(0, 0, 1320, 0)}}, 10, ""},
		{"a field that holds the unit", square, Place{Shape: at.shape(-900, -900, 3000, -900, 3000, 3000, -900, 3000)}, 10, ""},
		{"a yard inside", square, Place{Shape: at.shape(600, 600, 700, 600, 700, 700, 600, 700)}, 10, ""},
		// Within acos(100/101) = 8.1 degrees of north.
		{"a yard to the north", square, Place{Shape: at.shape(600, 1420, 700, 1420, 700, 1520, 600, 1520)}, 101,
			"N NNE NE ENE E ESE SE SW WSW W WNW NW NNW"},
	} {
		d, ok := c.unit.Downwind(c.place, c.within, 30, sixteen())
		if got := suiting(d); !ok || got != c.want {
			t.Errorf("%s: suits %q, want %q", c.name, got, c.want)
		}
	}
	if _, ok := square.Downwind(Place{}, 100, 30, sixteen()); ok {
		t.Error("an empty place is somewhere")
	}
}

// compass names the 16 points of the compass.
func compass() []string {
	var all []string
	for i := range 16 {
		all = append(all, quantity.Bearing(22.5*float64(i)).Compass())
	}
	return all
}

// The least way in the smoke, where it is not the shortest: a road 55 ft south
// that goes on to the east, with the wind from the west.
func TestDownwindDistance(t *testing.T) {
	at := field{Point{-96, 39}}
	square := at.shape(0, 0, 1320, 0, 1320, 1320, 0, 1320)
	d, _ := square.Downwind(Place{Lines: []Line{at.points(0, -55, 9000, -55)}}, 5280, 30, []quantity.Bearing{270, 0})
	slack := SmokeSlackDegrees + convergence(square.Center(), 1700)
	want := 55 / math.Sin((30+slack)*math.Pi/180)
	// The road is straight on the ground, so that its middle lies 0.4 ft north of
	// the parallel.
	if got := float64(d.Distance[0]); math.Abs(got-want) > 0.8 {
		t.Errorf("wind from W: %.2f ft, want %.2f", got, want)
	}
	if got := float64(d.Distance[1]); math.Abs(got-55) > 0.4 {
		t.Errorf("wind from N: %.2f ft, want 55", got)
	}
}

// pair is a unit and a road of the comparison, in feet.
type pair struct {
	Unit   [][2]float64 `json:"unit"`
	Road   [][2]float64 `json:"road"`
	Within float64      `json:"within"`
}

// randomPairs makes star-shaped units and winding roads beside, along, into and
// far from them.
func randomPairs(seed uint64, n int) []pair {
	r := rand.New(rand.NewPCG(seed, 0))
	pairs := make([]pair, n)
	for i := range pairs {
		p := &pairs[i]
		p.Within = 100 + 900*r.Float64()
		size := 100 + 350*r.Float64()
		corners := 3 + r.IntN(9)
		for k := range corners {
			sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.8*r.Float64()) / float64(corners))
			radius := size * (0.35 + 0.65*r.Float64())
			p.Unit = append(p.Unit, [2]float64{radius * cos, radius * sin})
		}
		sin, cos := math.Sincos(2 * math.Pi * r.Float64())
		far := size * (0.9 + 2.5*r.Float64()*r.Float64())
		x, y := far*cos, far*sin
		heading := 2 * math.Pi * r.Float64()
		p.Road = append(p.Road, [2]float64{x, y})
		for range 1 + r.IntN(7) {
			heading += 1.2 * (r.Float64() - 0.5)
			length := 30 + 250*r.Float64()
			x, y = x+length*math.Cos(heading), y+length*math.Sin(heading)
			p.Road = append(p.Road, [2]float64{x, y})
		}
	}
	return pairs
}

func (p *pair) downwind(at field) Downwind {
	unit, road := Ring{}, Line{}
	for _, v := range p.Unit {
		unit = append(unit, at.point(v[0], v[1]))
	}
	for _, v := range p.Road {
		road = append(road, at.point(v[0], v[1]))
	}
	d, _ := Shape{[]Polygon{{Outer: unit}}}.Downwind(Place{Lines: []Line{road}}, quantity.Feet(p.Within), 30, sixteen())
	return d
}

// sampled is what the other side says of a pair: winds that certainly reach the
// road, and winds that do so with the half angle and the distance made wider.
type sampled struct{ Strict, Wide []bool }

// sampler cuts both edges into points a foot apart with Shapely and looks at
// every two of them. Wide adds 0.3 degrees and 2 ft: a foot of sampling at the
// least distance of the pairs, and what Downwind says of its own slack.
const sampler = `
import json, sys
import numpy as np, shapely
from shapely.geometry import Polygon, LineString
def points(line):
    if hasattr(shapely, "segmentize"):
        return shapely.get_coordinates(shapely.segmentize(line, 1.0))
    out = []
    corners = list(line.coords)
    for a, b in zip(corners, corners[1:]):
        part = LineString([a, b])
        n = int(part.length) + 1
        out += [part.interpolate(k / n, normalized=True).coords[0] for k in range(n + 1)]
    return np.array(out)
def winds(u, p, within, half):
    # off/22.5 = k + rest: the winds that blow to k and k+1 are within 30 degrees,
    # and that to k-1 (k+2) where the rest is small (large).
    out = np.zeros(16, bool)
    for chunk in np.array_split(u, max(1, len(u) * len(p) // 2000000)):
        dx = p[None, :, 0] - chunk[:, None, 0]
        dy = p[None, :, 1] - chunk[:, None, 1]
        near = dx * dx + dy * dy <= within * within
        steps = (np.degrees(np.arctan2(dx[near], dy[near])) % 360) / 22.5
        k = np.floor(steps).astype(int)
        rest = (steps - k) * 22.5
        for found, shift in ((k, 0), (k, 1), (k[rest + 22.5 <= half], -1), (k[45 - rest <= half], 2)):
            for to in np.unique(found):
                out[(to + shift + 8) % 16] = True
    return out
answers = []
for pair in json.load(sys.stdin):
    unit, road = Polygon(pair["unit"]), LineString(pair["road"])
    if unit.distance(road) == 0:
        answers.append({"Strict": [True] * 16, "Wide": [True] * 16})
        continue
    u, p = points(unit.exterior), points(road)
    narrow = [bool(x) for x in winds(u, p, pair["within"], 30)]
    wide = [bool(x) for x in winds(u, p, pair["within"] + 2, 30.3)]
    if unit.distance(road) <= 1:
        wide = [True] * 16
    answers.append({"Strict": narrow, "Wide": wide})
json.dump(answers, sys.stdout)
`

// python finds an interpreter that has Shapely.
func python(t *testing.T) string {
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import shapely, numpy").Run() == nil {
			return name
		}
	}
	t.Skip("python3 with Shapely and numpy is not installed")
	return ""
}

// Outside: Shapely (GEOS) cuts the edges, numpy compares every two points: 200
// pairs where CI is set, else 6 of them.
func TestDownwindAgainstSampling(t *testing.T) {
	name := python(t)
	n := 6
	if os.Getenv("CI") != "" {
		n = 200
	}
	pairs := randomPairs(20261129, n)
	question, err := json.Marshal(pairs)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(name, "-c", sampler)
	cmd.Stdin = bytes.NewReader(question)
	answer, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var all []sampled
	if err := json.Unmarshal(answer, &all); err != nil || len(all) != len(pairs) {
		t.Fatalf("%d answers, %v", len(all), err)
	}
	at := field{Point{-96.5, 39}}
	reached, spared, mixed := 0, 0, 0
	for i := range pairs {
		d := pairs[i].downwind(at)
		here := 0
		for k := range 16 {
			if all[i].Strict[k] && !d.Reached[k] {
				t.Errorf("pair %d, wind from %s: said to suit, but the sampling finds smoke on the road: %s", i, compass()[k], describe(&pairs[i]))
			}
			if d.Reached[k] && !all[i].Wide[k] {
				t.Errorf("pair %d, wind from %s: said to reach, %.1f ft, beyond the tolerance: %s", i, compass()[k], float64(d.Distance[k]), describe(&pairs[i]))
			}
			if d.Reached[k] {
				here++
			}
		}
		reached, spared = reached+here, spared+16-here
		if here > 0 && here < 16 {
			mixed++
		}
	}
	t.Logf("%d pairs, %d of them reached by some winds and not by others: %d winds reach, %d do not", len(pairs), mixed, reached, spared)
	if mixed < n/3 {
		t.Errorf("only %d pairs say anything", mixed)
	}
	// The check must refuse the nearest point alone, which is how places were
	// once judged.
	wrong := 0
	for i := range pairs {
		away := pairs[i].nearest(at)
		for k := range 16 {
			off := math.Abs(math.Remainder(float64(away.Toward)-22.5*float64(k)-180, 360))
			if all[i].Strict[k] && (off > 30 || float64(away.Distance) > pairs[i].Within) {
				wrong++
			}
		}
	}
	if wrong < n/3 {
		t.Errorf("judging by the nearest point gives only %d false winds: the pairs are too easy", wrong)
	}
}

func (p *pair) nearest(at field) Away {
	unit, road := Ring{}, Line{}
	for _, v := range p.Unit {
		unit = append(unit, at.point(v[0], v[1]))
	}
	for _, v := range p.Road {
		road = append(road, at.point(v[0], v[1]))
	}
	away, _ := Shape{[]Polygon{{Outer: unit}}}.Away(Place{Lines: []Line{road}})
	return away
}

func describe(p *pair) string { return fmt.Sprintf("%+v", *p) }

// BenchmarkDownwind judges sixteen winds for one unit of 60 corners and one road
// of 200, half of it within a mile.
func BenchmarkDownwind(b *testing.B) {
	at := field{Point{-96.5, 39}}
	var ring Ring
	for k := range 60 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 60)
		radius := 900 * (0.8 + 0.2*math.Sin(7*float64(k)))
		ring = append(ring, at.point(radius*cos, radius*sin))
	}
	var road Line
	for k := range 200 {
		road = append(road, at.point(-8000+80*float64(k), 1500+300*math.Sin(float64(k)/9)))
	}
	unit, place := Shape{[]Polygon{{Outer: ring}}}, Place{Lines: []Line{road}}
	b.ReportAllocs()
	for b.Loop() {
		unit.Downwind(place, 5280, 30, sixteen())
	}
}
