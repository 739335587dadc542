package view

import (
	"fmt"
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
)

// Map is the ground of a plan: what each unit does in each of some years, with
// places, standing breaks and those to be made. What it says of a unit, the table
// of units and years says too.
type Map struct {
	// Caption says which years are drawn.
	Caption string `json:"caption"`
	// Title stands above the maps, Description is for those who cannot see them.
	Title       string `json:"title"`
	Description string `json:"description"`
	// Units are those with a shape, in the order of the plan.
	Units []MapUnit `json:"units"`
	// Seasons and Classes name the seasons and the classes of stand age, the
	// youngest class first, for the legend.
	Seasons []string  `json:"seasons"`
	Classes []string  `json:"age_classes"`
	Years   []MapYear `json:"years"`
	// Marks are patterns of maps of another kind, such as what burned, for the legend.
	Marks []MapMark `json:"marks,omitempty"`
	// Places are sensitive places, Standing the breaks that are there: roads, water.
	Places   []ground.Place `json:"-"`
	Standing []ground.Line  `json:"-"`
}

// MapUnit is a unit's name and ground.
type MapUnit struct {
	Unit  string       `json:"unit"`
	Shape ground.Shape `json:"-"`
}

// MapYear is one program year. States has one entry for each unit of the map.
type MapYear struct {
	// Title is short, such as "2027"; Note says more, such as "4 burns, 310 acres".
	Title  string     `json:"title"`
	Note   string     `json:"note"`
	States []MapState `json:"states"`
	// Outlines are drawn over the units.
	Outlines []MapOutline `json:"-"`
	// Planned are breaks to be made in this year.
	Planned []ground.Line `json:"-"`
}

// MapState is what a unit does in a year.
type MapState struct {
	Burns bool `json:"burns"`
	// Season indexes Map.Seasons when the unit burns, Class Map.Classes when it
	// rests; −1 means not known.
	Season int `json:"season"`
	Class  int `json:"age_class"`
	// Detail is a few letters under the name, such as "age 3".
	Detail string `json:"detail"`
	// Overdue marks a unit past its maximum interval.
	Overdue bool `json:"overdue"`
	// Done says that it has burned: the burn of the year is on record.
	Done bool `json:"done,omitempty"`
	// Mark is one more than the index of a pattern of Map.Marks; 0 is none.
	Mark int `json:"mark,omitempty"`
}

// MapPattern is a way to fill an area that a print in gray shows too.
type MapPattern string

// The patterns of a map.
const (
	Hatched MapPattern = "hatched"
	Filled  MapPattern = "filled"
	Dotted  MapPattern = "dotted"
	Ruled   MapPattern = "ruled"
	Crossed MapPattern = "crossed"
)

// MapMark is a pattern with what it means.
type MapMark struct {
	Pattern MapPattern `json:"pattern"`
	Text    string     `json:"text"`
}

// MapOutline is an area that a year's map draws over its units; Mark is as that of a
// MapState.
type MapOutline struct {
	Shape ground.Shape
	Mark  int
	Title string
}

// MarkOf gives a pattern by the number that states and outlines bear; false for 0.
func (m *Map) MarkOf(number int) (MapMark, bool) {
	if number < 1 || number > len(m.Marks) {
		return MapMark{}, false
	}
	return m.Marks[number-1], true
}

// UsedMarks numbers the patterns that the map draws, for its legend.
func (m *Map) UsedMarks() (all []int) {
	for number := 1; number <= len(m.Marks); number++ {
		if slices.ContainsFunc(m.Years, func(y MapYear) bool {
			return slices.ContainsFunc(y.States, func(s MapState) bool { return s.Mark == number }) ||
				slices.ContainsFunc(y.Outlines, func(o MapOutline) bool { return o.Mark == number })
		}) {
			all = append(all, number)
		}
	}
	return all
}

// mapClasses are the stand ages that a map tells apart among resting units, by
// the oldest age of each.
var mapClasses = []struct {
	to   int
	name string
}{{1, "stand age 1"}, {2, "stand age 2"}, {4, "stand age 3 to 4"}, {1 << 30, "stand age 5 and over"}}

