package view

import (
	"strings"
	"testing"

	"emberquilt/habitat/date"
	"emberquilt/schedule/window"
)

// A first window in December and tasks counted back from January: the note says which
// task leaves no time for December.
func TestTasksNoteSaysWhyLater(t *testing.T) {
	windows := []window.Window{{Span: date.Span{First: date.MustDay(2026, 12, 7), Last: date.MustDay(2027, 2, 14)}}}
	for want, w := range map[string]UnitWindows{
		"": {Windows: windows, CountedFrom: date.MustDay(2026, 12, 7)},
		"The first window opens on Mon, Dec 7, 2026, too soon for: spray the break lines. The tasks are counted back from Mon, Jan 25, 2027": {Windows: windows, CountedFrom: date.MustDay(2027, 1, 25), TooSoon: []string{"spray the break lines"}},
		"No window leaves time for: spray the break lines.":                                    {Windows: windows, CountedFrom: date.MustDay(2026, 12, 7), TooSoon: []string{"spray the break lines"}},
		"Without a window, the tasks are counted back from the season's first usable day, Mon": {CountedFrom: date.MustDay(2026, 12, 7), IsDayLeft: true},
		"No day is left to burn on. Should a closure be lifted, the tasks are these, counted":  {CountedFrom: date.MustDay(2026, 12, 7)},
		"counted back from Tue, Dec 8, 2026, the first working day in a window":                {Windows: windows, CountedFrom: date.MustDay(2026, 12, 8)},
	} {
		if got := tasksNote(&w); got != want && (want == "" || !strings.Contains(got, want)) {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
