package view

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strconv"
	"strings"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// Agenda is a calendar of windows, preparation and notices, for everyone.
type Agenda struct {
	Stamp Stamp `json:"stamp"`
	Plan  int   `json:"plan"`
	// MadeAt is the instant that every event bears; it comes from the plan.
	MadeAt time.Time `json:"made_at"`
	// Sequence counts the versions, so that a calendar takes the newer one.
	Sequence int     `json:"sequence"`
	Events   []Event `json:"events"`
	// Warnings are those of the weather record that the windows rest on.
	Warnings []string `json:"weather_warnings"`
	Cautions []string `json:"cautions"`
}

// EventKind tells the events of an agenda apart.
type EventKind string

// The kinds of event.
const (
	WindowEvent      EventKind = "burn window"
	PreparationEvent EventKind = "preparation"
	NoticeEvent      EventKind = "notice"
)

// Event is something on one or more whole days.
type Event struct {
	// UID stays the same as long as property, unit, year, kind and, for tasks,
	// the name do.
	UID     string           `json:"uid"`
	Kind    EventKind        `json:"kind"`
	Unit    string           `json:"unit"`
	Year    date.ProgramYear `json:"program_year"`
	First   date.Day         `json:"first"`
	Last    date.Day         `json:"last"`
	Summary string           `json:"summary"`
	// Description holds lines; writers join them as their format wants.
	Description []string `json:"description"`
	// AlarmDays counts the days before First of the reminder, 0 for none.
	AlarmDays int `json:"alarm_days"`
	// Done says that the task has been done.
	Done bool `json:"done"`
}

// Reminders, in days before an event. Common practice, no source.
const (
	windowAlarmDays = 7
	taskAlarmDays   = 2
)

// NewAgenda lists the windows and tasks of every burn that the plan shows, in
// order of unit and year. madeAt is when the plan was made; sequence counts its
// versions.
func NewAgenda(in *Season, madeAt time.Time, sequence int) (*Agenda, error) {
	l, err := newLayout(in.Plan)
	if err != nil {
		return nil, err
	}
	p := in.Plan.Problem
	v := &Agenda{Stamp: in.Plan.Stamp.of(&in.Plan.Property), Plan: in.Plan.Number, MadeAt: madeAt.UTC(), Sequence: sequence, Warnings: weatherWarnings(in), Cautions: Cautions()}
	if in.Plan.Answer.Status == problem.Infeasible {
		return v, nil
	}
	kept := make([]*yearIndex, p.Years)
	for t := range kept {
		kept[t] = in.index(l.year(t))
	}
	for i := range p.Units {
		if in.Plan.Became[p.Units[i].ID] != "" {
			continue
		}
		for t := range p.Years {
			state, _ := l.stateIn(i, t)
			if s := l.season[i][t]; s >= 0 && !state.Done {
				v.windows(kept[t], p.Units[i].ID, p.Seasons[s], l.year(t))
				v.tasks(kept[t], p.Units[i].ID, l.year(t))
			}
		}
	}
	return v, nil
}

func (v *Agenda) windows(kept *yearIndex, unit, season string, year date.ProgramYear) {
	for _, w := range kept.windows[unit] {
		if w.Season != season {
			continue
		}
		if len(w.Windows) == 0 && !w.CountedFrom.IsZero() {
			v.noWindow(w, unit, season, year)
		}
		for i, one := range w.Windows {
			row := windowRow(one)
			e := Event{UID: uid(v.Stamp.Identity(), unit, year, string(WindowEvent), strconv.Itoa(i+1)), Kind: WindowEvent, Unit: unit, Year: year,
				First: row.First, Last: row.Last, Summary: fmt.Sprintf("Candidate burn window: %s (%s %d)", unit, season, year), AlarmDays: windowAlarmDays}
			days := quantity.Count(row.UsableDays, "usable day")
			if row.Expected != nil {
				e.Description = append(e.Description, fmt.Sprintf("%s expected in %s, from past weather.", BurnDays(*row.Expected), days))
				if row.BestChance != nil && !row.BestFirst.IsZero() {
					e.Description = append(e.Description, fmt.Sprintf("Best week: from %s, %s a day.", row.BestFirst.Words(), Percent(*row.BestChance)))
				}
			} else {
				e.Description = append(e.Description, fmt.Sprintf("%s; %s.", days, row.Basis))
			}
			e.Description = append(e.Description, w.Terms.Words...)
			for _, warning := range v.Warnings {
				e.Description = append(e.Description, "Weather record: "+warning+".")
			}
			e.Description = append(e.Description, v.Cautions...)
			v.Events = append(v.Events, e)
		}
	}
}

// noWindow enters a burn that is planned and has no window, on the day that its
// tasks are counted back from.
func (v *Agenda) noWindow(w *UnitWindows, unit, season string, year date.ProgramYear) {
	e := Event{UID: uid(v.Stamp.Identity(), unit, year, string(WindowEvent), "none"), Kind: WindowEvent, Unit: unit, Year: year, First: w.CountedFrom, Last: w.CountedFrom,
		Summary: fmt.Sprintf("Planned burn without a window: %s (%s %d)", unit, season, year), AlarmDays: windowAlarmDays}
	e.Description = append(e.Description, noWindowOf(w.None, noWindow(w, 0, v.Stamp.On)).Lines()...)
	e.Description = append(e.Description, tasksNote(w.CountedFrom))
	e.Description = append(e.Description, w.Terms.Words...)
	e.Description = append(e.Description, v.Cautions...)
	v.Events = append(v.Events, e)
}

func (v *Agenda) tasks(kept *yearIndex, unit string, year date.ProgramYear) {
	for _, d := range kept.tasks[unit] {
		row := taskRow(*d)
		e := Event{UID: uid(v.Stamp.Identity(), unit, year, "task", row.Name), Kind: PreparationEvent, Unit: unit, Year: year, First: row.By, Last: row.By,
			Summary: fmt.Sprintf("%s: %s", unit, row.Name), AlarmDays: taskAlarmDays, Done: !row.DoneOn.IsZero()}
		if isNotice(row.Name) {
			e.Kind = NoticeEvent
		}
		if e.Done {
			e.Summary, e.AlarmDays = "Done, "+e.Summary, 0
			e.Description = append(e.Description, fmt.Sprintf("Done on %s.", row.DoneOn.Words()))
		} else {
			e.Description = append(e.Description, fmt.Sprintf("From %s, by %s at the latest.", row.From.Words(), row.By.Words()))
		}
		for _, line := range []string{row.Notes, row.Standing} {
			if line != "" {
				e.Description = append(e.Description, line)
			}
		}
		e.Description = append(e.Description, CautionLine)
		v.Events = append(v.Events, e)
	}
}

// isNotice tells tasks in which someone must be told or asked from work on the
// ground, by the words of their names.
func isNotice(task string) bool {
	task = strings.ToLower(task)
	for _, word := range []string{"notify", "notice", "permit", "authorization", "authorization", "call ", "phone", "tell "} {
		if strings.Contains(task, word) {
			return true
		}
	}
	return false
}

// uid makes a name that stays the same from one calendar to the next.
func uid(parts ...any) string {
	h := sha256.New()
	for _, part := range parts {
		text := fmt.Sprint(part)
		fmt.Fprintf(h, "%d:%s", len(text), text)
	}
	return hex.EncodeToString(h.Sum(nil)[:16]) + "@emberquilt"
}
