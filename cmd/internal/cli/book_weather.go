package cli

import (
	"fmt"
	"slices"

	"emberquilt/report/page"
	"emberquilt/report/svgcard"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// mostCards is how many wind cards a book draws; "card" shows the others.
const mostCards = 12

// weather gathers what the book says of the record in use; nil without one.
func (m *material) weather() (*view.Weather, error) {
	o := m.outlook
	if o.series == nil {
		return nil, nil
	}
	v := &view.Weather{Basis: o.basis(), Springs: m.program.Springs, Cautions: view.Cautions()}
	var err error
	if v.Seasons, err = m.seasonDays(o, m.due.Year); err != nil {
		return nil, err
	}
	names := m.namedPrescriptions(o)
	for _, name := range names {
		limits := o.limits[name]
		days, err := o.series.Evaluate(limits, o.bare())
		if err != nil { // such as wind at eye level with an adjustment for some units only
			o.said = append(o.said, fmt.Sprintf("the prescription %s is not counted by itself: %v", name, err))
			continue
		}
		costs, err := o.series.Costs(limits, o.bare(), window.Steps{})
		if err != nil {
			return nil, fmt.Errorf("prescription %s: %w", name, err)
		}
		v.Heats = append(v.Heats, view.NewHeat(limits, days, &m.Property))
		v.Costs = append(v.Costs, view.NewLimitTable(limits, days, costs))
	}
	if len(m.Weather) > 1 {
		if v.Stations, err = m.stations(m.ctx, o, names); err != nil {
			return nil, err
		}
	}
	v.Warnings = o.warnings()
	return v, nil
}

// cards draws the wind cards of the season's units.
func (m *material) cards() ([]page.Map, error) {
	var drawn []page.Map
	for i := range m.due.Units {
		if len(drawn) == mostCards {
			break
		}
		unit, err := findUnit(m.Snapshot, m.due.Units[i].Unit)
		if err != nil || m.outlook.terms(unit, m.due.Season).card == nil {
			continue // gone since the plan was made, or without a depth
		}
		card, err := m.outlook.windCard(unit, m.due.Season)
		if err != nil {
			return nil, err
		}
		html, err := svgcard.HTML(card, fmt.Sprintf("card-%d", i))
		if err != nil {
			return nil, err
		}
		drawn = append(drawn, page.Map{Title: "Wind card of " + unit.ID, HTML: html})
	}
	return drawn, nil
}

// namedPrescriptions gives the loaded prescriptions that units name, in the
// order in which they do.
func (d *desk) namedPrescriptions(o *outlook) []string {
	var names []string
	for i := range d.Units {
		for _, choice := range d.Units[i].Choices(&d.Property) {
			if t := o.terms(&d.Units[i], choice.Season); t.limits != nil && !slices.Contains(names, t.limits.Name) {
				names = append(names, t.limits.Name)
			}
		}
	}
	return names
}
