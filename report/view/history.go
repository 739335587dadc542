package view

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// historyYears is how many past program years a book shows.
const historyYears = 10

// History is what the records say of the program years before the plan, and of
// the year that is under way.
type History struct {
	Years  []PastYear  `json:"years"`
	OnTime []OnTimeRow `json:"on_time"`
	Mixes  []PastMix   `json:"mixes"`
}

// PastYear sums the records of one program year.
type PastYear struct {
	Year date.ProgramYear `json:"year"`
	// Planned are the acres of the plan that was in force; nil where there was none.
	Planned *quantity.Acres `json:"acres_planned"`
	// Prescribed and Wildfire are acres burned: ground that burned twice in the
	// year counts twice. Touched counts it once, up to the acres of each unit.
	Prescribed quantity.Acres `json:"acres_prescribed"`
	Wildfire   quantity.Acres `json:"acres_wildfire"`
	Touched    quantity.Acres `json:"acres_touched"`
	// Treated are the acres of treatments other than fire, kind by kind; they are
	// in none of the acres above.
	Treated  []TreatedAcres `json:"treated,omitempty"`
	Burns    int            `json:"burns"`
	Attempts int            `json:"attempts"`
	// Missed are the units that were planned for a season that is over and did not
	// reset.
	Missed []string `json:"missed"`
	// Unplanned are the units that burned and were not planned; nil where no
	// plan was in force.
	Unplanned []string `json:"unplanned"`
	// Complete says that the program year is over.
	Complete bool `json:"complete"`
}

// TreatedAcres are the acres of one kind of treatment.
type TreatedAcres struct {
	Kind  habitat.RecordKind `json:"kind"`
	Acres quantity.Acres     `json:"acres"`
}

// OnTimeRow says how often a unit kept its interval on record.
type OnTimeRow struct {
	Unit string `json:"unit"`
	// Years counts the whole program years since the first resetting burn on
	// record, OnTime those that ended below the longest interval.
	Years  int `json:"years"`
	OnTime int `json:"on_time"`
}

// PastMix is the acres of a mix by age class at the end of past years.
type PastMix struct {
	Name string `json:"name"`
	// Years are those that are over.
	Years   []date.ProgramYear `json:"years"`
	Classes []PastClass        `json:"classes"`
	// Unknown are the acres of units without a record by then.
	Unknown []quantity.Acres `json:"unknown_acres"`
}

// PastClass is one age class over the years of the history.
type PastClass struct {
	Name  string           `json:"name"`
	Ages  string           `json:"ages"`
	Acres []quantity.Acres `json:"acres"`
}

// HasPlans reports whether a plan was in force in any of the years.
func (h *History) HasPlans() bool {
	for _, y := range h.Years {
		if y.Planned != nil {
			return true
		}
	}
	return false
}

// newHistory sums the records; nil where there are none.
func newHistory(plan *Plan) *History {
	p, today := &plan.Property, plan.Stamp.On
	if len(plan.Records) == 0 || len(plan.everOwned()) == 0 || p.YearStart == 0 || today.IsZero() {
		return nil
	}
	last := p.YearOf(today)
	first := last
	for i := range plan.Records {
		if year := p.YearOf(plan.Records[i].Through); !plan.Records[i].Through.After(today) && year < first {
			first = year
		}
	}
	h, byUnit := &History{}, plan.recordsByUnit()
	shownFrom := max(first, last-historyYears)
	for year := shownFrom; year <= last; year++ {
		h.Years = append(h.Years, plan.pastYear(year, byUnit))
	}
	units := plan.everOwned()
	for i := range units {
		h.OnTime = append(h.OnTime, plan.onTime(&units[i], byUnit[units[i].ID], first, last))
	}
	closed := last
	if !plan.closed(last) {
		closed-- // ages at the end of a year that is under way are not known
	}
	for m := range p.Mixes {
		if closed < shownFrom {
			break
		}
		h.Mixes = append(h.Mixes, plan.pastMix(m, byUnit, shownFrom, closed))
	}
	return h
}

// everOwned are the units and those that are retired.
func (plan *Plan) everOwned() []habitat.Unit { return slices.Concat(plan.Units, plan.Retired) }

// owned reports whether a unit was the property's at the end of a program year.
func (plan *Plan) owned(u *habitat.Unit, year date.ProgramYear) bool {
	return u.Owned.Has(plan.Property.YearStart.Span(year).Last)
}

// recordsByUnit keeps the records' order within each unit.
func (plan *Plan) recordsByUnit() map[string][]habitat.BurnRecord {
	byUnit := make(map[string][]habitat.BurnRecord, len(plan.Units))
	for _, r := range plan.Records {
		byUnit[r.Unit] = append(byUnit[r.Unit], r)
	}
	return byUnit
}

