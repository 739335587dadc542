package geofile

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"runtime"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/testdata/refdata"
)

// wavyGrid makes polygons side by side on a grid, about 40 acres each, with wavy
// boundaries that neighbors share point by point.
func wavyGrid(polygons, vertices int) []ground.Shape {
	columns := int(math.Ceil(math.Sqrt(float64(polygons))))
	perSide := max(1, vertices/4)
	const side = 0.004
	at := func(u, v float64) ground.Point { // u, v in cells
		wave := 0.02 * math.Sin(11*u+7*v) * math.Sin(13*v-5*u)
		return ground.Point{Lon: -97 + (u+wave)*side*1.28, Lat: 37 + (v-wave)*side}
	}
	shapes := make([]ground.Shape, 0, polygons)
	for k := range polygons {
		u0, v0 := float64(k%columns), float64(k/columns)
		var r ground.Ring
		for _, s := range [][4]float64{{0, 0, 1, 0}, {1, 0, 1, 1}, {1, 1, 0, 1}, {0, 1, 0, 0}} {
			for i := range perSide {
				// Points are counted from the lower end, so that both owners of a
				// side compute the same numbers.
				part := float64(i) / float64(perSide)
				if s[0]+s[1] > s[2]+s[3] {
					part = float64(perSide-i) / float64(perSide)
					s := [4]float64{s[2], s[3], s[0], s[1]}
					r = append(r, at(u0+s[0]+(s[2]-s[0])*part, v0+s[1]+(s[3]-s[1])*part))
					continue
				}
				r = append(r, at(u0+s[0]+(s[2]-s[0])*part, v0+s[1]+(s[3]-s[1])*part))
			}
		}
		shapes = append(shapes, ground.Shape{Polygons: []ground.Polygon{{Outer: r}}})
	}
	return shapes
}

func gridGeoJSON(polygons, vertices int) []byte {
	t := &Table{}
	for i, s := range wavyGrid(polygons, vertices) {
		t.Rows = append(t.Rows, Row{Name: fmt.Sprint("unit ", i), Shape: s})
	}
	var out bytes.Buffer
	if err := WriteGeoJSON(&out, t); err != nil {
		panic(err)
	}
	return out.Bytes()
}

// everything reads, cleans, measures and finds neighbors: what an import does.
func everything(tb testing.TB, data []byte) (features, pairs int) {
	l, err := ReadBytes(data, "grid.geojson", Options{})
	if err != nil {
		tb.Fatal(err)
	}
	shapes := make([]ground.Shape, len(l.Features))
	for i := range l.Features {
		shapes[i] = l.Features[i].Shape
		if shapes[i].Acres() < 30 {
			tb.Fatalf("%s has %v acres", l.Features[i].Name, shapes[i].Acres())
		}
	}
	found, err := ground.Neighbors(context.Background(), shapes, ground.DefaultTolerance)
	if err != nil {
		tb.Fatal(err)
	}
	for _, p := range found {
		if !p.Corner {
			pairs++
		}
	}
	return len(l.Features), pairs
}

func TestGridHasItsNeighbors(t *testing.T) {
	features, pairs := everything(t, gridGeoJSON(100, 40))
	if features != 100 || pairs != 180 { // 10 × 9 × 2
		t.Errorf("%d features and %d pairs, want 100 and 180", features, pairs)
	}
}

func BenchmarkEverything(b *testing.B) {
	for _, c := range []struct{ polygons, vertices int }{{300, 166}, {3000, 166}, {30000, 40}} {
		b.Run(fmt.Sprintf("%dx%d", c.polygons, c.vertices), func(b *testing.B) {
			data := gridGeoJSON(c.polygons, c.vertices)
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				everything(b, data)
			}
		})
	}
}

func BenchmarkNeighbors(b *testing.B) {
	for _, polygons := range []int{300, 3000, 30000} {
		b.Run(fmt.Sprint(polygons), func(b *testing.B) {
			shapes := wavyGrid(polygons, 40)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := ground.Neighbors(context.Background(), shapes, ground.DefaultTolerance); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(polygons), "ns/polygon")
		})
	}
}

func BenchmarkReadKonza(b *testing.B) {
	name := refdata.File(b, "polygons/konza/GIS032.shp")
	b.ReportAllocs()
	for b.Loop() {
		l, err := Read(name, Options{})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := Review(context.Background(), l, ground.DefaultTolerance); err != nil {
			b.Fatal(err)
		}
	}
}

// A ring of a million points is read within the memory that the house allows.
func TestMillionPointRing(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	const n = 1_000_000
	var text bytes.Buffer
	text.WriteString(`{"type":"Polygon","coordinates":[[`)
	for i := range n + 1 {
		angle := 2 * math.Pi * float64(i%n) / n
		radius := 0.1 + 0.01*math.Sin(angle*5000)
		if i > 0 {
			text.WriteByte(',')
		}
		fmt.Fprintf(&text, "[%.9f,%.9f]", -97+radius*math.Cos(angle), 39+radius*math.Sin(angle))
	}
	text.WriteString(`]]}`)
	data := text.Bytes()
	runtime.GC()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	l, err := ReadBytes(data, "ring.geojson", Options{})
	runtime.ReadMemStats(&after)
	if err != nil {
		t.Fatal(err)
	}
	if got := l.Features[0].Shape.Vertices(); got != n {
		t.Errorf("%d points", got)
	}
	t.Logf("%d MB of text, %d MB allocated in all, system holds %d MB", len(data)>>20, (after.TotalAlloc-before.TotalAlloc)>>20, after.Sys>>20)
}
