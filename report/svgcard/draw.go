package svgcard

import (
	"bytes"
	_ "embed" // for the template
	"fmt"
	"html/template"
	"io"
	"math"
	"strconv"
	"strings"

	"emberquilt/report/view"
)

//go:embed card.tmpl
var cardText string

var cardTemplate = template.Must(template.New("card").Parse(cardText))

// Pixels of the drawing.
const (
	centerX, centerY = 260.0, 262.0
	rim              = 176.0 // the largest wedge
	halfWedge        = 9.0   // degrees to either side
)

// Write writes the card as an SVG file.
func Write(w io.Writer, v *view.WindCard) error {
	text, err := HTML(v, "card")
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, string(text))
	return err
}

// HTML gives the card as a fragment for a page that is safe to put into one,
// since html/template wrote it. id keeps the patterns of several cards of one
// page apart.
func HTML(v *view.WindCard, id string) (template.HTML, error) {
	var out bytes.Buffer
	if err := cardTemplate.Execute(&out, newDrawing(v, id)); err != nil {
		return "", fmt.Errorf("draw the wind card: %w", err)
	}
	// html/template lets pass what XML, and so SVG, may not hold.
	text := strings.Map(func(r rune) rune {
		if r&0xfffe == 0xfffe || r < ' ' && r != '\n' && r != '\t' {
			return -1
		}
		return r
	}, out.String())
	return template.HTML(text), nil //nolint:gosec // see above
}

type drawing struct {
	ID, Title, Subtitle, Description, Measure string
	Wedges                                    []wedge
	Rings                                     []ring
	Labels                                    []label
	Foot                                      []string
	HasSmoke, HasOut                          bool
}

type wedge struct{ Path, Kind string }

type ring struct {
	R, X, Y string
	Text    string
}

type label struct {
	X, Y, Anchor string
	Name, Hours  string
	Faint        bool
}

func newDrawing(v *view.WindCard, id string) *drawing {
	d := &drawing{ID: id, Title: view.Cut(view.Plain(v.Unit), 44), Measure: "Length: share of candidate days"}
	if v.Season != "" {
		d.Subtitle = view.Cut(view.Plain(v.Season+": "+v.Prescription), 64)
	}
	if !v.HasShares {
		d.Measure = "Length: hours to back through the unit; no candidate days known"
	}
	longest := 0.0
	for i := range v.Directions {
		longest = max(longest, measure(v, i))
	}
	top, step, unit := scale(longest, v.HasShares)
	for level := step; level <= top+1e-9; level += step {
		r := rim * level / top
		x, y := at(11.25, r) // between north and the next wind
		d.Rings = append(d.Rings, ring{px(r), px(x), px(y + 4), fmt.Sprintf("%s %s", strconv.FormatFloat(level, 'f', -1, 64), unit)})
	}
	suits := 0
	for i := range v.Directions {
		row := &v.Directions[i]
		kind := "out"
		switch {
		case row.Suits:
			kind = "suits"
			suits++
		case len(row.Smoke) > 0:
			kind, d.HasSmoke = "smoke", true
		default:
			d.HasOut = true
		}
		if r := rim * measure(v, i) / top; r > 0.5 {
			d.Wedges = append(d.Wedges, wedge{wedgePath(row.Bearing, r), kind})
		}
		d.Labels = append(d.Labels, rimLabel(row, !row.Suits))
	}
	d.Description = fmt.Sprintf("Wind rose of %s: %d of 16 winds suit. The table of the card holds the numbers.", view.Plain(v.Unit), suits)
	if v.Need != nil {
		d.Foot = append(d.Foot, fmt.Sprintf("A burn needs %d h in a row, up to %d interior lines; from: %s.", v.Need.Hours, v.Need.Lines, v.Need.Basis))
	} else {
		d.Foot = append(d.Foot, "No wind suits.")
	}
	return d
}

func measure(v *view.WindCard, i int) float64 {
	if share := v.Directions[i].Share; share != nil {
		return 100 * *share
	}
	return v.Directions[i].Back
}

// scale gives the value at the rim, the step of the rings and their unit.
func scale(longest float64, shares bool) (top, step float64, unit string) {
	unit = "h"
	if shares {
		unit = "%"
	}
	for _, step := range []float64{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000} {
		if 4*step >= longest {
			return max(step, math.Ceil(longest/step-1e-9)*step), step, unit
		}
	}
	return longest, longest, unit
}

// wedgePath is a wedge from the center to a radius, around a bearing.
func wedgePath(bearing, r float64) string {
	x1, y1 := at(bearing-halfWedge, r)
	x2, y2 := at(bearing+halfWedge, r)
	return fmt.Sprintf("M%s %sL%s %sA%s %s 0 0 1 %s %sZ", px(centerX), px(centerY), px(x1), px(y1), px(r), px(r), px(x2), px(y2))
}

// at gives the point at a bearing and distance from the center.
func at(bearing, r float64) (x, y float64) {
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	return centerX + r*sin, centerY - r*cos
}

func rimLabel(row *view.WindRow, faint bool) label {
	x, y := at(row.Bearing, rim+22)
	anchor := "middle"
	switch sin := math.Sin(row.Bearing * math.Pi / 180); {
	case sin > 0.3:
		anchor = "start"
		x -= 8
	case sin < -0.3:
		anchor = "end"
		x += 8
	}
	return label{px(x), px(y), anchor, row.From, strconv.FormatFloat(row.Between, 'f', 1, 64) + " h", faint}
}

func px(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }
