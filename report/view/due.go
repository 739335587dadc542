package view

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/whatif"
	"emberquilt/schedule/window"
)

// UnitWindows are the windows of one unit in one season of one program year.
type UnitWindows struct {
	Unit, Season string
	Year         date.ProgramYear
	Windows      []window.Window
	// Whole are the windows of a season that is under way with the days that are over;
	// nil where Windows are whole.
	Whole []window.Window
	Terms Terms
	// None says why there is no window; nil where there is one, or where it was not
	// asked. CountedFrom is the day that the tasks are counted back from: without a
	// window the season's first usable day, or, where no usable day IsDayLeft, the first
	// that is not over. TooSoon names the tasks that leave no time
	// for an earlier day, where that is not the first day of the first window.
	None        *window.NoWindow
	CountedFrom date.Day
	IsDayLeft   bool
	TooSoon     []string
	// Missed names the deferments of grazing that are over: nothing waits for them.
	Missed []string
}

// whole gives the windows with the days that are over.
func (w *UnitWindows) whole() []window.Window {
	if w.Whole != nil {
		return w.Whole
	}
	return w.Windows
}

// Terms are what a burn of a unit in a season is held to.
type Terms struct {
	// Prescription is the name that holds in the season, or empty.
	Prescription string `json:"prescription,omitempty"`
	// Hours is the run of hours that it needs, Lines the interior lines that
	// this assumes; nil where not known.
	Hours *int `json:"needed_hours"`
	Lines *int `json:"interior_lines"`
	// Words says it in sentences, among them Warning, which is what is odd about it.
	Words   []string `json:"words"`
	Warning string   `json:"-"`
	// Winds says which winds suit, and whom the others carry smoke to; empty where
	// no depth is known.
	Winds string `json:"winds,omitempty"`
}

// Season is what the views of one season are computed from.
type Season struct {
	Plan    *Plan
	Windows []UnitWindows
	// Weather says what is odd about the weather record that the windows rest on.
	Weather []string
	// Tasks are those of every unit before its burn, and those after burns on record;
	// Follow are those after burns to come. Only those of due units are shown.
	Tasks, Follow []preparation.Due
	// Others holds second solves with the choice of a due unit reversed.
	Others []Other
}

// Other is a second solve with one unit's choice of one year reversed.
type Other struct {
	Unit string
	Year date.ProgramYear
	// Answer is the best plan found with it; infeasible where none exists.
	Answer *problem.Answer
	// AtHand is the difference in cost of the two plans; the difference of the
	// two best plans lies between Least and Most.
	AtHand, Least, Most float64
}

// Due says which units burn in a season and why these.
type Due struct {
	Stamp  Stamp            `json:"stamp"`
	Plan   int              `json:"plan"`
	Season string           `json:"season"`
	Year   date.ProgramYear `json:"program_year"`
	// BurnYear names the year with its months, for a landowner.
	BurnYear string `json:"burn_year"`
	// Days are those of the season in the program year.
	First date.Day `json:"first"`
	Last  date.Day `json:"last"`
	// Acres are those still to burn: of a unit that burned in part, what is left.
	Acres quantity.Acres `json:"acres"`
	// BurnDays are those that the burns still to come take, of those allowed for
	// them.
	BurnDays float64   `json:"burn_days"`
	Allowed  *float64  `json:"burn_days_allowed"`
	Units    []DueUnit `json:"units"`
	// Crew is who burns, with whom, and which burns can share a day.
	Crew Crew `json:"crew"`
	// Templates say which county templates the settings follow, a sentence each.
	Templates []string `json:"templates"`
	// Burned are the units that have burned in the program year, Unfinished those
	// that burned in part and can be finished, whatever the plan says of them.
	Burned     []BurnedUnit `json:"burned"`
	Unfinished []BurnedUnit `json:"part_burned"`
	// Elsewhere lists burns of the program year in other seasons.
	Elsewhere []OtherBurn `json:"other_seasons"`
	// Waiting lists units that are overdue, or will be at the year's end, and
	// do not burn in the program year: the plan rests them, or their season is over
	// without a record.
	Waiting []WaitingUnit `json:"waiting"`
	// Gone says what became of units that the plan burns in the season and that are
	// not there anymore.
	Gone []string `json:"gone,omitempty"`
	// Nothing says that no unit burns in the season, and why; empty where one does.
	Nothing string `json:"nothing,omitempty"`
	// Warnings are those of the weather record that the windows rest on.
	Warnings []string `json:"weather_warnings"`
	Cautions []string `json:"cautions"`
}

