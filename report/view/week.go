package view

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
)

// Week is what seven days ask for: the burns whose windows are open, what must be
// done, what slipped, and what is left to spend.
type Week struct {
	Stamp Stamp `json:"stamp"`
	Plan  int   `json:"plan"`
	// First and Last are the days of it.
	First date.Day `json:"first"`
	Last  date.Day `json:"last"`
	// Open are the planned burns with a window that is open in these days.
	Open []WeekBurn `json:"open"`
	// Gone says what became of units that the plan burns in the season and that are not
	// there anymore.
	Gone []string `json:"gone,omitempty"`
	// Crew is who burns in the season that is under way or comes next; its shared days
	// and burns that can share a day are those of the week.
	Crew Crew `json:"crew"`
	// Tasks are those that are late, or that can be done in these days.
	Tasks []TaskRow `json:"tasks"`
	// Held says which of them are of burns for which no day is left.
	Held []string `json:"held,omitempty"`
	// Slipped are the burns that were planned for a season that is over and that no
	// record makes good; Unfinished those that burned in part this year.
	Slipped    []WeekSlip   `json:"slipped"`
	Unfinished []BurnedUnit `json:"part_burned"`
	// Budget is that of the program year.
	Budget WeekBudget `json:"budget"`
	// Warnings are those of the weather record that the windows rest on.
	Warnings []string `json:"weather_warnings"`
	Cautions []string `json:"cautions"`
}

// What a week says where it has nothing of a kind.
const (
	NoOpenWindow   = "No window of a planned burn is open."
	NothingToDo    = "Nothing is late or can be done this week."
	NothingSlipped = "Nothing: every burn that was planned for a season gone by is on record or made good."
)

// WeekBurn is a planned burn that can be done in a week.
type WeekBurn struct {
	Unit   string           `json:"unit"`
	Season string           `json:"season"`
	Year   date.ProgramYear `json:"program_year"`
	// Left are the acres to burn, OnRecord says what burned of it already.
	Left     quantity.Acres `json:"acres_left"`
	OnRecord string         `json:"on_record,omitempty"`
	// Days are the days of the week on which the crew works and nothing is closed.
	Days []date.Day `json:"usable_days"`
	// Closes is the last day of its last window: after it the burn is missed.
	Closes date.Day `json:"last_window_closes"`
	// Late counts its tasks before the burn that are late.
	Late  int    `json:"late_tasks"`
	Basis string `json:"basis"`
}

// WeekSlip is a burn that slipped.
type WeekSlip struct {
	Unit   string           `json:"unit"`
	Season string           `json:"season"`
	Year   date.ProgramYear `json:"program_year"`
	Words  string           `json:"words"`
	next   string           // when it burns next, in words
}

// SlippedLines says what slipped, on a line all that slipped from one season and burns
// next in one.
func (v *Week) SlippedLines() []string {
	type group struct {
		of    WeekSlip
		units []string
	}
	var all []group
	for _, m := range v.Slipped {
		at := slices.IndexFunc(all, func(g group) bool { return g.of.Season == m.Season && g.of.Year == m.Year && g.of.next == m.next })
		if at < 0 {
			at, all = len(all), append(all, group{of: m})
		}
		all[at].units = append(all[at].units, m.Unit)
	}
	lines := make([]string, len(all))
	for i, g := range all {
		if lines[i] = g.of.Words; len(g.units) > 1 {
			lines[i] = fmt.Sprintf("%s: their burns in the %s were missed", quantity.List(g.units), habitat.SeasonWords(g.of.Season, g.of.Year))
			if g.of.next != "" {
				lines[i] += "; of each, " + g.of.next
			}
		}
	}
	return lines
}

