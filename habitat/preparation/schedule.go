package preparation

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

// Burn is the burn that is prepared for.
type Burn struct {
	Unit   habitat.Unit
	Season string
	Year   date.ProgramYear
	// First is the first day of its window.
	First date.Day
	// Grazed says that stock grazes the unit.
	Grazed bool
}

// State says how a task stands on a day.
type State string

const (
	// Done tasks have a done date.
	Done State = "done"
	// Late tasks should have been done.
	Late State = "late"
	// Open tasks can be done now.
	Open State = "open"
	// Ahead tasks come later.
	Ahead State = "ahead"
	// Follows: the task comes after a burn that is not on record yet; its days move
	// with the burn.
	Follows State = "after burn"
)

// Due is one task of one burn with its dates.
type Due struct {
	Task habitat.Task
	Unit string
	Year date.ProgramYear
	// For is the burn's day that the others are counted back from. From and By
	// are the first and the last day on which the task is in time.
	For, From, By date.Day
	// Counted is the last day as it was counted, where it is not a working day and By
	// is the working day before; zero where By is that day itself.
	Counted date.Day
	DoneOn  date.Day
	State   State
	// WaitsFor names the tasks that come first and are not done.
	WaitsFor []string
}

// Belongs reports whether the task belongs to the burn. Covers match by whole
// words of the unit's cover, in any case.
func Belongs(t *habitat.Task, b *Burn) bool {
	has := func(list []string, value string) bool { return len(list) == 0 || slices.Contains(list, value) }
	return (b.Grazed || !t.Grazed) && has(t.Units, b.Unit.ID) && has(t.Seasons, b.Season) && has(t.Prescriptions, b.Unit.Prescription) &&
		(len(t.Covers) == 0 || slices.ContainsFunc(t.Covers, func(c string) bool { return mentions(b.Unit.Cover, c) }))
}

// mentions reports whether the words of phrase stand side by side in text.
func mentions(text, phrase string) bool {
	words, wanted := strings.Fields(strings.ToLower(text)), strings.Fields(strings.ToLower(phrase))
	if len(wanted) == 0 {
		return false
	}
	for i := 0; i+len(wanted) <= len(words); i++ {
		if slices.Equal(words[i:i+len(wanted)], wanted) {
			return true
		}
	}
	return false
}

// Schedule gives the tasks that come before a burn with their dates, in the order of By. A
// task that others come before is due no earlier than they can be; a task that
// must come first is due no later than the one that waits for it. A last day that is
// no working day moves to the working day before, where that is still in time.
func Schedule(tasks []habitat.Task, b *Burn, crew *date.Crew, done []habitat.TaskDone, today date.Day) []Due {
	all := inTime(nil, tasks, b, crew, done, today)
	for i := range all {
		d := &all[i]
		for _, name := range d.Task.After {
			if j := indexOf(all, name); j >= 0 && all[j].DoneOn.IsZero() {
				d.WaitsFor = append(d.WaitsFor, name)
			}
		}
	}
	inOrder(all)
	return all
}

// inOrder sorts tasks as they stand in the list by their days.
func inOrder(all []Due) {
	slices.SortStableFunc(all, func(x, y Due) int { return cmp.Or(x.By.Compare(y.By), x.From.Compare(y.From)) })
}

// indexOf finds a task by its name, the last of that name; -1 where there is none.
func indexOf(all []Due, name string) int {
	for i := len(all) - 1; i >= 0; i-- {
		if all[i].Task.Name == name {
			return i
		}
	}
	return -1
}

// inTime gives the tasks that come before a burn with their dates and states, in the
// order of the list. They take the place of what is in room, where there is any.
func inTime(room []Due, tasks []habitat.Task, b *Burn, crew *date.Crew, done []habitat.TaskDone, today date.Day) []Due {
	all := room[:0]
	for i := range tasks {
		t := &tasks[i]
		if t.AfterBurn || !Belongs(t, b) {
			continue
		}
		if all == nil {
			all = make([]Due, 0, len(tasks)-i)
		}
		d := Due{Task: *t, Unit: b.Unit.ID, Year: b.Year, For: b.First, DoneOn: doneOn(done, t, b)}
		d.From, d.By = days(t, b.First, crew)
		all = append(all, d)
	}
	// What must come first must be done by the day on which the other is due.
	// Validate keeps the order free of circles, so that this settles within as
	// many rounds as there are tasks.
	for range all {
		isSettled := true
		for i := range all {
			for _, name := range all[i].Task.After {
				if j := indexOf(all, name); j >= 0 && all[j].By.After(all[i].By) {
					all[j].By, isSettled = all[i].By, false
				}
			}
		}
		if isSettled {
			break
		}
	}
	for i := range all {
		d := &all[i]
		if d.By.Before(b.First) && !crew.IsWorkday(d.By) {
			if before := crew.AddWorkdays(d.By, -1); !before.Before(d.From) {
				d.By, d.Counted = before, d.By
			}
		}
		if d.By.Before(d.From) {
			d.From = d.By
		}
		d.State = state(d, today)
	}
	return all
}