// closed says whether a program year is over on the stamp's date.
func (plan *Plan) closed(year date.ProgramYear) bool {
	return plan.Stamp.On.After(plan.Property.YearStart.Span(year).Last)
}

func (plan *Plan) pastYear(year date.ProgramYear, byUnit map[string][]habitat.BurnRecord) PastYear {
	p, today := &plan.Property, plan.Stamp.On
	row := PastYear{Year: year, Complete: plan.closed(year)}
	planned, over := map[string]bool{}, map[string]bool{}
	for _, b := range plan.Planned {
		if b.Year == year {
			planned[b.Unit] = true
			over[b.Unit] = over[b.Unit] || BurnSpan(p, b.Season, b.Year).Last.Before(today)
		}
	}
	burns := map[int64]bool{} // one burn of a unit that was split since is one
	if len(planned) > 0 {
		row.Planned = new(quantity.Acres)
	}
	units := plan.everOwned()
	for i := range units {
		u := &units[i]
		records := byUnit[u.ID]
		var touched quantity.Acres
		for j := range records {
			r := &records[j]
			if r.Through.After(today) || p.YearOf(r.Through) != year {
				continue
			}
			acres := r.Burned(u)
			if r.Kind.IsTreatment() {
				row.treat(r.Kind, acres)
				continue
			}
			switch r.Kind {
			case habitat.Attempt:
				if !burns[r.ID] || r.ID == 0 {
					row.Attempts++
				}
				burns[r.ID] = true
				continue
			case habitat.Wildfire:
				row.Wildfire += acres
			default:
				row.Prescribed += acres
				if !burns[r.ID] || r.ID == 0 {
					row.Burns++
				}
				burns[r.ID] = true
			}
			touched += acres
		}
		row.Touched += min(touched, u.Acres)
		if row.Planned == nil {
			continue // no plan was in force: nothing was missed and nothing unplanned
		}
		state := plan.state(u, records, year)
		burned := state.Done
		switch {
		case planned[u.ID]:
			*row.Planned += u.Acres
			if !burned && over[u.ID] {
				row.Missed = append(row.Missed, u.ID)
			}
		case burned && state.Last.By == "" && row.Planned != nil:
			row.Unplanned = append(row.Unplanned, u.ID)
		}
	}
	return row
}

// treat adds the acres of a treatment.
func (y *PastYear) treat(kind habitat.RecordKind, acres quantity.Acres) {
	at := slices.IndexFunc(y.Treated, func(t TreatedAcres) bool { return t.Kind == kind })
	if at < 0 {
		y.Treated = append(y.Treated, TreatedAcres{Kind: kind})
		at = len(y.Treated) - 1
	}
	y.Treated[at].Acres += acres
}

// TreatedWords gives "mowing 12.0, grazing 40.0", or nothing.
func (y *PastYear) TreatedWords() string {
	words := make([]string, len(y.Treated))
	for i, t := range y.Treated {
		words[i] = fmt.Sprintf("%s %s", t.Kind, t.Acres)
	}
	return strings.Join(words, ", ")
}

func (plan *Plan) onTime(u *habitat.Unit, records []habitat.BurnRecord, first, last date.ProgramYear) OnTimeRow {
	row := OnTimeRow{Unit: u.ID}
	for year := first; year <= last; year++ {
		reset, ok := plan.Property.LastReset(u, records, year, plan.Stamp.On)
		if !ok || !plan.closed(year) || !plan.owned(u, year) {
			continue
		}
		row.Years++
		if int(year-reset.Year) < u.Interval.Max {
			row.OnTime++
		}
	}
	return row
}

func (plan *Plan) pastMix(m int, byUnit map[string][]habitat.BurnRecord, first, last date.ProgramYear) PastMix {
	mix := &plan.Property.Mixes[m]
	years := int(last-first) + 1
	past := PastMix{Name: mix.Name, Unknown: make([]quantity.Acres, years)}
	for year := first; year <= last; year++ {
		past.Years = append(past.Years, year)
	}
	for _, c := range mix.Classes {
		past.Classes = append(past.Classes, PastClass{Name: c.Name, Ages: c.Ages(), Acres: make([]quantity.Acres, years)})
	}
	units := plan.everOwned()
	for i := range units {
		u := &units[i]
		if u.Mix != mix.Name {
			continue
		}
		for t := range years {
			year := first + date.ProgramYear(t)
			if !plan.owned(u, year) {
				continue
			}
			reset, ok := plan.Property.LastReset(u, byUnit[u.ID], year, plan.Stamp.On)
			if !ok {
				past.Unknown[t] += u.Acres
				continue
			}
			for c := range mix.Classes {
				if age := int(year - reset.Year); age >= mix.Classes[c].From && age <= mix.Classes[c].To {
					past.Classes[c].Acres[t] += u.Acres
				}
			}
		}
	}
	return past
}
