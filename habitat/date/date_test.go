package date

import (
	"math/rand/v2"
	"testing"
	"time"
)

func day(t *testing.T, text string) Day {
	t.Helper()
	d, err := ParseDay(text)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return d
}

func TestParseDay(t *testing.T) {
	for _, text := range []string{"2027-02-30", "2027-2-3", "27-01-01", "", "2027-01-01T00:00", "2026-02-29", "0000-01-01"} {
		if d, err := ParseDay(text); err == nil {
			t.Errorf("ParseDay(%q) = %v; want an error", text, d)
		}
	}
	if got := day(t, "2028-02-29").AddDays(1).String(); got != "2028-03-01" {
		t.Errorf("the day after a leap day is %s", got)
	}
	if got := day(t, "2027-03-14").Sub(day(t, "2026-11-01")); got != 133 {
		t.Errorf("days across a clock change: %d", got)
	}
}

// TestDaysAgreeWithTime holds the arithmetic of days against the standard library's, over
// all days of 400 years, the whole cycle of the calendar, and over days at random.
func TestDaysAgreeWithTime(t *testing.T) {
	check := func(d Day, n int) {
		t.Helper()
		at := d.Time()
		if got, want := d.AddDays(n), DayOf(at.AddDate(0, 0, n)); got != want {
			t.Fatalf("%v and %d days: %v, want %v", d, n, got, want)
		}
		if got := d.Weekday(); got != at.Weekday() {
			t.Fatalf("%v is a %v, want %v", d, got, at.Weekday())
		}
		if got := d.AddDays(n).Sub(d); got != n {
			t.Fatalf("from %v to %d days later there are %d", d, n, got)
		}
	}
	last := MustDay(2300, time.December, 31).Time()
	for at := MustDay(1901, time.January, 1).Time(); !at.After(last); at = at.AddDate(0, 0, 1) {
		check(DayOf(at), 1)
		check(DayOf(at), -1)
	}
	r := rand.New(rand.NewPCG(17, 0))
	for range 20000 {
		check(DayOf(MustDay(1, time.January, 1).Time().AddDate(0, 0, r.IntN(3_652_000))), r.IntN(2001)-1000)
	}
	for _, d := range []Day{{}, {0, time.March, 1}, {2026, time.February, 31}, {2026, 13, 1}, {2026, time.May, 0}, {-4, time.May, 2}} {
		check(d, 3)
		check(d, -3)
	}
}

func TestProgramYear(t *testing.T) {
	for _, c := range []struct {
		start time.Month
		on    string
		want  ProgramYear
	}{
		{time.October, "2026-09-30", 2026}, {time.October, "2026-10-01", 2027}, {time.October, "2027-04-15", 2027},
		{time.January, "2026-12-31", 2026}, {time.January, "2027-01-01", 2027}, {time.July, "2027-06-30", 2027}, {time.July, "2027-07-01", 2028},
	} {
		if got := YearStart(c.start).Of(day(t, c.on)); got != c.want {
			t.Errorf("program year from %s, %s: %d, want %d", c.start, c.on, got, c.want)
		}
	}
	for _, start := range []time.Month{time.January, time.February, time.July, time.October, time.December} {
		s := YearStart(start).Span(2028)
		if n := s.Days(); n != 365 && n != 366 {
			t.Errorf("program year from %s has %d days", start, n)
		}
		if YearStart(start).Of(s.First) != 2028 || YearStart(start).Of(s.Last) != 2028 || YearStart(start).Of(s.Last.AddDays(1)) != 2029 {
			t.Errorf("program year from %s does not hold its own days: %v", start, s)
		}
	}
}

func TestSeasonThatCrossesNewYear(t *testing.T) {
	dormant := AnnualSpan{Annual{time.November, 15}, Annual{time.March, 15}}
	if !dormant.Crosses() {
		t.Fatal("15 Nov to 15 Mar crosses the new year")
	}
	if got := YearStart(time.October).Season(dormant, 2027).String(); got != "2026-11-15 to 2027-03-15" {
		t.Errorf("dormant season of 2027: %s", got)
	}
	if got := YearStart(time.January).Season(dormant, 2027).String(); got != "2026-11-15 to 2027-03-15" {
		t.Errorf("dormant season of calendar year 2027: %s", got)
	}
	for text, want := range map[string]bool{"2026-11-15": true, "2027-03-15": true, "2027-03-16": false, "2026-11-14": false, "2027-01-01": true} {
		if got := dormant.Has(day(t, text)); got != want {
			t.Errorf("dormant has %s: %v", text, got)
		}
	}
	leap := AnnualSpan{Annual{time.February, 29}, Annual{time.April, 1}}
	if got := leap.From(2027).First.String(); got != "2027-03-01" {
		t.Errorf("29 February of 2027 is %s", got)
	}
}

