package view

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Later counts what changed since a plan was made.
type Later struct {
	Burns, Treatments, Units, Locks int
	// Split, Merged and Renamed count the units that became others; Became says it, a
	// clause each.
	Split, Merged, Renamed int
	Became                 []string
	Settings, Weather      bool
	// Missed are the plan's own burns whose season is over and that are not on record.
	Missed int
}

// OvertakenWords says where a plan is not the one in force, and what it is older
// than and what helps; empty for the plan in force where nothing changed.
func OvertakenWords(s *habitat.PlanStanding, adopted int, l Later) string {
	words := ""
	if s.Standing != habitat.AdoptedPlan {
		words = StandingWords(s, adopted)
	}
	if older := olderWords(s.Plan, l); older != "" {
		words = strings.TrimSpace(words + " " + older + ": `emberquilt plan` makes a new one.")
	}
	return words + becameWords(l)
}

// BehindWords say of the plan in force what it is older than, where no command is typed;
// empty where nothing changed.
func BehindWords(plan int, l Later) string {
	older := olderWords(plan, l)
	if older == "" {
		return ""
	}
	return older + "." + becameWords(l)
}

// becameWords say what units became.
func becameWords(l Later) (words string) {
	shown := l.Became
	if len(shown) > shownBecame {
		shown = append(slices.Clone(shown[:shownBecame]), fmt.Sprintf("%s came later", quantity.Count(len(shown)-shownBecame, "such change")))
	}
	for _, became := range shown {
		words += " " + became + "."
	}
	return words
}

// shownBecame is how many changes of units are told on top of a paper.
const shownBecame = 4

// StandingWords say in a sentence how a plan stands; adopted is the plan in force.
func StandingWords(s *habitat.PlanStanding, adopted int) string {
	kind := map[habitat.Standing]string{habitat.DraftPlan: "a draft", habitat.AdoptedPlan: "adopted", habitat.SupersededPlan: "superseded", habitat.DiscardedPlan: "discarded"}[s.Standing]
	words := fmt.Sprintf("Plan %d is %s", s.Plan, kind)
	if s.Trial != "" {
		words += fmt.Sprintf(" (%s)", s.Trial)
	}
	if s.Standing == habitat.AdoptedPlan {
		return words + "."
	}
	if adopted == 0 {
		return words + "; no plan is adopted."
	}
	return words + fmt.Sprintf("; plan %d is in force.", adopted)
}

func olderWords(plan int, l Later) string {
	what := l.list()
	if what == nil {
		return ""
	}
	return fmt.Sprintf("Plan %d is older than %s", plan, quantity.List(what))
}

// SinceWords say beside a plan what changed since it was made; empty where nothing did.
func SinceWords(l Later) string {
	what := l.list()
	if what == nil {
		return ""
	}
	return fmt.Sprintf("Older than %s.", quantity.List(what))
}

// list names what changed; nil for nothing.
func (l *Later) list() []string {
	var what []string
	that := func(n int, what string) string { return " that " + quantity.Plural(n, "was", "were") + " " + what }
	for _, counted := range []struct {
		n    int
		noun string
		tail string
	}{{l.Burns, "burn", " on record"}, {l.Treatments, "treatment", " on record"}, {l.Units, "unit", " that changed"},
		{l.Split, "unit", that(l.Split, "split")}, {l.Merged, "unit", that(l.Merged, "merged")}, {l.Renamed, "unit", that(l.Renamed, "renamed")},
		{l.Locks, "lock", ""}, {l.Missed, "burn", that(l.Missed, "missed")}} {
		if counted.n > 0 {
			what = append(what, quantity.Count(counted.n, counted.noun)+counted.tail)
		}
	}
	if l.Settings {
		what = append(what, "the settings")
	}
	if l.Weather {
		what = append(what, "the weather record, a prescription or how a unit is fired")
	}
	return what
}

// state says what the records tell of a unit in a program year.
func (plan *Plan) state(u *habitat.Unit, records []habitat.BurnRecord, year date.ProgramYear) habitat.UnitState {
	return plan.Property.StateIn(u, records, year, plan.Stamp.On)
}

// stateIn is state for a unit of the problem; false for one that is gone.
func (l *layout) stateIn(unit, t int) (habitat.UnitState, bool) {
	known := l.known[l.Problem.Units[unit].ID]
	if known == nil {
		return habitat.UnitState{}, false
	}
	return l.state(known, l.records[known.ID], l.year(t)), true
}

// BurnedWords says what burned of a unit in the state's program year: all that
// was to burn, or how much is left; empty where nothing burned.
func BurnedWords(s *habitat.UnitState) string {
	switch {
	case s.Done && s.Last.By != "":
		return fmt.Sprintf("had %s on %s, which set its stand age back", s.Last.By, s.Last.On.Words())
	case s.Done:
		return "burned on " + s.BurnedOn.Words()
	case s.PartBurned():
		return fmt.Sprintf("%s acres left (%s of %s burned by %s)", s.Left, s.Burned, s.Burned+s.Left, s.BurnedOn.Words())
	}
	return ""
}