// AfterBurn gives the tasks that follow a burn whose last day is b.First, in the
// order in which they are due. isOnRecord says that it has burned; else every task
// that is not done Follows.
func AfterBurn(tasks []habitat.Task, b *Burn, isOnRecord bool, crew *date.Crew, done []habitat.TaskDone, today date.Day) []Due {
	var all []Due
	for _, t := range tasks {
		if !t.AfterBurn || !Belongs(&t, b) {
			continue
		}
		on := func(n int) date.Day {
			if t.Workdays && n > 0 {
				if d := crew.AddWorkdays(b.First, n); !d.IsZero() {
					return d
				}
			}
			return b.First.AddDays(n)
		}
		d := Due{Task: t, Unit: b.Unit.ID, Year: b.Year, For: b.First, From: on(t.Earliest), By: on(t.Latest), DoneOn: doneOn(done, &t, b)}
		if d.State = state(&d, today); d.State != Done && !isOnRecord {
			d.State = Follows
		}
		all = append(all, d)
	}
	for i := range all {
		for _, name := range all[i].Task.After {
			if slices.ContainsFunc(all, func(d Due) bool { return d.Task.Name == name && d.DoneOn.IsZero() }) {
				all[i].WaitsFor = append(all[i].WaitsFor, name)
			}
		}
	}
	slices.SortStableFunc(all, func(x, y Due) int { return cmp.Or(x.By.Compare(y.By), x.From.Compare(y.From)) })
	return all
}

// doneOn gives the day on which a task of a burn was done; zero for none.
func doneOn(done []habitat.TaskDone, t *habitat.Task, b *Burn) (on date.Day) {
	for _, one := range done {
		if one.Task == t.Name && one.Unit == b.Unit.ID && one.Year == b.Year {
			on = one.On
		}
	}
	return on
}

// LateDays is how long a task after a burn is still listed as late: later nobody
// walks the line of that burn any more.
const LateDays = 14

// Current takes the tasks after a burn out whose time is over by more than LateDays.
func Current(all []Due, today date.Day) []Due {
	return slices.DeleteFunc(slices.Clone(all), func(d Due) bool {
		return d.Task.AfterBurn && d.State == Late && today.Sub(d.By) > LateDays
	})
}

// TooLate names the tasks that are late today where a unit burns on its day First.
func TooLate(tasks []habitat.Task, b *Burn, crew *date.Crew, done []habitat.TaskDone, today date.Day) []string {
	var room []Due
	return tooLate(&room, tasks, b, crew, done, today)
}

// tooLate is TooLate for one day of many: room is used for each in turn.
func tooLate(room *[]Due, tasks []habitat.Task, b *Burn, crew *date.Crew, done []habitat.TaskDone, today date.Day) []string {
	*room = inTime(*room, tasks, b, crew, done, today)
	late := slices.DeleteFunc(*room, func(d Due) bool { return d.State != Late })
	inOrder(late)
	var names []string
	for i := range late {
		names = append(names, late[i].Task.Name)
	}
	return names
}

// Missed names the deferments of grazing whose yearly range is over whenever the unit
// burns up to the day last: the fuel that they would have grown is not there, and what
// is to be done before the burn goes on without them.
func Missed(tasks []habitat.Task, b *Burn, last date.Day, crew *date.Crew, done []habitat.TaskDone, today date.Day) []string {
	at := *b
	at.First = last
	late := TooLate(tasks, &at, crew, done, today)
	return slices.DeleteFunc(late, func(name string) bool {
		return !slices.ContainsFunc(tasks, func(t habitat.Task) bool { return t.Name == name && t.Grazed && t.Yearly != nil })
	})
}

// FirstInTime gives the first workday from the burn's first day up to last for
// which no task would be late today: before it the preparation cannot be done in time.
// ok is false where there is no such day, as when a yearly range has passed; a deferment
// of grazing that was Missed holds up no other task.
func FirstInTime(tasks []habitat.Task, b *Burn, last date.Day, crew *date.Crew, done []habitat.TaskDone, today date.Day) (first date.Day, ok bool) {
	at := *b
	if missed := Missed(tasks, b, last, crew, done, today); len(missed) > 0 {
		tasks = slices.DeleteFunc(slices.Clone(tasks), func(t habitat.Task) bool { return slices.Contains(missed, t.Name) })
	}
	var room []Due
	for ; !at.First.After(last); at.First = at.First.AddDays(1) {
		if at.First.Before(today) || !crew.IsWorkday(at.First) {
			continue
		}
		if len(tooLate(&room, tasks, &at, crew, done, today)) == 0 {
			return at.First, true
		}
	}
	return date.Day{}, false
}

