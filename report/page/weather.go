package page

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"emberquilt/report/view"
)

// daysChart shows the burn days of a season by year of the record, with the
// median and the poor year marked. Years that know too little are left empty.
func daysChart(s *view.SeasonDays, i int) Chart {
	var years []string
	one := series{name: "burn days", color: seasonColor(i)}
	for _, y := range s.Years {
		name := strconv.Itoa(y.Year)
		if len(s.Years) > 8 { // four digits would run into each other
			name = fmt.Sprintf("’%02d", y.Year%100)
		}
		years = append(years, name)
		v := 0.0
		if y.Counted {
			v = y.Days
		}
		one.values = append(one.values, v)
	}
	var lines []level
	if s.HasYears {
		lines = []level{{"median", round(s.Median)}, {"low", round(s.Low)}}
		if math.Abs(s.Median-s.Low) < 0.05*s.Median+0.05 {
			lines = lines[1:] // one line, whose name can be read
		}
	}
	return bars(
		fmt.Sprintf("chart-days-%d", i),
		fmt.Sprintf(
			"Burn days of the season %s in each year of the record: median %s, one year in five %s or fewer",
			view.Plain(s.Season),
			view.Number(s.Median),
			view.Number(s.Low),
		),
		years,
		"days",
		[]series{one},
		lines,
	)
}

// heatShades run from light to dark in even steps of lightness, so that they
// keep their order in gray.
var heatShades = []string{"#f7f1df", "#e7cf9b", "#cf9656", ember, "#3d1506"}

// heatChart shades each hour of each week by the share of days in prescription.
func heatChart(h *view.Heat, i int) Chart {
	id := fmt.Sprintf("chart-heat-%d", i)
	chart := charts.NewHeatMap()
	chart.SetGlobalOptions(globals(id)...)
	var weeks []string
	hours := slices.Clone(h.Hours)
	slices.Reverse(hours) // the axis runs upward, the day downward
	data := []opts.HeatMapData{}
	most := 10.0
	for x, week := range h.Weeks {
		weeks = append(weeks, week.From)
		for y, share := range week.Shares {
			if share == nil {
				continue // not known: left as paper
			}
			percent := math.Round(100 * *share)
			most = max(most, percent)
			data = append(data, opts.HeatMapData{Value: []any{x, len(hours) - 1 - y, percent}})
		}
	}
	most = math.Ceil(most/10) * 10
	text := &opts.AxisLabel{Color: ink, FontSize: 12}
	chart.SetGlobalOptions(
		charts.WithXAxisOpts(
			opts.XAxis{Type: "category", Data: weeks, AxisLabel: text, AxisTick: &opts.AxisTick{Show: opts.Bool(false)}, SplitArea: &opts.SplitArea{Show: opts.Bool(false)}},
		),
		charts.WithYAxisOpts(opts.YAxis{Type: "category", Data: hours, Name: "hour from", AxisLabel: text, SplitArea: &opts.SplitArea{Show: opts.Bool(false)}}),
		charts.WithGridOpts(opts.Grid{Left: "8", Right: "16", Top: "72", Bottom: "8", ContainLabel: opts.Bool(true)}),
		charts.WithVisualMapOpts(opts.VisualMap{Type: "continuous", Calculable: opts.Bool(false), Min: 0, Max: float32(most), Left: "64", Top: "0", Orient: "horizontal",
			Text: []string{fmt.Sprintf("%.0f%% of days", most), "0"}, InRange: &opts.VisualMapInRange{Color: heatShades}, TextStyle: axisText}),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(false)}),
		charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(true), Formatter: "{c}"}),
	)
	chart.AddSeries("percent of days", data, charts.WithItemStyleOpts(opts.ItemStyle{BorderColor: paper, BorderWidth: 1}))
	chart.Validate()
	return Chart{ID: id, Height: 330, Print: "700x300", Option: finish(chart.JSON(), nil),
		Label: fmt.Sprintf("Percent of days on which each hour of each week keeps every limit of %s; the table below holds the numbers", view.Plain(h.Prescription))}
}
