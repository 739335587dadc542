package view

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/window"
)

// Calendar lays the candidate windows of one program year out by day.
type Calendar struct {
	Year  date.ProgramYear `json:"program_year"`
	First date.Day         `json:"first"`
	Last  date.Day         `json:"last"`
	// Days counts, for each day from First to Last, the units that have a
	// window on it; days on which the crew does not work count none.
	Days []int         `json:"units_open"`
	Rows []CalendarRow `json:"windows"`
	// Crews are those of the seasons in which something burns.
	Crews []SeasonCrew `json:"crews"`
	// Burned are the units that have burned in the year, which need no window any
	// more; Unfinished says of others how much is left.
	Burned     []string `json:"burned"`
	Unfinished []string `json:"part_burned"`
	// Gone says what became of units that the plan burns in the year and that are not
	// there anymore.
	Gone  []string `json:"gone,omitempty"`
	Stamp Stamp    `json:"stamp"`
	// DatesOnly says that no weather record stands behind any of the windows, Basis
	// why: there is none, or no unit has a prescription to hold it against.
	DatesOnly bool   `json:"dates_only"`
	Basis     string `json:"basis,omitempty"`
	// Warnings are those of the weather record.
	Warnings []string `json:"weather_warnings"`
	Cautions []string `json:"cautions"`
	// kept are the units of Keep.
	kept []string
}

// CalendarRow is the windows of one unit that burns in the year.
type CalendarRow struct {
	Unit    string      `json:"unit"`
	Season  string      `json:"season"`
	Windows []WindowRow `json:"windows"`
	Terms   Terms       `json:"terms"`
	// NoWindow says why there is no candidate window; nil where there is one.
	NoWindow *NoWindow `json:"no_window"`
}

// SeasonCrew is the crew of a season.
type SeasonCrew struct {
	Season string `json:"season"`
	Crew
}

// NewCalendar lays out the windows of the units that the plan burns in a
// program year, in unit order.
func NewCalendar(in *Season, year date.ProgramYear) (*Calendar, error) {
	l, err := newLayout(in.Plan)
	if err != nil {
		return nil, err
	}
	p := in.Plan.Problem
	span := in.Plan.Property.YearStart.Span(year)
	// A season belongs whole to the year in which it ends, and may begin before.
	t := int(year) - p.FirstYear
	v := &Calendar{Stamp: in.Plan.Stamp.of(&in.Plan.Property), Year: year, DatesOnly: true, Warnings: weatherWarnings(in), Cautions: Cautions()}
	for i := range in.Plan.Units { // whatever the plan knows of them
		u := &in.Plan.Units[i]
		switch state := in.Plan.state(u, l.records[u.ID], year); {
		case state.Done && state.Burned > 0:
			v.Burned = append(v.Burned, u.ID)
		case state.Burned > 0:
			v.Unfinished = append(v.Unfinished, u.ID+": "+BurnedWords(&state))
		}
	}
	if t < 0 || t >= p.Years || in.Plan.Answer.Status == problem.Infeasible {
		v.First, v.Last, v.Days = span.First, span.Last, make([]int, span.Days())
		return v, nil
	}
	kept := in.index(year)
	for i := range p.Units {
		if in.Plan.Became[p.Units[i].ID] != "" {
			if s := l.season[i][t]; s >= 0 {
				v.Gone = append(v.Gone, l.goneWords(p.Units[i].ID, year, "in the "+habitat.SeasonWords(p.Seasons[s], year)))
			}
			continue
		}
		if state, ok := l.stateIn(i, t); !l.burns(i, t) || ok && state.Done {
			continue
		}
		row := CalendarRow{Unit: p.Units[i].ID, Season: p.Seasons[l.season[i][t]], Terms: Terms{Words: []string{}}}
		for _, w := range kept.windows[row.Unit] {
			if w.Season != row.Season {
				continue
			}
			row.Terms = w.Terms.listed()
			row.NoWindow = noWindowOf(w.None, noWindow(w, len(w.Windows), l.Stamp.On))
			for _, one := range w.Windows {
				row.Windows = append(row.Windows, windowRow(one))
				if v.DatesOnly = v.DatesOnly && one.Weather == nil; v.DatesOnly {
					v.Basis = one.Basis
				} else {
					v.Basis = ""
				}
				if one.First.Before(span.First) {
					span.First = one.First
				}
				if one.Last.After(span.Last) {
					span.Last = one.Last
				}
			}
		}
		if len(row.Windows) == 0 && row.NoWindow == nil {
			row.NoWindow = noWindowOf(nil, row.NoWindow.Short())
		}
		v.Rows = append(v.Rows, row)
	}
	for _, row := range v.Rows {
		if !slices.ContainsFunc(v.Crews, func(c SeasonCrew) bool { return c.Season == row.Season }) {
			v.Crews = append(v.Crews, SeasonCrew{row.Season, l.crew(in, row.Season, year)})
		}
	}
	v.First, v.Last, v.Days = span.First, span.Last, make([]int, span.Days())
	crew := &in.Plan.Property.Crew
	for _, row := range v.Rows {
		for _, w := range row.Windows {
			for d := w.First; !d.After(w.Last); d = d.AddDays(1) {
				if crew.IsWorkday(d) {
					v.Days[d.Sub(span.First)]++
				}
			}
		}
	}
	return v, nil
}

