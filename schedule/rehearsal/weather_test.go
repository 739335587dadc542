package rehearsal_test

import (
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/weather"
	"emberquilt/schedule/rehearsal"
	"emberquilt/schedule/window"
)

// has reports whether the day, by month and day, is in the set.
func has(s rehearsal.DaySet, d date.Day) bool {
	var one rehearsal.DaySet
	one.Add(d)
	return s.And(one).Count() == 1
}

// evaluated makes an evaluation of the calendar years first … last.
func evaluated(first, last int, of func(date.Day) (known, candidate bool)) *window.Days {
	d := &window.Days{Series: window.NewSeries(&weather.Record{}), MinHours: 1}
	for day := (date.Day{Year: first, Month: 1, Dom: 1}); day.Year <= last; day = day.AddDays(1) {
		on := window.DayOn(day)
		on.Known, on.Candidate = of(day)
		d.Days = append(d.Days, on)
	}
	return d
}

// winter is 15 November to 15 March, spring 16 March to 10 May, of program years
// that begin in October.
func winterAndSpring(s int, year date.ProgramYear) date.Span {
	spans := []date.AnnualSpan{
		{First: date.Annual{Month: 11, Dom: 15}, Last: date.Annual{Month: 3, Dom: 15}},
		{First: date.Annual{Month: 3, Dom: 16}, Last: date.Annual{Month: 5, Dom: 10}}}
	return date.YearStart(time.October).Season(spans[s], year)
}

func TestRecordByProgramYears(t *testing.T) {
	// 2004 is a leap year. In 2006 too few days of spring are known.
	d := evaluated(2000, 2009, func(day date.Day) (bool, bool) {
		if day.Year == 2006 && day.Month == 4 && day.Dom > 3 {
			return false, true
		}
		return true, day.Month == 12 && day.Dom == 31 || day.Month == 2 && day.Dom == 28 || day.Month == 4 && day.Dom == day.Year-1999
	})
	r, err := rehearsal.NewRecord([][]*window.Days{{d, d}, {d, nil}}, []string{"dormant", "growing"}, winterAndSpring)
	if err != nil {
		t.Fatal(err)
	}
	if got := r.LeftOutWords(); len(r.Years) != 8 || r.Years[0] != 2001 || r.Years[7] != 2009 ||
		got != "2000 (61% of dormant known), 2006 (52% of growing known), 2010 (0% of growing known)" {
		t.Errorf("years %v, left out %s", r.Years, got)
	}
	at := func(year date.ProgramYear, unit, season int) rehearsal.DaySet {
		for k, y := range r.Years {
			if y == year {
				return r.Candidates[k][unit][season]
			}
		}
		t.Fatalf("%d is not there", year)
		return rehearsal.DaySet{}
	}
	leap := date.Day{Year: 2028, Month: 2, Dom: 29}
	dormant, growing := at(2003, 0, 0), at(2003, 0, 1)
	if dormant.Count() != 3 || !has(dormant, leap) || !has(dormant, date.Day{Year: 2027, Month: 12, Dom: 31}) || growing.Count() != 1 || !has(growing, date.Day{Year: 2027, Month: 4, Dom: 4}) {
		t.Errorf("2003: %d and %d days", dormant.Count(), growing.Count())
	}
	if inLeapYear := at(2004, 1, 0); has(inLeapYear, leap) || inLeapYear.Count() != 2 {
		t.Error("29 February of a leap year has weather of its own")
	}
	if none := at(2004, 1, 1); none.Count() != 0 {
		t.Error("a season without an evaluation has candidate days")
	}
}

func TestRecordTooShort(t *testing.T) {
	d := evaluated(2000, 2004, func(date.Day) (bool, bool) { return true, true })
	_, err := rehearsal.NewRecord([][]*window.Days{{d, d}}, []string{"dormant", "growing"}, winterAndSpring)
	if err == nil || !strings.Contains(err.Error(), "the weather record has 4 usable program years; left out are 2000 (61% of dormant known)") ||
		!strings.Contains(err.Error(), "accepts 5 program years or more") {
		t.Errorf("got %v", err)
	}
	if _, err = rehearsal.NewRecord([][]*window.Days{{nil}}, []string{"dormant"}, winterAndSpring); err == nil {
		t.Error("no evaluation at all was accepted")
	}
}
