package habitat

import "emberquilt/habitat/date"

// Task is something that must be done before a unit burns, or after it has. It
// belongs to every burn that its lists let through.
//
// The JSON keys are those of property files: they do not change.
type Task struct {
	Name string `json:"name"`
	// Units, Covers, Seasons and Prescriptions narrow the burns that the task
	// belongs to; an empty list narrows nothing.
	Units         []string `json:"units,omitempty"`
	Covers        []string `json:"covers,omitempty"`
	Seasons       []string `json:"seasons,omitempty"`
	Prescriptions []string `json:"prescriptions,omitempty"`
	// Grazed narrows the task to units that the settings call grazed.
	Grazed bool `json:"grazed,omitempty"`
	// Earliest and Latest are the lead time in days before the first day of the
	// burn window, Earliest the larger; of a task AfterBurn they are days after the
	// last day of the burn, Earliest the smaller. They count workdays of the crew
	// where Workdays is set. They mean nothing where Yearly is set.
	Earliest int  `json:"earliest_days,omitempty"`
	Latest   int  `json:"latest_days,omitempty"`
	Workdays bool `json:"workdays,omitempty"`
	// AfterBurn says that the task follows the burn, such as mop-up. It is never
	// Yearly.
	AfterBurn bool `json:"after_burn,omitempty"`
	// Yearly is the calendar range before the burn in which the task is done;
	// nil means that the lead time counts.
	Yearly *date.AnnualSpan `json:"yearly,omitempty"`
	// After names the tasks that must be done first.
	After []string `json:"after,omitempty"`
	// Standing says what the task rests on, such as "common practice, no
	// source".
	Standing string `json:"standing,omitempty"`
	Notes    string `json:"notes,omitempty"`
}

// TaskDone says that a task was done for a unit's burn of a program year.
type TaskDone struct {
	Task  string           `json:"task"`
	Unit  string           `json:"unit"`
	Year  date.ProgramYear `json:"program_year"`
	On    date.Day         `json:"done_on"`
	Notes string           `json:"notes,omitempty"`
}
