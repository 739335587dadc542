package page

import (
	"fmt"
	"strconv"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// label shortens a user's text for a chart.
func label(text string) string { return view.Cut(view.Plain(text), 32) }

func yearLabels(years []date.ProgramYear) []string {
	all := make([]string, len(years))
	for i, y := range years {
		all[i] = strconv.Itoa(int(y))
	}
	return all
}

// burnedChart shows what burns, by season, and what rests in each year.
func burnedChart(v *view.Program) Chart {
	var all []series
	for i, key := range v.Seasons {
		s := series{name: "burned, " + label(key.Name), color: seasonColor(i), stack: "acres"}
		for _, y := range v.ByYear {
			s.values = append(s.values, float64(y.Seasons[i].Acres))
		}
		all = append(all, s)
	}
	rest := series{name: "rested", color: straw, light: true, stack: "acres"}
	for _, y := range v.ByYear {
		rest.values = append(rest.values, float64(y.Rested))
	}
	return bars("chart-burned", "Acres burned, by season, and acres rested in each program year, stacked", yearLabels(v.Years), "acres", append(all, rest), nil)
}

// seasonChart sets the burned acres of the seasons side by side, with the
// wanted range of all burned acres.
func seasonChart(v *view.Program) Chart {
	var all []series
	for i, key := range v.Seasons {
		s := series{name: label(key.Name), color: seasonColor(i), stack: "burned"}
		for _, y := range v.ByYear {
			s.values = append(s.values, float64(y.Seasons[i].Acres))
		}
		all = append(all, s)
	}
	var lines []level
	if v.EvenLo != nil {
		lines = append(lines, level{"least", *v.EvenLo})
	}
	if v.EvenHi != nil {
		lines = append(lines, level{"most", *v.EvenHi})
	}
	return bars("chart-seasons", "Acres burned in each program year, split by season, against the wanted range", yearLabels(v.Years), "acres", all, lines)
}

// classCharts shows each age class of a mix against its wanted band.
func classCharts(v *view.Program, mix int) []Chart {
	m := &v.Mixes[mix]
	var all []Chart
	for c, class := range m.Classes {
		values := make([]float64, len(class.Years))
		for i, y := range class.Years {
			values[i] = float64(y.Acres)
		}
		all = append(all, bandChart(fmt.Sprintf("chart-mix-%d-%d", mix, c),
			fmt.Sprintf("Acres of %s in the class %s, age %s, at the end of each year, in front of the wanted band", view.Plain(m.Name), view.Plain(class.Name), class.Ages),
			yearLabels(v.Years), values, float64(class.Lo), float64(class.Hi), label(class.Name)))
	}
	return all
}

// costChart stacks the parts of the shortfall by year.
func costChart(v *view.Program) Chart {
	colors := []string{madder, sedge, ochre, slate, umber, ember}
	var all []series
	for i, part := range v.Parts {
		if part.Total == 0 {
			continue
		}
		s := series{name: part.Name, color: colors[i], stack: "shortfall"}
		for _, y := range part.ByYear {
			s.values = append(s.values, float64(y))
		}
		all = append(all, s)
	}
	if all == nil {
		all = []series{{name: "shortfall", color: madder, values: make([]float64, len(v.Years))}}
	}
	return bars("chart-shortfall", "Shortfall of the plan in acre-years, by part and program year, stacked", yearLabels(v.Years), "acre-years", all, nil)
}

// pastChart sets planned beside burned acres of past years.
func pastChart(h *view.History) Chart {
	years := make([]string, len(h.Years))
	planned := series{name: "planned", color: straw, light: true}
	burned := series{name: "prescribed burns", color: ember, stack: "burned"}
	wild := series{name: "wildfire", color: slate, stack: "burned"}
	hasPlan, hasWild := false, false
	for i, y := range h.Years {
		years[i] = strconv.Itoa(int(y.Year))
		var p quantity.Acres
		if y.Planned != nil {
			p, hasPlan = *y.Planned, true
		}
		planned.values = append(planned.values, float64(p))
		burned.values = append(burned.values, float64(y.Prescribed))
		wild.values = append(wild.values, float64(y.Wildfire))
		hasWild = hasWild || y.Wildfire > 0
	}
	var all []series
	if hasPlan {
		all = append(all, planned)
	}
	all = append(all, burned)
	if hasWild {
		all = append(all, wild)
	}
	return bars("chart-past", "Acres planned and acres burned in past program years", years, "acres", all, nil)
}

// coverChart stacks the acres of a mix by age class over past years.
func coverChart(h *view.History, mix int) Chart {
	colors := []string{ember, ochre, sedge, slate, umber, madder}
	m := &h.Mixes[mix]
	floats := func(acres []quantity.Acres) []float64 {
		all := make([]float64, len(acres))
		for i, a := range acres {
			all[i] = float64(a)
		}
		return all
	}
	var all []series
	for i, c := range m.Classes {
		all = append(all, series{name: label(c.Name), color: colors[i%len(colors)], stack: "cover", values: floats(c.Acres)})
	}
	all = append(all, series{name: "not known", color: straw, light: true, stack: "cover", values: floats(m.Unknown)})
	return bars(
		fmt.Sprintf("chart-cover-%d", mix),
		fmt.Sprintf("Acres of %s by age class at the end of past years, from records, stacked", view.Plain(m.Name)),
		yearLabels(m.Years),
		"acres",
		all,
		nil,
	)
}
