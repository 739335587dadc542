package view

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
)

// AsBurned is the as-burned map: what burned on which unit in each fiscal year, beside
// the lines of contracts that were due there. Its rows say in words all that it draws.
type AsBurned struct {
	// Title says by which years.
	Title string `json:"title"`
	// Map is nil where nothing can be drawn.
	Map *Map `json:"-"`
	// Rows are in order of year and unit: units with a burn or a line in the year.
	Rows []AsBurnedRow `json:"rows"`
	// Notes say what the map rests on and what it leaves out.
	Notes []string `json:"notes"`
}

// AsBurnedRow is a unit in a fiscal year.
type AsBurnedRow struct {
	FiscalYear date.FiscalYear `json:"fiscal_year"`
	Unit       string          `json:"unit"`
	UnitAcres  quantity.Acres  `json:"unit_acres"`
	// Burned are the acres of its prescribed burns in the year, Planned those of lines
	// of contracts.
	Burned  quantity.Acres `json:"burned_acres"`
	Planned quantity.Acres `json:"planned_acres"`
	// Says is what stands on the map, Records and Lines what is behind it.
	Says    string   `json:"says"`
	Records []string `json:"records"`
	Lines   []string `json:"lines"`
	// Drawn says whose outline is drawn for what burned.
	Drawn string `json:"drawn"`
}

// Patterns of the as-burned map, as indexes of Map.Marks and one more.
const (
	noMark = iota
	dueMark
	burnedMark
	partMark
	elsewhereMark
	wildfireMark
)

// asBurnedMarks are its patterns in the order of the constants.
func asBurnedMarks() []MapMark {
	return []MapMark{
		{Hatched, "due under a contract, not done"},
		{Filled, "burned"},
		{Dotted, "burned in part, outline not on record"},
		{Ruled, "line of a contract, done in another year or closed"},
		{Crossed, "wildfire"},
	}
}

// mostBurnedYears bounds how many years the map draws: more are too small to read.
const mostBurnedYears = 12

// AsBurnedInput is what an as-burned map is computed from.
type AsBurnedInput struct {
	Property habitat.Property
	Units    []habitat.Unit
	Records  []habitat.BurnRecord
	Shapes   map[string]ground.Shape
	// Start says which fiscal years these are, Today which records count.
	Start date.FiscalStart
	Today date.Day
	// Versions are those of the records, as in a PacketInput.
	Versions map[int64][]RecordVersion
	// Packets are those of the contracts whose lines are shown. Those that count by
	// other fiscal years are left out.
	Packets []*Packet
	// First leaves out what burned in earlier years; 0 for none.
	First date.FiscalYear
}

// unitInYear gathers what is known of a unit in a year.
type unitInYear struct {
	burned, wild quantity.Exact
	records      []*habitat.BurnRecord
	outlines     int
	lines        []*ScheduleRow
	// contracts are those of the lines.
	contracts []string
}

