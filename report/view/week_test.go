package view

import (
	"slices"
	"testing"

	"emberquilt/habitat/date"
)

// A task stands on the page once for all its units, those that are late first.
func TestTasksOfTheWeekByTask(t *testing.T) {
	day := func(dom int) date.Day { return date.Day{Year: 2027, Month: 3, Dom: dom} }
	v := &Week{Tasks: []TaskRow{
		{Unit: "Oxbow", Name: "tell the neighbors", By: day(20), State: "open"},
		{Unit: "Oxbow", Name: "disk the breaks", By: day(2), State: "late"},
		{Unit: "Alder", Name: "disk the breaks", By: day(1), State: "late"},
		{Unit: "Ridge", Name: "disk the breaks", By: day(15), State: "open"},
		{Unit: "Alder", Name: "tell the neighbors", By: day(18), State: "open"},
		{Unit: "Ridge", Name: "spray the break lines", By: day(3), State: "late"},
	}}
	var got []string
	for _, task := range v.ByTask() {
		got = append(got, task.Words())
	}
	want := []string{
		"LATE since Mon, Mar 1, 2027 and after: disk the breaks (Oxbow, Alder)",
		"LATE since Wed, Mar 3, 2027: spray the break lines (Ridge)",
		"by Mon, Mar 15, 2027: disk the breaks (Ridge)",
		"by Thu, Mar 18, 2027 to Sat, Mar 20, 2027: tell the neighbors (Oxbow, Alder)",
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// Many burns that can be done on the same days stand on one line; few have a line each.
func TestOpenWindowsOfTheWeek(t *testing.T) {
	day := func(dom int) date.Day { return date.Day{Year: 2027, Month: 3, Dom: dom} }
	v := &Week{}
	for _, unit := range []string{"Alder", "Birch", "Cedar", "Elm", "Oxbow"} {
		v.Open = append(v.Open, WeekBurn{Unit: unit, Season: "dormant", Year: 2027, Left: 10, Days: []date.Day{day(1), day(2)}, Closes: day(12), Basis: "dates only"})
	}
	if got := v.OpenLines(); len(got) != 5 || got[0] != v.Open[0].Words() {
		t.Errorf("%q", got)
	}
	v.Open[1].OnRecord = "4.0 acres left (6.0 of 10.0 burned by Mon, Feb 1, 2027)"
	v.Open = append(v.Open, WeekBurn{Unit: "Ridge", Season: "dormant", Year: 2027, Left: 7, Days: []date.Day{day(1), day(2)}, Closes: day(12), Late: 1, Basis: "dates only"})
	want := []string{
		"Alder, 10.0 acres; Birch, 4.0 acres left (6.0 of 10.0 burned by Mon, Feb 1, 2027); Cedar, 10.0 acres; Elm, 10.0 acres; Oxbow, 10.0 acres; " +
			"dormant season 2027, each: 2 usable days this week, from Mon, Mar 1, 2027 on; the last window closes on Fri, Mar 12, 2027 (dates only)",
		"Ridge, 7.0 acres, dormant season 2027: 2 usable days this week, from Mon, Mar 1, 2027 on; the last window closes on Fri, Mar 12, 2027 (dates only); 1 task before it is late",
	}
	if got := v.OpenLines(); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}