// DueUnit is one unit of the season.
type DueUnit struct {
	Unit        string         `json:"unit"`
	Acres       quantity.Acres `json:"acres"`
	Cover       string         `json:"cover,omitempty"`
	Interval    string         `json:"interval"`
	AgeBefore   int            `json:"age_before"`
	MaxInterval int            `json:"max_interval"`
	LastBurn    date.Day       `json:"last_burn_on"`
	BurnDays    float64        `json:"burn_days"`
	Locked      bool           `json:"locked"`
	// Done says that a burn of the program year is on record: the unit has burned,
	// and no window, task or price is shown.
	Done bool `json:"done"`
	// Burned is what burned in the program year so far, Left what is left to burn,
	// and OnRecord says both; they are 0, Acres and empty where nothing burned.
	Burned   quantity.Acres `json:"acres_burned"`
	Left     quantity.Acres `json:"acres_left"`
	OnRecord string         `json:"on_record,omitempty"`
	// OverdueIfRested says that the unit would end the year overdue.
	OverdueIfRested bool     `json:"overdue_if_rested"`
	Reasons         []string `json:"reasons"`
	// Plain says the reasons in a landowner's words.
	Plain []string `json:"plain_reasons"`
	// NoWindow says why there is no candidate window; nil where there is one.
	NoWindow *NoWindow `json:"no_window"`
	// TasksNote says from what the tasks are counted back where that is not the first
	// day of the first window.
	TasksNote string `json:"tasks_note,omitempty"`
	// Waiting says what a year's wait would cost.
	Waiting Price       `json:"waiting"`
	Windows []WindowRow `json:"windows"`
	Tasks   []TaskRow   `json:"tasks"`
	// After are the tasks that follow the burn, with days once it is on record.
	After []TaskRow `json:"tasks_after"`
	// Prescription is the name of the unit's prescription in the season, or
	// empty; Terms say what else a burn is held to.
	Prescription string `json:"prescription,omitempty"`
	Terms        Terms  `json:"terms"`
	Notes        string `json:"notes,omitempty"`
}

// BurnedUnit is a unit of which some or all burned in the program year.
type BurnedUnit struct {
	Unit string `json:"unit"`
	// Acres are those of the unit, Burned those that burned.
	Acres  quantity.Acres `json:"acres"`
	Burned quantity.Acres `json:"acres_burned"`
	Left   quantity.Acres `json:"acres_left"`
	// On is the last day on which it burned.
	On date.Day `json:"burned_on"`
	// Planned says that the plan burns it in the program year.
	Planned bool   `json:"planned"`
	Words   string `json:"words"`
}

// OtherBurn is a burn of the same program year in another season.
type OtherBurn struct {
	Unit   string         `json:"unit"`
	Season string         `json:"season"`
	Acres  quantity.Acres `json:"acres"`
}

// WaitingUnit is a unit that ends the year overdue, and why.
type WaitingUnit struct {
	Unit      string             `json:"unit"`
	Acres     quantity.Acres     `json:"acres"`
	Age       int                `json:"age_at_end"`
	Obstacles []Obstacle         `json:"obstacles"`
	Burns     date.ProgramYear   `json:"next_burn,omitempty"`
	Alone     quantity.AcreYears `json:"alone_acre_years"`
}