// NewAsBurned computes the map; nil where nothing burned and no line was due.
func NewAsBurned(in *AsBurnedInput) *AsBurned {
	type key struct {
		year date.FiscalYear
		unit string
	}
	all := map[key]*unitInYear{}
	at := func(year date.FiscalYear, unit string) *unitInYear {
		k := key{year, unit}
		if all[k] == nil {
			all[k] = &unitInYear{}
		}
		return all[k]
	}
	units := map[string]*habitat.Unit{}
	for i := range in.Units {
		units[in.Units[i].ID] = &in.Units[i]
	}
	for i := range in.Records {
		r := &in.Records[i]
		year := in.Start.Of(r.Through)
		u := units[r.Unit]
		if u == nil || r.Kind.IsTreatment() || r.Kind == habitat.Attempt || r.Through.After(in.Today) || year < in.First {
			continue
		}
		one := at(year, r.Unit)
		one.records = append(one.records, r)
		if r.Outline != "" {
			one.outlines++
		}
		if acres := quantity.ExactOf(r.Burned(u)); r.Kind == habitat.Wildfire {
			one.wild += acres
		} else {
			one.burned += acres
		}
	}
	v := &AsBurned{Title: fmt.Sprintf("As burned, by %s", in.Start.Words()), Rows: []AsBurnedRow{}, Notes: []string{}}
	var wide []string
	for _, p := range in.Packets {
		if p.FiscalWords != in.Start.Words() {
			v.Notes = append(v.Notes, fmt.Sprintf("%s counts by another year (%s); its lines are left out", p.Contract, p.FiscalWords))
			continue
		}
		for i := range p.Schedule {
			line := &p.Schedule[i]
			if line.Line == 0 || line.State == Canceled || !p.burns(line.Practice) {
				continue
			}
			if line.PropertyWide {
				name := strconv.Itoa(line.Line)
				if len(in.Packets) > 1 {
					name += " of " + p.Contract
				}
				wide = append(wide, name)
				continue
			}
			if units[line.Unit] == nil {
				continue
			}
			for year := line.FiscalYear; year <= max(line.FiscalYear, line.Until); year++ {
				one := at(year, line.Unit)
				one.lines, one.contracts = append(one.lines, line), append(one.contracts, p.Contract)
			}
		}
	}
	if len(all) == 0 {
		return nil
	}
	if len(wide) > 0 {
		v.Notes = append(v.Notes, wideNote(wide))
	}
	set := map[date.FiscalYear]bool{}
	for k := range all {
		set[k.year] = true
	}
	years := slices.Sorted(maps.Keys(set))
	if left := len(years) - mostBurnedYears; left > 0 {
		years = years[left:]
		v.Notes = append(v.Notes, fmt.Sprintf("%s before %d are left out", quantity.Count(left, "fiscal year"), years[0]))
	}
	drawn := in.newMap()
	ofOwn, withoutShape := map[string]bool{}, map[string]bool{}
	for _, year := range years {
		one := MapYear{Title: year.String(), States: slices.Repeat([]MapState{{Season: -1, Class: -1}}, len(drawn.Units))}
		var sum yearSum
		for i := range in.Units {
			u := &in.Units[i]
			k := all[key{year, u.ID}]
			if k == nil {
				continue
			}
			row, state := in.row(year, u, k, len(in.Packets) > 1)
			sum.add(k)
			m := slices.IndexFunc(drawn.Units, func(m MapUnit) bool { return m.Unit == u.ID })
			switch {
			case m < 0:
				withoutShape[u.ID] = true
				if row.Drawn != "" {
					row.Drawn = "not drawn: the unit has no shape"
				}
			default:
				if k.outlines < len(k.records) && k.outlines > 0 || state.Mark == burnedMark || state.Mark == wildfireMark {
					ofOwn[u.ID] = true
				}
				one.States[m] = state
				one.Outlines = append(one.Outlines, outlinesOf(u, k)...)
			}
			v.Rows = append(v.Rows, row)
		}
		one.Note = sum.words()
		drawn.Years = append(drawn.Years, one)
	}
	slices.SortStableFunc(v.Rows, func(a, b AsBurnedRow) int { return cmp.Compare(a.FiscalYear, b.FiscalYear) })
	v.note(len(drawn.Units), ofOwn, withoutShape)
	if len(drawn.Units) > 0 {
		v.Map = drawn
	}
	return v
}

// wideNote says that lines of the whole property have no unit of their own in the table.
func wideNote(lines []string) string {
	if len(lines) == 1 {
		return fmt.Sprintf("Line %s is of the %s and stands with no unit: burns of every unit count for it, after the lines of the unit itself.", lines[0], habitat.WholeProperty)
	}
	return fmt.Sprintf("Lines %s are of the %s and stand with no unit: burns of every unit count for them, after the lines of the unit itself.", quantity.List(lines), habitat.WholeProperty)
}

// yearSum adds up what burned in a year.
type yearSum struct {
	burned, wild     quantity.Exact
	units, burnCount int
}

func (s *yearSum) add(k *unitInYear) {
	if s.burned, s.wild = s.burned+k.burned, s.wild+k.wild; k.burned > 0 {
		s.units++
	}
	for _, r := range k.records {
		if r.Kind != habitat.Wildfire {
			s.burnCount++
		}
	}
}

// words says what burned; where units burned more than once, in how many burns, since
// the acres then are more than the ground.
func (s *yearSum) words() string {
	var all []string
	if s.units > 0 {
		text := fmt.Sprintf("%s burned, %s acres", quantity.Count(s.units, "unit"), quantity.Group(s.burned.Float(), 1))
		if s.burnCount > s.units {
			text += " in " + quantity.Count(s.burnCount, "burn")
		}
		all = append(all, text)
	}
	if s.wild > 0 {
		all = append(all, fmt.Sprintf("wildfire, %s acres", quantity.Group(s.wild.Float(), 1)))
	}
	if len(all) == 0 {
		return "nothing burned"
	}
	return strings.Join(all, "; ")
}

func (in *AsBurnedInput) newMap() *Map {
	m := &Map{
		Caption:     "What burned, and what contracts had due",
		Description: "What burned in each fiscal year, and which units a contract had due. The table says the same in words.",
		Marks:       asBurnedMarks(),
	}
	for i := range in.Units {
		if shape, ok := in.Shapes[in.Units[i].ID]; ok && !shape.IsEmpty() {
			m.Units = append(m.Units, MapUnit{in.Units[i].ID, shape})
		}
	}
	return m
}

// note says what the drawing rests on.
func (v *AsBurned) note(drawn int, ofOwn, withoutShape map[string]bool) {
	switch {
	case drawn == 0:
		v.Notes = append(v.Notes, "No unit has a shape: nothing can be drawn; the table says what burned.")
		return
	case len(ofOwn) > 0:
		v.Notes = append(v.Notes, "Where no outline is on record for a burn of a whole unit, the unit's own shape stands for it; the column of outlines says so.")
	}
	if len(withoutShape) > 0 {
		v.Notes = append(v.Notes, "Without a shape, and so not drawn: "+strings.Join(slices.Sorted(maps.Keys(withoutShape)), ", ")+".")
	}
}

