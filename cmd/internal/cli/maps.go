package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"emberquilt/habitat/ground"
	"emberquilt/report/page"
	"emberquilt/report/svgmap"
	"emberquilt/report/view"
)

// restClasses are the stand ages that a map tells apart among resting units,
// by the oldest age of each.
var restClasses = []struct {
	to   int
	name string
}{{1, "stand age 1"}, {2, "stand age 2"}, {4, "stand age 3 to 4"}, {1 << 30, "stand age 5 and over"}}

// mapSheet draws years of the plan; nil where no unit of it has a shape.
func (m *material) mapSheet(id string, columns int, width float64, years ...int) *svgmap.Sheet {
	current := m.Current()
	v := m.programme
	sheet := &svgmap.Sheet{
		ID: id, Title: v.Stamp.Property, Description: "Which units burn and which rest, with their stand age at the end of the program year.",
		Places: current.Places, Columns: columns, Width: width,
	}
	for _, place := range m.Standing {
		sheet.Standing = append(sheet.Standing, place.Lines...)
		for _, pond := range place.Shape.Polygons {
			sheet.Standing = append(sheet.Standing, closed(pond.Outer))
		}
	}
	for _, s := range v.Seasons {
		sheet.Seasons = append(sheet.Seasons, s.Name)
	}
	for _, c := range restClasses {
		sheet.Classes = append(sheet.Classes, c.name)
	}
	var drawn []*view.UnitRow
	for i := range v.Units {
		if shape, ok := current.Shapes[v.Units[i].ID]; ok {
			sheet.Units = append(sheet.Units, svgmap.Unit{Name: v.Units[i].ID, Shape: shape})
			drawn = append(drawn, &v.Units[i])
		}
	}
	if len(drawn) == 0 {
		return nil
	}
	for _, t := range years {
		row := v.ByYear[t]
		one := svgmap.Map{Title: v.Years[t].String(), Note: fmt.Sprintf("%d burns, %s acres", row.Burns, row.Burned)}
		for _, unit := range drawn {
			one.States = append(one.States, stateOf(v, &unit.Cells[t]))
		}
		if b := m.measuredBreaks(); b != nil && len(years) == 1 && t < len(b.Lines) {
			one.Planned = b.Lines[t]
			one.Note += fmt.Sprintf(", %s ft of break to make", b.Years[t].Needed)
		}
		sheet.Maps = append(sheet.Maps, one)
	}
	return sheet
}

func stateOf(v *view.Programme, cell *view.UnitYear) svgmap.State {
	state := svgmap.State{Burns: cell.Burn, Season: -1, Class: -1, Detail: fmt.Sprintf("age %d", cell.Age), Overdue: cell.Overdue}
	if cell.Burn {
		state.Detail = cell.Season
		for i, s := range v.Seasons {
			if s.Name == cell.Season {
				state.Season = i
			}
		}
		return state
	}
	for i, c := range restClasses {
		if cell.Age <= c.to {
			state.Class = i
			break
		}
	}
	return state
}

// allYears gives the indices of the plan's years.
func (m *material) allYears() []int {
	years := make([]int, len(m.programme.Years))
	for t := range years {
		years[t] = t
	}
	return years
}

// bookMaps draws all years small on one sheet, and the first one large.
func (m *material) bookMaps() ([]page.Map, error) {
	if m.programme.Cost == nil {
		return nil, nil
	}
	var maps []page.Map
	for _, one := range []struct {
		title string
		sheet *svgmap.Sheet
	}{
		{fmt.Sprintf("Program year %d", m.programme.Years[0]), m.mapSheet("first", 1, 900, 0)},
		{"All years of the plan", m.mapSheet("years", 0, 900, m.allYears()...)},
	} {
		if one.sheet == nil {
			continue
		}
		drawing, err := one.sheet.HTML()
		if err != nil {
			return nil, err
		}
		maps = append(maps, page.Map{Title: one.title, HTML: drawing})
	}
	return maps, nil
}

func mapPaper() paper {
	return paper{"map.svg", "a map of every plan year: what burns, what rests, and how old it is", func(w io.Writer, m *material) error {
		sheet := m.mapSheet("map", 0, 1200, m.allYears()...)
		if sheet == nil || m.programme.Cost == nil {
			return fmt.Errorf("%s has no shapes to draw; emberquilt import reads them from a file", m.Property.Name)
		}
		return sheet.Draw(w)
	}}
}

func (a *app) mapCommand() *cobra.Command {
	return a.paperCommand("map", "Draw the plan as a map (SVG)",
		`Map draws each year of a plan: which units burn, in which season, which rest, and
how old they are; with sensitive places, scale bar and north arrow. It needs units
with shapes.`, mapPaper())
}

// closed gives a ring as a line back to its first point.
func closed(ring ground.Ring) ground.Line {
	return append(append(ground.Line{}, ring...), ring[0])
}
