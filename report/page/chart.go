package page

import (
	"math"
	"strconv"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
)

// Chart is one picture: an id of its own in the page and the options that
// echarts draws it from.
type Chart struct {
	ID     string
	Option map[string]any
	Height int // px
	// Print is its size on paper in px, as "380x240".
	Print string
	// Label says in words what is drawn, for those who do not see it.
	Label string
}

// The house's colors: soil, sedge, straw and slate on paper, dark enough for white
// letters on them, and of different lightness so that they differ in gray.
const (
	ink    = "#26231d"
	quiet  = "#5a5447"
	hair   = "#d8d1c0"
	paper  = "#fdfcf8"
	straw  = "#e4d9bd"
	band   = "#dfe3cf"
	ember  = "#9c3d12"
	sedge  = "#55662b"
	slate  = "#2f4858"
	umber  = "#6b4a2b"
	madder = "#7d1f2c"
	ochre  = "#8a6508"
)

// seasonColors follow the order of the seasons; further ones start over, and
// the letter tells them apart.
var seasonColors = []string{ember, sedge, slate, ochre, madder, umber}

// palette is what a series without a color of its own takes.
var palette = seasonColors

func seasonColor(i int) string { return seasonColors[i%len(seasonColors)] }

// decals are the patterns of the series, in their order: what color tells,
// they tell in gray.
var decals = []map[string]any{
	{"symbol": "none"},
	{"symbol": "rect", "color": "rgba(255,255,255,.55)", "dashArrayX": []int{1, 0}, "dashArrayY": []int{2, 6}, "rotation": -0.785, "symbolSize": 1},
	{"symbol": "circle", "color": "rgba(255,255,255,.6)", "dashArrayX": [][]int{{8, 8}, {0, 8, 8, 0}}, "dashArrayY": []int{6, 0}, "symbolSize": 0.7},
	{"symbol": "rect", "color": "rgba(255,255,255,.55)", "dashArrayX": []int{1, 0}, "dashArrayY": []int{2, 6}, "rotation": 0.785, "symbolSize": 1},
	{"symbol": "rect", "color": "rgba(255,255,255,.6)", "dashArrayX": []int{1, 0}, "dashArrayY": []int{1, 4}, "symbolSize": 1},
	{"symbol": "triangle", "color": "rgba(255,255,255,.6)", "dashArrayX": [][]int{{9, 9}, {0, 9, 9, 0}}, "dashArrayY": []int{7, 2}, "symbolSize": 0.7},
}

// sans is the page's own type; echarts measures text by it, so it is spelled out.
const sans = "system-ui, -apple-system, 'Segoe UI', 'Noto Sans', 'Liberation Sans', sans-serif"

// axisText is that of the page.
var axisText = &opts.TextStyle{Color: ink, FontSize: 12, FontFamily: sans}

// series is one row of a bar or line chart.
type series struct {
	name  string
	color string
	// light draws the series without a pattern, for what is not the subject.
	light  bool
	values []float64
	// stack names the pile that the series stands on; empty means its own.
	stack string
}

// globals are the settings that every chart has.
func globals(id string) []charts.GlobalOpts {
	return []charts.GlobalOpts{
		charts.WithInitializationOpts(opts.Initialization{ChartID: id, Renderer: "svg", PageTitle: "chart"}),
		charts.WithAnimation(false),
		charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(true), Trigger: "axis"}),
		charts.WithTitleOpts(opts.Title{Show: opts.Bool(false)}),
	}
}

func axes(unit string, right, top int, most any) []charts.GlobalOpts {
	return []charts.GlobalOpts{
		charts.WithXAxisOpts(opts.XAxis{Type: "category", AxisLabel: &opts.AxisLabel{Color: ink, FontSize: 12, ShowMinLabel: opts.Bool(true), ShowMaxLabel: opts.Bool(true)},
			AxisLine: &opts.AxisLine{LineStyle: &opts.LineStyle{Color: quiet}}, AxisTick: &opts.AxisTick{Show: opts.Bool(false)}}),
		charts.WithYAxisOpts(
			opts.YAxis{
				Type:         "value",
				Name:         unit,
				NameLocation: "end",
				Max:          most,
				AxisLabel:    &opts.AxisLabel{Color: ink, FontSize: 12, ShowMinLabel: opts.Bool(true), ShowMaxLabel: opts.Bool(true)},
				SplitLine:    &opts.SplitLine{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: hair}},
			},
		),
		charts.WithGridOpts(opts.Grid{Left: "8", Right: strconv.Itoa(right), Top: strconv.Itoa(top), Bottom: "8", ContainLabel: opts.Bool(true)}),
	}
}

// finish turns a chart's options into the map that the page draws, with what
// go-echarts has no field for.
func finish(option map[string]any, patterns []map[string]any) map[string]any {
	option["textStyle"] = map[string]any{"fontFamily": sans, "color": ink}
	aria := map[string]any{"enabled": true, "label": map[string]any{"enabled": false}}
	if patterns != nil {
		aria["decal"] = map[string]any{"show": true, "decals": patterns}
	}
	option["aria"] = aria
	option["color"] = palette
	delete(option, "toolbox")
	return option
}

// legendWidth is how many pixels names have beside one another in the narrowest chart, on a
// phone or in print; a name that does not fit begins a row.
const legendWidth = 262

// legendRows says in how many rows the names of series stand at the most.
func legendRows(all []series) int {
	rows, left := 1, legendWidth
	for i, s := range all {
		wide := 36 + 7*len([]rune(s.name))
		if i > 0 && wide > left {
			rows, left = rows+1, legendWidth
		}
		left -= wide
	}
	return rows
}

