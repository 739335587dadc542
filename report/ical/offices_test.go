package ical

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

// A crew that works on weekends and holidays asks for its permits in offices that do not:
// a notice whose last day is one says so, and no other does.
func TestNoticesOnDaysOfClosedOffices(t *testing.T) {
	closed := func(e *view.Event) bool {
		w := e.Last.Weekday()
		return w == time.Saturday || w == time.Sunday || date.IsFederalHoliday(e.Last)
	}
	plan := sample.Terrace()
	plan.Property.Crew.Weekends, plan.Property.Crew.FederalHolidays = true, false
	v, text := calendar(t, plan)
	const words = "Offices may be closed on "
	said := 0
	for i := range v.Events {
		e := &v.Events[i]
		says := strings.Contains(strings.Join(e.Description, "\n"), words)
		if want := e.Kind == view.NoticeEvent && !e.Done && closed(e); says != want {
			t.Errorf("%s, by %s: %q", e.Summary, e.Last.Words(), e.Description)
		} else if says {
			said++
		}
	}
	if said == 0 || !bytes.Contains(text, []byte(words)) {
		t.Errorf("%d notices on days of closed offices: the check cannot fail", said)
	}
}
