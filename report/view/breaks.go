package view

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
)

// BreaksInput is what feet of break are computed from.
type BreaksInput struct {
	Units  []habitat.Unit
	Shapes map[string]ground.Shape
	// Standing are breaks that are there: roads, water.
	Standing []ground.Place
	// Tolerance is how far two boundaries, or a boundary and a standing break, may
	// lie apart and be one; 0 means ground.DefaultTolerance.
	Tolerance quantity.Feet
	// Years holds the burns of each plan year; nil leaves them out.
	Years []YearBurns
}

// YearBurns names the units that burn in one program year.
type YearBurns struct {
	Year  date.ProgramYear
	Units []string
}

// Breaks says how many feet of break the units need: each alone, and those of
// a plan year together.
type Breaks struct {
	// Units are those with a shape, each burned alone, in the property's order.
	Units []UnitBreak `json:"units"`
	Years []YearBreak `json:"years"`
	// Missing names units without a shape.
	Missing []string `json:"without_shape"`
	// Standing names the standing breaks, with their kind.
	Standing []string `json:"standing_breaks"`
	// Lines are the stretches to be made in each of Years, for a map.
	Lines [][]ground.Line `json:"-"`

	in     BreaksInput
	survey *ground.Survey
	stand  *ground.Standing
	index  map[string]int
	alone  map[string]ground.Break
}

// UnitBreak is the break of one unit.
type UnitBreak struct {
	Unit  string         `json:"unit"`
	Acres quantity.Acres `json:"acres"`
	// Boundary is the length of the unit's boundary, holes too; Shared the part
	// toward units that burn together with it; Standing the part along standing
	// breaks; Needed the rest.
	Boundary quantity.Feet `json:"boundary_ft"`
	Shared   quantity.Feet `json:"shared_ft"`
	Standing quantity.Feet `json:"standing_ft"`
	Needed   quantity.Feet `json:"break_ft"`
}

// YearBreak is the break of the units that burn in one program year.
type YearBreak struct {
	Year  date.ProgramYear `json:"program_year,omitempty"`
	Units []UnitBreak      `json:"units"`
	// Alone is what the units would need if each burned by itself; Needed what they
	// need together, and Saved the difference.
	Alone    quantity.Feet `json:"alone_ft"`
	Standing quantity.Feet `json:"standing_ft"`
	Saved    quantity.Feet `json:"saved_ft"`
	Needed   quantity.Feet `json:"break_ft"`
	// Missing names units of the set without a shape.
	Missing []string `json:"without_shape,omitempty"`
}

// PairSaving is what burning two neighbors together saves.
type PairSaving struct {
	A     string        `json:"unit_a"`
	B     string        `json:"unit_b"`
	Saved quantity.Feet `json:"saved_ft"`
	// Years are those in which the plan burns both.
	Years []date.ProgramYear `json:"together_in"`
}

// NewBreaks measures the breaks; nil where no unit has a shape.
func NewBreaks(in BreaksInput) *Breaks {
	if in.Tolerance == 0 {
		in.Tolerance = ground.DefaultTolerance
	}
	b := &Breaks{in: in, index: map[string]int{}, alone: map[string]ground.Break{}, Missing: []string{}, Standing: []string{}}
	var shapes []ground.Shape
	var units []habitat.Unit
	for _, u := range in.Units {
		shape, ok := in.Shapes[u.ID]
		if !ok || shape.IsEmpty() {
			b.Missing = append(b.Missing, u.ID)
			continue
		}
		b.index[u.ID] = len(shapes)
		shapes, units = append(shapes, shape), append(units, u)
	}
	if len(shapes) == 0 {
		return nil
	}
	b.in.Units = units
	b.survey = ground.NewSurvey(shapes, in.Tolerance)
	var lines []ground.Line
	var ponds []ground.Shape
	for _, s := range in.Standing {
		lines = append(lines, s.Lines...)
		if !s.Shape.IsEmpty() {
			ponds = append(ponds, s.Shape)
		}
		b.Standing = append(b.Standing, standingName(&s))
	}
	b.stand = b.survey.NewStanding(lines, ponds...)
	for _, u := range units {
		one := b.survey.Breaks([]int{b.index[u.ID]}, b.stand)[0]
		b.alone[u.ID] = one
		b.Units = append(b.Units, b.row(one))
	}
	for _, year := range in.Years {
		set := b.Together(year.Units)
		set.Year = year.Year
		b.Years = append(b.Years, set)
		b.Lines = append(b.Lines, b.survey.ToMake(b.indices(year.Units), b.stand))
	}
	return b
}

func standingName(p *ground.Place) string {
	if p.Kind == "" || strings.EqualFold(p.Kind, p.Name) {
		return p.Name
	}
	return p.Name + " (" + p.Kind + ")"
}

func (b *Breaks) row(one ground.Break) UnitBreak {
	u := &b.in.Units[one.Shape]
	return UnitBreak{u.ID, u.Acres, one.Boundary, one.Shared, one.Standing, one.Needed}
}

func (b *Breaks) indices(units []string) []int {
	var all []int
	for _, unit := range units {
		if i, ok := b.index[unit]; ok {
			all = append(all, i)
		}
	}
	return all
}

// Together measures a set of units that burn as one.
func (b *Breaks) Together(units []string) YearBreak {
	set := YearBreak{Units: []UnitBreak{}}
	for _, unit := range units {
		if _, ok := b.index[unit]; !ok {
			set.Missing = append(set.Missing, unit)
		}
	}
	for _, one := range b.survey.Breaks(b.indices(units), b.stand) {
		row := b.row(one)
		set.Units = append(set.Units, row)
		set.Alone += b.alone[row.Unit].Needed
		set.Standing += row.Standing
		set.Needed += row.Needed
	}
	set.Saved = max(0, set.Alone-set.Needed)
	return set
}

