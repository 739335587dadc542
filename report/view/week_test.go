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
