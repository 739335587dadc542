package pdf

import (
	"math"

	"codeberg.org/go-pdf/fpdf"

	"emberquilt/report/view"
)

// roseHub is the part of a rose's radius that stays empty for its words.
const roseHub = 0.36

// rose draws the sixteen winds around a point: those that suit solid, those that carry
// smoke hatched, those out of the prescription empty. Each kind shows in a gray copy.
func (p *paper) rose(r *view.Rose, x, y, radius float64) {
	for i := range r.Winds {
		p.wedge(&r.Winds[i], x, y, radius)
	}
	p.SetLineWidth(0.4)
	p.Circle(x, y, radius, "D")
	p.Circle(x, y, radius*roseHub, "D")
	p.SetLineWidth(0.2)
	p.font("", 8.5)
	for i, word := range []string{"wind", "from"} {
		p.Text(x-p.GetStringWidth(word)/2, y-0.4+3.4*float64(i), word)
	}
	for i := 0; i < len(r.Winds); i += 2 { // eight names are enough
		w := &r.Winds[i]
		style := ""
		if w.Kind == view.WindSuits {
			style = "B"
		}
		p.font(style, 10.5)
		at := around(x, y, radius+4.2, w.Bearing)
		p.Text(at.X-p.GetStringWidth(w.From)/2, at.Y+1.4, w.From)
	}
	if r.Day != nil {
		bearing := float64(*r.Day)
		p.SetFillColor(0, 0, 0)
		p.SetDrawColor(255, 255, 255)
		p.SetLineWidth(0.5)
		p.Polygon([]fpdf.PointType{around(x, y, radius*0.42, bearing), around(x, y, radius+2, bearing-7), around(x, y, radius-1, bearing), around(x, y, radius+2, bearing+7)}, "FD")
		p.SetDrawColor(0, 0, 0)
		p.SetLineWidth(0.2)
	}
}

// around gives the point at a bearing and distance from another.
func around(x, y, distance, bearing float64) fpdf.PointType {
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	return fpdf.PointType{X: x + distance*sin, Y: y - distance*cos}
}

// wedge draws one wind.
func (p *paper) wedge(w *view.RoseWind, x, y, radius float64) {
	const half, steps = 11.25, 6
	var points []fpdf.PointType
	for i := 0; i <= steps; i++ {
		points = append(points, around(x, y, radius, w.Bearing-half+2*half*float64(i)/steps))
	}
	for i := steps; i >= 0; i-- {
		points = append(points, around(x, y, radius*roseHub, w.Bearing-half+2*half*float64(i)/steps))
	}
	p.paint(w.Kind, points)
}

// paint fills an outline as a kind of wind.
func (p *paper) paint(kind view.RoseKind, points []fpdf.PointType) {
	p.SetFillColor(255, 255, 255)
	if kind == view.WindSuits {
		p.SetFillColor(38, 84, 70)
	}
	p.Polygon(points, "F")
	if kind == view.WindSmoke {
		p.hatchIn(points, 1.5, 0.45, 156, 61, 18)
	}
	p.SetLineWidth(0.25)
	if kind == view.WindSuits {
		p.SetDrawColor(255, 255, 255)
	} else {
		p.SetDrawColor(120, 120, 120)
	}
	p.Polygon(points, "D")
	p.SetDrawColor(0, 0, 0)
	p.SetLineWidth(0.2)
}

// swatch draws a small sample of a kind of wind beside its words.
func (p *paper) swatch(kind view.RoseKind, x, y float64) {
	const wide, high = 5.0, 3.6
	p.paint(kind, []fpdf.PointType{{X: x, Y: y}, {X: x + wide, Y: y}, {X: x + wide, Y: y + high}, {X: x, Y: y + high}})
	p.Rect(x, y, wide, high, "D")
}
