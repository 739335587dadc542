package svgcard

import (
	"bytes"
	_ "embed" // for the template
	"fmt"
	"html/template"
	"math"

	"emberquilt/report/view"
)

//go:embed rose.tmpl
var roseText string

var roseTemplate = template.Must(template.New("rose").Parse(roseText))

// Pixels of a rose.
const (
	roseMiddle = 130.0
	roseRim    = 98.0
	roseHub    = 36.0
)

type roseDrawing struct {
	ID, Description string
	Wedges          []wedge
	Names           []label
	// Day is the path of the arrow of the wind that the paper is made for.
	Day string
}

// Rose gives a rose as a fragment for a page that is safe to put into one, since
// html/template wrote it: winds that suit solid, those that carry smoke hatched, those
// out of the prescription empty. id keeps the patterns of several roses of one page
// apart.
func Rose(r *view.Rose, id string) (template.HTML, error) {
	d := &roseDrawing{ID: id, Description: "Winds that suit: " + r.Suits + "."}
	point := func(bearing, distance float64) (x, y float64) {
		sin, cos := math.Sincos(bearing * math.Pi / 180)
		return roseMiddle + distance*sin, roseMiddle - distance*cos
	}
	for i := range r.Winds {
		w := &r.Winds[i]
		const half = 11.25
		x1, y1 := point(w.Bearing-half, roseRim)
		x2, y2 := point(w.Bearing+half, roseRim)
		x3, y3 := point(w.Bearing+half, roseHub)
		x4, y4 := point(w.Bearing-half, roseHub)
		d.Wedges = append(
			d.Wedges,
			wedge{
				fmt.Sprintf(
					"M%s %sA%s %s 0 0 1 %s %sL%s %sA%s %s 0 0 0 %s %sZ",
					px(x1),
					px(y1),
					px(roseRim),
					px(roseRim),
					px(x2),
					px(y2),
					px(x3),
					px(y3),
					px(roseHub),
					px(roseHub),
					px(x4),
					px(y4),
				),
				string(w.Kind),
			},
		)
		if i%2 == 0 {
			x, y := point(w.Bearing, roseRim+16)
			d.Names = append(d.Names, label{X: px(x), Y: px(y + 5.5), Name: w.From, Faint: w.Kind != view.WindSuits})
		}
	}
	if r.Day != nil {
		bearing := float64(*r.Day)
		x1, y1 := point(bearing, roseHub+4)
		x2, y2 := point(bearing-7, roseRim+8)
		x3, y3 := point(bearing, roseRim-4)
		x4, y4 := point(bearing+7, roseRim+8)
		d.Day = fmt.Sprintf("M%s %sL%s %sL%s %sL%s %sZ", px(x1), px(y1), px(x2), px(y2), px(x3), px(y3), px(x4), px(y4))
		d.Description += fmt.Sprintf(" The arrow is the wind from %.0f°.", bearing)
	}
	var out bytes.Buffer
	if err := roseTemplate.Execute(&out, d); err != nil {
		return "", fmt.Errorf("draw the rose: %w", err)
	}
	return template.HTML(out.String()), nil //nolint:gosec // numbers, compass points and ids of our own
}
