package ical

import (
	"fmt"
	"io"
	"strings"

	ics "github.com/arran4/golang-ical"

	"emberquilt/report/view"
)

// longestText keeps one property to what calendars show: characters of a
// summary, and of a line of a description.
const (
	longestSummary = 250
	longestLine    = 1000
)

// Write writes the agenda.
func Write(w io.Writer, v *view.Agenda) error {
	calendar := ics.NewCalendarFor("emberquilt")
	calendar.SetProductId("-//emberquilt//burn calendar//EN")
	calendar.SetMethod(ics.MethodPublish)
	calendar.SetName(clean(v.Title, longestSummary))
	calendar.SetXWRCalName(clean(v.Title, longestSummary))
	calendar.SetDescription(strings.Join(about(v), "\n"))
	for i := range v.Events {
		add(calendar, &v.Events[i])
	}
	if err := calendar.SerializeTo(w, ics.WithNewLineWindows); err != nil {
		return fmt.Errorf("write the calendar: %w", err)
	}
	return nil
}

// about says once what holds for every event: what it was made from, what is odd about
// the weather, and the cautions.
func about(v *view.Agenda) []string {
	var lines []string
	if v.Plan > 0 {
		lines = append(lines, fmt.Sprintf("Plan %d, %s, program %s.", v.Plan, clean(v.Stamp.Change(), 40), clean(v.Stamp.Program, 40)))
	}
	for _, warning := range v.Warnings {
		lines = append(lines, clean("Weather record: "+warning+".", longestLine))
	}
	return append(lines, v.Cautions...)
}

func add(calendar *ics.Calendar, e *view.Event) {
	event := calendar.AddEvent(e.UID)
	event.SetDtStampTime(e.At)
	event.SetSequence(e.Sequence)
	event.SetAllDayStartAt(e.First.Time())
	event.SetAllDayEndAt(e.Last.AddDays(1).Time()) // the end is not included
	event.SetSummary(clean(e.Summary, longestSummary))
	lines := make([]string, 0, len(e.Description)+1)
	for _, line := range e.Description {
		lines = append(lines, clean(line, longestLine))
	}
	lines = append(lines, view.CautionLine)
	event.SetDescription(strings.Join(lines, "\n"))
	event.SetTimeTransparency(ics.TransparencyTransparent) // a window blocks no other appointment
	switch {
	case e.Canceled:
		event.SetStatus(ics.ObjectStatusCancelled)
	case e.Kind == view.WindowEvent:
		event.SetStatus(ics.ObjectStatusTentative)
	default:
		event.SetStatus(ics.ObjectStatusConfirmed)
	}
	for _, category := range []string{string(e.Kind), clean(e.Unit, longestSummary)} {
		event.AddProperty(ics.ComponentPropertyCategories, category)
	}
	if e.AlarmDays > 0 {
		alarm := event.AddAlarm()
		alarm.SetAction(ics.ActionDisplay)
		alarm.SetTrigger(fmt.Sprintf("-P%dD", e.AlarmDays))
		alarm.SetDescription("Reminder") // beside it calendars show the title
	}
}

// clean takes control characters and line breaks out of a user's text, which
// the library would write as they are, and cuts what no calendar shows.
func clean(text string, most int) string { return view.Cut(view.Plain(text), most) }