// Price is what the other choice costs.
type Price struct {
	// Alone is the change in cost when this choice is reversed and nothing
	// else moves.
	Alone quantity.AcreYears `json:"alone_acre_years"`
	// Second is that of a second plan with the choice locked; nil where none
	// was made. Least and Most bound the difference of the two best plans.
	Second *quantity.AcreYears `json:"second_plan_acre_years"`
	Least  *quantity.AcreYears `json:"second_plan_least"`
	Most   *quantity.AcreYears `json:"second_plan_most"`
	// Impossible says that no plan exists with the other choice.
	Impossible bool   `json:"impossible"`
	Words      string `json:"words"`
}

// WindowRow is one candidate window.
type WindowRow struct {
	First      date.Day `json:"first"`
	Last       date.Day `json:"last"`
	UsableDays int      `json:"usable_days"`
	// Expected is the sum of chances over the usable days; nil without weather.
	Expected   *float64 `json:"expected_days"`
	BestFirst  date.Day `json:"best_week_first"`
	BestLast   date.Day `json:"best_week_last"`
	BestChance *float64 `json:"best_chance"`
	// StartHour is the usual first hour of a run, as "10:00"; empty when unknown.
	StartHour string `json:"start_hour,omitempty"`
	Basis     string `json:"basis"`
}

// TaskRow is one thing to do before a burn, or after it.
type TaskRow struct {
	Unit string `json:"unit"`
	Name string `json:"task"`
	// For is the day of the burn that From and By are counted back from, or on from
	// where the task follows the burn.
	For       date.Day `json:"for"`
	AfterBurn bool     `json:"after_burn,omitempty"`
	// When says the days after a burn: "1 to 3 days after"; empty before it.
	When     string   `json:"when,omitempty"`
	From     date.Day `json:"from"`
	By       date.Day `json:"by"`
	DoneOn   date.Day `json:"done_on"`
	State    string   `json:"state"`
	WaitsFor []string `json:"waits_for"`
	Standing string   `json:"standing"`
	Notes    string   `json:"notes,omitempty"`
	// Moved says that By was moved to the working day before; empty where it was not.
	Moved string `json:"moved,omitempty"`
}

// SeasonOn gives the season that a day lies in, else the next one that comes,
// with its program year.
func SeasonOn(p *habitat.Property, on date.Day) (season int, year date.ProgramYear) {
	if s, y, ok := p.SeasonOf(on); ok {
		return s, y
	}
	season, year = -1, 0
	var first date.Day
	own := p.YearStart.Of(on)
	for y := own; y <= own+2; y++ {
		for s := range p.Seasons {
			if span := p.SeasonSpan(s, y); span.First.After(on) && (season < 0 || span.First.Before(first)) {
				season, year, first = s, y, span.First
			}
		}
	}
	return season, year
}