// WeekBudget is what burns of a program year cost.
type WeekBudget struct {
	Year date.ProgramYear `json:"program_year"`
	// Limit is the cap on cost and Left what burned and planned burns leave of it; nil
	// without a cap.
	Limit *quantity.Cents `json:"limit_cents"`
	Left  *quantity.Cents `json:"left_cents"`
	// Burned is the cost of the units that burned, Ahead that of the planned burns
	// whose season is not over.
	Burned quantity.Cents `json:"burned_cents"`
	Ahead  quantity.Cents `json:"planned_cents"`
	// Days and Allowed are the burn days that the burns of the season still take, of
	// those allowed for them; Allowed is nil without a limit.
	Days    float64  `json:"burn_days"`
	Allowed *float64 `json:"burn_days_allowed"`
	Words   []string `json:"words"`
}

// NewWeek computes the seven days that begin with that of the stamp. due is the season
// under way or the one that comes next, missed what slipped.
func NewWeek(in *Season, due *Due, missed []Missed) (*Week, error) {
	l, err := newLayout(in.Plan)
	if err != nil {
		return nil, err
	}
	v := &Week{Stamp: due.Stamp, Plan: due.Plan, First: in.Plan.Stamp.On, Last: in.Plan.Stamp.On.AddDays(6), Open: []WeekBurn{}, Tasks: []TaskRow{},
		Gone: due.Gone, Slipped: []WeekSlip{}, Unfinished: append([]BurnedUnit{}, due.Unfinished...), Warnings: weatherWarnings(in), Cautions: Cautions()}
	for i := range in.Windows {
		v.open(in, l, &in.Windows[i])
	}
	for _, d := range preparation.Within(in.Tasks, v.Last) {
		v.Tasks = append(v.Tasks, taskRow(d))
	}
	v.hold(in)
	slices.SortStableFunc(v.Open, func(a, b WeekBurn) int { return a.Closes.Compare(b.Closes) })
	for _, m := range missed {
		slip := WeekSlip{Unit: m.Unit, Season: m.Season, Year: m.Year, Words: fmt.Sprintf("%s: its burn in the %s was missed", m.Unit, habitat.SeasonWords(m.Season, m.Year))}
		if slip.next = v.next(l, m.Unit); slip.next != "" {
			slip.Words += "; " + slip.next
		}
		v.Slipped = append(v.Slipped, slip)
	}
	v.crew(l, in, due)
	v.budget(l, due)
	return v, nil
}

// open enters a burn that a window of the week lets be done.
func (v *Week) open(in *Season, l *layout, w *UnitWindows) {
	u := l.known[w.Unit]
	if u == nil {
		return
	}
	state := in.Plan.state(u, l.records[u.ID], w.Year)
	if state.Done {
		return
	}
	row := WeekBurn{Unit: w.Unit, Season: w.Season, Year: w.Year, Left: state.Left, OnRecord: BurnedWords(&state)}
	row.Days = v.within(in.usableDays(w))
	for _, one := range w.Windows {
		if slices.ContainsFunc(row.Days, one.Has) {
			row.Basis = one.Basis
		}
		row.Closes = one.Last
	}
	if len(row.Days) == 0 {
		return
	}
	for i := range in.Tasks {
		if t := &in.Tasks[i]; t.Unit == w.Unit && t.Year == w.Year && t.State == preparation.Late && !t.Task.AfterBurn {
			row.Late++
		}
	}
	v.Open = append(v.Open, row)
}

// hold says of which burns no day is left, though tasks of theirs are in the week: a
// season at a time.
func (v *Week) hold(in *Season) {
	type season struct {
		year date.ProgramYear
		name string
	}
	units := map[season][]string{}
	var order []season
	for _, w := range in.Windows {
		isListed := slices.ContainsFunc(v.Tasks, func(t TaskRow) bool { return t.Unit == w.Unit && !t.AfterBurn && t.For == w.CountedFrom })
		if !isListed || len(w.Windows) > 0 || w.IsDayLeft || w.CountedFrom.IsZero() {
			continue
		}
		of := season{w.Year, w.Season}
		if units[of] == nil {
			order = append(order, of)
		}
		units[of] = append(units[of], w.Unit)
	}
	for _, of := range order {
		v.Held = append(v.Held, fmt.Sprintf("%s: no day is left to burn on in the %s; the tasks are for the case that a closure is lifted.",
			SomeOf(units[of]), habitat.SeasonWords(of.name, of.year)))
	}
}

