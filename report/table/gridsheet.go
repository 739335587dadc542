package table

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"emberquilt/report/view"
)

// GridSheet is the plan as a grid of units and years: the letter of the season for a
// burn, the stand age at the end of the year for a rest and for a burn that was missed. Below it the totals of each
// year are formulas over the grid, so that what is changed there is summed anew.
func GridSheet(v *view.Program) *Sheet {
	s := &Sheet{Name: "grid", Header: []string{"unit", "acres", "cost"}, centered: 3}
	for _, year := range v.Years {
		s.Header = append(s.Header, year.String())
	}
	isOutside := false
	for _, u := range v.Units {
		row := []any{u.ID, u.Acres, u.Cost}
		for _, c := range u.Cells {
			isOutside = isOutside || c.Counts == view.OutsideSeasons
			if c.Counts != "" {
				row = append(row, code(c.Counts))
			} else {
				row = append(row, c.Age)
			}
		}
		s.Rows = append(s.Rows, row)
	}
	if len(v.Units) == 0 || len(v.ByYear) == 0 {
		return s
	}
	last := len(v.Units) + 1
	// span gives the rows of the units in a column, such as D$2:D$9.
	span := func(column int) string {
		name, _ := excelize.ColumnNumberToName(column)
		return fmt.Sprintf("$%s$2:$%s$%d", name, name, last)
	}
	add := func(label string, of func(year int) total) {
		row := []any{label, nil, nil}
		for t := range v.Years {
			row = append(row, of(t))
		}
		s.Rows = append(s.Rows, row)
	}
	// Season by season: programs differ in which cells a pattern takes for text.
	each := func(of func(season string) string) string {
		var parts []string
		for _, season := range v.Seasons {
			parts = append(parts, of(strconv.Quote(code(season.Letter))))
		}
		if isOutside {
			parts = append(parts, of(strconv.Quote(view.OutsideSeasons)))
		}
		return strings.Join(parts, "+")
	}
	sum := func(t, column int) func(string) string {
		return func(season string) string {
			return fmt.Sprintf("SUMIF(%s,%s,%s)", span(4+t), season, span(column))
		}
	}
	add("acres burned", func(t int) total { return total{each(sum(t, 2)), v.ByYear[t].Burned} })
	add("burns", func(t int) total {
		return total{each(func(season string) string { return fmt.Sprintf("COUNTIF(%s,%s)", span(4+t), season) }), v.ByYear[t].Burns}
	})
	add("cost", func(t int) total { return total{each(sum(t, 3)), v.ByYear[t].Cost} })
	for k, season := range v.Seasons {
		add("acres in "+season.Name+" ("+code(season.Letter)+")", func(t int) total {
			return total{sum(t, 2)(strconv.Quote(code(season.Letter))), v.ByYear[t].Seasons[k].Acres}
		})
	}
	if isOutside {
		add("acres outside the seasons ("+view.OutsideSeasons+")", func(t int) total {
			acres := v.ByYear[t].Burned
			for _, of := range v.ByYear[t].Seasons {
				acres -= of.Acres
			}
			return total{sum(t, 2)(strconv.Quote(view.OutsideSeasons)), acres}
		})
	}
	return s
}

// code is what stands in the grid for a season: its letter, which for a season that has
// none left is a number, and must not be taken for an age.
func code(letter string) string {
	if _, err := strconv.Atoi(letter); err == nil {
		return "S" + letter
	}
	return letter
}