// Alone gives the break of one unit burned by itself.
func (b *Breaks) Alone(unit string) (row UnitBreak, ok bool) {
	if b == nil {
		return row, false
	}
	one, ok := b.alone[unit]
	if !ok {
		return row, false
	}
	return b.row(one), true
}

// Savings says of each two neighbors what burning them together saves, the
// largest first.
func (b *Breaks) Savings(pairs []ground.Pair) []PairSaving {
	var all []PairSaving
	for _, p := range pairs {
		both := []string{b.in.Units[p.A].ID, b.in.Units[p.B].ID}
		saved := b.Together(both).Saved
		if p.Corner || saved <= 0 {
			continue
		}
		one := PairSaving{A: both[0], B: both[1], Saved: saved, Years: []date.ProgramYear{}}
		for _, year := range b.in.Years {
			if slices.Contains(year.Units, one.A) && slices.Contains(year.Units, one.B) {
				one.Years = append(one.Years, year.Year)
			}
		}
		all = append(all, one)
	}
	slices.SortStableFunc(all, func(x, y PairSaving) int {
		switch {
		case x.Saved > y.Saved:
			return -1
		case x.Saved < y.Saved:
			return 1
		}
		return 0
	})
	return all
}

// Survey gives the units' shapes ready for questions; indices are those of Units.
func (b *Breaks) Survey() *ground.Survey { return b.survey }

// UnitWords says what a paper says of one unit's break: alone, and together
// with the others of its year where that saves any.
func (b *Breaks) UnitWords(unit string, year date.ProgramYear) []string {
	alone, ok := b.Alone(unit)
	if !ok {
		return nil
	}
	words := fmt.Sprintf("%s ft of break to make when it burns alone, of %s ft of boundary", alone.Needed, alone.Boundary)
	if alone.Standing >= 1 {
		words += fmt.Sprintf("; %s ft run along standing breaks (%s)", alone.Standing, strings.Join(b.standingOf(unit), ", "))
	}
	all := []string{words}
	for _, set := range b.Years {
		if set.Year != year {
			continue
		}
		for _, row := range set.Units {
			if row.Unit == unit && row.Shared >= 1 && alone.Needed-row.Needed >= 1 {
				all = append(all, fmt.Sprintf("%s ft when its neighbors that burn in %d burn with it as one", row.Needed, year))
			}
		}
	}
	return append(all, BreakWidthLine)
}

// standingOf names the standing breaks that hold a part of a unit's boundary.
func (b *Breaks) standingOf(unit string) []string {
	var names []string
	for i := range b.in.Standing {
		p := &b.in.Standing[i]
		var ponds []ground.Shape
		if !p.Shape.IsEmpty() {
			ponds = append(ponds, p.Shape)
		}
		one := b.survey.NewStanding(p.Lines, ponds...)
		if one != nil && b.survey.Breaks([]int{b.index[unit]}, one)[0].Standing >= 1 {
			names = append(names, standingName(p))
		}
	}
	return names
}

// BreakWidthLine says what papers say of widths.
const BreakWidthLine = "Widths are planning defaults: 12 to 20 ft for a fire lane (Western Farm Press, Fire key to wildlife management), ten times the fuel's height downwind (extension.org, Prescribed Fire, beginners' rule 4); the signed plan sets them."

// FuelHeight is the height of fuel, in feet, that papers show the downwind break
// for. Planning default: common practice, no source.
const FuelHeight quantity.Feet = 3

// BreakWidth is a width to plan with.
type BreakWidth struct {
	Width quantity.Feet `json:"width_ft"`
	What  string        `json:"what"`
	// Sources name where the width was published; Status says how well it is
	// founded.
	Sources string `json:"sources"`
	Status  string `json:"status"`
}

// Where the widths were published.
const (
	widthPage     = "extension.org, Prescribed Fire, How wide should a firebreak or fireguard be"
	lanePage      = "Western Farm Press, Fire key to wildlife management, page 2"
	beginnersRule = "extension.org, Prescribed Fire, beginners' rule 4"
)

// BreakWidths gives the planning defaults for fuel of a height, in the order of
// their width. A written plan and the standard of the state replace them.
//
// Sources: extension.org, Prescribed Fire, "How wide should a firebreak or
// fireguard be" (bare break 4 to 10 ft) and beginners' rule 4 (downwind ten times
// the height of the fuel); Western Farm Press, "Fire key to wildlife management",
// page 2 (fire lanes 12 to 20 ft). The minimum widths of two states lie below
// them: Missouri practice guidance for code 394, February 2020, and Florida
// specification FL394JS, September 2003.
func BreakWidths(fuelHeight quantity.Feet) []BreakWidth {
	all := []BreakWidth{
		{10, "bare firebreak, upper end of 4 to 10 ft", widthPage, "published; no fixed standard"},
		{12, "fire lane of wildlife burns, lower end", lanePage, "published, second hand"},
		{20, "fire lane of wildlife burns, upper end", lanePage, "published, second hand"},
	}
	if fuelHeight > 0 {
		all = append(all, BreakWidth{10 * fuelHeight, fmt.Sprintf("downwind, ten times the height of %s ft fuel", short(float64(fuelHeight))), beginnersRule, "published"})
	}
	slices.SortStableFunc(all, func(x, y BreakWidth) int {
		switch {
		case x.Width < y.Width:
			return -1
		case x.Width > y.Width:
			return 1
		}
		return 0
	})
	return all
}