// NewDue computes what burns in a season of a program year.
func NewDue(in *Season, season int, year date.ProgramYear) (*Due, error) {
	l, err := newLayout(in.Plan)
	if err != nil {
		return nil, err
	}
	p := in.Plan.Problem
	if season < 0 || season >= len(p.Seasons) {
		return nil, fmt.Errorf("find the season: %d is none of the plan's %d", season, len(p.Seasons))
	}
	v := &Due{
		Stamp:    in.Plan.Stamp.of(&in.Plan.Property),
		Plan:     in.Plan.Number,
		Season:   p.Seasons[season],
		Year:     year,
		BurnYear: BurnYearWords(&in.Plan.Property, year),
		Warnings: weatherWarnings(in),
		Cautions: Cautions(),
	}
	if s := in.Plan.Property.SeasonIndex(v.Season); s >= 0 {
		span := in.Plan.Property.SeasonSpan(s, year)
		v.First, v.Last = span.First, span.Last
	}
	v.Crew = l.crew(in, v.Season, year)
	v.Templates = templateWords(&in.Plan.Property)
	for i := range in.Plan.Units { // whatever the plan knows of them
		u := &in.Plan.Units[i]
		if state := in.Plan.state(u, l.records[u.ID], year); state.Burned > 0 {
			v.onRecord(&state, u.ID, l.choice(u.ID, year))
		}
	}
	t := int(year) - p.FirstYear
	if t < 0 || t >= p.Years || in.Plan.Answer.Status == problem.Infeasible {
		v.Nothing = v.nothingWords(in.Plan)
		return v, nil
	}
	v.Allowed = limit(p.Caps[t].BurnDays[season])
	kept := in.index(year)
	for i := range p.Units {
		gone := in.Plan.Became[p.Units[i].ID]
		state, known := l.stateIn(i, t)
		switch s := l.season[i][t]; {
		case gone != "" && s == season:
			v.Gone = append(v.Gone, l.goneWords(p.Units[i].ID, year, "in this season"))
		case gone != "":
		case s == season:
			row := l.dueUnit(in, kept, i, t)
			v.Units = append(v.Units, row)
			if row.Done {
				if v.Allowed != nil { // its days are spent
					*v.Allowed = max(0, *v.Allowed-row.BurnDays)
				}
				continue
			}
			v.Acres += row.Left
			v.BurnDays += row.BurnDays
		case state.Done: // burned, in another season or without being planned
		case s >= 0 && !l.isMissed(i, t):
			left := quantity.Acres(p.Units[i].Acres)
			if known {
				left = state.Left
			}
			v.Elsewhere = append(v.Elsewhere, OtherBurn{p.Units[i].ID, p.Seasons[s], left})
		case l.overdue(i, t):
			row := WaitingUnit{Unit: p.Units[i].ID, Acres: quantity.Acres(p.Units[i].Acres), Age: l.stands[i][t], Burns: l.nextBurn(i, t)}
			if s >= 0 { // its season is over
				row.Obstacles = []Obstacle{{problem.RequireSeason, fmt.Sprintf("Its burn in the %s was missed.", habitat.SeasonWords(p.Seasons[s], year))}}
			} else {
				row.Obstacles, row.Alone = l.heldBack(i, t), l.alone(i, t)
			}
			v.Waiting = append(v.Waiting, row)
		}
	}
	if len(v.Units) == 0 {
		v.Nothing = v.nothingWords(in.Plan)
	}
	// What would be overdue comes first, then the oldest against its interval.
	slices.SortStableFunc(v.Units, func(a, b DueUnit) int {
		left := func(u DueUnit) int {
			if u.Done {
				return math.MaxInt32 // what has burned comes last
			}
			return u.MaxInterval - u.AgeBefore
		}
		return left(a) - left(b)
	})
	return v, nil
}

// goneWords say of a unit that is not there anymore what became of it, and that the
// plan burns it in a year all the same, or that it has burned.
func (l *layout) goneWords(unit string, year date.ProgramYear, when string) string {
	became, it := l.Became[unit], "it"
	if !strings.HasPrefix(became, unit+" was ") { // merged with others
		it = unit
	}
	words := fmt.Sprintf("%s. Plan %d was to burn %s %s", became, l.Number, it, when)
	now := l.Now[unit]
	hasBurned := len(now) > 0
	for _, name := range now {
		u := l.known[name]
		if u == nil {
			hasBurned = false
			break
		}
		state := l.state(u, l.records[name], year)
		hasBurned = hasBurned && state.Done
	}
	if hasBurned {
		return words + ", and it has burned."
	}
	return words + " and knows nothing of that."
}

// nothingWords say that no unit burns in the season, and that it has no day on which one
// could.
func (v *Due) nothingWords(plan *Plan) string {
	words := "No unit burns in this season"
	if len(v.Gone) > 0 {
		words = "No unit that is there burns in this season"
	}
	span := date.Span{First: v.First, Last: v.Last}
	if span.First.Before(v.Stamp.On) {
		span.First = v.Stamp.On
	}
	if !v.First.IsZero() && span.Days() > 0 && len(window.FromDates(span, plan.Property.ClosedIn("", span), &plan.Property.Crew)) == 0 {
		words += ": closures and the crew's calendar leave no day in it"
		if span.First != v.First {
			words += " from today on"
		}
	}
	return words + "."
}

// Open gives the units of the season that are still to burn.
func (v *Due) Open() []DueUnit {
	var open []DueUnit
	for _, u := range v.Units {
		if !u.Done {
			open = append(open, u)
		}
	}
	return open
}

