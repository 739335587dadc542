package view

import (
	"fmt"

	"emberquilt/habitat"
)

// TaskWords says that a task was done, or that this was taken back.
func TaskWords(done habitat.TaskDone, undone bool) string {
	if undone {
		return fmt.Sprintf("%s is not done for %s in %d", done.Task, done.Unit, done.Year)
	}
	return fmt.Sprintf("%s was done for %s in %d on %s", done.Task, done.Unit, done.Year, done.On)
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
