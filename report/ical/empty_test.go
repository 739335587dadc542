package ical

import (
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
)

func TestCalendarWithoutAPlan(t *testing.T) {
	v, text := calendar(t, sample.Clashing(sample.Terrace()))
	if len(v.Events) != 0 || strings.Contains(string(text), "VEVENT") || !strings.HasPrefix(string(text), "BEGIN:VCALENDAR\r\n") {
		t.Errorf("%d events\n%s", len(v.Events), text)
	}
}
