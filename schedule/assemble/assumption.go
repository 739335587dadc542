package assemble

import (
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Assumption is one thing that was taken for granted when a problem was made, as a
// value of one of the types of this file. report/view words it.
type Assumption interface{ assumption() }

// AssumedAge is the stand age of a unit that no record shows.
type AssumedAge struct {
	Unit string
	Age  habitat.StandAge
}

// OwnedFrom is a unit that is bought within the plan. Late counts the years before
// that count as overdue, whatever age it starts with.
type OwnedFrom struct {
	Unit string
	From date.Day
	Late int
}

// OwnedUntil is a unit that is given up within the plan.
type OwnedUntil struct {
	Unit  string
	Until date.Day
}

// NotInShares is a unit that is not the property's in all plan years, and so counts in
// no mix; the share of its refuge group is one of the acres that are.
type NotInShares struct {
	Unit        string
	Mix, Refuge string // empty for none
}

// BreaksInCost are units whose cost holds the break that each needs alone.
type BreaksInCost struct {
	Units         int
	DollarsAFoot  float64
	WithoutShapes []string // units whose break is not known, and so not in their cost
}

// GroupWithoutUnits is a mix or a refuge group that was left out.
type GroupWithoutUnits struct {
	Name     string
	IsRefuge bool
}

// SeasonOver is a season of the first year that has ended.
type SeasonOver struct {
	Season string
	Year   date.ProgramYear
}

// SeasonClosed is a season that is closed to units in one year; All means every unit
// that may burn in it.
type SeasonClosed struct {
	Season string
	Year   date.ProgramYear
	Units  []string
	All    bool
}

// NeverOpen is a season that is closed to units in every year of the plan; All means
// every unit that may burn in it.
type NeverOpen struct {
	Season string
	Units  []string
	All    bool
}

// LockOvertaken is a lock that is not counted: of a burn in a season that is over, or
// of a rest of a unit that has burned.
type LockOvertaken struct {
	Unit   string
	Season string // of a burn; empty for a rest
	Year   date.ProgramYear
}

// BurnedOutOfSeason is a burn of the first year outside the seasons of its unit.
type BurnedOutOfSeason struct {
	Unit string
	On   date.Day
}

// BurnedEarly is a burn of the first year before the shortest interval was over.
type BurnedEarly struct {
	Unit        string
	Year        date.ProgramYear
	Age         int
	MinInterval int // years
}

// AgeSetBack is a treatment other than fire that set a unit's stand age back in the
// first year.
type AgeSetBack struct {
	Unit  string
	Reset habitat.Reset
	Year  date.ProgramYear
}

// BurnNotCounted is a burn on record, in a season of the second year that is under
// way, which no plan can hold: the unit burned in the first year too, or one that it
// is kept apart from did in that season's year.
type BurnNotCounted struct {
	Unit string
	Year date.ProgramYear
	On   date.Day
}

// CapGivesWay is a limit of a year below what has burned in it already.
type CapGivesWay struct {
	Year        date.ProgramYear
	Of          CapKind
	Season      string // of burn days
	Sum, Capped float64
}

// CapKind is what a cap of a year limits.
type CapKind int

// The kinds of caps.
const (
	CapAcres CapKind = iota
	CapBurns
	CapDollars
	CapBurnDays
)

// ApartBurned are two units that are kept apart and both burned in a year: the plan
// starts a year later.
type ApartBurned struct {
	A, B string
	Year date.ProgramYear
}

// RefugeBurned is a refuge group of which more burned in a year than it allows: the
// plan starts a year later.
type RefugeBurned struct {
	Refuge         string
	Year           date.ProgramYear
	Burned, Allows quantity.Acres
}

func (AssumedAge) assumption()        {}
func (OwnedFrom) assumption()         {}
func (OwnedUntil) assumption()        {}
func (NotInShares) assumption()       {}
func (BreaksInCost) assumption()      {}
func (GroupWithoutUnits) assumption() {}
func (SeasonOver) assumption()        {}
func (SeasonClosed) assumption()      {}
func (NeverOpen) assumption()         {}
func (LockOvertaken) assumption()     {}
func (BurnedOutOfSeason) assumption() {}
func (BurnedEarly) assumption()       {}
func (AgeSetBack) assumption()        {}
func (BurnNotCounted) assumption()    {}
func (CapGivesWay) assumption()       {}
func (ApartBurned) assumption()       {}
func (RefugeBurned) assumption()      {}