// within keeps the days of the week.
func (v *Week) within(days []date.Day) []date.Day {
	return slices.DeleteFunc(days, func(d date.Day) bool { return d.Before(v.First) || d.After(v.Last) })
}

// crew says who burns, with whom in these days, and which burns can share one of them.
func (v *Week) crew(l *layout, in *Season, due *Due) {
	p := &in.Plan.Property
	v.Crew = due.Crew
	v.Crew.Shared = sharedDays(p, date.Span{First: v.First, Last: v.Last})
	v.Crew.OneDay = []OneDay{}
	v.Crew.Words = []string{crewWords(p.PeopleIn(due.Season))}
	for _, days := range v.Crew.Shared {
		v.Crew.Words = append(v.Crew.Words, days.Words)
	}
	var seen []string
	for _, b := range v.Open {
		of := fmt.Sprint(b.Year, b.Season)
		if slices.Contains(seen, of) {
			continue
		}
		seen = append(seen, of)
		for _, day := range l.oneDay(in, b.Season, b.Year) {
			if day.days = v.within(day.days); len(day.days) > 0 {
				day.settle()
				v.Crew.OneDay, v.Crew.Words = append(v.Crew.OneDay, day), append(v.Crew.Words, day.Words)
			}
		}
	}
}

// next says when a unit burns next in the plan; empty where it does not know the unit.
func (v *Week) next(l *layout, unit string) string {
	i := indexOf(l.Problem, unit)
	if i < 0 {
		return fmt.Sprintf("plan %d says nothing of it", v.Plan)
	}
	for t := range l.Problem.Years {
		if l.burns(i, t) && !l.isOver(i, t) {
			return fmt.Sprintf("it burns next in the %s", habitat.SeasonWords(l.seasonName(i, t), l.year(t)))
		}
	}
	return fmt.Sprintf("plan %d has no burn of it ahead", v.Plan)
}

// budget sums what the burns of the due season's program year cost.
func (v *Week) budget(l *layout, due *Due) {
	b := &v.Budget
	b.Year, b.Days, b.Allowed = due.Year, due.BurnDays, due.Allowed
	t := int(due.Year) - l.Problem.FirstYear
	if t < 0 || t >= l.Problem.Years {
		b.Words = []string{fmt.Sprintf("Plan %d does not hold %d.", v.Plan, due.Year)}
		return
	}
	for i := range l.Problem.Units {
		u := &l.Problem.Units[i]
		known := l.known[u.ID]
		if known == nil {
			continue
		}
		switch state := l.state(known, l.records[u.ID], due.Year); {
		case state.HasBurned():
			b.Burned += centsOf(u.Cost)
		case !state.Done && l.burns(i, t) && !l.isOver(i, t):
			b.Ahead += centsOf(u.Cost)
		}
	}
	line := fmt.Sprintf("%d: the burns on record cost %s, those still planned %s", due.Year, b.Burned, b.Ahead)
	if most := limit(l.Problem.Caps[t].Cost); most != nil {
		all := centsOf(*most)
		left := all - b.Burned - b.Ahead
		b.Limit, b.Left = &all, &left
		line += fmt.Sprintf("; of %s that leaves %s", all, left)
	} else {
		line += "; the settings cap no cost"
	}
	b.Words = []string{line + "."}
	if b.Allowed != nil {
		b.Words = append(b.Words, fmt.Sprintf("The %s still takes %s of %s allowed.", habitat.SeasonWords(due.Season, due.Year), BurnDays(b.Days), Number(*b.Allowed)))
	}
}

// mostAlone is how many burns of a week have a line each.
const mostAlone = 5

