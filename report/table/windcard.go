package table

import (
	"fmt"
	"io"
	"math"
	"strings"

	"charm.land/lipgloss/v2"

	"emberquilt/report/view"
)

// WindCard is a unit's wind card with one row a wind.
func WindCard(v *view.WindCard) *Sheet {
	s := &Sheet{
		Name: "wind card",
		Header: []string{
			"wind_from",
			"depth_ft",
			"longest_run_ft",
			"hours_to_back",
			"interior_lines",
			"hours_line_to_line",
			"start_at_edge",
			"smoke_reaches",
			"suits",
			"candidate_days_pct",
		},
	}
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
		s.Rows = append(
			s.Rows,
			[]any{d.From, rounded(float64(d.Depth), 0), rounded(float64(d.Run), 0), rounded(d.Back, 1), d.Lines, rounded(d.Between, 1), d.Edge, d.SmokeWords(), suits, share},
		)
	}
	return s
}

// Needs has a row for each unit and season.
func Needs(all []view.UnitNeed) *Sheet {
	s := &Sheet{
		Name:   "needs",
		Header: []string{"unit", "season", "prescription", "winds_that_suit", "depth_ft", "longest_run_ft", "hours_in_a_row", "interior_lines", "from", "warning"},
	}
	for _, v := range all {
		var winds, depth, run, hours, lines, from any
		if v.Suiting != nil {
			winds = fmt.Sprintf("%d of 16", *v.Suiting)
		}
		if n := v.Need; n != nil {
			hours, from = n.Hours, string(n.Basis)
			if v.Suiting != nil {
				depth, run, lines = rounded(float64(n.Depth), 0), rounded(float64(n.Run), 0), n.Lines
			}
		}
		s.Rows = append(s.Rows, []any{v.Unit, v.Season, v.Prescription, winds, depth, run, hours, lines, from, v.Warning})
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

// Prose writes sentences as they are in a pipe, and folded to a terminal; lines of a
// list are set in below their mark.
func Prose(w io.Writer, text string, o Options) error {
	var b strings.Builder
	for line := range strings.SplitSeq(text, "\n") {
		if o.Width <= 0 || lipgloss.Width(line) <= o.width() {
			b.WriteString(line + "\n")
			continue
		}
		mark := line[:len(line)-len(strings.TrimLeft(line, " "))]
		if rest, isItem := strings.CutPrefix(line[len(mark):], "- "); isItem {
			mark, line = mark+"- ", rest
		}
		for _, part := range wrap(line, o.width(), mark) {
			b.WriteString(part + "\n")
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
