package app

import (
	"errors"
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/store"
)

// namedUnits is a list of units in the settings.
type namedUnits struct {
	field string
	names []string
	of    view.ListOfUnits
}

// unitsIn gives the lists of units in settings.
func unitsIn(p *habitat.Property) []namedUnits {
	lists := []namedUnits{{"grazed_units", p.GrazedUnits, view.GrazedUnits}}
	for i := range p.Closures {
		lists = append(lists, namedUnits{fmt.Sprintf("closure[%d].units", i), p.Closures[i].Units, view.ClosedUnits})
	}
	return lists
}

// settleUnits writes the units that settings name as the property writes them. A name
// that no unit bears is refused, unless the property has no units yet.
func settleUnits(p *habitat.Property, now *store.Snapshot) error {
	if len(now.AllUnits()) == 0 {
		return nil
	}
	var list source.List
	settled := func(of namedUnits) (all []string) {
		for _, name := range of.names {
			unit, err := FindUnit(now, name)
			var fault *source.Error
			switch {
			case errors.As(err, &fault):
				at := *fault
				at.Position = source.Position{Field: of.field}
				list.Add(&at)
			case err == nil && !slices.Contains(all, unit.ID):
				all = append(all, unit.ID)
			}
		}
		return all
	}
	lists := unitsIn(p)
	p.GrazedUnits = settled(lists[0])
	p.Closures = slices.Clone(p.Closures)
	for i := range p.Closures {
		p.Closures[i].Units = settled(lists[1+i])
	}
	return list.Err()
}

// StrayNames says which units the settings name that the property does not have: they
// were named before there were units.
func (s *Session) StrayNames() (words []string) {
	names := s.UnitNames()
	if len(names) == 0 {
		return nil
	}
	for _, of := range unitsIn(&s.Property) {
		for _, name := range of.names {
			if slices.Contains(names, name) {
				continue
			}
			words = append(words, view.StrayName(of.of, of.field, name, source.DidYouMean(name, names)))
		}
	}
	return words
}