func state(d *Due, today date.Day) State {
	switch {
	case !d.DoneOn.IsZero():
		return Done
	case d.By.Before(today):
		return Late
	case d.From.After(today):
		return Ahead
	}
	return Open
}

// days gives the first and last day on which a task is in time for a burn.
func days(t *habitat.Task, first date.Day, crew *date.Crew) (from, by date.Day) {
	if t.Yearly != nil {
		// The last range that has begun before the burn.
		for year := first.Year; ; year-- {
			if s := t.Yearly.From(year); s.First.Before(first) {
				if !s.Last.Before(first) {
					s.Last = first.AddDays(-1)
				}
				return s.First, s.Last
			}
		}
	}
	back := func(n int) date.Day {
		if !t.Workdays || n == 0 {
			return first.AddDays(-n)
		}
		if d := crew.AddWorkdays(first, -n); !d.IsZero() {
			return d
		}
		return first.AddDays(-n)
	}
	return back(t.Earliest), back(t.Latest)
}

// Sort puts late tasks first, then open ones, then those ahead, then done ones,
// each in the order of their last day.
func Sort(all []Due) {
	rank := map[State]int{Late: 0, Open: 1, Ahead: 2, Follows: 3, Done: 4}
	slices.SortStableFunc(all, func(x, y Due) int {
		return cmp.Or(cmp.Compare(rank[x.State], rank[y.State]), x.By.Compare(y.By), cmp.Compare(x.Unit, y.Unit))
	})
}

// Within keeps the tasks that are late, or whose time begins on or before a
// day and that are not done.
func Within(all []Due, upTo date.Day) []Due {
	return slices.DeleteFunc(slices.Clone(all), func(d Due) bool {
		return d.State == Done || d.State == Follows || d.State == Ahead && d.From.After(upTo)
	})
}

// Validate checks a task list in itself. The error joins one
// *habitat.FieldError for each fault; its Field is task[i] and a key.
func Validate(tasks []habitat.Task) error {
	var all []error
	fault := func(i int, key, accepts, format string, args ...any) {
		all = append(all, &habitat.FieldError{Field: fmt.Sprintf("task[%d].%s", i, key), Found: fmt.Sprintf(format, args...), Accepts: accepts})
	}
	index := make(map[string]int)
	for i, t := range tasks {
		if err := habitat.ValidateName(fmt.Sprintf("task[%d].name", i), t.Name); err != nil {
			all = append(all, err)
		}
		if _, twice := index[t.Name]; twice {
			fault(i, "name", "each task once", "%q is named twice", t.Name)
		}
		index[t.Name] = i
		switch {
		case t.AfterBurn && t.Yearly != nil:
			fault(i, "after_burn", "earliest and latest, days after the burn", "a yearly range does not follow a burn")
		case t.AfterBurn && (t.Earliest < 0 || t.Latest < t.Earliest || t.Latest > 3*366):
			fault(i, "earliest", "0 <= earliest <= latest days after the burn, up to three years", "earliest %d and latest %d", t.Earliest, t.Latest)
		case t.AfterBurn:
		case t.Yearly == nil && (t.Latest < 0 || t.Earliest < t.Latest || t.Earliest > 3*366):
			fault(i, "earliest", "0 <= latest <= earliest days before the burn, up to three years", "earliest %d and latest %d", t.Earliest, t.Latest)
		}
	}
	for i, t := range tasks {
		for _, name := range t.After {
			j, ok := index[name]
			switch {
			case !ok:
				fault(i, "after", "names of tasks in this list", "%q is not a task of this list", name)
			case tasks[j].AfterBurn && !t.AfterBurn:
				fault(i, "after", "tasks that come before the burn", "%q follows the burn, and %q comes before it", name, t.Name)
			}
		}
	}
	if len(all) > 0 {
		return errors.Join(all...)
	}
	if circle := findCircle(tasks, index); circle != nil {
		fault(index[circle[0]], "after", "an order without a circle", "%s wait for one another", strings.Join(circle, ", "))
	}
	return errors.Join(all...)
}

// findCircle gives the tasks of one circle of After, or nil.
func findCircle(tasks []habitat.Task, index map[string]int) []string {
	const (
		unseen = iota
		open
		closed
	)
	mark := make([]int, len(tasks))
	var trail []string
	var visit func(i int) []string
	visit = func(i int) []string {
		mark[i] = open
		trail = append(trail, tasks[i].Name)
		for _, name := range tasks[i].After {
			j := index[name]
			if mark[j] == open {
				return slices.Clone(trail[slices.Index(trail, name):])
			}
			if mark[j] == unseen {
				if circle := visit(j); circle != nil {
					return circle
				}
			}
		}
		mark[i] = closed
		trail = trail[:len(trail)-1]
		return nil
	}
	for i := range tasks {
		if mark[i] == unseen {
			if circle := visit(i); circle != nil {
				return circle
			}
		}
	}
	return nil
}
