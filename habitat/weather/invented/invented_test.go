package invented

import (
	"bytes"
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"

	"github.com/google/go-cmp/cmp"
)

func written(tb testing.TB, s Settings) []byte {
	tb.Helper()
	var b bytes.Buffer
	if err := Write(&b, s); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

// What is written says that it is invented and reads back as the record.
func TestWrittenReadsBack(t *testing.T) {
	s := Demo()
	s.Years = 2
	text := written(t, s)
	if !bytes.HasPrefix(text, []byte("# INVENTED weather")) {
		t.Errorf("begins %.60q", text)
	}
	got, err := weather.Read(context.Background(), []weather.File{{Name: "demo.csv", Content: bytes.NewReader(text)}}, weather.Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := Record(s)
	if len(got.Hours) != len(want.Hours) || len(got.Hours) != (366+365)*24 {
		t.Fatalf("%d and %d hours", len(got.Hours), len(want.Hours))
	}
	for i := range want.Hours {
		a, b := got.Hours[i], want.Hours[i]
		ar, aok := a.Rain()
		br, bok := b.Rain()
		at, _ := a.Temperature()
		bt, _ := b.Temperature()
		af, _ := a.WindFrom()
		bf, _ := b.WindFrom()
		if a.At != b.At || a.IsKnown() != b.IsKnown() || at != bt || af != bf || aok != bok || math.Abs(float64(ar-br)) > 1e-12 || a.IsWet() != b.IsWet() || a.IsTrace() != b.IsTrace() {
			t.Fatalf("hour %d: %+v, %+v", i, a, b)
		}
	}
	if diff := cmp.Diff(want.Station, got.Station); diff != "" {
		t.Error(diff)
	}
	if !strings.Contains(strings.Join(got.Warnings, "\n"), "invented") {
		t.Errorf("warnings %q do not say that it is invented", got.Warnings)
	}
}

func TestSeedDecides(t *testing.T) {
	s := Demo()
	s.Years = 1
	other := s
	other.Seed++
	if !bytes.Equal(written(t, s), written(t, s)) {
		t.Error("the same seed gives two records")
	}
	if bytes.Equal(written(t, s), written(t, other)) {
		t.Error("two seeds give one record")
	}
}

// Plausible for the south-central plains; ranges wide, common knowledge of the
// region's climate, no source.
func TestClimateIsPlausible(t *testing.T) {
	r := Record(Demo())
	var sum, count [13]float64
	var wind, rain, windHours, wetHours, southerly, directed, noonRH, dawnRH, noons float64
	for i := range r.Hours {
		h := &r.Hours[i]
		d := h.At.Day()
		if v, ok := h.Temperature(); ok {
			sum[d.Month] += float64(v)
			count[d.Month]++
		}
		if v, ok := h.Wind(); ok {
			wind += float64(v)
			windHours++
		}
		if v, ok := h.Rain(); ok {
			rain += float64(v)
		}
		if h.IsWet() {
			wetHours++
		}
		if from, ok := h.WindFrom(); ok {
			directed++
			if from >= 90 && from <= 225 {
				southerly++
			}
		}
		if rh, ok := h.Humidity(); ok {
			switch h.At.Label() {
			case 6:
				dawnRH += float64(rh)
				noons++
			case 15:
				noonRH += float64(rh)
			}
		}
	}
	mean := func(m time.Month) float64 { return sum[m] / count[m] }
	t.Logf("means °F: %.1f January, %.1f April, %.1f July, %.1f October; wind %.1f mph; rain %.1f in a year in %.1f%% of hours; %.0f%% southerly; humidity %.0f%% at dawn, %.0f%% in the afternoon",
		mean(1), mean(4), mean(7), mean(10), wind/windHours, rain/10, 100*wetHours/float64(len(r.Hours)), 100*southerly/directed, dawnRH/noons, noonRH/noons)
	within := func(name string, v, lo, hi float64) {
		if v < lo || v > hi {
			t.Errorf("%s: %.1f is not within %v to %v", name, v, lo, hi)
		}
	}
	within("January", mean(1), 28, 46)
	within("April", mean(4), 52, 66)
	within("July", mean(7), 75, 88)
	within("October", mean(10), 54, 68)
	within("wind", wind/windHours, 7, 14)
	within("rain a year", rain/10, 22, 50)
	within("southerly share", 100*southerly/directed, 35, 75)
	within("humidity at dawn", dawnRH/noons, 65, 95)
	within("humidity in the afternoon", noonRH/noons, 30, 58)
	if len(r.Hours) != 87672 {
		t.Errorf("%d hours", len(r.Hours))
	}
	var q quantity.Share = r.RainMissing()
	within("rain missing", 100*float64(q), 0, 1)
}

func BenchmarkRecord10Years(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Record(Demo())
	}
}

func BenchmarkWrite10Years(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		var out bytes.Buffer
		if err := Write(&out, Demo()); err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(out.Len()))
	}
}
