package app

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/report/view"
)

// ownTask is something to do before a burn, or after it.
type ownTask struct {
	name             string
	earliest, latest int // days before the burn, or after it
	isGrazed         bool
	isAfter          bool
	// Where it has days of the year, they stand in place of days before the burn.
	isYearly bool
}

// The days of the year on which stock is kept off, as month and day.
var deferFrom, deferTo = [2]int{6, 15}, [2]int{7, 15}

// ownTasks are two of every burn and three of grazed units.
func ownTasks() []ownTask {
	return []ownTask{
		{name: "walk the breaks", earliest: 30, latest: 5},
		{name: "call the neighbors", earliest: 20, latest: 5},
		{name: "move the stock", earliest: 7, latest: 1, isGrazed: true},
		{name: "rest the grass", isGrazed: true, isYearly: true},
		{name: "wait for the grass", latest: 60, isGrazed: true, isAfter: true},
	}
}

// habitat gives the task as the program stores it.
func (t *ownTask) habitat() habitat.Task {
	task := habitat.Task{Name: t.name, Earliest: t.earliest, Latest: t.latest, Grazed: t.isGrazed, AfterBurn: t.isAfter}
	if t.isYearly {
		task.Yearly = &date.AnnualSpan{First: annual(deferFrom), Last: annual(deferTo)}
	}
	return task
}

func (n *notebook) isGrazed(u *ownUnit) bool { return n.allGraze || slices.Contains(n.grazed, u.name) }

// tasksOf gives the tasks of a unit, those before a burn or those after it.
func (n *notebook) tasksOf(u *ownUnit, after bool) (all []ownTask) {
	for _, t := range n.tasks {
		if t.isAfter == after && (!t.isGrazed || n.isGrazed(u)) {
			all = append(all, t)
		}
	}
	return all
}

// days gives the days on which a task before a burn is in time.
func (t *ownTask) days(burn time.Time, crew *ownCrew) (from, by time.Time) {
	from, by = next(burn, -t.earliest), next(burn, -t.latest)
	if t.isYearly {
		year := burn.Year()
		if from = civil(year, deferFrom[0], deferFrom[1]); !from.Before(burn) {
			from = civil(year-1, deferFrom[0], deferFrom[1])
		}
		if by = civil(from.Year(), deferTo[0], deferTo[1]); !by.Before(burn) {
			by = next(burn, -1)
		}
	}
	// What is due on a day off is done on the workday before.
	if before := by; !crew.works(before) {
		for !crew.works(before) && !before.Before(from) {
			before = next(before, -1)
		}
		if !before.Before(from) {
			by = before
		}
	}
	return from, by
}

// burnDay is the day that tasks are counted back from: the first usable one for which
// all can still be done, those left out that no day is in time for.
func (n *notebook) burnDay(u *ownUnit, b ownBurn) time.Time {
	usable := n.usable(u, b.season, b.year)
	if len(usable) == 0 {
		first, _ := n.span(b.season, b.year)
		if first.Before(n.today) {
			first = n.today
		}
		return first
	}
	isLate := func(t *ownTask, on time.Time) bool {
		_, by := t.days(on, &n.crew)
		return by.Before(n.today) && !n.done[taskKey{t.name, u.name, b.year}]
	}
	tasks := slices.DeleteFunc(n.tasksOf(u, false), func(t ownTask) bool {
		return t.isYearly && isLate(&t, usable[len(usable)-1])
	})
	for _, d := range usable {
		if !slices.ContainsFunc(tasks, func(t ownTask) bool { return isLate(&t, d) }) {
			return d
		}
	}
	return usable[0]
}

// ownDue is a task of a burn with its days.
type ownDue struct {
	unit           string
	year           int
	task           string
	isAfter        bool
	burn, from, by time.Time
	done           bool
	state          string
}

