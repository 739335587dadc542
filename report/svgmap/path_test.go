package svgmap

import (
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/report/view"
)

// walk reads path commands by the grammar of SVG 1.1, section 8.3.9, as far as maps use
// it: M, l and Z.
func walk(t *testing.T, d string) (rings [][]point) {
	t.Helper()
	for _, part := range regexp.MustCompile(`[A-Za-z][^A-Za-z]*`).FindAllString(d, -1) {
		var numbers []float64
		rest := part[1:]
		for _, text := range regexp.MustCompile(`[-+]?(?:\d+\.?\d*|\.\d+)`).FindAllString(rest, -1) {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			numbers = append(numbers, v)
		}
		if len(numbers)%2 != 0 {
			t.Fatalf("%q has an odd number of numbers", part)
		}
		switch part[0] {
		case 'M':
			rings = append(rings, []point{{numbers[0], numbers[1]}})
		case 'l':
			ring := &rings[len(rings)-1]
			for i := 0; i < len(numbers); i += 2 {
				at := (*ring)[len(*ring)-1]
				*ring = append(*ring, point{at.x + numbers[i], at.y + numbers[i+1]})
			}
		case 'Z':
			ring := &rings[len(rings)-1]
			*ring = append(*ring, (*ring)[0])
		default:
			t.Fatalf("command %q", part)
		}
	}
	return rings
}

// away gives how far a point lies from a line.
func away(p point, line []point) float64 {
	least := math.Inf(1)
	for i := range line {
		a, b := line[i], line[min(i+1, len(line)-1)]
		x, y := b.x-a.x, b.y-a.y
		share := 0.0
		if long := x*x + y*y; long > 0 {
			share = min(1, max(0, ((p.x-a.x)*x+(p.y-a.y)*y)/long))
		}
		least = min(least, math.Hypot(p.x-a.x-share*x, p.y-a.y-share*y))
	}
	return least
}

// What is drawn passes each point of an outline within a fifth of the thinnest stroke and
// the rounding, whatever the outline: circles, spikes there and back, loops, noise, single
// points.
func TestPathKeepsOutlines(t *testing.T) {
	sheet := &Sheet{Map: view.Map{Units: []view.MapUnit{{Unit: "all", Shape: box(-96.02, 38.98, 0.04)}}}}
	f := newFrame(sheet, 900)
	r := rand.New(rand.NewPCG(3, 3))
	points, kept := 0, 0
	for n := range 400 {
		ring := make(ground.Ring, 1+r.IntN(200))
		for k := range ring {
			turn := 2 * math.Pi * float64(k) / float64(len(ring))
			reach := []float64{0.02, 0.02 + 0.001*r.Float64(), 0.02 * float64(k%2), 0.02 * r.Float64(), 1e-6}[n%5]
			ring[k] = ground.Point{Lon: -96 + reach*math.Cos(turn*float64(1+n%3)), Lat: 39 + reach*math.Sin(turn)}
		}
		d := string(f.path(nil, ring, true))
		if strings.Count(d, "M") != 1 || !strings.HasSuffix(d, "Z") {
			t.Fatalf("%.80s", d)
		}
		line := walk(t, d)[0]
		points, kept = points+len(ring), kept+len(line)-1
		for _, at := range ring {
			if far := away(f.at(at), line); far > unseen/10+0.0708 {
				t.Fatalf("ring %d of %d points: one lies %.3f pixels off", n, len(ring), far)
			}
		}
		for _, end := range []ground.Point{ring[0], ring[len(ring)-1]} {
			if at := f.at(end); away(at, line[:1]) > 0.0708 && away(at, line[len(line)-2:len(line)-1]) > 0.0708 {
				t.Fatalf("ring %d lacks an end", n)
			}
		}
	}
	t.Logf("%d of %d points are drawn", kept, points)
}

// Points that add nothing are left out: of a straight line all but its ends, of a circle
// walked in 5,000 steps most.
func TestPathLeavesOutWhatNobodySees(t *testing.T) {
	f := newFrame(&Sheet{Map: view.Map{Units: []view.MapUnit{{Unit: "all", Shape: box(-96.02, 38.98, 0.04)}}}}, 900)
	straight, round := make([]ground.Point, 1000), make([]ground.Point, 5000)
	for k := range straight {
		straight[k] = ground.Point{Lon: -96 + 0.00001*float64(k), Lat: 39}
	}
	for k := range round {
		turn := 2 * math.Pi * float64(k) / float64(len(round))
		round[k] = ground.Point{Lon: -96 + 0.02*math.Cos(turn), Lat: 39 + 0.02*math.Sin(turn)}
	}
	if got := string(f.path(nil, straight, false)); strings.Count(got, "l") != 1 || strings.Count(got, " ") > 3 {
		t.Errorf("a straight line is %.80s", got)
	}
	if got := len(f.seen(round)); got < 50 || got > 300 {
		t.Errorf("a circle is drawn with %d points", got)
	}
}

func TestAppendTenths(t *testing.T) {
	for n, want := range map[int]string{0: "0", 5: ".5", -5: "-.5", 10: "1", -10: "-1", 15: "1.5", -123: "-12.3", 9000: "900"} {
		if got := string(appendTenths(nil, n)); got != want {
			t.Errorf("%d tenths are %s, want %s", n, got, want)
		}
	}
}
