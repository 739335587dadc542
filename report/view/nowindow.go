package view

import (
	"fmt"
	"strings"

	"emberquilt/schedule/window"
)

// NoWindow says why a planned burn has no window, and what would give it one.
type NoWindow struct {
	// Cause says what stands in the way, in a sentence; Binds is its name.
	Cause string `json:"cause"`
	Binds string `json:"binds"`
	// WouldGive lists what would give windows, each in a sentence, that which gives
	// the most days first; it informs, and advises nothing.
	WouldGive []string `json:"would_give"`
	// Lost counts the days of the season that each cause takes, in order.
	Lost []window.Loss `json:"lost"`
	// SeasonDays counts the days of the season, UsableDays those that the calendar
	// leaves, CandidateDays what the weather leaves of them in an average year;
	// nil without a record.
	SeasonDays    int      `json:"season_days"`
	UsableDays    int      `json:"usable_days"`
	CandidateDays *float64 `json:"candidate_days"`
}

// mostRemedies is how many changes a paper names.
const (
	mostRemedies = 4
	mostOnSheet  = 3
)

func newNoWindow(n *window.NoWindow) *NoWindow {
	if n == nil {
		return nil
	}
	v := &NoWindow{Cause: n.Cause, Binds: string(n.Binds), WouldGive: []string{}, Lost: append([]window.Loss{}, n.Lost...), SeasonDays: n.SeasonDays, UsableDays: n.Usable}
	if !n.DatesOnly {
		v.CandidateDays = limit(n.Candidates)
	}
	for i := range n.WouldGive {
		v.WouldGive = append(v.WouldGive, n.WouldGive[i].Words())
	}
	return v
}

// noWindowOf gives the reason that was found by asking, else what the words say.
func noWindowOf(found *window.NoWindow, words string) *NoWindow {
	if v := newNoWindow(found); v != nil {
		return v
	}
	if words == "" {
		return nil
	}
	return &NoWindow{Cause: words, WouldGive: []string{}, Lost: []window.Loss{}}
}

// Lines says the reason and what would help, a sentence each.
func (n *NoWindow) Lines() []string {
	if n == nil {
		return []string{"No window: " + n.Short() + "."}
	}
	lines := []string{"No window: " + n.Cause + "."}
	for i, change := range n.WouldGive {
		if i == mostRemedies {
			break
		}
		lines = append(lines, "Would give one: "+change+".")
	}
	if len(n.WouldGive) == 0 && n.Binds != "" {
		lines = append(lines, "No single change was found that would give one.")
	}
	return lines
}

// Remedies says what would give windows, the most days first, as far as a sheet has
// room.
func (n *NoWindow) Remedies() []string {
	if n == nil {
		return nil
	}
	return n.WouldGive[:min(mostOnSheet, len(n.WouldGive))]
}

// Short says the reason alone.
func (n *NoWindow) Short() string {
	if n == nil {
		return "no windows were worked out for it"
	}
	return n.Cause
}

// tasksNote says what the tasks of a burn are counted back from, where that is not the
// first day of its first window.
func tasksNote(w *UnitWindows) string {
	note := tasksFrom(w)
	if len(w.Missed) == 0 {
		return note
	}
	missed := fmt.Sprintf("Not done in time, and the fuel is the thinner for it: %s.", strings.Join(w.Missed, ", "))
	if note == "" {
		return missed
	}
	return note + " " + missed
}

// tasksFrom says from which day the tasks are counted back, and why.
func tasksFrom(w *UnitWindows) string {
	switch from := w.CountedFrom; {
	case from.IsZero():
		return ""
	case len(w.Windows) == 0 && !w.IsDayLeft:
		return fmt.Sprintf("No day is left to burn on. Should a closure be lifted, the tasks are these, counted back from %s.", from.Words())
	case len(w.Windows) == 0:
		return fmt.Sprintf("Without a window, the tasks are counted back from the season's first usable day, %s.", from.Words())
	case from == w.Windows[0].First && len(w.TooSoon) > 0:
		return fmt.Sprintf(
			"No window leaves time for: %s. The tasks are counted back from the first day of the first window, %s, all the same.",
			strings.Join(w.TooSoon, ", "),
			from.Words(),
		)
	case from.After(w.Windows[0].First) && len(w.TooSoon) > 0:
		return fmt.Sprintf(
			"The first window opens on %s, too soon for: %s. The tasks are counted back from %s, the first day in a window for which none is late.",
			w.Windows[0].First.Words(),
			strings.Join(w.TooSoon, ", "),
			from.Words(),
		)
	case from.After(w.Windows[0].First):
		return fmt.Sprintf("The tasks are counted back from %s, the first working day in a window.", from.Words())
	}
	return ""
}
