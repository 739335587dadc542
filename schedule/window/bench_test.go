package window

import (
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/weather/invented"
)

// hundredUnits gives the needed hours and the sectors of a hundred units, all
// different.
func hundredUnits() []Options {
	units := make([]Options, 100)
	for i := range units {
		units[i] = Options{MinHours: 2 + i%5, WindAdjustment: 0.4,
			WindFrom: []prescription.Sector{{From: float64(i * 36 % 360), To: float64((i*36 + 120 + i) % 360)}}}
	}
	return units
}

// Ten years of hours, a hundred units and three prescriptions to windows and
// burn days: the aim is a second.
func BenchmarkTenYears100Units3Prescriptions(b *testing.B) {
	record := invented.Record(invented.Demo())
	crew := date.NewCrew()
	season := Season{Span: date.Span{First: date.MustDay(2026, time.November, 15), Last: date.MustDay(2027, time.March, 31)}, Crew: &crew,
		Closures: []date.Span{{First: date.MustDay(2026, time.November, 28), Last: date.MustDay(2026, time.December, 9)}}}
	three := []*prescription.Prescription{limits(b, prescriptions[0]), prescription.Starters()[0], prescription.Starters()[2]}
	units := hundredUnits()
	b.ReportAllocs()
	for b.Loop() {
		series := NewSeries(record)
		windows := 0
		for i := range units {
			for _, p := range three {
				days, err := series.Evaluate(p, units[i])
				if err != nil {
					b.Fatal(err)
				}
				windows += len(days.Windows(season, 0))
				days.BurnDays(season, 0)
			}
		}
		if windows == 0 {
			b.Fatal("no windows")
		}
	}
}

func BenchmarkEvaluateTenYears(b *testing.B) {
	series := NewSeries(invented.Record(invented.Demo()))
	p := limits(b, prescriptions[0])
	b.ReportAllocs()
	for b.Loop() {
		if _, err := series.Evaluate(p, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// A year more: everything again, since that is fast enough.
func BenchmarkCountTenYears(b *testing.B) {
	record := invented.Record(invented.Demo())
	p := limits(b, prescriptions[0])
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Count(record, p, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