// choice is what a plan does with a unit in a year.
type choice int

const (
	unknownChoice choice = iota // the plan does not hold the unit, or the year
	restChoice
	burnChoice
)

func (l *layout) choice(unit string, year date.ProgramYear) choice {
	i, t := indexOf(l.Problem, unit), int(year)-l.Problem.FirstYear
	for gone, now := range l.Now { // what it was when the plan was made
		if i < 0 && slices.Contains(now, unit) && l.choice(gone, year) == burnChoice {
			return burnChoice
		}
	}
	switch {
	case i < 0 || t < 0 || t >= l.Problem.Years:
		return unknownChoice
	case l.burns(i, t):
		return burnChoice
	}
	return restChoice
}

// onRecord enters a unit of which some or all burned.
func (v *Due) onRecord(s *habitat.UnitState, unit string, plan choice) {
	row := BurnedUnit{Unit: unit, Acres: s.Burned + s.Left, Burned: s.Burned, Left: s.Left, On: s.BurnedOn, Planned: plan == burnChoice, Words: BurnedWords(s)}
	switch plan {
	case restChoice:
		row.Words += "; the plan rests it this year"
	case unknownChoice:
		row.Words += fmt.Sprintf("; plan %d says nothing of it", v.Plan)
	}
	if s.Done {
		v.Burned = append(v.Burned, row)
	} else {
		v.Unfinished = append(v.Unfinished, row)
	}
}

func (l *layout) dueUnit(in *Season, kept *yearIndex, i, t int) DueUnit {
	u := &l.Problem.Units[i]
	before := l.beforeYear(i, t)
	row := DueUnit{Unit: u.ID, Acres: quantity.Acres(u.Acres), Interval: l.interval(i).String(), AgeBefore: before, MaxInterval: u.MaxInterval,
		BurnDays: u.BurnDays, OverdueIfRested: before+1 >= u.MaxInterval, Reasons: l.reasons(i, t, false), Plain: l.reasons(i, t, true), Waiting: l.price(in.Others, i, t), Terms: Terms{Words: []string{}}, Left: quantity.Acres(u.Acres)}
	for _, lock := range l.Problem.Locks {
		row.Locked = row.Locked || lock.Unit == i && lock.Year == int(l.year(t))
	}
	if known := l.known[u.ID]; known != nil {
		row.Cover, row.Notes = known.Cover, known.Notes
		row.Prescription = known.PrescriptionIn(l.Problem.Seasons[l.season[i][t]])
		state, _ := l.stateIn(i, t)
		row.LastBurn, row.Done, row.Burned, row.Left, row.OnRecord = state.LastBurn, state.Done, state.Burned, state.Left, BurnedWords(&state)
	}
	for _, task := range kept.tasks[u.ID] {
		if task.Task.AfterBurn {
			row.After = append(row.After, taskRow(*task))
		} else {
			row.Tasks = append(row.Tasks, taskRow(*task))
		}
	}
	// Nothing says on paper which are open and which ahead: they stand in order of their days.
	slices.SortStableFunc(row.Tasks, func(a, b TaskRow) int { return a.By.Compare(b.By) })
	if row.Done { // nothing more is to be said or waited for
		row.OverdueIfRested, row.Waiting = false, Price{}
		row.Reasons = []string{fmt.Sprintf("It %s: that is its burn of %d.", row.OnRecord, l.year(t))}
		row.Plain = row.Reasons
		return row
	}
	season := l.Problem.Seasons[l.season[i][t]]
	for _, w := range kept.windows[u.ID] {
		if w.Season == season {
			row.Terms = w.Terms.listed()
			for _, one := range w.Windows {
				if !one.Last.Before(l.Stamp.On) { // what is over is no longer a choice
					row.Windows = append(row.Windows, windowRow(one))
				}
			}
			row.NoWindow, row.TasksNote = noWindowOf(w.None, noWindow(w, len(row.Windows), l.Stamp.On)), tasksNote(w)
		}
	}
	if len(row.Windows) == 0 && row.NoWindow == nil {
		row.NoWindow = noWindowOf(nil, row.NoWindow.Short())
	}
	if len(row.After) == 0 {
		for _, task := range kept.follow[u.ID] {
			row.After = append(row.After, taskRow(*task))
		}
	}
	return row
}

