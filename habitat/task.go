package habitat

import "emberquilt/habitat/date"

// Task is something that must be done before a unit burns. It belongs to every
// burn that its lists let through.
type Task struct {
	Name string
	// Units, Covers, Seasons and Prescriptions narrow the burns that the task
	// belongs to; an empty list narrows nothing.
	Units, Covers, Seasons, Prescriptions []string
	// Earliest and Latest are the lead time in days before the first day of the
	// burn window, Earliest the larger. They count workdays of the crew where
	// Workdays is set. They mean nothing where Yearly is set.
	Earliest, Latest int
	Workdays         bool
	// Yearly is the calendar range before the burn in which the task is done;
	// nil means that the lead time counts.
	Yearly *date.AnnualSpan
	// After names the tasks that must be done first.
	After []string
	// Standing says what the task rests on, such as "common practice, no
	// source".
	Standing string
	Notes    string
}

// TaskDone says that a task was done for a unit's burn of a program year.
type TaskDone struct {
	Task, Unit string
	Year       date.ProgramYear
	On         date.Day
	Notes      string
}
