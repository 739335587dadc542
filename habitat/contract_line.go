package habitat

import (
	"cmp"
	"fmt"
	"iter"
	"slices"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// LineStatus says whether a line of a contract is still to be done.
type LineStatus string

// What a line may be, beside open.
const (
	// Open lines are to be done.
	Open LineStatus = ""
	// Canceled lines are not to be done and count in no sum.
	Canceled LineStatus = "canceled"
	// Closed lines stand as they are: what is left of them is no longer due.
	Closed LineStatus = "closed"
)

// LineHold says how plans hold to what is left of a line.
type LineHold string

// How plans may hold to a line.
const (
	// AsContract holds a line as its contract says; a contract itself is then free.
	AsContract LineHold = ""
	// FreeLine leaves the plan free; what it does with the line is told.
	FreeLine LineHold = "free"
	// WishedLine burns the unit in the line's years wherever that can stand with what is
	// required; where it cannot, the wish is given up and the reason told.
	WishedLine LineHold = "wish"
	// LockedLine burns the unit in the line's years, as a lock does.
	LockedLine LineHold = "lock"
)

func (h LineHold) isKnown() bool {
	return slices.Contains([]LineHold{AsContract, FreeLine, WishedLine, LockedLine}, h)
}

// HoldOf says how plans hold to a line: as it says itself, else as the contract does.
// Plans hold to units: a line of the whole property is always free.
func (c *Contract) HoldOf(line *ContractItem) LineHold {
	if line.IsPropertyWide() {
		return FreeLine
	}
	return cmp.Or(line.Hold, c.Hold, FreeLine)
}

// EarlyCredit says what a contract does with work that was done before its year.
type EarlyCredit string

// What a contract says of early work.
const (
	// EarlyUnasked leaves early work uncredited, and the packet says that nobody
	// answered.
	EarlyUnasked     EarlyCredit = ""
	EarlyCredited    EarlyCredit = "credited"
	EarlyNotCredited EarlyCredit = "not credited"
)

// LinePlace is what a line planned before it was first changed.
type LinePlace struct {
	Unit       string          `json:"unit"`
	FiscalYear date.FiscalYear `json:"fiscal_year"`
	Planned    float64         `json:"planned"`
}

// ModificationKind says what a modification does to a line.
type ModificationKind string

// The kinds of modifications.
const (
	Amend      ModificationKind = "amend"
	Move       ModificationKind = "move"
	Extend     ModificationKind = "extend"
	CancelLine ModificationKind = "cancel"
	CloseLine  ModificationKind = "close"
)

// Modification is one change of a line, as the agency and the client agreed on it.
type Modification struct {
	// Number is as the agency writes it, or empty.
	Number string           `json:"number,omitempty"`
	On     date.Day         `json:"on"`
	Kind   ModificationKind `json:"kind"`
	Line   int              `json:"line"`
	// Was and Is say what the line was and is, in words.
	Was    string `json:"was"`
	Is     string `json:"is"`
	Reason string `json:"reason"`
}

// LineChange is what a modification gives a line; what is zero stays.
type LineChange struct {
	Planned float64
	// Unit is WholeProperty for a line that is of the whole property from now on.
	Unit  string
	Year  date.FiscalYear
	Until date.FiscalYear
}

// WholeProperty stands where a line of the whole property would name its unit, in lists,
// commands and papers. No unit may be named so.
const WholeProperty = "whole property"

// IsWholeProperty reports whether a text means the whole property, in whatever case.
func IsWholeProperty(text string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(text), " "), WholeProperty)
}

// ValidateUnitName checks a name, which must not be taken for the whole property.
func ValidateUnitName(field, name string) error {
	if IsWholeProperty(name) {
		return fieldErrorf(field, "another name", "%q is what contracts call their lines of the whole property", name)
	}
	return ValidateName(field, name)
}

// IsPropertyWide reports whether the line is of the whole property: work on any of its
// units counts for it, after the lines of the unit itself.
func (i *ContractItem) IsPropertyWide() bool { return i.Unit == "" }

// Place names the line's unit, or says that it is of the whole property.
func (i *ContractItem) Place() string { return cmp.Or(i.Unit, WholeProperty) }

// OnPlace is Place within a sentence.
func (i *ContractItem) OnPlace() string { return onPlace(i.Unit) }

// Place names the unit of the work, or says that it is of the whole property.
func (d *Completion) Place() string { return cmp.Or(d.Unit, WholeProperty) }

// OnPlace is Place within a sentence.
func (d *Completion) OnPlace() string { return onPlace(d.Unit) }

// onPlace names a unit within a sentence, or, where it is empty, the whole property.
func onPlace(unit string) string {
	if unit == "" {
		return "the " + WholeProperty
	}
	return unit
}

// HasLineOn reports that a line of the contract is of the unit, or of the whole property.
func (c *Contract) HasLineOn(unit string) bool {
	return slices.ContainsFunc(c.Items, func(i ContractItem) bool { return i.IsPropertyWide() || i.Unit == unit })
}

