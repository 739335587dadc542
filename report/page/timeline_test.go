package page

import (
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/report/view"
)

// A window of half a leap-free year is half of the picture; a month begins where
// it begins; a unit without a window says why.
func TestTimeline(t *testing.T) {
	day := func(month time.Month, dom int) date.Day { return date.MustDay(2027, month, dom) }
	got := newTimeline(&view.Calendar{First: day(1, 1), Last: day(12, 31), Rows: []view.CalendarRow{
		{Unit: "A", Windows: []view.WindowRow{{First: day(1, 1), Last: day(12, 31)}, {First: day(7, 2), Last: day(7, 2)}}},
		{Unit: "B", NoWindow: &view.NoWindow{Cause: "no day suits"}},
	}})
	if len(got.Months) != 12 || got.Months[0] != (month{"2027", "0.00"}) || got.Months[1] != (month{"Feb", "8.49"}) || got.Months[11] != (month{"Dec", "91.51"}) {
		t.Errorf("months: %v", got.Months)
	}
	if bars := got.Rows[0].Bars; len(bars) != 2 || bars[0].Left != "0.00" || bars[0].Width != "100.00" || bars[1].Left != "49.86" || bars[1].Width != "0.27" {
		t.Errorf("bars: %v", bars)
	}
	if len(got.Rows[1].Bars) != 0 || got.Rows[1].None != "no day suits" {
		t.Errorf("a unit without a window: %+v", got.Rows[1])
	}
}
