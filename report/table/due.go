package table

import (
	"fmt"
	"io"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// Due writes what burns in a season and why. CSV holds one row a unit.
func Due(w io.Writer, v *view.Due, o Options) error {
	switch o.Format {
	case JSON:
		return writeJSON(w, v)
	case CSV:
		return DueSheet(v).WriteCSV(w)
	}
	p := newPage(o)
	p.overtaken(v.Stamp)
	p.items(v.Gone)
	p.line("%s", bold.render(fmt.Sprintf("%s: %s", name(v.Stamp.Property, 60), habitat.SeasonWords(name(v.Season, longestName), v.Year))))
	if !v.First.IsZero() {
		p.note(fmt.Sprintf("%s to %s", v.First.Words(), v.Last.Words()))
	}
	open := v.Open()
	switch {
	case len(v.Units) == 0:
		p.note(v.Nothing)
	case len(open) == 0:
		p.note("Every unit of this season has burned.")
	default:
		days := view.BurnDays(v.BurnDays)
		if v.Allowed != nil {
			days += " of " + view.Number(*v.Allowed)
		}
		p.note(fmt.Sprintf("%s, %s acres, %s", quantity.Count(len(open), "unit"), v.Acres, days))
		p.line("")
		var rows [][]cell
		for _, u := range open {
			state := plain("may wait")
			if u.OverdueIfRested {
				state = styled("! last chance", alarm)
			}
			if u.Locked {
				state.text += " #"
			}
			rows = append(
				rows,
				[]cell{
					plain(name(u.Unit, longestName)),
					plain(leftWords(&u)),
					plain(u.Interval),
					plain(fmt.Sprint(u.AgeBefore)),
					plain(view.Number(u.BurnDays)),
					state,
					plain(windowsWords(&u)),
				},
			)
		}
		p.grid([]string{"unit", "acres", "every", "age", "days", "", "first window"}, rows, func(c int) bool { return c == 1 || c == 3 || c == 4 })
		p.key("age: at the end of the year before; ! last chance this year: burns now or ends the year overdue; # locked")
	}
	if len(open) > 0 {
		p.items(v.Crew.Words)
		p.items(v.Templates)
	}
	p.burned("Burned in", v.Year, v.Burned)
	p.burned("Burned in part in", v.Year, v.Unfinished)
	for _, u := range open {
		p.heading(name(u.Unit, 60))
		p.items(u.Reasons)
		p.items([]string{u.Waiting.Words})
		for _, window := range u.Windows {
			p.items([]string{"Window: " + windowWords(window)})
		}
		if len(u.Windows) == 0 {
			p.items(u.NoWindow.Lines())
		}
		p.items(u.Terms.Words)
		if len(u.Tasks) > 0 {
			if u.TasksNote != "" {
				p.items([]string{u.TasksNote})
			}
			p.items([]string{fmt.Sprintf("Before it burns, counted back from %s to days that are worked:", u.Tasks[0].For.Words())})
			p.tasks(u.Tasks)
		}
		p.after(u.After)
	}
	for _, u := range v.Units {
		if u.Done && len(u.After) > 0 {
			p.heading(name(u.Unit, 60) + " has burned")
			p.after(u.After)
		}
	}
	if len(v.Waiting) > 0 {
		p.heading(fmt.Sprintf("Overdue and not burned in %d", v.Year))
		for _, u := range v.Waiting {
			words := fmt.Sprintf("%s, %s acres, ends the year at age %d.", u.Unit, u.Acres, u.Age)
			if u.Burns != 0 {
				words += fmt.Sprintf(" It burns in %d.", u.Burns)
			}
			for _, o := range u.Obstacles {
				words += " " + o.Words
			}
			p.items([]string{words})
		}
	}
	if len(v.Elsewhere) > 0 {
		p.heading(fmt.Sprintf("In other seasons of %d", v.Year))
		for _, e := range v.Elsewhere {
			p.items([]string{fmt.Sprintf("%s, %s acres, %s", name(e.Unit, 60), e.Acres, name(e.Season, 60))})
		}
	}
	if len(v.Warnings) > 0 {
		p.heading("The weather record")
		p.items(v.Warnings)
	}
	p.line("")
	p.items(v.Cautions)
	return p.writeTo(w)
}

// after lists the tasks that follow a burn.
func (p *page) after(all []view.TaskRow) {
	if len(all) > 0 {
		p.items([]string{"After it has burned:"})
		p.tasks(all)
	}
}

func (p *page) tasks(all []view.TaskRow) {
	for _, task := range all {
		p.parts = append(p.parts, wrap(view.Plain(taskWords(task)), p.width, "    ")...)
	}
}

// leftWords gives the acres that are left to burn, of those of the unit where some
// have burned.
func leftWords(u *view.DueUnit) string {
	if u.Burned > 0 {
		return u.Left.String() + " of " + u.Acres.String()
	}
	return u.Acres.String()
}

// burned lists what burned in the program year.
func (p *page) burned(title string, year date.ProgramYear, all []view.BurnedUnit) {
	if len(all) == 0 {
		return
	}
	p.heading(fmt.Sprintf("%s %d", title, year))
	for _, u := range all {
		p.items([]string{fmt.Sprintf("%s: %s", name(u.Unit, 60), u.Words)})
	}
}

// overtaken says, on top of everything, what changed since the plan was made, and
// which lines of contracts it does not keep.
func (p *page) overtaken(s view.Stamp) {
	if s.Overtaken != "" {
		p.note(s.Overtaken)
	}
	for _, text := range s.LineList() {
		p.note(text)
	}
	if s.Overtaken != "" || s.Lines != "" {
		p.line("")
	}
}

func windowsWords(u *view.DueUnit) string {
	windows := u.Windows
	if len(windows) == 0 {
		return view.Plain(u.NoWindow.Short())
	}
	words := windows[0].First.Words() + " to " + windows[0].Last.Words()
	if len(windows) > 1 {
		words += fmt.Sprintf(" (+%d)", len(windows)-1)
	}
	return words
}

func windowWords(w view.WindowRow) string {
	words := fmt.Sprintf("%s to %s, %s", w.First.Words(), w.Last.Words(), quantity.Count(w.UsableDays, "usable day"))
	if w.Expected == nil {
		return words + "; " + w.Basis
	}
	words += fmt.Sprintf(", %s expected", view.BurnDays(*w.Expected))
	if !w.BestFirst.IsZero() && w.BestChance != nil {
		words += fmt.Sprintf("; best week from %s, %s a day", w.BestFirst.Words(), view.Percent(*w.BestChance))
	}
	if w.StartHour != "" {
		words += "; runs usually start at " + w.StartHour
	}
	return words + " (" + w.Basis + ")"
}

func taskWords(t view.TaskRow) string {
	switch t.State {
	case "done":
		return "✓ " + t.Name + ", done " + t.DoneOn.Words()
	case "late":
		return "! " + t.Name + ", was due by " + t.By.Words()
	}
	words := "☐ " + t.Name + ", by " + t.By.Words()
	if t.State == string(preparation.Follows) {
		return "☐ " + t.Name + ", " + t.When
	}
	if len(t.WaitsFor) > 0 {
		words += " (after: " + strings.Join(t.WaitsFor, ", ") + ")"
	}
	return words
}

// DueSheet is the season with one row a unit.
func DueSheet(v *view.Due) *Sheet {
	s := &Sheet{Name: "due", Header: []string{"unit", "acres", "program_year", "season", "interval", "age_before", "burn_days", "due_now", "locked", "burned",
		"first_window_from", "first_window_to", "usable_days", "expected_days", "basis", "waiting_alone_acre_years", "waiting_adds_acre_years", "prescription", "needed_hours", "interior_lines", "acres_burned", "acres_left"}}
	for _, u := range v.Units {
		var first, last, usable, expected, basis any // empty without a window
		if len(u.Windows) > 0 {
			w := u.Windows[0]
			first, last, usable, expected, basis = w.First, w.Last, w.UsableDays, w.Expected, w.Basis
		}
		s.Rows = append(s.Rows, []any{u.Unit, u.Acres, v.Year, v.Season, u.Interval, u.AgeBefore, u.BurnDays, u.OverdueIfRested, u.Locked, u.Done,
			first, last, usable, expected, basis, float64(u.Waiting.Alone), (*float64)(u.Waiting.Second), u.Prescription, count(u.Terms.Hours), count(u.Terms.Lines), u.Burned, u.Left})
	}
	return s
}

// count gives an empty cell for a number that is not known.
func count(n *int) any {
	if n == nil {
		return nil
	}
	return *n
}