func (d *ownDue) String() string {
	return fmt.Sprintf("%s %d %s: for %s, %s to %s, %s", d.unit, d.year, d.task, d.burn.Format(time.DateOnly), d.from.Format(time.DateOnly), d.by.Format(time.DateOnly), d.state)
}

// due gives what must be done before the burns that are ahead and after those on
// record, and what is to follow the burns ahead.
func (n *notebook) due(p *ownPlan) (tasks, follow []ownDue) {
	settle := func(d *ownDue) {
		d.done = n.done[taskKey{d.task, d.unit, d.year}]
		switch {
		case d.done:
			d.state = "done"
		case d.by.Before(n.today):
			d.state = "late"
		case d.from.After(n.today):
			d.state = "ahead"
		default:
			d.state = "open"
		}
	}
	for _, b := range p.burns {
		u := n.unit(b.unit)
		if u == nil || n.isRetired(u) || n.isOver(b) || n.state(u, b.year).done {
			continue
		}
		day := n.burnDay(u, b)
		for _, t := range n.tasksOf(u, false) {
			d := ownDue{unit: b.unit, year: b.year, task: t.name, burn: day}
			d.from, d.by = t.days(day, &n.crew)
			settle(&d)
			tasks = append(tasks, d)
		}
		for _, t := range n.tasksOf(u, true) {
			d := ownDue{unit: b.unit, year: b.year, task: t.name, isAfter: true, burn: day, from: next(day, t.earliest), by: next(day, t.latest)}
			if settle(&d); !d.done {
				d.state = "after burn"
			}
			follow = append(follow, d)
		}
	}
	this := n.yearOf(n.today)
	for _, u := range n.present() {
		for year := this - 1; year <= this; year++ {
			var last time.Time
			for _, f := range u.ground.all() {
				if r := f.record; !r.gone && r.kind == "prescribed" && !r.through.After(n.today) && n.yearOf(r.through) == year && r.through.After(last) {
					last = r.through
				}
			}
			if last.IsZero() {
				continue
			}
			for _, t := range n.tasksOf(u, true) {
				d := ownDue{unit: u.name, year: year, task: t.name, isAfter: true, burn: last, from: next(last, t.earliest), by: next(last, t.latest)}
				// Two weeks late, nobody waits any longer.
				if settle(&d); d.state != "late" || !next(d.by, 14).Before(n.today) {
					tasks = append(tasks, d)
				}
			}
		}
	}
	return tasks, follow
}