// OpenLines says when burns can be done; of many, on a line all that can be done on the
// same days.
func (v *Week) OpenLines() []string {
	type group struct {
		of    *WeekBurn
		units []string
	}
	var all []group
	for i := range v.Open {
		b := &v.Open[i]
		at := -1
		if len(v.Open) > mostAlone {
			at = slices.IndexFunc(all, func(g group) bool { return b.isAlike(g.of) })
		}
		if at < 0 {
			at, all = len(all), append(all, group{of: b})
		}
		all[at].units = append(all[at].units, b.what())
	}
	lines := make([]string, len(all))
	for i, g := range all {
		lines[i] = fmt.Sprintf("%s, %s: %s", g.units[0], habitat.SeasonWords(g.of.Season, g.of.Year), g.of.when())
		if len(g.units) > 1 {
			lines[i] = fmt.Sprintf("%s; %s, each: %s", strings.Join(g.units, "; "), habitat.SeasonWords(g.of.Season, g.of.Year), g.of.when())
		}
	}
	return lines
}

// isAlike reports whether two burns can be done on the same days.
func (b *WeekBurn) isAlike(other *WeekBurn) bool {
	return b.Season == other.Season && b.Year == other.Year && slices.Equal(b.Days, other.Days) && b.Closes == other.Closes && b.Basis == other.Basis && b.Late == other.Late
}

// what names a burn and its acres.
func (b *WeekBurn) what() string {
	if b.OnRecord != "" {
		return b.Unit + ", " + b.OnRecord
	}
	return fmt.Sprintf("%s, %s acres", b.Unit, b.Left)
}

func (b *WeekBurn) when() string {
	words := fmt.Sprintf("%s this week, from %s on; the last window closes on %s (%s)",
		quantity.Count(len(b.Days), "usable day"), b.Days[0].Words(), b.Closes.Words(), b.Basis)
	if b.Late > 0 {
		words += fmt.Sprintf("; %s before it %s late", quantity.Count(b.Late, "task"), quantity.Plural(b.Late, "is", "are"))
	}
	return words
}

// Words says of a burn when it can be done, in a sentence.
func (b *WeekBurn) Words() string {
	return fmt.Sprintf("%s, %s: %s", b.what(), habitat.SeasonWords(b.Season, b.Year), b.when())
}

// WeekTask is a task that several units wait for.
type WeekTask struct {
	Name   string `json:"task"`
	IsLate bool   `json:"late"`
	// By and Through are the first and the last of the last days of its units.
	By      date.Day `json:"by"`
	Through date.Day `json:"through"`
	Units   []string `json:"units"`
}

// ByTask gives the tasks of the week with all their units, those that are late first,
// then by their first last day.
func (v *Week) ByTask() []WeekTask {
	var all []WeekTask
	for i := range v.Tasks {
		t := &v.Tasks[i]
		isLate := t.State == string(preparation.Late)
		at := slices.IndexFunc(all, func(w WeekTask) bool { return w.Name == t.Name && w.IsLate == isLate })
		if at < 0 {
			at, all = len(all), append(all, WeekTask{Name: t.Name, IsLate: isLate, By: t.By, Through: t.By})
		}
		w := &all[at]
		if t.By.Before(w.By) {
			w.By = t.By
		}
		if t.By.After(w.Through) {
			w.Through = t.By
		}
		if !slices.Contains(w.Units, t.Unit) {
			w.Units = append(w.Units, t.Unit)
		}
	}
	slices.SortStableFunc(all, func(a, b WeekTask) int {
		if a.IsLate != b.IsLate {
			if a.IsLate {
				return -1
			}
			return 1
		}
		return a.By.Compare(b.By)
	})
	return all
}

// Words says when a task must be done, what it is and for which units, on a line: the
// season sheet names them all.
func (t *WeekTask) Words() string {
	when := "by " + t.By.Words()
	switch {
	case t.IsLate && t.Through != t.By:
		when = "LATE since " + t.By.Words() + " and after"
	case t.IsLate:
		when = "LATE since " + t.By.Words()
	case t.Through != t.By:
		when += " to " + t.Through.Words()
	}
	return fmt.Sprintf("%s: %s (%s)", when, t.Name, SomeOf(t.Units))
}
