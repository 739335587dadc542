package page

import (
	"fmt"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/report/view"
)

// timeline lays the candidate windows of a year along its months: one line a
// unit, one bar a window. Places and widths are percent of the whole.
type timeline struct {
	Months []month
	Rows   []timelineRow
	// Label says in words what is drawn, for those who do not see it.
	Label string
}

// month is where a month begins.
type month struct{ Name, Left string }

type timelineRow struct {
	Unit, Season string
	Bars         []timelineBar
	// None says why there is no bar.
	None string
}

type timelineBar struct{ Left, Width, Words string }

// newTimeline lays out the windows of a calendar.
func newTimeline(v *view.Calendar) *timeline {
	days := float64(v.Last.Sub(v.First) + 1)
	share := func(n int) string { return fmt.Sprintf("%.2f", 100*float64(n)/days) }
	t := &timeline{Label: fmt.Sprintf("Candidate windows of each unit from %s to %s, as bars along the months", v.First.Words(), v.Last.Words())}
	for first := firstOfMonth(v.First); !first.After(v.Last); first = firstOfMonth(first.AddDays(31)) {
		name := first.Month.String()[:3]
		if first.Month == time.January {
			name = fmt.Sprint(first.Year)
		}
		t.Months = append(t.Months, month{name, share(max(0, first.Sub(v.First)))})
	}
	for _, row := range v.Rows {
		line := timelineRow{Unit: row.Unit, Season: row.Season, None: row.NoWindow.Short()}
		for _, w := range row.Windows {
			line.Bars = append(line.Bars, timelineBar{share(w.First.Sub(v.First)), share(w.Last.Sub(w.First) + 1), w.First.Words() + " to " + w.Last.Words()})
		}
		t.Rows = append(t.Rows, line)
	}
	return t
}

func firstOfMonth(d date.Day) date.Day { return date.Day{Year: d.Year, Month: d.Month, Dom: 1} }
