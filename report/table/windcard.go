package table

import (
	"io"
	"math"
	"strings"

	"emberquilt/report/view"
)

// WindCard is a unit's wind card with one row a wind.
func WindCard(v *view.WindCard) *Sheet {
	s := &Sheet{Name: "wind card", Header: []string{"wind_from", "depth_ft", "hours_to_back", "interior_lines", "hours_line_to_line", "start_at_edge", "smoke_reaches", "suits", "candidate_days_pct"}}
	for i := range v.Directions {
		d := &v.Directions[i]
		suits := "yes"
		if !d.Suits {
			suits = "no: " + d.Why
		}
		var share any
		if d.Share != nil {
			share = rounded(100**d.Share, 1)
		}
		s.Rows = append(s.Rows, []any{d.From, rounded(float64(d.Depth), 0), rounded(d.Back, 1), d.Lines, rounded(d.Between, 1), d.Edge, d.SmokeWords(), suits, share})
	}
	return s
}

// Lines writes sentences, each folded to the width.
func Lines(w io.Writer, all []string, o Options) error {
	var b strings.Builder
	for _, text := range all {
		for _, line := range wrap(view.Plain(text), o.width(), "") {
			b.WriteString(line)
			b.WriteByte('\n')
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// rounded gives v to so many decimals.
func rounded(v float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(v*scale) / scale
}