// noWindow says why a unit has no candidate window, as far as it is known; empty
// where it has one.
func noWindow(w *UnitWindows, open int, today date.Day) string {
	if open > 0 {
		return ""
	}
	if w.Terms.Warning != "" {
		return "no day suits: " + w.Terms.Warning
	}
	switch {
	case len(w.Windows) == 1:
		return "its window closed on " + w.Windows[0].Last.Words()
	case len(w.Windows) > 1:
		return "its windows are over; the last closed on " + w.Windows[len(w.Windows)-1].Last.Words()
	case w.Terms.Prescription != "":
		return fmt.Sprintf("no week suits: closures, days off and the weather that prescription %s asks for leave none", w.Terms.Prescription)
	}
	return "no day suits: closures and days off leave none"
}

// yearIndex finds the windows and tasks of one program year by unit.
type yearIndex struct {
	windows map[string][]*UnitWindows
	tasks   map[string][]*preparation.Due
	follow  map[string][]*preparation.Due
}

func (s *Season) index(year date.ProgramYear) *yearIndex {
	x := &yearIndex{map[string][]*UnitWindows{}, map[string][]*preparation.Due{}, map[string][]*preparation.Due{}}
	for i := range s.Windows {
		if w := &s.Windows[i]; w.Year == year {
			x.windows[w.Unit] = append(x.windows[w.Unit], w)
		}
	}
	for i := range s.Tasks {
		if t := &s.Tasks[i]; t.Year == year {
			x.tasks[t.Unit] = append(x.tasks[t.Unit], t)
		}
	}
	for i := range s.Follow {
		if t := &s.Follow[i]; t.Year == year {
			x.follow[t.Unit] = append(x.follow[t.Unit], t)
		}
	}
	return x
}

// Brief says the terms in lines that are short enough for a narrow column: the
// numbers, and whatever is wrong. Words say how the numbers come about.
func (t *Terms) Brief() []string {
	if t.Hours == nil {
		return t.Words
	}
	line := "Needs " + quantity.Count(*t.Hours, "hour") + " in a row"
	if t.Lines != nil {
		if *t.Lines == 1 {
			line += ", with a line burned across the middle"
		} else if *t.Lines > 1 {
			line += ", with up to " + quantity.Count(*t.Lines, "line") + " burned across the middle"
		}
		line += "; the wind card says how that is counted"
	}
	all := []string{"Prescription " + t.Prescription + ".", line + "."}
	if t.Winds != "" {
		all = append(all, t.Winds)
	}
	if t.Warning != "" {
		all = append(all, warningWords(t.Warning))
	}
	return all
}

// OnSheet says the terms where a rose and a box of limits stand beside them: what a
// burn needs and whatever is wrong.
func (t *Terms) OnSheet() []string {
	if t.Hours == nil {
		return t.Words
	}
	line := fmt.Sprintf("It needs %s in a row", quantity.Count(*t.Hours, "hour"))
	if t.Lines != nil {
		switch *t.Lines {
		case 0:
			line += ", backed through without a line across it"
		case 1:
			line += ", with a line burned across the middle"
		default:
			line += ", with up to " + quantity.Count(*t.Lines, "line") + " burned across it"
		}
	}
	all := []string{line + "."}
	if t.Warning != "" {
		all = append(all, warningWords(t.Warning))
	}
	return all
}

// listed gives the terms with a list of words that is never nil.
func (t Terms) listed() Terms {
	t.Words = append([]string{}, t.Words...)
	return t
}

// weatherWarnings is never nil: a list of none.
func weatherWarnings(in *Season) []string { return append([]string{}, in.Weather...) }

