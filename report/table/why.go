package table

import (
	"fmt"
	"io"

	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// mostDiffers is how many differences of a second plan a terminal shows.
const mostDiffers = 24

// Why writes the reasons of one decision. CSV holds one row a reason.
func Why(w io.Writer, v *view.Why, o Options) error {
	switch o.Format {
	case JSON:
		return writeJSON(w, v)
	case CSV:
		s := &Sheet{Name: "why", Header: []string{"unit", "program_year", "kind", "words"}}
		add := func(kind, words string) { s.Rows = append(s.Rows, []any{v.Unit, v.Year, kind, words}) }
		add("decision", v.Headline)
		for _, r := range v.Reasons {
			add("reason", r)
		}
		for _, b := range v.Obstacles {
			add("obstacle", b.Words)
		}
		if !v.Done && !v.Missed {
			add("other choice", v.OtherChoice.Words)
		}
		for _, d := range v.Differs {
			add("second plan", d)
		}
		return s.WriteCSV(w)
	}
	p := newPage(o)
	p.overtaken(v.Stamp)
	for _, line := range wrap(view.Plain(v.Headline), p.width, "") {
		p.parts = append(p.parts, bold.render(line))
	}
	p.items(v.Reasons)
	if v.Done || v.Missed {
		p.line("")
		p.note(view.CautionLine)
		return p.writeTo(w)
	}
	other := "Why it does not burn instead"
	if v.Burn {
		other = "What a rest would mean"
	}
	p.heading(other)
	for _, b := range v.Obstacles {
		p.items([]string{b.Words})
	}
	if len(v.Obstacles) == 0 && !v.OtherChoice.Impossible {
		p.items([]string{"No requirement stands in the way, the rest of the plan staying as it is."})
	}
	p.items([]string{v.OtherChoice.Words})
	p.items(v.Clashes)
	if len(v.Differs) > 0 {
		p.heading("What else the second plan does otherwise")
		shown := v.Differs
		if len(shown) > mostDiffers {
			shown = shown[:mostDiffers]
		}
		p.items(shown)
		if more := len(v.Differs) - len(shown); more > 0 {
			p.note(fmt.Sprintf("and %s; --json and --csv hold them all", quantity.Count(more, "more difference")))
		}
	}
	p.line("")
	p.note(view.CautionLine)
	return p.writeTo(w)
}
