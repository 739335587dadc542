package view

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// CalendarNotKept says what follows where a property could not keep what a calendar file
// says.
const CalendarNotKept = "the property file cannot be written, so that it does not remember this calendar: a later one will not cancel what falls out of the plan"

// Agenda is a calendar of windows, preparation and notices, for everyone.
type Agenda struct {
	Stamp Stamp `json:"stamp"`
	Plan  int   `json:"plan"`
	// Title is what calendars call it.
	Title  string  `json:"title"`
	Events []Event `json:"events"`
	// Warnings are those of the weather record that the windows rest on.
	Warnings []string `json:"weather_warnings"`
	Cautions []string `json:"cautions"`

	selection AgendaSelection
	lineage   habitat.Lineage
	// bore holds the names that units have borne, by their own.
	bore map[string][]string
	// burned says of units and years that have burned when that was.
	burned map[string]string
}

// AgendaSelection says what of a plan an agenda takes. The zero value takes every
// planned burn, and the tasks of those up to the program year LastTasks.
type AgendaSelection struct {
	// Years and Units are those that are taken; none takes all. Of years that are named
	// the tasks are taken too.
	Years []date.ProgramYear
	Units []string
	// LastTasks is the last program year whose tasks are taken where no year is named;
	// those of later years will have moved before they come.
	LastTasks date.ProgramYear
}

// has reports whether an event is taken.
func (a *AgendaSelection) has(unit string, year date.ProgramYear, kind EventKind) bool {
	if len(a.Units) > 0 && !slices.Contains(a.Units, unit) {
		return false
	}
	if len(a.Years) > 0 {
		return slices.Contains(a.Years, year)
	}
	return kind == WindowEvent || year <= a.LastTasks
}

// EventKind tells the events of an agenda apart.
type EventKind string

// The kinds of event.
const (
	WindowEvent      EventKind = "burn window"
	PreparationEvent EventKind = "preparation"
	NoticeEvent      EventKind = "notice"
	FollowUpEvent    EventKind = "after a burn"
)

// taskPart is the kind of a task's event in its UID and in what is remembered of it,
// whether it is preparation or a notice.
const taskPart = "task"

// Event is something on one or more whole days.
type Event struct {
	// UID stays the same as long as property, unit, year, kind and, for tasks,
	// the name do; a unit that is renamed is the same.
	UID  string           `json:"uid"`
	Kind EventKind        `json:"kind"`
	Unit string           `json:"unit"`
	Year date.ProgramYear `json:"program_year"`
	// Name tells the windows or the tasks of one burn apart.
	Name    string   `json:"name"`
	First   date.Day `json:"first"`
	Last    date.Day `json:"last"`
	Summary string   `json:"summary"`
	// Description holds lines; writers join them as their format wants.
	Description []string `json:"description"`
	// AlarmDays counts the days before First of the reminder, 0 for none.
	AlarmDays int `json:"alarm_days"`
	// Done says that the task has been done.
	Done bool `json:"done"`
	// Canceled says that an earlier calendar held it and that it no longer holds.
	Canceled bool `json:"canceled"`
	// Sequence counts how often the event changed since it was first written, and At is
	// when it last did; calendars take the newer one.
	Sequence int       `json:"sequence"`
	At       time.Time `json:"at"`
}

// Reminders, in days before an event. Common practice, no source.
const (
	windowAlarmDays = 7
	taskAlarmDays   = 2
)