// row puts a unit's year into words and says how it is drawn.
func (in *AsBurnedInput) row(year date.FiscalYear, u *habitat.Unit, k *unitInYear, named bool) (AsBurnedRow, MapState) {
	row := AsBurnedRow{FiscalYear: year, Unit: u.ID, UnitAcres: u.Acres, Burned: quantity.Acres(k.burned.Float()), Records: []string{}, Lines: []string{}}
	state := MapState{Season: -1, Class: -1}
	var words []string
	for _, r := range k.records {
		name, _ := versionWords(in.Versions[r.ID], r.ID)
		row.Records = append(row.Records, name)
		kind := ""
		if r.Kind == habitat.Wildfire {
			kind = " by wildfire"
		}
		words = append(words, fmt.Sprintf("%s of %s acres burned%s on %s", r.Burned(u), u.Acres, kind, r.Through.Words()))
	}
	var planned, remaining quantity.Exact
	isClosed, isDone := false, len(k.lines) > 0
	for i, l := range k.lines {
		planned += quantity.ExactOf(l.Planned)
		remaining += quantity.ExactOf(l.Remaining)
		isClosed = isClosed || l.State == Closed
		isDone = isDone && l.Remaining == 0 && l.State != Closed
		name := fmt.Sprintf("line %d", l.Line)
		if named {
			name += " of " + k.contracts[i]
		}
		row.Lines = append(row.Lines, name)
		says := fmt.Sprintf("%s: %s acres, %s", name, quantity.Group(l.Planned, 1), l.State)
		if l.Remaining > 0 {
			says += fmt.Sprintf(", %s remain", quantity.Group(l.Remaining, 1))
		}
		words = append(words, says)
	}
	row.Planned = quantity.Acres(planned.Float())
	row.Says = strings.Join(words, "; ")
	whole := k.burned >= quantity.ExactOf(u.Acres)-quantity.Tolerance
	switch {
	case k.burned > 0 && whole, k.burned > 0 && k.outlines > 0:
		state.Mark, state.Detail = burnedMark, "burned "+quantity.Group(k.burned.Float(), 1)
		row.Drawn = "the unit's shape"
		if k.outlines > 0 {
			row.Drawn = "outline on record"
			if state.Mark = noMark; len(k.lines) > 0 && !isDone && !isClosed {
				state.Mark = dueMark
			}
			if k.outlines < len(k.records) {
				row.Drawn += " of " + quantity.Count(k.outlines, "burn") + "; the others in words"
			}
		}
	case k.burned > 0:
		state.Mark, row.Drawn = partMark, "none on record: dots over the unit"
	case k.wild > 0:
		state.Mark, state.Detail = wildfireMark, "wildfire "+quantity.Group(k.wild.Float(), 1)
		row.Drawn = "the unit's shape"
		switch {
		case k.outlines > 0:
			state.Mark, row.Drawn = noMark, "outline on record"
		case k.wild < quantity.ExactOf(u.Acres)-quantity.Tolerance:
			row.Drawn = "none on record: crosses over the unit"
		}
	case isClosed:
		state.Mark, state.Detail = elsewhereMark, "closed"
	case isDone:
		state.Mark, state.Detail = elsewhereMark, "done earlier"
		if last := k.lines[len(k.lines)-1]; in.Start.Of(last.On) > year {
			state.Detail = "done in " + in.Start.Of(last.On).String()
		}
	default:
		state.Mark, state.Detail = dueMark, "due "+quantity.Group(remaining.Float(), 1)
	}
	if k.burned > 0 {
		switch {
		case isDone:
			state.Detail = "done " + quantity.Group(k.burned.Float(), 1)
		case !whole:
			state.Detail = fmt.Sprintf("%s of %s", quantity.Group(k.burned.Float(), 1), u.Acres)
		}
	}
	return row, state
}

// outlinesOf gives the outlines on record of a unit's burns in a year.
func outlinesOf(u *habitat.Unit, k *unitInYear) (all []MapOutline) {
	for _, r := range k.records {
		if r.Outline == "" {
			continue
		}
		var shape ground.Shape
		if json.Unmarshal([]byte(r.Outline), &shape) != nil || shape.IsEmpty() {
			continue
		}
		one := MapOutline{Shape: shape, Mark: burnedMark, Title: fmt.Sprintf("%s: %s acres burned on %s", u.ID, r.Burned(u), r.Through.Words())}
		if r.Kind == habitat.Wildfire {
			one.Mark = wildfireMark
		}
		all = append(all, one)
	}
	return all
}

// burns reports whether a practice of the packet is done by burning.
func (v *Packet) burns(code string) bool {
	return slices.ContainsFunc(v.Practices, func(p PracticeSum) bool { return p.Code == code && p.Burns })
}
