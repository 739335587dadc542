package app

import (
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/store"
)

// FindUnit gives the unit of a name; capitals do not matter where only one
// unit fits.
func FindUnit(snapshot *store.Snapshot, name string) (*habitat.Unit, error) {
	both := [][]habitat.Unit{snapshot.Units, snapshot.Retired}
	for _, units := range both { // as it is stored: folding names takes long
		for i := range units {
			if units[i].ID == name {
				return &units[i], nil
			}
		}
	}
	var near *habitat.Unit
	several, folded := false, source.FoldName(name)
	for _, units := range both {
		for i := range units {
			if source.FoldName(units[i].ID) == folded {
				several = near != nil
				near = &units[i]
			}
		}
	}
	if near != nil && !several {
		return near, nil
	}
	if c := snapshot.Lineage.Last(name); c != nil {
		return nil, &AdvisedError{Advice: ListUnits, Fault: &source.Error{
			Position: source.Position{File: "UNIT"}, Found: fmt.Sprintf("%s is no more: %s on %s", source.Quote(name), c.Words(), c.On),
			Accepts: "one of " + quotedList(snapshot.Lineage.Now(name, 0)),
		}}
	}
	return nil, &AdvisedError{Advice: ListUnits, Fault: &source.Error{
		Position: source.Position{File: "UNIT"},
		Found:    source.Quote(name) + " is not a unit of " + snapshot.Property.Name,
		Accepts:  "a unit's name as it is stored",
		Hint:     source.DidYouMean(name, unitNames(snapshot)),
	}}
}

// unitsByName finds the units as they are today by their names.
func (s *Session) unitsByName() map[string]*habitat.Unit {
	all := make(map[string]*habitat.Unit, len(s.Units))
	for i := range s.Units {
		all[s.Units[i].ID] = &s.Units[i]
	}
	return all
}

// UnitNames gives the names of the units as they are now, those that retired among
// them.
func (s *Session) UnitNames() []string { return unitNames(s.Snapshot) }

func unitNames(s *store.Snapshot) []string {
	units := s.AllUnits()
	names := make([]string, len(units))
	for i := range units {
		names[i] = units[i].ID
	}
	return names
}

// UnitsNamed finds units by their names, each once.
func (s *Session) UnitsNamed(names []string) ([]string, error) {
	var all []string
	for _, name := range names {
		unit, err := FindUnit(s.Snapshot, name)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(all, unit.ID) {
			all = append(all, unit.ID)
		}
	}
	return all, nil
}

// UnitRows lists the units, the retired ones last, each with what the records say of
// it today.
func (s *Session) UnitRows() []view.AgedUnit {
	units := s.AllUnits()
	all := make([]view.AgedUnit, len(units))
	for i := range units {
		u := &units[i]
		all[i] = view.NewAgedUnit(u, s.StateOf(u))
	}
	return all
}