// compareTasks holds what must be done before burns and after them, with all days,
// against the burns that are ahead and those on record, wherever it is said.
func (y *played) compareTasks(c *Contents, p *ownPlan) {
	n := y.n
	tasks, follow := n.due(p)
	words := func(all []ownDue, keep func(*ownDue) bool) (words []string) {
		for i := range all {
			if keep(&all[i]) {
				words = append(words, all[i].String())
			}
		}
		return words
	}
	said := func(all []preparation.Due) (words []string) {
		for i := range all {
			d := &all[i]
			words = append(words, fmt.Sprintf("%s %d %s: for %s, %s to %s, %s", d.Unit, d.Year, d.Task.Name, d.For, d.From, d.By, d.State))
		}
		return words
	}
	all := func(*ownDue) bool { return true }
	sets(y, "tasks", said(c.Season.Tasks), words(tasks, all))
	sets(y, "tasks after burns ahead", said(c.Season.Follow), words(follow, all))

	within := func(days int) func(d *ownDue) bool {
		return func(d *ownDue) bool { return !d.done && (d.state != "ahead" || !d.from.After(next(n.today, days))) }
	}
	if y.rng.IntN(4) == 0 { // it reads all anew
		ahead, err := y.s.TasksDue(context.Background(), 30)
		y.must(err)
		sets(y, "tasks of 30 days", said(ahead), words(tasks, within(30)))
	}
	week := y.week
	row := func(unit string, t *view.TaskRow) string {
		return fmt.Sprint(unit, " ", t.Name, " ", t.From, " ", t.By, " ", t.State)
	}
	rows := func(all []ownDue, keep func(*ownDue) bool) (words []string) {
		for i := range all {
			if d := &all[i]; keep(d) {
				words = append(words, fmt.Sprint(d.unit, " ", d.task, " ", ofCivil(d.from), " ", ofCivil(d.by), " ", d.state))
			}
		}
		return words
	}
	var got []string
	for i := range week.Tasks {
		got = append(got, row(week.Tasks[i].Unit, &week.Tasks[i]))
	}
	sets(y, "week: tasks", got, rows(tasks, within(6)))
	for i := range c.Due.Units {
		u := &c.Due.Units[i]
		of := func(isAfter bool) func(*ownDue) bool {
			return func(d *ownDue) bool { return d.unit == u.Unit && d.year == int(c.Due.Year) && d.isAfter == isAfter }
		}
		before, after := rows(tasks, of(false)), rows(tasks, of(true))
		if after == nil && !u.Done {
			after = rows(follow, of(true))
		}
		for _, side := range []struct {
			what string
			got  []view.TaskRow
			want []string
		}{{"tasks", u.Tasks, before}, {"tasks after it", u.After, after}} {
			got = nil
			for k := range side.got {
				got = append(got, row(u.Unit, &side.got[k]))
			}
			sets(y, "due: "+u.Unit+": "+side.what, got, side.want)
		}
	}
	agenda, err := c.Agenda(AgendaOptions{})
	y.must(err)
	got = nil
	for _, e := range agenda.Events {
		if e.Kind != view.WindowEvent {
			got = append(got, fmt.Sprint(e.Unit, " ", e.Year, " ", e.Name, " ", e.Kind == view.FollowUpEvent, " ", e.First, " ", e.Last, " ", e.Done, " ", strings.HasPrefix(e.Summary, "Done")))
		}
	}
	var want []string
	for i := range tasks {
		// A calendar holds the tasks of this year and the next.
		if d := &tasks[i]; d.year >= p.first && d.year <= p.last && d.year <= n.yearOf(n.today)+1 && slices.Contains(p.units, d.unit) {
			from := d.by
			if d.isAfter {
				from = d.from
			}
			want = append(want, fmt.Sprint(d.unit, " ", d.year, " ", d.task, " ", d.isAfter, " ", ofCivil(from), " ", ofCivil(d.by), " ", d.done, " ", d.done))
		}
	}
	sets(y, "calendar file: tasks", got, want)
}

// graze lets stock graze units, all of them or none, or says of a treatment whether it
// sets the stand age back.
func (y *played) graze() {
	n, p := y.n, y.s.Property
	p.Owned = nil
	if y.rng.IntN(2) == 0 {
		kind := []habitat.RecordKind{habitat.Mowing, habitat.Grazing, habitat.Grazing}[y.rng.IntN(3)]
		n.resets[string(kind)] = !n.resets[string(kind)]
		p.TreatmentsReset = nil
		for _, of := range []habitat.RecordKind{habitat.Mowing, habitat.Grazing} {
			if n.resets[string(of)] {
				p.TreatmentsReset = append(p.TreatmentsReset, of)
			}
		}
		y.say("treatments that set the age back: %v", p.TreatmentsReset)
	} else {
		var names []string
		for _, u := range n.present() {
			if y.rng.IntN(2) == 0 {
				names = append(names, u.name)
			}
		}
		if n.allGraze = y.rng.IntN(4) == 0 && !n.allGraze; n.allGraze {
			names = nil
		}
		was := p
		p.GrazedUnits, p.AllGrazed = names, n.allGraze
		n.grazed = slices.Clone(names)
		if y.say("stock grazes %v, all of them %v", names, n.allGraze); was.AllGrazed == p.AllGrazed && slices.Equal(was.GrazedUnits, names) {
			return
		}
	}
	_, err := y.s.ChangeSettings(context.Background(), SettingsChange{To: &p})
	y.must(err)
	n.change("settings")
}