// NewAgenda lists the windows and tasks of every burn that the plan shows and the
// selection takes, in order of unit and year. Nothing in it follows from the day on
// which it is made, except what is done and which tasks can still be done in time, so
// that an event changes only where the plan or the property does.
func NewAgenda(in *Season, selection AgendaSelection) (*Agenda, error) {
	l, err := newLayout(in.Plan)
	if err != nil {
		return nil, err
	}
	p := in.Plan.Problem
	v := &Agenda{
		Stamp:     in.Plan.Stamp.of(&in.Plan.Property),
		Plan:      in.Plan.Number,
		Warnings:  weatherWarnings(in),
		Cautions:  Cautions(),
		selection: selection,
		lineage:   in.Plan.Lineage,
		bore:      map[string][]string{},
		burned:    map[string]string{},
	}
	v.Title = "Burns, " + v.Stamp.Property
	if in.Plan.Answer.Status == problem.Infeasible {
		return v, nil
	}
	kept := make([]*yearIndex, p.Years)
	for t := range kept {
		kept[t] = in.index(l.year(t))
	}
	shared := map[[2]int][]OneDay{} // by year and season
	for i := range p.Units {
		unit := p.Units[i].ID
		if in.Plan.Became[unit] != "" {
			continue
		}
		for t := range p.Years {
			state, _ := l.stateIn(i, t)
			takesTasks := v.selection.has(unit, l.year(t), PreparationEvent)
			if state.Done {
				v.burned[burnKey(unit, l.year(t))] = BurnedWords(&state)
			}
			if s := l.season[i][t]; s >= 0 && !state.Done && v.selection.has(unit, l.year(t), WindowEvent) {
				before := len(v.Events)
				v.windows(kept[t], &in.Plan.Property, unit, p.Seasons[s], l.year(t))
				v.sayLines(v.Events[before:], in.Plan.Lines)
				days, known := shared[[2]int{t, s}]
				if !known {
					days = l.oneDay(in, p.Seasons[s], l.year(t))
					shared[[2]int{t, s}] = days
				}
				v.sayCrew(v.Events[before:], in, days)
			}
			if takesTasks { // of a burn on record, those that follow it
				v.tasks(kept[t], unit, l.year(t))
			}
		}
	}
	return v, nil
}

// sayLines says in the windows of a burn for which lines of contracts it is.
func (v *Agenda) sayLines(events []Event, lines []PlannedLine) {
	for i := range events {
		e := &events[i]
		for k := range lines {
			line := &lines[k]
			if burn := line.counts(e.Unit, e.Year); burn != nil {
				how := map[LineState]string{Late: "; the burn is late for it", EarlyCredit: "; before its year, which the contract credits", TooEarly: "; before its year, which does not count"}[burn.state]
				of := line.Practice
				if line.PropertyWide {
					of = line.forWords(burn)
				}
				e.Description = append(e.Description, fmt.Sprintf("For %s: %s, due in fiscal year %s%s.", line.Name(), of, line.LastYear(), how))
			}
		}
	}
}

// sayCrew says in the windows of a burn with which others it can share a day, and on
// which days of it partners do.
func (v *Agenda) sayCrew(events []Event, in *Season, days []OneDay) {
	for i := range events {
		e := &events[i]
		for k := range days {
			if words := days[k].with(e.Unit); words != "" {
				e.Description = append(e.Description, words)
			}
		}
		for _, shared := range sharedDays(&in.Plan.Property, date.Span{First: e.First, Last: e.Last}) {
			e.Description = append(e.Description, shared.Words)
		}
	}
}

func burnKey(unit string, year date.ProgramYear) string { return fmt.Sprint(int(year), " ", unit) }

// named is a unit with the property that it lies on: in a calendar of many properties
// a unit's name alone says nothing.
func (v *Agenda) named(unit string) string { return unit + ", " + v.Stamp.Property }

func (v *Agenda) windows(kept *yearIndex, p *habitat.Property, unit, season string, year date.ProgramYear) {
	entered := false
	for _, w := range kept.windows[unit] {
		if w.Season != season {
			continue
		}
		for i, one := range w.whole() {
			row := windowRow(one)
			e := v.event(WindowEvent, unit, year, strconv.Itoa(i+1))
			e.First, e.Last = row.First, row.Last
			e.Summary = fmt.Sprintf("Candidate burn window: %s (%s season %d)", v.named(unit), season, year)
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
			v.Events, entered = append(v.Events, e), true
		}
		if !entered {
			v.noWindow(w, p, unit, season, year)
			entered = true
		}
	}
	if !entered {
		v.noWindow(&UnitWindows{}, p, unit, season, year)
	}
}

// noWindow enters a burn that is planned and has no window, on the days of its season.
func (v *Agenda) noWindow(w *UnitWindows, p *habitat.Property, unit, season string, year date.ProgramYear) {
	e := v.event(WindowEvent, unit, year, "1")
	span := BurnSpan(p, season, year)
	e.First, e.Last = span.First, span.Last
	e.Summary = fmt.Sprintf("Planned burn without a window: %s (%s season %d)", v.named(unit), season, year)
	e.Description = append(e.Description, "It stands on the days of its season.")
	e.Description = append(e.Description, noWindowOf(w.None, noWindow(w, 0, span.First)).Lines()...)
	e.Description = append(e.Description, w.Terms.Words...)
	v.Events = append(v.Events, e)
}

