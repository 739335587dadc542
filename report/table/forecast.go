package table

import (
	"fmt"
	"math"
	"strings"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/window"
)

// ForecastDays has a row for each day of a forecast.
func ForecastDays(check *window.ForecastCheck) *Sheet {
	s := &Sheet{Name: "days", Header: []string{"day", "longest_run_in_every_limit", "from", "needed_hours", "reaches_it"}}
	unknown := check.NotKnown()
	for _, d := range check.Days {
		reaches := "no"
		switch {
		case d.IsLongEnough && len(unknown) > 0:
			reaches = "yes, but not known: " + strings.Join(unknown, ", ")
		case d.IsLongEnough:
			reaches = "yes"
		case !d.IsWhole:
			reaches = "no; the document does not hold the whole day"
		}
		from := ""
		if d.Hours > 0 {
			from = startWords(d.Day, d.StartsAt)
		}
		s.Rows = append(s.Rows, []any{d.Day, d.Hours, from, check.MinHours, reaches})
	}
	return s
}

// ForecastHours has a row for each hour with what fails in it, or for each burn hour
// alone.
func ForecastHours(check *window.ForecastCheck, burnHoursOnly bool) *Sheet {
	s := &Sheet{Name: "hours", Header: []string{"day", "from", "all_limits_hold", "fails", "not_in_the_document"}}
	for _, h := range check.Hours {
		if burnHoursOnly && !h.InBurnHours {
			continue
		}
		var fails, missing []string
		for _, l := range h.Limits {
			switch l.Verdict {
			case window.Fails:
				fails = append(fails, failWords(&l))
			case window.NotInDocument:
				missing = append(missing, l.Limit)
			}
		}
		if !h.InBurnHours {
			fails = append(fails, "outside the burn hours")
		}
		s.Rows = append(s.Rows, []any{h.Day, startWords(h.Day, h.StartsAt), h.AllHold, strings.Join(fails, "; "), strings.Join(missing, ", ")})
	}
	return s
}

// startWords is the beginning of an hour by the document's clock, with its date where
// that is not the day.
func startWords(day date.Day, startsAt time.Time) string {
	clock := startsAt.Format("15:04 -07:00")
	if on := date.DayOf(startsAt); on != day {
		return on.String() + " " + clock
	}
	return clock
}

func failWords(l *window.LimitCheck) string {
	text := fmt.Sprintf("%s %s, wants %s", l.Limit, l.Reads, l.Wants)
	switch {
	case l.Beyond < 0:
		text += fmt.Sprintf(" (%s below)", quantity.Group(math.Abs(l.Beyond), 1))
	case l.Beyond > 0:
		text += fmt.Sprintf(" (%s above)", quantity.Group(l.Beyond, 1))
	}
	return text
}
