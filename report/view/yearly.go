package view

import (
	"fmt"
	"math"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// yearRow sums one year as things stand, in unit order.
func (l *layout) yearRow(t int) YearRow {
	p := l.Problem
	row := YearRow{Year: l.year(t), Seasons: make([]SeasonSum, len(p.Seasons))}
	var cost float64
	for i := range p.Units {
		u := &p.Units[i]
		acres := quantity.Acres(u.Acres)
		if l.overdue(i, t) {
			row.OverdueUnits++
			row.OverdueAcres += acres
		}
		s := l.stood[i][t]
		if s < 0 {
			row.Rested += acres
			continue
		}
		row.Burns++
		row.Burned += acres
		cost += u.Cost
		if s == len(p.Seasons) { // outside them
			continue
		}
		row.Seasons[s].Burns++
		row.Seasons[s].Acres += acres
		row.Seasons[s].BurnDays += u.BurnDays
	}
	row.Cost = centsOf(cost)
	if !math.IsInf(p.EvenLo, 0) {
		row.Short = max(0, quantity.Acres(p.EvenLo)-row.Burned)
	}
	if !math.IsInf(p.EvenHi, 0) {
		row.Over = max(0, row.Burned-quantity.Acres(p.EvenHi))
	}
	return row
}

// mixTable sets the acres of a mix's classes against their wanted bands.
func (l *layout) mixTable(m int) MixTable {
	p := l.Problem
	all := l.mixAcres[m]
	table := MixTable{Name: p.Mixes[m].Name, Acres: quantity.Acres(all), Classes: make([]ClassRow, len(p.Mixes[m].Classes))}
	for c, class := range p.Mixes[m].Classes {
		table.Classes[c] = ClassRow{Name: class.Name, Ages: habitat.AgeClass{From: class.From, To: class.To}.Ages(),
			Lo: quantity.Acres(class.MinShare * all), Hi: quantity.Acres(class.MaxShare * all), Years: make([]ClassYear, p.Years)}
	}
	for t := range p.Years {
		for c, acres := range l.holds[t][m] {
			row := &table.Classes[c]
			row.Years[t] = ClassYear{Acres: quantity.Acres(acres), Off: offBand(quantity.Acres(acres), row.Lo, row.Hi)}
		}
	}
	return table
}

// offBand says by how much acres miss a band; what the rotation problem lets
// pass as met is 0.
func offBand(acres, lo, hi quantity.Acres) quantity.Acres {
	if !problem.Meets(float64(lo-acres), 0) {
		return acres - lo
	}
	if !problem.Meets(float64(acres-hi), 0) {
		return acres - hi
	}
	return 0
}

// capRows lists the limits that some plan year has.
func (l *layout) capRows(years []YearRow) []CapRow {
	p := l.Problem
	rows := []CapRow{
		l.capRow(problem.RowAcres, "", "acres burned", "acres", years, func(c *problem.YearCaps) float64 { return c.Acres }, func(y *YearRow) float64 { return float64(y.Burned) }),
		l.capRow(
			problem.RowBurns,
			"",
			"number of burns",
			"burns",
			years,
			func(c *problem.YearCaps) float64 { return c.Burns },
			func(y *YearRow) float64 { return float64(y.Burns) },
		),
		l.capRow(problem.RowCost, "", "cost", "dollars", years, func(c *problem.YearCaps) float64 { return c.Cost }, func(y *YearRow) float64 { return float64(y.Cost) / 100 }),
	}
	for s, name := range p.Seasons {
		rows = append(rows, l.capRow(problem.RowBurnDays, name, "burn days, "+name, "burn days", years,
			func(c *problem.YearCaps) float64 { return c.BurnDays[s] }, func(y *YearRow) float64 { return y.Seasons[s].BurnDays }))
	}
	kept := rows[:0]
	for _, row := range rows {
		for _, use := range row.Years {
			if use.Limit != nil {
				kept = append(kept, row)
				break
			}
		}
	}
	return kept
}

func (l *layout) capRow(kind problem.RowKind, season, name, unit string, years []YearRow, limitOf func(*problem.YearCaps) float64, usedOf func(*YearRow) float64) CapRow {
	row := CapRow{Kind: kind, Season: season, Name: name, Unit: unit, Years: make([]CapUse, len(years))}
	for t := range years {
		most := limitOf(&l.Problem.Caps[t])
		use := CapUse{Limit: limit(most), Used: usedOf(&years[t])}
		if use.Limit != nil {
			left := most - use.Used
			if math.Abs(left) <= problem.SlackAllowed(most) {
				left = 0 // within what the rotation problem calls met
			}
			use.Left = &left
		}
		row.Years[t] = use
	}
	return row
}

// leastUnburned is the share of the ground below which a year leaves little unburned.
// Common practice, no source.
const leastUnburned = 0.25

// unasked warns of plan years that burn almost all of the ground where nobody set a
// share that may: units that burn then are in no refuge group. One unit alone says
// nothing.
func (l *layout) unasked(ground quantity.Acres) []string {
	p := l.Problem
	var years []string
	if len(p.Units) < 2 {
		return nil
	}
	for t := range p.Years {
		var burned, free quantity.Acres
		for i := range p.Units {
			if l.burns(i, t) {
				burned += quantity.Acres(p.Units[i].Acres)
				if p.Units[i].Refuge < 0 {
					free += quantity.Acres(p.Units[i].Acres)
				}
			}
		}
		if free == 0 || float64(ground-burned) >= leastUnburned*float64(ground) {
			continue
		}
		years = append(years, fmt.Sprintf("%d burns %s of %s acres", l.year(t), burned, ground))
	}
	if len(years) == 0 {
		return nil
	}
	return []string{
		quantity.List(
			years,
		) + " at once, which leaves little or nothing unburned for what lives there; a refuge group (max_share in the settings, the column refuge of the units) keeps a share of the ground unburned each year",
	}
}

// refugeRows sets what burns of each refuge group against its limit.
func (l *layout) refugeRows() []RefugeRow {
	p := l.Problem
	rows := make([]RefugeRow, len(p.Refuges))
	for r, acres := range l.refugeAcres {
		rows[r] = RefugeRow{Name: p.Refuges[r].Name, Acres: quantity.Acres(acres), Limit: quantity.Acres(p.Refuges[r].MaxShare * acres),
			Burned: make([]quantity.Acres, p.Years)}
	}
	for i := range p.Units {
		for t := range p.Years {
			if r := p.Units[i].Refuge; r >= 0 && l.stood[i][t] >= 0 {
				rows[r].Burned[t] += quantity.Acres(p.Units[i].Acres)
			}
		}
	}
	return rows
}
