package habitat

import (
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// UnitState is what the records say of a unit on a day. Every command and paper
// that says whether a unit burned asks it, so that no two can differ.
type UnitState struct {
	Unit string
	On   date.Day
	// Year is the program year that is spoken of: for StateOf that of On.
	Year date.ProgramYear
	// Last is what last set the stand age back to 0; HasLast is false where no record
	// did. LastBurn is the last day of the last burn that did; zero where none.
	Last     Reset
	HasLast  bool
	LastBurn date.Day
	// Partial are the years after Last in which some of the unit burned, but not
	// enough to set the stand age back; the oldest first.
	Partial []PartialBurn
	// Done says that the burn of Year is on record: it set the stand age back.
	Done bool
	// Burned is what burned in Year so far, at most the unit's acres; Left is
	// the rest of the unit.
	Burned, Left quantity.Acres
	// BurnedOn is the last day of the last burn in Year; zero where there was none.
	BurnedOn date.Day
	// Before is the stand age at the end of the year before Year, Now that at the
	// end of Year without another burn.
	Before, Now StandAge
}

// PartialBurn is what burned of a unit in a program year that did not set its
// stand age back.
type PartialBurn struct {
	Year date.ProgramYear
	// On is the last day of the last of its burns.
	On    date.Day
	Acres quantity.Acres
	// Records are the numbers of its records, in order of their days.
	Records []int64
}

// PartBurned reports whether some of the unit burned this program year, but not
// enough to set its stand age back: the burn can be finished.
func (s *UnitState) PartBurned() bool { return !s.Done && s.Burned > 0 }

// HasBurned reports whether the unit's burn of the program year is on record: fire set its
// stand age back, not a treatment.
func (s *UnitState) HasBurned() bool { return s.Done && s.Last.By == "" }

// StateOf gives the state of a unit on a day, from the records that end on or
// before it. Burns of one program year count together; attempts burned nothing.
func (p *Property) StateOf(u *Unit, records []BurnRecord, on date.Day) UnitState {
	return p.StateIn(u, records, p.YearOf(on), on)
}

// StateIn gives the state of a unit in a program year as it is known on a day: a
// year that is over at its end, a year to come as if nothing burned until then.
func (p *Property) StateIn(u *Unit, records []BurnRecord, year date.ProgramYear, on date.Day) UnitState {
	s := UnitState{Unit: u.ID, On: on, Year: year, Left: u.Acres}
	own := p.agesOf(u, records, s.Year, on)
	s.Last, s.HasLast = p.lastReset(u.Acres, own, 0)
	if s.LastBurn = s.Last.On; slices.ContainsFunc(own, func(r ageRecord) bool { return r.Kind.IsTreatment() }) {
		// Fire and mowing may have set it back together, whichever of them came last.
		s.LastBurn = p.LastBurn(u, records, s.Year, on)
	}
	s.Done = s.HasLast && s.Last.Year == s.Year
	s.Now = u.ageSince(s.Last, s.HasLast, s.Year, len(own) > 0)
	own = slices.DeleteFunc(own, func(r ageRecord) bool { return r.in >= s.Year })
	before, wasReset := p.lastReset(u.Acres, own, 0)
	s.Before = u.ageSince(before, wasReset, s.Year-1, len(own) > 0)
	for _, r := range firesOf(u, records, on) {
		year, acres := p.YearOf(r.Through), u.Acres
		if r.HasAcres {
			acres = r.Acres
		}
		if year > s.Year {
			continue
		}
		if year == s.Year {
			s.BurnedOn = r.Through
			s.Burned = min(s.Burned+acres, u.Acres)
			s.Left = u.Acres - s.Burned
		}
		if s.HasLast && year <= s.Last.Year {
			continue
		}
		if k := len(s.Partial) - 1; k < 0 || s.Partial[k].Year != year {
			s.Partial = append(s.Partial, PartialBurn{Year: year})
		}
		part := &s.Partial[len(s.Partial)-1]
		part.On, part.Acres, part.Records = r.Through, part.Acres+acres, append(part.Records, r.ID)
	}
	return s
}

// firesOf gives the records of a unit by which fire burned some of it up to a day, in
// order of their days.
func firesOf(u *Unit, records []BurnRecord, on date.Day) (own []*BurnRecord) {
	for i := range records {
		r := &records[i]
		if r.Unit != u.ID || r.Kind == Attempt || r.Kind.IsTreatment() || r.Through.After(on) || r.HasAcres && r.Acres == 0 {
			continue
		}
		own = append(own, r)
	}
	slices.SortStableFunc(own, compareRecords)
	return own
}