func (v *Agenda) tasks(kept *yearIndex, unit string, year date.ProgramYear) {
	for _, d := range kept.tasks[unit] {
		row := taskRow(*d)
		e := v.event(PreparationEvent, unit, year, row.Name)
		e.First, e.Last, e.Done = row.By, row.By, !row.DoneOn.IsZero()
		e.Summary = v.named(unit) + ": " + row.Name
		switch {
		case row.AfterBurn:
			e.Kind, e.First = FollowUpEvent, row.From
		case isNotice(row.Name):
			e.Kind = NoticeEvent
		}
		if e.Done {
			e.Summary, e.AlarmDays = "Done, "+e.Summary, 0
			e.Description = append(e.Description, fmt.Sprintf("Done on %s.", row.DoneOn.Words()))
		} else {
			e.Description = append(e.Description, fmt.Sprintf("From %s, by %s at the latest.", row.From.Words(), row.By.Words()))
		}
		for _, line := range []string{row.Moved, officesWords(&e), row.Notes} {
			if line != "" {
				e.Description = append(e.Description, line)
			}
		}
		v.Events = append(v.Events, e)
	}
}

// officesWords says of a notice whose last day is a day of work for the crew and not for
// those who must be told or asked; empty where it is one for both.
func officesWords(e *Event) string {
	if e.Kind != NoticeEvent || e.Done {
		return ""
	}
	day := e.Last.Words()
	if holiday := date.FederalHoliday(e.Last); holiday != "" {
		day += " (" + holiday + ")"
	} else if w := e.Last.Weekday(); w != time.Saturday && w != time.Sunday {
		return ""
	}
	return "Offices may be closed on " + day + "; do it on a working day before."
}

// event begins an event, with what tells it from others. A window of a year whose
// tasks are not taken has no reminder: the plan will have been made anew before it.
func (v *Agenda) event(kind EventKind, unit string, year date.ProgramYear, name string) Event {
	names := v.namesOf(unit)
	e := Event{UID: v.uid(eventKey{names[len(names)-1], year, part(kind), name}), Kind: kind, Unit: unit, Year: year, Name: name, AlarmDays: taskAlarmDays}
	switch {
	case kind == WindowEvent && v.selection.has(unit, year, PreparationEvent):
		e.AlarmDays = windowAlarmDays
	case kind == WindowEvent:
		e.AlarmDays = 0
	}
	return e
}

// namesOf gives the names that a unit has borne, its own first.
func (v *Agenda) namesOf(unit string) []string {
	names := v.bore[unit]
	if names == nil {
		names = v.lineage.Names(unit)
		v.bore[unit] = names
	}
	return names
}

// eventKey tells an event from every other of the property, by a name that its unit bore.
type eventKey struct {
	unit       string
	year       date.ProgramYear
	part, name string
}

func (v *Agenda) uid(k eventKey) string {
	return uid(v.Stamp.Identity(), k.unit, k.year, k.part, k.name)
}

// keyOf gives the key under which calendars know an event: the unit's first name, unless
// an earlier file told of it under a later one. Of several that were told, the one that
// still stands is it; Publish cancels the others.
func (v *Agenda) keyOf(e *Event, before map[eventKey]*habitat.PublishedEvent) eventKey {
	names := v.namesOf(e.Unit)
	key := eventKey{names[len(names)-1], e.Year, part(e.Kind), e.Name}
	isTold := false
	for _, name := range names {
		k := key
		k.unit = name
		switch was := before[k]; {
		case was == nil:
		case !was.Canceled:
			return k
		case !isTold:
			key, isTold = k, true
		}
	}
	return key
}

// part is the word of a kind in UIDs and in what is remembered.
func part(kind EventKind) string {
	if kind == WindowEvent {
		return string(WindowEvent)
	}
	return taskPart
}

// keepCanceled is for how many days after its last one an event that no longer holds
// is written as canceled, for the calendars that have not been told yet.
const keepCanceled = 366

