package habitat

import (
	"errors"
	"fmt"
	"slices"

	"emberquilt/habitat/date"
)

// Measure is what a practice is counted in.
type Measure string

// The measures of practices.
const (
	InAcres Measure = "acres"
	InFeet  Measure = "feet"
)

// Contract is a cost-share contract: which practices are due on which unit in
// which fiscal year. Payment rates are not part of it.
//
// The JSON keys are those of property files: they do not change.
type Contract struct {
	// Name is what the contract is called in the papers.
	Name string `json:"name"`
	// Number and Client are as the agency writes them, or empty.
	Number string `json:"number,omitempty"`
	Client string `json:"client,omitempty"`
	// FiscalStart is the month in which the fiscal years of the contract's
	// program start; 0 means October, the federal fiscal year.
	FiscalStart date.FiscalStart `json:"fiscal_year_starts,omitempty"`
	// Early says what the contract does with work that was done before its year.
	Early     EarlyCredit    `json:"early_work,omitempty"`
	Practices []Practice     `json:"practices"`
	Items     []ContractItem `json:"items"`
	// Completions are work of practices other than burning, which follows from
	// the burn records.
	Completions []Completion `json:"completions,omitempty"`
	Files       []Attachment `json:"files,omitempty"`
	Notes       string       `json:"notes,omitempty"`
	// Hold says how plans hold to the lines that say nothing themselves.
	Hold LineHold `json:"in_plan,omitempty"`
	// Modifications are in the order in which they came.
	Modifications []Modification `json:"modifications,omitempty"`
}

// Practice is one conservation practice standard. Code, name and date are typed
// by the user: they change, and by state.
type Practice struct {
	Code string `json:"code"`
	Name string `json:"name"`
	// Standard is the date of the standard as the user typed it, such as
	// "2020-09" or "September 2020".
	Standard string  `json:"standard,omitempty"`
	Measure  Measure `json:"measure"`
	// Burns says that applied acres come from the burn records.
	Burns bool `json:"from_burns,omitempty"`
}

// ContractItem is what was planned of a practice on a unit, or on the whole property,
// in a fiscal year of the contract's program.
type ContractItem struct {
	// ID is the number of the line in its contract: see NumberLines.
	ID int `json:"line,omitempty"`
	// Item is its number as the agency writes it, or empty.
	Item string `json:"item,omitempty"`
	// Unit is empty for a line of the whole property: see IsPropertyWide.
	Unit       string          `json:"unit"`
	Practice   string          `json:"practice"`
	FiscalYear date.FiscalYear `json:"fiscal_year"`
	// Planned is in the practice's measure.
	Planned float64 `json:"planned"`
	// Until is the last fiscal year of a line that was extended; 0 where it was not.
	Until  date.FiscalYear `json:"until,omitempty"`
	Status LineStatus      `json:"status,omitempty"`
	// Hold says how plans hold to the line; empty as the contract says.
	Hold LineHold `json:"in_plan,omitempty"`
	// Was is what the line planned before its first modification; nil without one.
	// An import that still says so leaves the line as it is.
	Was *LinePlace `json:"was,omitempty"`
}

// Completion is work of a practice that was done on a unit, or on the whole property.
type Completion struct {
	// Unit is empty for work on the whole property: it counts for lines of the whole
	// property alone.
	Unit     string   `json:"unit"`
	Practice string   `json:"practice"`
	On       date.Day `json:"done_on"`
	// Applied is in the practice's measure.
	Applied float64 `json:"applied"`
	Notes   string  `json:"notes,omitempty"`
}

// Validate checks the contract in itself: names, each practice and item once,
// amounts above 0. The error joins one *FieldError for each fault.
func (c *Contract) Validate() error {
	var all []error
	add := func(err error) {
		if err != nil {
			all = append(all, err)
		}
	}
	add(ValidateName("name", c.Name))
	if c.FiscalStart < 0 || c.FiscalStart > 12 {
		add(fieldErrorf("fiscal_year_starts", "a month, 1 to 12", "%d is not a month", c.FiscalStart))
	}
	known := func(code string) bool {
		return slices.ContainsFunc(c.Practices, func(p Practice) bool { return p.Code == code })
	}
	if !c.Hold.isKnown() {
		add(fieldErrorf("in_plan", "free, wish or lock", "%q is not a way to hold a line", c.Hold))
	}
	for i, p := range c.Practices {
		field := fmt.Sprintf("practice[%d]", i)
		add(ValidateName(field+".code", p.Code))
		add(ValidateName(field+".name", p.Name))
		if p.Measure != InAcres && p.Measure != InFeet {
			add(fieldErrorf(field+".measure", "acres or feet", "%q is not a measure of a practice", p.Measure))
		}
		if slices.ContainsFunc(c.Practices[:i], func(o Practice) bool { return o.Code == p.Code }) {
			add(fieldErrorf(field+".code", "each practice once", "%q is named twice", p.Code))
		}
	}
	for i, it := range c.Items {
		field := fmt.Sprintf("item[%d]", i)
		if !known(it.Practice) {
			add(fieldErrorf(field+".practice", "a practice of the contract", "%q is not a practice of this contract", it.Practice))
		}
		if !(it.Planned > 0 && it.Planned <= float64(MaxAcres)) {
			add(fieldErrorf(field+".planned", "an amount above 0, up to 1e9", "%v is nothing to do", it.Planned))
		}
		if !it.Hold.isKnown() {
			add(fieldErrorf(field+".in_plan", "free, wish or lock", "%q is not a way to hold a line", it.Hold))
		}
		if it.Status != Canceled && slices.ContainsFunc(c.Items[:i], func(o ContractItem) bool {
			return o.Status != Canceled && o.Unit == it.Unit && o.Practice == it.Practice && o.FiscalYear == it.FiscalYear
		}) {
			add(fieldErrorf(field, "each unit, practice and fiscal year once", "%s, %s, %d is named twice", it.Place(), it.Practice, it.FiscalYear))
		}
	}
	for i, done := range c.Completions {
		field := fmt.Sprintf("completion[%d]", i)
		if !known(done.Practice) {
			add(fieldErrorf(field+".practice", "a practice of the contract", "%q is not a practice of this contract", done.Practice))
		}
		if !(done.Applied >= 0 && done.Applied <= float64(MaxAcres)) {
			add(fieldErrorf(field+".applied", "0 or more", "%v is not an amount", done.Applied))
		}
	}
	return errors.Join(all...)
}
