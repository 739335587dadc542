package svgmap

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// setScale sets the scale bars and the north arrow below the maps.
func (d *drawing) setScale(f *frame, y float64) float64 {
	d.NorthX, d.NorthY = margin+9, y+4
	aim := math.Min(d.MapWidth*0.4, 220) / f.scale // feet
	feet := roundDown(aim, []float64{1, 2, 5})
	miles := roundDown(aim/quantity.FeetPerMile, []float64{1, 2.5, 5})
	d.Scale = scaleBars{
		X: margin + 34, Y: y + 8,
		Feet: feet * f.scale, Miles: miles * quantity.FeetPerMile * f.scale,
		FeetOf: quantity.Group(feet, decimals(feet)) + " ft", MilesOf: quantity.Group(miles, decimals(miles)) + " mi",
	}
	return y + 48
}

// roundDown gives the largest of some numbers times a power of ten that is not
// above v.
func roundDown(v float64, of []float64) float64 {
	if !(v > 0) || math.IsInf(v, 0) {
		return 1
	}
	power := math.Pow(10, math.Floor(math.Log10(v)))
	best := power
	for _, m := range of {
		if m*power <= v*(1+1e-9) {
			best = m * power
		}
	}
	return best
}

func decimals(v float64) int {
	for n := range 6 {
		if scaled := v * math.Pow(10, float64(n)); math.Abs(scaled-math.Round(scaled)) < 1e-6 {
			return n
		}
	}
	return 6
}

// setLegend sets what the tones and patterns mean, only those that are used.
func (d *drawing) setLegend(s *Sheet, y float64) float64 {
	seasons, classes := make(map[int]bool), make(map[int]bool)
	overdue := false
	for _, m := range s.Years {
		for i := range s.Units {
			state := stateOf(&m, i)
			switch {
			case s.Units[i].Shape.IsEmpty(), len(s.Marks) > 0:
			case state.Burns && state.Season < len(s.Seasons):
				seasons[max(-1, state.Season)] = true
			case state.Burns:
				seasons[-1] = true
			case state.Class < len(s.Classes):
				classes[max(-1, state.Class)] = true
			}
			overdue = overdue || state.Overdue && !state.Burns
		}
	}
	var items []legendItem
	for _, k := range sorted(seasons) {
		text := "burns"
		if k >= 0 {
			text = "burns, " + shortText(s.Seasons[k], 40)
		}
		items = append(items, legendItem{Kind: "unit", Fill: d.fill(s, view.MapState{Burns: true, Season: k}), Text: text})
	}
	for _, k := range sorted(classes) {
		text := "rests, age not known"
		if k >= 0 {
			text = "rests, " + shortText(s.Classes[k], 40)
		}
		items = append(items, legendItem{Kind: "unit", Fill: classFill(k, len(s.Classes)), Text: text})
	}
	for _, number := range s.UsedMarks() {
		mark, _ := s.MarkOf(number)
		items = append(items, legendItem{Kind: "unit", Fill: d.mark(number), Text: shortText(mark.Text, 80)})
	}
	if overdue {
		items = append(items, legendItem{Kind: "overdue", Text: "overdue"})
	}
	if len(d.Places) > 0 {
		items = append(items, legendItem{Kind: "place", Text: "sensitive place"})
	}
	if d.Standing != "" {
		items = append(items, legendItem{Kind: "standing", Text: "standing break"})
	}
	if slices.ContainsFunc(s.Years, func(m view.MapYear) bool { return len(m.Planned) > 0 }) {
		items = append(items, legendItem{Kind: "planned", Text: "break to make"})
	}
	x := float64(margin)
	const row = 22
	for i := range items {
		width := 34 + textWidth(items[i].Text, 12)*0.95 + 18
		if x > margin && x+width > d.Width-margin {
			x, y = margin, y+row
		}
		items[i].X, items[i].Y = x, y
		x += width
	}
	d.Legend = items
	if len(items) == 0 {
		return y
	}
	return y + row
}

func sorted(set map[int]bool) []int {
	keys := make([]int, 0, len(set))
	for k := range set {
		keys = append(keys, k)
	}
	sort.Ints(keys)
	return keys
}

// longestOfKey is how many letters the key gives to what became of a unit.
const longestOfKey = 60

// setKey lists the names of units that have a number on the map.
func (d *drawing) setKey(s *Sheet, numbered map[int]int, y float64) float64 {
	if len(numbered)+len(d.offMap)+d.left == 0 {
		return y
	}
	units := make([]int, 0, len(numbered))
	for i := range numbered {
		units = append(units, i)
	}
	sort.Slice(units, func(a, b int) bool { return numbered[units[a]] < numbered[units[b]] })
	line := ""
	y += 14
	flush := func() {
		if line != "" {
			d.Key = append(d.Key, keyLine{margin, y, strings.TrimSuffix(line, " · ")})
			y, line = y+16, ""
		}
	}
	add := func(entry string) {
		if line != "" && textWidth(line+entry, 11) > d.Width-2*margin {
			flush()
		}
		line += entry + " · "
	}
	for _, i := range units {
		entry := fmt.Sprintf("%d %s", numbered[i], shortText(s.Units[i].Unit, longestName))
		if state := stateOf(&s.Years[0], i); len(s.Marks) > 0 && state.Detail != "" {
			entry += ": " + shortText(state.Detail, longestOfKey)
		}
		add(entry)
	}
	flush()
	if d.left > 0 {
		add("The names of " + quantity.Group(float64(d.left), 0) + " small units are left out; the tables list them all.")
		flush()
	}
	for k, text := range d.offMap {
		if k == 0 {
			text = "Off the map: " + text
		}
		add(text)
	}
	flush()
	return y
}
