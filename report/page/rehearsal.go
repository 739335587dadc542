package page

import (
	"fmt"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// fanChart draws the middle of the futures as a line in front of the band from
// one future in ten to nine in ten.
func fanChart(id, label string, years []string, all []habitat.Spread, unit string) Chart {
	line := charts.NewLine()
	line.SetXAxis(years)
	const middle, most = "middle future", "8 of 10 futures"
	line.SetGlobalOptions(append(
		append(globals(id), axes(unit, 16, 44, nil)...),
		charts.WithLegendOpts(
			opts.Legend{
				Show:       opts.Bool(true),
				Left:       "56",
				Top:        "0",
				ItemWidth:  22,
				ItemHeight: 12,
				TextStyle:  axisText,
				Data:       []map[string]string{{"name": middle}, {"name": most, "icon": "rect"}},
			},
		),
	)...)
	data := func(of func(habitat.Spread) float64, symbol string, size int) []opts.LineData {
		list := make([]opts.LineData, len(all))
		for i, s := range all {
			list[i] = opts.LineData{Value: round(of(s)), Symbol: symbol, SymbolSize: size}
		}
		return list
	}
	none := charts.WithLineStyleOpts(opts.LineStyle{Opacity: opts.Float(0)})
	// The lower edge is drawn unseen and carries the band on top of it.
	line.AddSeries("below", data(func(s habitat.Spread) float64 { return s.P10 }, "none", 0), none,
		charts.WithLineChartOpts(opts.LineChart{Stack: "band"}), charts.WithItemStyleOpts(opts.ItemStyle{Color: band, Opacity: opts.Float(0)}))
	line.AddSeries(
		most,
		data(func(s habitat.Spread) float64 { return s.P90 - s.P10 }, "none", 0),
		none,
		charts.WithLineChartOpts(
			opts.LineChart{Stack: "band"},
		),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: "#b9c29b"}),
		charts.WithAreaStyleOpts(opts.AreaStyle{Color: "#b9c29b", Opacity: opts.Float(0.75)}),
	)
	line.AddSeries(
		middle,
		data(func(s habitat.Spread) float64 { return s.P50 }, "circle", 9),
		charts.WithLineStyleOpts(opts.LineStyle{Color: ink, Width: 2}),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: ink}),
	)
	line.SetGlobalOptions(charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(false)}))
	line.Validate()
	return Chart{ID: id, Label: label, Height: 240, Print: "340x200", Option: finish(line.JSON(), nil)}
}

// rehearsalCharts draws acres burned and acres overdue under the first rule.
func rehearsalCharts(v *view.Rehearsal) []Chart {
	years, rule := yearLabels(v.YearList()), &v.Rules[0]
	words := func(what string) string {
		return fmt.Sprintf(
			"Acres %s in each year over %s: the middle one, and between one in ten and nine in ten; the table below holds the numbers",
			what,
			quantity.Count(v.Futures, "future"),
		)
	}
	return []Chart{fanChart("chart-fan-burned", words("burned"), years, rule.Acres, "acres burned"),
		fanChart("chart-fan-overdue", words("overdue"), years, rule.OverdueAcres, "acres overdue")}
}

// ruleBar is a rule's interval as a bar across a scale from 0 to the largest.
type ruleBar struct {
	*habitat.RehearsedRule
	// Left and Width are in percent of the scale.
	Left, Width string
	Difference  string
}

func ruleBars(v *view.Rehearsal) []ruleBar {
	most := 1.0
	for i := range v.Rules {
		most = max(most, v.Rules[i].Shortfall.P90)
	}
	percent := func(x float64) string { return fmt.Sprintf("%.1f", 100*max(0, x)/most) }
	all := make([]ruleBar, len(v.Rules))
	for i := range all {
		rule := &v.Rules[i]
		all[i] = ruleBar{rule, percent(rule.Shortfall.P10), percent(max(most/200, rule.Shortfall.P90-rule.Shortfall.P10)), v.Differences[i]}
	}
	return all
}
