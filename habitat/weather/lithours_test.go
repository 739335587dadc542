package weather

import (
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Lit hours are those that Sun tells, of every day from one pole to the other, also where
// days are skipped.
func TestLitHoursAreThoseOfTheSun(t *testing.T) {
	lit, days := 0, 0
	for latitude := -90.0; latitude <= 90; latitude += 2.25 {
		at := Place{latitude, -98.3 + latitude}
		offset := quantity.Hours(-6)
		hours := NewLitHours(at, offset)
		for d := date.MustDay(2019, time.January, 1); d.Year < 2021; d = d.AddDays(1 + d.Dom/28) {
			first, last := hours.On(d)
			sun := Sun(d, at, offset)
			for label := 1; label <= 24; label++ {
				want := float64(label-1) >= float64(sun.Rise) && float64(label) <= float64(sun.Set)
				if is := label >= first && label <= last; is != want {
					t.Fatalf("%s at %.2f: hour %d is lit: %v, the sun says %v (%v to %v)", d, latitude, label, is, want, sun.Rise, sun.Set)
				}
				if want {
					lit++
				}
			}
			days++
		}
	}
	if share := float64(lit) / float64(days); share < 10.5 || share > 12 { // half the day, less the hours cut at both ends
		t.Errorf("%.2f hours of a day are lit", share)
	}
}

// A day after which the sun rises at another hour is told apart to the minute.
func TestLitHoursWhereRiseCrossesAnHour(t *testing.T) {
	at, offset := Place{39.1, -96.6}, quantity.Hours(-6)
	hours := NewLitHours(at, offset)
	var before int
	changes := 0
	for d := date.MustDay(2026, time.January, 1); d.Year == 2026; d = d.AddDays(1) {
		first, _ := hours.On(d)
		if want := Sun(d, at, offset); first != int(float64(want.Rise))+2 {
			t.Errorf("%s: the first lit hour is %d, and the sun rises at %.4f", d, first, float64(want.Rise))
		}
		if before != 0 && first != before {
			changes++
		}
		before = first
	}
	if changes < 4 {
		t.Errorf("sunrise crossed an hour %d times in a year", changes)
	}
}
