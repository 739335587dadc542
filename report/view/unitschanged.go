package view

import (
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/source"
)

// UnitsChanged says what became of units, and what the user should look at.
type UnitsChanged struct {
	Done string `json:"done"`
	// Notes says what followed and what is left to do, a sentence each.
	Notes []string `json:"notes"`
}

// What follows where units become others.
const (
	PlansKnowUnitsBefore = "the plans that were made know the units as they were: make a new plan"
	PartsHavePairs       = "each part has the pairs of the whole; which parts border which is not known until you say it, or have their outlines measured"
)

// OutlineNotCut says that the outline of a split unit stays with none of its parts.
func OutlineNotCut(unit string) string {
	return fmt.Sprintf("the outline of %s is not cut: import those of the parts", unit)
}

// CoversDiffer says that a merged unit has no cover.
func CoversDiffer(unit string) string {
	return fmt.Sprintf("the covers differ: %s has none until you give it one", unit)
}

// OutlinesMissing says that a merged unit has no outline.
func OutlinesMissing(unit string) string {
	return fmt.Sprintf("not every part has an outline, so that %s has none", unit)
}

// LinesFollow says that a contract's lines go with the units.
func LinesFollow(contract string) string {
	return fmt.Sprintf("contract %s: its lines follow, amounts shared out by acres; check them", contract)
}

// NamedNothingElse says that a closure or task goes with the only units that it named.
func NamedNothingElse(what, name string) string {
	return fmt.Sprintf("%s %s named nothing else and is gone", what, name)
}

// OwnedWords says from when until when a unit is the property's from now on.
func OwnedWords(unit string, owned habitat.Ownership) string {
	if owned == (habitat.Ownership{}) {
		return unit + " is owned without limits of time"
	}
	return unit + " is owned " + owned.Words() + "; outside that time it is neither due nor overdue"
}

// RetiredWords says that a unit is no longer burned.
func RetiredWords(unit string, owned habitat.Ownership) string {
	return fmt.Sprintf("%s is retired: its last day is %s. It is in no plan, list of what is due or task after that; its records stay", unit, owned.Until)
}

// DeletedWords says that a unit is gone.
func DeletedWords(unit string) string {
	return unit + " is gone: it had no burn on record and was in no plan"
}

// ListOfUnits is a list of units in the settings.
type ListOfUnits int

// The lists.
const (
	GrazedUnits ListOfUnits = iota
	ClosedUnits
)

// StrayName says that settings name in a list, at a field, what is not a unit; names are
// those of the units.
func StrayName(of ListOfUnits, field, name, hint string) string {
	without := "no unit is closed by it"
	if of == GrazedUnits {
		without = "no unit has tasks to move stock by it"
	}
	text := fmt.Sprintf("%s in the settings names %s, which is not a unit: %s", field, source.Quote(name), without)
	if hint != "" {
		text += "; " + hint
	}
	return text
}