// bars draws a bar chart of series over years. lines are wanted levels, drawn
// dashed across.
func bars(id, label string, years []string, unit string, all []series, lines []level) Chart {
	right, top := 16, 24+20*legendRows(all)
	if len(lines) > 0 {
		right = 84 // their names stand there
	}
	bar := charts.NewBar()
	bar.SetXAxis(years)
	bar.SetGlobalOptions(append(append(globals(id), axes(unit, right, top, upTo(all, lines))...),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(len(all) > 1), Left: "72", Top: "0", ItemWidth: 22, ItemHeight: 13, TextStyle: axisText}))...)
	var patterns []map[string]any
	for i, s := range all {
		data := make([]opts.BarData, len(s.values))
		for j, v := range s.values {
			data[j] = opts.BarData{Value: round(v)}
		}
		option := []charts.SeriesOpts{
			charts.WithItemStyleOpts(opts.ItemStyle{Color: s.color, BorderColor: paper, BorderWidth: 1}),
			charts.WithBarChartOpts(opts.BarChart{Stack: s.stack}),
		}
		if i == 0 && len(lines) > 0 {
			var marks []opts.MarkLineNameYAxisItem
			for _, l := range lines {
				marks = append(marks, opts.MarkLineNameYAxisItem{Name: l.name, YAxis: l.at})
			}
			option = append(option, charts.WithMarkLineNameYAxisItemOpts(marks...),
				charts.WithMarkLineStyleOpts(opts.MarkLineStyle{Symbol: []string{"none"}, SymbolSize: 0,
					LineStyle: &opts.LineStyle{Color: ink, Type: "dashed", Width: 1.5},
					Label:     &opts.Label{Show: opts.Bool(true), Position: "end", Formatter: "{b} {c}", Color: ink}}))
		}
		bar.AddSeries(s.name, data, option...)
		if s.light {
			patterns = append(patterns, decals[0])
		} else {
			patterns = append(patterns, decals[i%len(decals)])
		}
	}
	bar.Validate()
	return Chart{ID: id, Label: label, Height: 300, Print: "370x230", Option: finish(bar.JSON(), patterns)}
}

// upTo gives the end of an axis that shows a level above every bar, nil where
// the bars reach it: echarts looks at the bars alone.
func upTo(all []series, lines []level) any {
	highest := 0.0
	for _, l := range lines {
		highest = max(highest, l.at)
	}
	for i := range all[0].values {
		pile := 0.0
		for _, s := range all {
			pile += s.values[i]
		}
		if pile >= highest {
			return nil
		}
	}
	step := math.Pow(10, math.Floor(math.Log10(highest/4)))
	for _, m := range []float64{1, 2, 5, 10} {
		if 6*m*step >= highest {
			return math.Ceil(highest/(m*step)) * m * step
		}
	}
	return nil
}

// level is a wanted amount.
type level struct {
	name string
	at   float64
}

// bandChart draws one line of acres over years in front of its wanted band.
func bandChart(id, label string, years []string, values []float64, lo, hi float64, name string) Chart {
	lows, heights := make([]float64, len(years)), make([]float64, len(years))
	for i := range years {
		lows[i], heights[i] = lo, hi-lo
	}
	c := Chart{ID: id, Label: label, Height: 210, Print: "236x170"}
	return c.lineOverBand("acres", years, values, name, lows, heights, "wanted")
}

// lineOverBand draws values over years as a line in front of a band, which is of so many
// heights on its lower edge.
func (c Chart) lineOverBand(unit string, years []string, values []float64, name string, lows, heights []float64, bandName string) Chart {
	line := charts.NewLine()
	line.SetXAxis(years)
	line.SetGlobalOptions(append(
		append(globals(c.ID), axes(unit, 16, 44, nil)...),
		charts.WithLegendOpts(
			opts.Legend{
				Show:       opts.Bool(true),
				Left:       "56",
				Top:        "0",
				ItemWidth:  22,
				ItemHeight: 12,
				TextStyle:  axisText,
				Data:       []map[string]string{{"name": name}, {"name": bandName, "icon": "rect"}},
			},
		),
	)...)
	data := func(all []float64, symbol string, size int) []opts.LineData {
		list := make([]opts.LineData, len(all))
		for i, v := range all {
			list[i] = opts.LineData{Value: round(v), Symbol: symbol, SymbolSize: size}
		}
		return list
	}
	none := charts.WithLineStyleOpts(opts.LineStyle{Opacity: opts.Float(0)})
	stacked := charts.WithLineChartOpts(opts.LineChart{Stack: "band"})
	// The lower edge is drawn unseen and carries the band on top of it.
	line.AddSeries("below", data(lows, "none", 0), none, stacked, charts.WithItemStyleOpts(opts.ItemStyle{Color: band, Opacity: opts.Float(0)}))
	line.AddSeries(bandName, data(heights, "none", 0), none, stacked, charts.WithItemStyleOpts(opts.ItemStyle{Color: "#b9c29b"}),
		charts.WithAreaStyleOpts(opts.AreaStyle{Color: "#b9c29b", Opacity: opts.Float(0.75)}))
	line.AddSeries(name, data(values, "circle", 9), charts.WithLineStyleOpts(opts.LineStyle{Color: ink, Width: 2}), charts.WithItemStyleOpts(opts.ItemStyle{Color: ink}))
	line.SetGlobalOptions(charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(false)}))
	line.Validate()
	c.Option = finish(line.JSON(), nil)
	return c
}

// round keeps a tenth: charts show acres, and sums of decimals carry dust.
func round(v float64) float64 { return float64(int64(v*10+0.5)) / 10 }