func windowRow(w window.Window) WindowRow {
	row := WindowRow{First: w.First, Last: w.Last, UsableDays: w.UsableDays, Basis: w.Basis}
	if o := w.Weather; o != nil {
		chance := float64(o.BestChance)
		row.Expected, row.BestChance = limit(o.ExpectedDays), limit(chance)
		row.BestFirst, row.BestLast = o.BestWeek.First, o.BestWeek.Last
		if o.StartHour > 0 {
			row.StartHour = fmt.Sprintf("%02d:00", (o.StartHour-1)%24) // hour ending
		}
	}
	return row
}

func taskRow(d preparation.Due) TaskRow {
	row := TaskRow{
		Unit:     d.Unit,
		Name:     d.Task.Name,
		For:      d.For,
		From:     d.From,
		By:       d.By,
		DoneOn:   d.DoneOn,
		State:    string(d.State),
		WaitsFor: d.WaitsFor,
		Standing: d.Task.Standing,
		Notes:    d.Task.Notes,
		Moved:    MovedWords(&d),
	}
	if d.Task.AfterBurn {
		row.AfterBurn, row.When = true, daysAfter(&d.Task)
	}
	return row
}

// MovedWords says that a task's last day was moved to the working day before; empty
// where it was not.
func MovedWords(d *preparation.Due) string {
	if d.Counted.IsZero() {
		return ""
	}
	because := date.FederalHoliday(d.Counted)
	if because == "" {
		because = "not a working day"
	}
	return fmt.Sprintf("Moved to the working day before: %s is %s.", d.Counted.Words(), because)
}

// daysAfter says how long after a burn a task is to be done.
func daysAfter(t *habitat.Task) string {
	unit := "day"
	if t.Workdays {
		unit = "workday"
	}
	switch {
	case t.Latest == 0:
		return "on the day"
	case t.Earliest == 0:
		return "within " + quantity.Count(t.Latest, unit)
	case t.Earliest == t.Latest:
		return quantity.Count(t.Latest, unit) + " after"
	}
	return fmt.Sprintf("%d to %s after", t.Earliest, quantity.Count(t.Latest, unit))
}

// price says what the other choice costs, from a second solve where there is one.
func (l *layout) price(others []Other, unit, t int) Price {
	out := Price{Alone: l.alone(unit, t)}
	other, otherwise := "burned", "burning"
	if l.burns(unit, t) {
		other, otherwise = "rested", "resting"
	}
	alone := fmt.Sprintf("If it %s in %d and no other burn of the plan moved, the shortfall would be %s", other, l.year(t), largerOrSmaller(out.Alone))
	out.Words = alone + "; a plan made again around that may move other burns and win some of it back."
	if out.Alone <= 0.005 {
		out.Words = alone + "."
	}
	if !l.burns(unit, t) && l.cheapestSeason(unit, t) < 0 {
		out.Words, out.Impossible = fmt.Sprintf("No plan burns it in %d.", l.year(t)), true
	}
	for _, o := range others {
		if o.Unit != l.Problem.Units[unit].ID || o.Year != l.year(t) || o.Answer == nil {
			continue
		}
		if o.Answer.Status == problem.Infeasible {
			out.Impossible = true
			out.Words = fmt.Sprintf("No plan %s it in %d.", map[bool]string{true: "rests", false: "burns"}[l.burns(unit, t)], l.year(t))
			break
		}
		atHand, least, most := quantity.AcreYears(o.AtHand), quantity.AcreYears(o.Least), quantity.AcreYears(o.Most)
		out.Second, out.Least, out.Most = &atHand, &least, &most
		out.Words = fmt.Sprintf(
			"Planned again with it %s in %d, other burns moved to suit: the shortfall is %s. %s.",
			otherwise,
			l.year(t),
			DifferenceWords(whatif.Range{AtHand: o.AtHand, Least: o.Least, Most: o.Most}),
			alone,
		)
	}
	return out
}

// largerOrSmaller gives "12 acre-years larger", "3.5 acre-years smaller", "the
// same".
func largerOrSmaller(v quantity.AcreYears) string {
	switch {
	case v > 0.005:
		return counted(float64(v), "acre-year") + " larger"
	case v < -0.005:
		return counted(-float64(v), "acre-year") + " smaller"
	}
	return "the same"
}