// Federal holidays as observed, computed by hand from 5 U.S.C. 6103; 3 Jul 2026, 18 Jun, 5 Jul and 24 Dec 2027 agree with public calendars.
func TestFederalHolidays(t *testing.T) {
	want := map[int][]string{
		2026: {"01-01", "01-19", "02-16", "05-25", "06-19", "07-03", "09-07", "10-12", "11-11", "11-26", "12-25"},
		2027: {"01-01", "01-18", "02-15", "05-31", "06-18", "07-05", "09-06", "10-11", "11-11", "11-25", "12-24", "12-31"},
		2028: {"01-17", "02-21", "05-29", "06-19", "07-04", "09-04", "10-09", "11-10", "11-23", "12-25"},
		2029: {"01-01", "01-15", "02-19", "05-28", "06-19", "07-04", "09-03", "10-08", "11-12", "11-22", "12-25"},
		2030: {"01-01", "01-21", "02-18", "05-27", "06-19", "07-04", "09-02", "10-14", "11-11", "11-28", "12-25"},
		2031: {"01-01", "01-20", "02-17", "05-26", "06-19", "07-04", "09-01", "10-13", "11-11", "11-27", "12-25"},
	}
	for year, days := range want {
		closed := make(map[string]bool)
		for _, d := range days {
			closed[d] = true
		}
		for d := MustDay(year, time.January, 1); d.Year == year; d = d.AddDays(1) {
			if got := IsFederalHoliday(d); got != closed[d.String()[5:]] {
				t.Errorf("%s: holiday %v, want %v", d, got, !got)
			}
		}
	}
}

func TestCrew(t *testing.T) {
	crew := NewCrew()
	crew.Off = []DaysOff{{"", Span{day(t, "2026-11-27"), day(t, "2026-11-27")}}}
	// Thanksgiving 2026 is Thu 26 Nov, the Friday is our own day off.
	if got := crew.AddWorkdays(day(t, "2026-11-25"), 1); got != day(t, "2026-11-30") {
		t.Errorf("one workday after Wed 25 Nov 2026: %s", got)
	}
	if got := crew.AddWorkdays(day(t, "2026-11-30"), -1); got != day(t, "2026-11-25") {
		t.Errorf("one workday before Mon 30 Nov 2026: %s", got)
	}
	if got := crew.AddWorkdays(day(t, "2026-11-28"), 0); got != day(t, "2026-11-30") {
		t.Errorf("the workday on or after Sat 28 Nov 2026: %s", got)
	}
	worked := 0
	for d := day(t, "2026-11-23"); !d.After(day(t, "2026-11-29")); d = d.AddDays(1) {
		if crew.IsWorkday(d) {
			worked++
		}
	}
	if worked != 3 {
		t.Errorf("workdays of the week: %d", worked)
	}
	// Days that a partner comes are worked, weekends and holidays too; days away and days
	// off are not.
	saturday, monday := day(t, "2027-02-06"), day(t, "2027-02-08")
	shared := Crew{FederalHolidays: true, Off: []DaysOff{{"", Span{day(t, "2027-12-25"), day(t, "2027-12-25")}}},
		Shared: []SharedDays{{Partner: "x", Once: &Span{saturday, saturday}}, {Partner: "y", Once: &Span{monday, monday}, Away: true}, {Partner: "z", Yearly: &AnnualSpan{Annual{12, 24}, Annual{12, 25}}}}}
	for d, want := range map[Day]bool{saturday: true, saturday.AddDays(1): false, monday: false, monday.AddDays(1): true, day(t, "2027-12-24"): true, day(t, "2028-12-24"): true, day(t, "2027-12-25"): false} {
		if shared.IsWorkday(d) != want {
			t.Errorf("shared days: %s is worked: %t", d, !want)
		}
	}
	if got := shared.Shared[2].Within(Span{day(t, "2027-12-01"), day(t, "2028-12-24")}); len(got) != 2 || got[1] != (Span{day(t, "2028-12-24"), day(t, "2028-12-24")}) {
		t.Errorf("shared days of two years: %v", got)
	}
	never := Crew{Off: []DaysOff{{"", Span{day(t, "0001-01-01"), day(t, "9999-12-31")}}}, Weekends: true}
	if got := never.AddWorkdays(day(t, "2026-11-28"), 1); !got.IsZero() {
		t.Errorf("a crew that never works found %s", got)
	}
}

func FuzzParseDay(f *testing.F) {
	f.Add("2027-03-04")
	f.Fuzz(func(t *testing.T, text string) {
		if d, err := ParseDay(text); err == nil && d.String() != text {
			t.Fatalf("%q came back as %q", text, d)
		}
	})
}

// A season is the occurrence of its span that ends in the program year, whatever month
// the year begins with: tried with the first, the last and the leap day of every month.
func TestSeasonsEndInTheirProgramYear(t *testing.T) {
	var days []Annual
	for month := time.January; month <= time.December; month++ {
		last := DayOf(time.Date(2000, month+1, 0, 0, 0, 0, 0, time.UTC)).Dom
		days = append(days, Annual{Month: month, Dom: 1}, Annual{Month: month, Dom: min(last, 28)})
		if last > 28 {
			days = append(days, Annual{Month: month, Dom: last})
		}
	}
	for start := time.January; start <= time.December; start++ {
		for _, first := range days {
			for _, last := range days {
				span := AnnualSpan{First: first, Last: last}
				before := YearStart(start).Season(span, 2023)
				for y := ProgramYear(2024); y <= 2029; y++ {
					season := YearStart(start).Season(span, y)
					if !YearStart(start).Span(y).Has(season.Last) {
						t.Fatalf("years from %s: season %s of %d is %s", start, span.Words(), y, season)
					}
					if days := season.Days(); days < 1 || days > 366 || season.Last.Month != last.Month {
						t.Fatalf("years from %s: season %s of %d is %s, %d days", start, span.Words(), y, season, days)
					}
					if next := season.Last.Sub(before.Last); next < 365 || next > 366 {
						t.Fatalf("years from %s: season %s ends on %s and then on %s", start, span.Words(), before.Last, season.Last)
					}
					before = season
				}
			}
		}
	}
}
