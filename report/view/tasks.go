package view

import (
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
)

// TaskWords says that a task was done, or that this was taken back.
func TaskWords(done habitat.TaskDone, undone bool) string {
	if undone {
		return fmt.Sprintf("%s is not done for %s in %d", done.Task, done.Unit, done.Year)
	}
	return fmt.Sprintf("%s was done for %s in %d on %s", done.Task, done.Unit, done.Year, done.On)
}

// StartersWords says which starter tasks were added to a list that now has so many.
func StartersWords(added []string, all int) string {
	if len(added) == 0 {
		return "the list has every starter task already"
	}
	return fmt.Sprintf("added %s; the list has %d tasks", quantity.List(added), all)
}

// LockWords says what a lock fixes.
func LockWords(lock habitat.Lock) string {
	what := "rests"
	if lock.Burn {
		what = "burns"
		if lock.Season != "" {
			what += " in " + lock.Season
		}
	}
	return fmt.Sprintf("locked: %s %s in %d", lock.Unit, what, lock.Year)
}