// Publish settles what the calendars that follow the property must be told, from what
// earlier files said of each event: one that says the same keeps its sequence and time,
// one that changed gets the next sequence and at; one that is no longer there is written
// as canceled, unless it is over and no unit has it in its place. It gives what is to be
// kept of the events that changed.
//
// What was said is kept by event and not by file, so that two files never say two
// things under one sequence; and what the selection leaves out is neither written nor
// canceled.
func (v *Agenda) Publish(said []habitat.PublishedEvent, at time.Time, today date.Day) (changed []habitat.PublishedEvent) {
	at = at.UTC().Truncate(time.Second)
	before := make(map[eventKey]*habitat.PublishedEvent, len(said))
	for i := range said {
		e := &said[i]
		before[eventKey{e.Unit, e.Year, e.Kind, e.Name}] = e
	}
	there := make(map[eventKey]bool, len(v.Events)) // by the names of now
	for i := range v.Events {
		e := &v.Events[i]
		there[eventKey{e.Unit, e.Year, part(e.Kind), e.Name}] = true
		k := v.keyOf(e, before)
		e.UID = v.uid(k)
		now := habitat.PublishedEvent{
			Unit:     k.unit,
			Year:     e.Year,
			Kind:     k.part,
			Name:     e.Name,
			First:    e.First,
			Last:     e.Last,
			Summary:  e.Summary,
			Digest:   e.digest(),
			Sequence: max(v.Plan-1, 0),
			At:       at,
		}
		was := before[k]
		delete(before, k)
		if was != nil {
			now.Sequence, now.At = was.Sequence, was.At
		}
		if was == nil || was.Canceled || was.Digest != now.Digest {
			if was != nil {
				now.Sequence, now.At = max(was.Sequence+1, now.Sequence), at
			}
			changed = append(changed, now)
		}
		e.Sequence, e.At = now.Sequence, now.At
	}
	for i := range said {
		was := &said[i]
		kind := PreparationEvent
		if was.Kind == string(WindowEvent) {
			kind = WindowEvent
		}
		k := eventKey{was.Unit, was.Year, was.Kind, was.Name}
		if before[k] == nil {
			continue
		}
		became := v.lineage.Now(was.Unit, 0)
		if !slices.ContainsFunc(became, func(unit string) bool { return v.selection.has(unit, was.Year, kind) }) {
			continue
		}
		if !was.Canceled {
			// What is over is past canceling, but must not stand twice: a part of a unit
			// that was split has the tasks of the whole.
			isTwice := slices.ContainsFunc(became, func(unit string) bool { return there[eventKey{unit, k.year, k.part, k.name}] })
			if was.Last.Before(today) && !isTwice {
				continue
			}
		} else if was.Last.AddDays(keepCanceled).Before(today) {
			continue
		}
		unit := v.lineage.RenamedTo(was.Unit, 0)
		e := v.event(kind, unit, was.Year, was.Name)
		e.UID = v.uid(k)
		e.First, e.Last, e.AlarmDays, e.Canceled = was.First, was.Last, 0, true
		e.Summary = "Canceled: " + was.Summary
		e.Description = []string{"It no longer holds."}
		if words := v.burned[burnKey(unit, was.Year)]; words != "" {
			e.Description = []string{unit + " " + words + "."}
		}
		now := *was
		if now.Canceled, now.Digest = true, e.digest(); !was.Canceled || was.Digest != now.Digest {
			now.Sequence, now.At = was.Sequence+1, at
			changed = append(changed, now)
		}
		e.Sequence, e.At = now.Sequence, now.At
		v.Events = append(v.Events, e)
	}
	return changed
}

// digest is a checksum over all that the event says of itself.
func (e *Event) digest() string {
	return strings.TrimSuffix(uid(append([]any{e.Kind, e.First, e.Last, e.Summary, e.AlarmDays, e.Done}, strings.Join(e.Description, "\n"))...), uidEnding)
}

// Join puts the agendas of many properties into one.
func Join(all []*Agenda, stamp Stamp) *Agenda {
	v := &Agenda{Stamp: stamp, Title: "Burns of " + quantity.Count(len(all), "property", "properties"), Cautions: Cautions(), Warnings: []string{}}
	for _, one := range all {
		v.Events = append(v.Events, one.Events...)
		for _, warning := range one.Warnings {
			v.Warnings = append(v.Warnings, one.Stamp.Property+": "+warning)
		}
	}
	return v
}

// isNotice tells tasks in which someone must be told or asked from work on the
// ground, by the words of their names.
func isNotice(task string) bool {
	task = strings.ToLower(task)
	for _, word := range []string{"notify", "notice", "permit", "authorization", "call ", "phone", "tell "} {
		if strings.Contains(task, word) {
			return true
		}
	}
	return false
}

const uidEnding = "@emberquilt"

// uid makes a name that stays the same from one calendar to the next.
func uid(parts ...any) string {
	h := sha256.New()
	for _, part := range parts {
		text := fmt.Sprint(part)
		fmt.Fprintf(h, "%d:%s", len(text), text)
	}
	return hex.EncodeToString(h.Sum(nil)[:16]) + uidEnding
}
