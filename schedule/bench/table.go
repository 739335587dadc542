package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"emberquilt/schedule/problem"
)

func printHead(out io.Writer, o *options) {
	head := []string{"family", "problem", "units × years", "status", "seconds"}
	for _, at := range o.at {
		time := fmt.Sprintf(" at %g s", at)
		head = append(head, "cost"+time, "bound"+time, "gap"+time)
		if o.hasBest {
			head = append(head, "cost"+time+" above best known")
		}
		if o.hasLin {
			head = append(head, "bound"+time+" as share of linear")
		}
	}
	head = append(
		head,
		"cost",
		"bound",
		"gap",
		"2% gap after",
		"best known",
		"cost above it",
		"linear bound",
		"bound above it",
		"nodes",
		"first plan",
		"certificate",
		"check",
		"memory",
	)
	for _, name := range o.others {
		for _, at := range o.at {
			head = append(head, fmt.Sprintf("%s at %g s", name, at))
		}
		head = append(head, fmt.Sprintf("%s at %g s", name, o.seconds))
	}
	printLine(out, head)
	rule := make([]string, len(head))
	for k := range rule {
		rule[k] = "---"
		if k > 3 {
			rule[k] = "---:"
		}
	}
	printLine(out, rule)
}

func printLine(out io.Writer, cells []string) {
	fmt.Fprintln(out, "| "+strings.Join(cells, " | ")+" |")
}

func printRow(out io.Writer, o *options, r *outcome) {
	cells := []string{r.family, r.name, fmt.Sprintf("%d × %d", r.units, r.years), string(r.answer.Status), number(r.seconds, 2)}
	for _, s := range r.at {
		cells = append(cells, number(s.cost, 1), number(s.bound, 1), percent(s.gap()))
		if o.hasBest {
			cells = append(cells, ratio(s.cost, r.best, r.hasBest))
		}
		if o.hasLin {
			cells = append(cells, share(s.bound, r.linear, r.hasLin))
		}
	}
	if r.answer.Status == problem.Infeasible {
		cells = append(cells, "–", "–", "–")
	} else {
		cells = append(cells, number(r.answer.Cost, 3), number(r.answer.Bound, 3), percent(r.answer.Gap))
	}
	after := "–"
	if !math.IsInf(r.near, 1) {
		after = fmt.Sprintf("%.1f s", r.near)
	}
	cells = append(cells, after, optional(r.best, r.hasBest, 3), ratio(r.answer.Cost, r.best, r.hasBest),
		optional(r.linear, r.hasLin, 3), ratio(r.answer.Bound, r.linear, r.hasLin),
		fmt.Sprint(r.stats.Nodes), fmt.Sprintf("%.2f s", r.stats.FirstPlan.Seconds()),
		fmt.Sprintf("%.0f kB", float64(r.certificate)/1000), fmt.Sprintf("%.2f s", r.check), fmt.Sprintf("%.0f MB", r.megabytes))
	for _, c := range r.others {
		for _, at := range o.at {
			cells = append(cells, c.say(at))
		}
		cells = append(cells, c.say(math.Inf(1)))
	}
	printLine(out, cells)
}

// number writes a figure, and – for one that is none.
func number(x float64, decimals int) string {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return "–"
	}
	if text := fmt.Sprintf("%.*f", decimals, x); strings.Trim(text, "-0.") != "" {
		return text
	}
	return fmt.Sprintf("%.*f", decimals, 0.0) // no -0.0
}

func optional(x float64, known bool, decimals int) string {
	if !known {
		return "–"
	}
	return number(x, decimals)
}

func percent(x float64) string {
	if math.IsInf(x, 0) {
		return "–"
	}
	return fmt.Sprintf("%.2f%%", 100*x)
}

// ratio writes by how much x is above a figure that is known.
func ratio(x, known float64, has bool) string {
	if !has || math.IsInf(x, 0) {
		return "–"
	}
	return fmt.Sprintf("%+.2f%%", 100*(x-known)/math.Max(1, known))
}

// share writes x as a share of a figure that is known.
func share(x, known float64, has bool) string {
	if !has || known <= 0 {
		return "–"
	}
	return percent(x / known)
}

// printNotes says where the figures of -known come from.
func printNotes(out io.Writer, all []outcome) {
	fmt.Fprintln(out)
	for k := range all {
		if r := &all[k]; r.note != "" {
			fmt.Fprintf(out, "- known of %s: %s\n", r.name, r.note)
		}
	}
}

// printFamilies sums up each family: how many are proven, the mean gap, and how
// much of the way from the first gap to the last the plan and the bound made.
func printFamilies(out io.Writer, all []outcome) {
	fmt.Fprintln(out)
	printLine(
		out,
		[]string{
			"family",
			"problems",
			"proven",
			"mean seconds",
			"mean gap at first",
			"mean gap at last",
			"closed by better plans",
			"closed by better bounds",
			"worst above best known",
			"most memory",
		},
	)
	printLine(out, []string{"---", "---:", "---:", "---:", "---:", "---:", "---:", "---:", "---:", "---:"})
	for from := 0; from < len(all); {
		to := from
		for to < len(all) && all[to].family == all[from].family {
			to++
		}
		printFamily(out, all[from:to])
		from = to
	}
}

func printFamily(out io.Writer, all []outcome) {
	n := float64(len(all))
	var proven int
	var seconds, first, last, plans, bounds, most float64
	worst := math.Inf(-1)
	for _, r := range all {
		seconds += r.seconds / n
		most = math.Max(most, r.megabytes)
		if r.answer.Status != problem.Feasible {
			proven++
		}
		if r.answer.Status == problem.Infeasible {
			continue
		}
		start, end := r.first, state{r.answer.Cost, r.answer.Bound}
		if math.IsInf(start.cost, 1) { // it ended before the first report
			start = end
		}
		scale := math.Max(1, end.cost)
		first += start.gap() / n
		last += r.answer.Gap / n
		plans += math.Max(0, start.cost-end.cost) / scale
		bounds += math.Max(0, end.bound-start.bound) / scale
		if r.hasBest {
			worst = math.Max(worst, (r.answer.Cost-r.best)/math.Max(1, r.best))
		}
	}
	way := math.Max(plans+bounds, 1e-12)
	above := "–"
	if !math.IsInf(worst, -1) {
		above = fmt.Sprintf("%+.2f%%", 100*worst)
	}
	printLine(out, []string{all[0].family, fmt.Sprint(len(all)), fmt.Sprint(proven), number(seconds, 2), percent(first), percent(last),
		fmt.Sprintf("%.0f%%", 100*plans/way), fmt.Sprintf("%.0f%%", 100*bounds/way), above, fmt.Sprintf("%.0f MB", most)})
}