// LastYear is the last fiscal year in which the line is on time.
func (i *ContractItem) LastYear() date.FiscalYear { return max(i.FiscalYear, i.Until) }

// Words says what the line plans.
func (i *ContractItem) Words(measure Measure) string {
	text := fmt.Sprintf("%v %s on %s in %s", i.Planned, measure, i.OnPlace(), i.FiscalYear)
	if i.Until > i.FiscalYear {
		text += fmt.Sprintf(" to %s", i.Until)
	}
	if i.Status != Open {
		text += ", " + string(i.Status)
	}
	return text
}

// NumberLines gives every line that has no number the next one, in their order.
// Numbers never change, and a number that was given is not given again: lines are
// canceled, never taken away.
func (c *Contract) NumberLines() {
	next := 0
	for _, i := range c.Items {
		next = max(next, i.ID)
	}
	for i := range c.Items {
		if c.Items[i].ID == 0 {
			next++
			c.Items[i].ID = next
		}
	}
}

// Line finds a line by its number; nil where there is none.
func (c *Contract) Line(id int) *ContractItem {
	if at := slices.IndexFunc(c.Items, func(i ContractItem) bool { return i.ID == id }); at >= 0 {
		return &c.Items[at]
	}
	return nil
}

// Practice finds a practice by its code; nil where there is none.
func (c *Contract) Practice(code string) *Practice {
	if at := slices.IndexFunc(c.Practices, func(p Practice) bool { return p.Code == code }); at >= 0 {
		return &c.Practices[at]
	}
	return nil
}

// Modify changes one line and keeps the modification. m.Kind, Line, On and Reason are
// set; Was and Is are filled in. The measure of a line never changes. The error joins
// *FieldError values.
func (c *Contract) Modify(m Modification, to LineChange) (Modification, error) {
	line := c.Line(m.Line)
	if line == nil {
		return m, fieldErrorf("line", "the number of one of its lines", "%s has no line %d", c.Name, m.Line)
	}
	if m.Reason == "" {
		return m, fieldErrorf("because", "the reason, which is kept with the contract", "it is missing")
	}
	if line.Status != Open {
		return m, fieldErrorf("line", "a line that is open", "line %d is %s", m.Line, line.Status)
	}
	measure := c.Practice(line.Practice).Measure
	was := LinePlace{line.Unit, line.FiscalYear, line.Planned}
	m.Was = line.Words(measure)
	switch m.Kind {
	case Amend:
		if !(to.Planned > 0 && to.Planned <= float64(MaxAcres)) {
			return m, fieldErrorf("planned", "an amount above 0, up to 1e9", "%v is not an amount of a line", to.Planned)
		}
		line.Planned = to.Planned
	case Move:
		if to.Unit != "" {
			line.Unit = to.Unit
			if to.Unit == WholeProperty {
				line.Unit = ""
			}
		}
		if to.Year != 0 {
			line.FiscalYear, line.Until = to.Year, 0
		}
		if other := c.sameAs(line); other != nil {
			field := "year"
			if to.Year == 0 {
				field = "unit"
			}
			return m, fieldErrorf(field, "a unit and year of which no line of the practice is; amend that line and cancel this one to make them one",
				"line %d is that already: %s", other.ID, other.Words(measure))
		}
	case Extend:
		if to.Until <= line.LastYear() {
			return m, fieldErrorf("year", fmt.Sprintf("a fiscal year after %s", line.LastYear()), "%s is not later than the line's own", to.Until)
		}
		line.Until = to.Until
	case CancelLine:
		line.Status = Canceled
	case CloseLine:
		line.Status = Closed
	}
	m.Is = line.Words(measure)
	if m.Is == m.Was {
		return m, fieldErrorf("line", "something other than what it is", "line %d is that already: %s", m.Line, m.Is)
	}
	if line.Was == nil {
		line.Was = &was
	}
	c.Modifications = append(slices.Clip(c.Modifications), m)
	return m, c.Validate()
}

// sameAs finds another line of the practice, unit and fiscal year of a line; nil where
// there is none that counts.
func (c *Contract) sameAs(line *ContractItem) *ContractItem {
	for i := range c.Items {
		o := &c.Items[i]
		if o.ID != line.ID && o.Status != Canceled && o.Unit == line.Unit && o.Practice == line.Practice && o.FiscalYear == line.FiscalYear {
			return o
		}
	}
	return nil
}

// overPlanned is how much more than a unit's acres a line may plan on it: acres of
// contracts and of maps are measured in different ways.
const overPlanned = 1.1

// MostPlanned gives the most acres that a line of a contract may plan on the unit.
func (u *Unit) MostPlanned() quantity.Acres { return MostPlanned(u.Acres) }

// MostPlanned gives the most acres that a line may plan on ground of some acres.
func MostPlanned(acres quantity.Acres) quantity.Acres { return acres * overPlanned }

// TotalAcres adds up the acres of units, in exact decimals.
func TotalAcres(units iter.Seq[*Unit]) quantity.Acres {
	var sum quantity.Exact
	for u := range units {
		sum += quantity.ExactOf(u.Acres)
	}
	return quantity.Acres(sum.Float())
}
