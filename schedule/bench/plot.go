package main

import (
	"bytes"
	"fmt"
	"math"

	"emberquilt/schedule/problem"
)

// Sizes of the plot, in pixels.
const (
	plotWidth, plotHeight = 720, 520
	panelLeft, panelWidth = 80, 600
	panelHeight           = 180
)

// panel is one of the two charts, which share the axis of units.
type panel struct {
	top   float64
	title string
	ticks []float64 // of a logarithmic axis, ascending
	value func(r *outcome) float64
	label func(r *outcome) string
}

// plot draws gap and memory against the number of units, both axes
// logarithmic, as an SVG picture that reads in gray too: each point carries its
// figure, and the time to a gap of 2% where it came so far.
func plot(all []outcome, seconds float64) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%d" height="%d" font-family="sans-serif" font-size="12" role="img">`+"\n",
		plotWidth, plotHeight, plotWidth, plotHeight)
	fmt.Fprintf(&b, "<title>Gap and memory against the number of units, after at most %g s</title>\n", seconds)
	fmt.Fprintf(&b, `<rect width="%d" height="%d" fill="white"/>`+"\n", plotWidth, plotHeight)
	for _, p := range []panel{
		{40, fmt.Sprintf("Gap after at most %g s, percent", seconds), []float64{0.001, 0.01, 0.1, 1, 10, 100}, gapPercent, func(r *outcome) string {
			gap := fmt.Sprintf("%.2g", gapPercent(r))
			if r.answer.Status == problem.Optimal {
				gap = "proven"
			}
			if math.IsInf(r.near, 1) {
				return gap
			}
			return fmt.Sprintf("%s (2%% in %.1f s)", gap, r.near)
		}},
		{290, "Most memory, megabytes", []float64{1, 10, 100, 1000, 10000}, func(r *outcome) float64 { return r.megabytes },
			func(r *outcome) string { return fmt.Sprintf("%.0f", r.megabytes) }},
	} {
		p.draw(&b, all)
	}
	fmt.Fprintf(&b, `<text x="%d" y="%d" text-anchor="middle">units</text>`+"\n</svg>\n", panelLeft+panelWidth/2, plotHeight-12)
	return b.Bytes()
}

func gapPercent(r *outcome) float64 { return 100 * r.answer.Gap }

// along gives the place of x between the first and the last tick, 0 to 1; what
// lies outside is brought to the edge.
func along(x float64, ticks []float64) float64 {
	first, last := math.Log(ticks[0]), math.Log(ticks[len(ticks)-1])
	return (min(max(math.Log(max(x, 1e-300)), first), last) - first) / (last - first)
}

func (p *panel) draw(b *bytes.Buffer, all []outcome) {
	units := []float64{1, 10, 100, 1000, 10000}
	x := func(n float64) float64 { return panelLeft + panelWidth*along(n, units) }
	y := func(v float64) float64 { return p.top + panelHeight*(1-along(v, p.ticks)) }
	fmt.Fprintf(b, `<text x="%d" y="%g" font-weight="bold">%s</text>`+"\n", panelLeft, p.top-20, p.title)
	for _, v := range p.ticks {
		fmt.Fprintf(b, `<line x1="%d" x2="%d" y1="%.1f" y2="%.1f" stroke="#ccc"/><text x="%d" y="%.1f" text-anchor="end">%g</text>`+"\n",
			panelLeft, panelLeft+panelWidth, y(v), y(v), panelLeft-8, y(v)+4, v)
	}
	for _, n := range units {
		fmt.Fprintf(b, `<line x1="%.1f" x2="%.1f" y1="%g" y2="%g" stroke="#ccc"/><text x="%.1f" y="%g" text-anchor="middle">%g</text>`+"\n",
			x(n), x(n), p.top, p.top+panelHeight, x(n), p.top+panelHeight+16, n)
	}
	for k := range all {
		r := &all[k]
		v, at := p.value(r), x(float64(r.units))
		fmt.Fprintf(b, `<circle cx="%.1f" cy="%.1f" r="4" fill="#225588"/><text x="%.1f" y="%.1f" text-anchor="middle" font-size="10">%s</text>`+"\n",
			at, y(v), at, y(v)-7, p.label(r))
	}
}