// Keep keeps the rows of some units; none keeps all. Days go on counting every unit.
func (v *Calendar) Keep(units []string) {
	if len(units) > 0 {
		v.Rows = slices.DeleteFunc(v.Rows, func(r CalendarRow) bool { return !slices.Contains(units, r.Unit) })
		v.Burned = slices.DeleteFunc(v.Burned, func(unit string) bool { return !slices.Contains(units, unit) })
		v.Gone, v.kept = nil, units
	}
}

// Lines says why units have no window, what the windows rest on and what is odd about
// it.
func (v *Calendar) Lines() []string {
	lines := slices.Clone(v.Gone)
	if words := v.BurnedWords(); words != "" {
		lines = append(lines, words)
	}
	for _, part := range v.Unfinished {
		lines = append(lines, part+".")
	}
	for _, row := range v.Rows {
		if len(row.Windows) == 0 && row.NoWindow != nil {
			lines = append(lines, row.Unit+": "+strings.Join(row.NoWindow.Lines(), " "))
		}
	}
	lines = append(lines, v.CrewLines()...)
	if v.DatesOnly { // said even where the last columns have no room
		lines = append(lines, "All windows: "+v.basis()+".")
	}
	for _, warning := range v.Warnings {
		lines = append(lines, "Weather record: "+warning+".")
	}
	return append(lines, window.Caution)
}

// NothingLines say that no unit is left to burn in the year.
func (v *Calendar) NothingLines() []string {
	first := fmt.Sprintf("the plan burns nothing in program year %d", v.Year)
	switch words := v.BurnedWords(); {
	case words != "":
		first = fmt.Sprintf("nothing is left to burn in program year %d. %s", v.Year, words)
	case len(v.kept) > 0:
		first = fmt.Sprintf("the plan does not burn %s in program year %d", strings.Join(v.kept, " or "), v.Year)
	case len(v.Gone) > 0:
		first = fmt.Sprintf("the plan burns no unit that is there in program year %d", v.Year)
	}
	return append([]string{first}, v.Gone...)
}

// CrewLines says who burns in which season, with whom, and which burns can share a day.
func (v *Calendar) CrewLines() []string {
	var lines []string
	for _, c := range v.Crews {
		for _, words := range c.Words {
			lines = append(lines, fmt.Sprintf("In the %s: %s", habitat.SeasonWords(c.Season, v.Year), words))
		}
	}
	return lines
}

func (v *Calendar) basis() string { return cmp.Or(v.Basis, window.DatesOnly) }

// BasisLine says in a sentence what windows without weather behind them rest on.
func (v *Calendar) BasisLine() string {
	words := v.basis()
	return strings.ToUpper(words[:1]) + words[1:] + "."
}

// BurnedWords names the units that have burned in the year; empty for none.
func (v *Calendar) BurnedWords() string {
	if len(v.Burned) == 0 {
		return ""
	}
	return fmt.Sprintf("Burned in %d: %s.", v.Year, strings.Join(v.Burned, ", "))
}
