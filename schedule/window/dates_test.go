package window

import (
	"testing"
	"time"

	"emberquilt/habitat/date"

	"pgregory.net/rapid"
)

func day(text string) date.Day {
	d, err := date.ParseDay(text)
	if err != nil {
		panic(err)
	}
	return d
}

func span(first, last string) date.Span { return date.Span{First: day(first), Last: day(last)} }

func TestFromDates(t *testing.T) {
	crew := date.NewCrew()
	for _, c := range []struct {
		name     string
		season   date.Span
		closures []date.Span
		crew     *date.Crew
		want     []Window
	}{
		{"no closure, every day", span("2027-01-15", "2027-03-31"), nil, nil,
			[]Window{{Span: span("2027-01-15", "2027-03-31"), UsableDays: 76, Basis: DatesOnly}}},
		{"a holiday and weekends off", span("2027-01-16", "2027-01-24"), nil, &crew,
			// Sat 16, Sun 17, Mon 18 (holiday) … Fri 22, Sat 23, Sun 24.
			[]Window{{Span: span("2027-01-19", "2027-01-22"), UsableDays: 4, Basis: DatesOnly}}},
		{"cut by a closure", span("2027-03-01", "2027-03-31"), []date.Span{span("2027-03-10", "2027-03-12")}, nil,
			[]Window{{Span: span("2027-03-01", "2027-03-09"), UsableDays: 9, Basis: DatesOnly},
				{Span: span("2027-03-13", "2027-03-31"), UsableDays: 19, Basis: DatesOnly}}},
		{"over the new year", span("2026-11-15", "2027-03-01"), []date.Span{span("2026-11-28", "2026-12-09")}, nil,
			[]Window{{Span: span("2026-11-15", "2026-11-27"), UsableDays: 13, Basis: DatesOnly},
				{Span: span("2026-12-10", "2027-03-01"), UsableDays: 82, Basis: DatesOnly}}},
		{"closed whole", span("2027-05-15", "2027-07-31"), []date.Span{span("2027-05-01", "2027-08-01")}, nil, nil},
		{"closures overlap and are not sorted", span("2027-03-01", "2027-03-10"),
			[]date.Span{span("2027-03-06", "2027-03-20"), span("2027-03-02", "2027-03-07"), span("2027-03-05", "2027-03-01")}, nil,
			[]Window{{Span: span("2027-03-01", "2027-03-01"), UsableDays: 1, Basis: DatesOnly}}},
		{"29 February", span("2028-02-28", "2028-03-01"), nil, nil,
			[]Window{{Span: span("2028-02-28", "2028-03-01"), UsableDays: 3, Basis: DatesOnly}}},
		{"a weekend between closures is not a window", span("2027-03-01", "2027-03-31"),
			[]date.Span{span("2027-03-01", "2027-03-05"), span("2027-03-08", "2027-03-31")}, &crew, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := FromDates(c.season, c.closures, c.crew)
			if len(got) != len(c.want) {
				t.Fatalf("got %v, want %v", got, c.want)
			}
			for i := range got {
				if got[i] != c.want[i] {
					t.Errorf("window %d: got %v, want %v", i, got[i], c.want[i])
				}
			}
		})
	}
}

// Every usable day of the season lies in exactly one window and no closed day
// in any.
func TestFromDatesCoversTheUsableDays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first := date.MustDay(2027, time.January, 1).AddDays(rapid.IntRange(0, 700).Draw(t, "first"))
		season := date.Span{First: first, Last: first.AddDays(rapid.IntRange(-1, 120).Draw(t, "days"))}
		var closures []date.Span
		for range rapid.IntRange(0, 5).Draw(t, "closures") {
			from := first.AddDays(rapid.IntRange(-20, 130).Draw(t, "from"))
			closures = append(closures, date.Span{First: from, Last: from.AddDays(rapid.IntRange(-2, 30).Draw(t, "closed"))})
		}
		crew := date.NewCrew()
		windows := FromDates(season, closures, &crew)
		want, got := 0, 0
		for d := season.First; !d.After(season.Last); d = d.AddDays(1) {
			closed := false
			for _, c := range closures {
				closed = closed || c.Has(d)
			}
			in := 0
			for _, w := range windows {
				if w.Has(d) {
					in++
				}
			}
			if closed && in > 0 || in > 1 {
				t.Fatalf("%v: closed %v, in %d windows", d, closed, in)
			}
			if !closed && crew.IsWorkday(d) {
				want++
				if in == 0 {
					t.Fatalf("%v is usable and in no window", d)
				}
			}
		}
		for _, w := range windows {
			got += w.UsableDays
		}
		if got != want {
			t.Fatalf("%d usable days counted, %d there", got, want)
		}
	})
}
