package cli

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
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
func mapSheet(c *app.Contents, id string, columns int, width float64, years ...int) *svgmap.Sheet {
	current := c.Session.Current()
	v := c.Program
	sheet := &svgmap.Sheet{
		ID: id, Title: v.Stamp.Property, Description: "Which units burn and which rest, with their stand age at the end of the program year.",
		Places: current.Places, Columns: columns, Width: width,
	}
	for _, place := range c.Session.Standing {
		sheet.Standing = append(sheet.Standing, place.Lines...)
		for _, pond := range place.Shape.Polygons {
			sheet.Standing = append(sheet.Standing, closed(pond.Outer))
		}
	}
	for _, s := range v.Seasons {
		sheet.Seasons = append(sheet.Seasons, s.Name)
	}
	for _, class := range restClasses {
		sheet.Classes = append(sheet.Classes, class.name)
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
		if b := c.Breaks(); b != nil && len(years) == 1 && t < len(b.Lines) {
			one.Planned = b.Lines[t]
			one.Note += fmt.Sprintf(", %s ft of break to make", b.Years[t].Needed)
		}
		sheet.Maps = append(sheet.Maps, one)
	}
	return sheet
}

func stateOf(v *view.Program, cell *view.UnitYear) svgmap.State {
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
func allYears(c *app.Contents) []int {
	years := make([]int, len(c.Program.Years))
	for t := range years {
		years[t] = t
	}
	return years
}

// bookMaps draws all years small on one sheet, and the first one large.
func bookMaps(c *app.Contents) ([]page.Map, error) {
	if c.Program.Cost == nil {
		return nil, nil
	}
	var maps []page.Map
	for _, one := range []struct {
		title, id string
		columns   int
		years     []int
	}{
		{fmt.Sprintf("Program year %d", c.Program.Years[0]), "first", 1, []int{0}},
		{"All years of the plan", "years", 0, allYears(c)},
	} {
		sheet := mapSheet(c, one.id, one.columns, 900, one.years...)
		if sheet == nil {
			continue
		}
		drawn := page.Map{Title: one.title}
		var err error
		if drawn.HTML, err = sheet.HTML(); err != nil {
			return nil, err
		}
		if len(sheet.Units) <= mostOnPhones {
			if drawn.Narrow, err = mapSheet(c, one.id+"narrow", 1, phoneWidth, one.years...).HTML(); err != nil {
				return nil, err
			}
		}
		maps = append(maps, drawn)
	}
	return maps, nil
}

// phoneWidth is that of a phone's screen in pixels; maps of more than
// mostOnPhones units are not drawn for it a second time.
const (
	phoneWidth   = 360
	mostOnPhones = 400
)

func mapPaper() paper {
	return paper{"map.svg", "a map of every plan year: what burns, what rests, and how old it is", func(_ context.Context, w io.Writer, c *app.Contents) error {
		return drawMap(c, w, 1200, allYears(c))
	}}
}

// drawMap writes years of the plan as one drawing.
func drawMap(c *app.Contents, w io.Writer, width float64, years []int) error {
	if c.Program.Cost == nil {
		return fmt.Errorf("plan %d does not exist: there is nothing to draw", c.Stored.Number)
	}
	sheet := mapSheet(c, "map", 0, width, years...)
	if sheet == nil {
		return fmt.Errorf("%s has no shapes to draw; emberquilt import reads them from a file", c.Session.Property.Name)
	}
	return sheet.Draw(w)
}

func (a *terminal) mapCommand() *cobra.Command {
	var out string
	var width float64
	var year int
	p := mapPaper()
	cmd := &cobra.Command{
		Use:   "map [PLAN]",
		Short: "Draw the plan as a map (SVG)",
		Long: withStatus(`Map draws each year of a plan: which units burn, in which season, which rest, and
how old they are; with sensitive places, standing breaks, scale bar and north arrow. The map
of one year (--year) shows the breaks to make too. It needs units with shapes; seasons and
ages differ by pattern and tone, so that a print in gray says the same.

`+caution, statusBadInput),
		Example: "  emberquilt map --year 2027 -o map-2027.svg\n  emberquilt map --width 360 -o phone.svg",
		GroupID: groupPaper,
		Args:    argsBetween(0, "PLAN"),
		RunE: func(cmd *cobra.Command, args []string) error {
			number, err := planNumber(args, 0)
			if err != nil {
				return err
			}
			if !(width >= 240 && width <= 4000) {
				return flagError("width", "240 to 4000 pixels", "%v is not a width", width)
			}
			return a.session(cmd.Context(), app.ToRead, func(s *app.Session) error {
				c, err := s.Contents(cmd.Context(), number)
				if err != nil {
					return err
				}
				years := allYears(c)
				if year != 0 {
					first := int(c.Program.Years[0])
					if year < first || year >= first+len(years) {
						return flagError("year", fmt.Sprintf("%d to %d", first, first+len(years)-1), "%d is not a year of the plan", year)
					}
					years = []int{year - first}
				}
				if err := a.write(output{out, func(w io.Writer) error { return drawMap(c, w, width, years) }}); err != nil || out == "-" {
					return err
				}
				return a.say("%s: %s", out, p.About)
			})
		},
	}
	cmd.Flags().StringVarP(&out, "output", "o", p.File, "write to `FILE`, - for standard output")
	cmd.Flags().IntVar(&year, "year", 0, "one program `YEAR` alone, large (default: all of the plan)")
	cmd.Flags().Float64Var(&width, "width", 1200, "width of the drawing in `PIXELS`; 360 suits a phone")
	return cmd
}

// closed gives a ring as a line back to its first point.
func closed(ring ground.Ring) ground.Line {
	return append(append(ground.Line{}, ring...), ring[0])
}
