package page

import (
	"fmt"
	"io"

	"emberquilt/report/view"
)

// besidePage is what its template reads.
type besidePage struct {
	frame
	sides
}

// sides are plans side by side with their chart.
type sides struct {
	Side  *view.Beside
	Chart Chart
}

// WriteBeside writes any number of plans side by side as one HTML file: a table, a
// chart, what was changed for each.
func WriteBeside(w io.Writer, v *view.Beside) error {
	title := fmt.Sprintf("Plans side by side, %s", view.Cut(view.Plain(v.Stamp.Property), 120))
	chart := besideChart(v)
	return write(w, "beside", besidePage{newFrame(title, v.Stamp, []Chart{chart}), sides{v, chart}})
}

// besideChart stacks, plan by plan, what is proven of the shortfall and the rest, with
// the acres overdue beside them.
func besideChart(v *view.Beside) Chart {
	var labels []string
	bound := series{name: "no such plan is below", color: ember, stack: "shortfall"}
	open := series{name: "not ruled out", color: straw, light: true, stack: "shortfall"}
	overdue := series{name: "overdue, acre-years", color: madder, stack: "overdue"}
	for i := range v.Plans {
		one := &v.Plans[i]
		if one.Whole == nil {
			continue
		}
		labels = append(labels, fmt.Sprintf("plan %d", one.Plan))
		bound.values = append(bound.values, max(0, *one.Bound))
		open.values = append(open.values, max(0, *one.Whole-max(0, *one.Bound)))
		overdue.values = append(overdue.values, float64(one.Overdue))
	}
	return bars(
		"chart-beside",
		"Shortfall of each plan in acre-years, the part that is proven and the part that is not ruled out, beside the acre-years overdue; the table holds the numbers",
		labels,
		"acre-years",
		[]series{bound, open, overdue},
		nil,
	)
}