// MapInput is what a map shows beside the plan.
type MapInput struct {
	// Shapes are the outlines of units by their names.
	Shapes map[string]ground.Shape
	// Places are sensitive places; Standing is what holds a fire: roads, water.
	Places, Standing []ground.Place
	// Breaks are those of the plan; a map of one year alone shows what is to be
	// made. nil leaves them out.
	Breaks *Breaks
}

// NewMap draws one program year of the plan, or all of them for 0; nil where no unit
// of the plan has a shape. The year must be one of the plan's.
func NewMap(p *Program, in MapInput, year date.ProgramYear) *Map {
	m := &Map{
		Caption: "All years of the plan", Title: p.Stamp.Property,
		Description: "Which units burn and which rest, with their stand age at the end of the program year.",
		Places:      in.Places, Standing: standingLines(in.Standing),
	}
	if year != 0 {
		m.Caption = fmt.Sprintf("Program year %d", year)
	}
	for _, s := range p.Seasons {
		m.Seasons = append(m.Seasons, s.Name)
	}
	for _, class := range mapClasses {
		m.Classes = append(m.Classes, class.name)
	}
	var drawn []*UnitRow
	for i := range p.Units {
		if shape, ok := in.Shapes[p.Units[i].ID]; ok {
			m.Units = append(m.Units, MapUnit{p.Units[i].ID, shape})
			drawn = append(drawn, &p.Units[i])
		}
	}
	if len(drawn) == 0 {
		return nil
	}
	for t, y := range p.Years {
		if year != 0 && year != y {
			continue
		}
		one := MapYear{Title: y.String(), Note: fmt.Sprintf("%d burns, %s acres", p.ByYear[t].Burns, p.ByYear[t].Burned)}
		gone := 0
		for i := range p.Units {
			if p.Units[i].Gone != "" && p.Units[i].Cells[t].Counts != "" {
				gone++
			}
		}
		if gone > 0 {
			one.Note += fmt.Sprintf(", %d of them of units that are gone", gone)
		}
		for _, unit := range drawn {
			state := p.mapState(&unit.Cells[t])
			if unit.Gone != "" { // whatever the plan says, nothing of it burns
				state = MapState{Season: -1, Class: -1, Detail: "gone"}
			}
			one.States = append(one.States, state)
		}
		if b := in.Breaks; b != nil && (year != 0 || len(p.Years) == 1) && t < len(b.Lines) {
			one.Planned = b.Lines[t]
			one.Note += fmt.Sprintf(", %s ft of break to make", b.Years[t].Needed)
		}
		m.Years = append(m.Years, one)
	}
	return m
}

// mapState is what a unit does in a year as things stand: what has burned burns, whether
// it was planned or not, and a burn that was missed is none.
func (p *Program) mapState(cell *UnitYear) MapState {
	state := MapState{Burns: cell.Counts != "", Season: -1, Class: -1, Detail: fmt.Sprintf("age %d", cell.Age), Overdue: cell.Overdue, Done: cell.Done}
	if state.Burns {
		state.Detail = cell.Season
		for i, s := range p.Seasons {
			if s.Letter == cell.Counts {
				state.Season, state.Detail = i, s.Name
			}
		}
		if cell.Done {
			state.Detail = "has burned"
		}
		return state
	}
	if cell.Missed {
		state.Detail = "missed"
	}
	for i, class := range mapClasses {
		if cell.Age <= class.to {
			state.Class = i
			break
		}
	}
	return state
}

// standingLines gives the lines of places that hold a fire, and the banks of those
// that are areas.
func standingLines(all []ground.Place) []ground.Line {
	var lines []ground.Line
	for _, place := range all {
		lines = append(lines, place.Lines...)
		for _, area := range place.Shape.Polygons {
			bank := append(ground.Line{}, area.Outer...)
			lines = append(lines, append(bank, area.Outer[0]))
		}
	}
	return lines
}
