package page

import (
	"bytes"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

// hostileRehearsal has names that would break a page which writes them as they
// are, a unit that is never late and one that never burned.
func hostileRehearsal() *view.Rehearsal {
	bad := `</script><img src=x onerror=alert(1)>`
	year := func(p10, p50, p90 float64) []habitat.Spread {
		return []habitat.Spread{{Mean: p50, Low: p10, High: p90, P10: p10, P50: p50, P90: p90}, {}}
	}
	rule := func(name string, mean, low, high, difference float64) habitat.RehearsedRule {
		return habitat.RehearsedRule{Name: name, Words: "words of " + name, Shortfall: habitat.Spread{Mean: mean, Low: low, High: high, P10: low, P50: mean, P90: high},
			Difference: habitat.Spread{Mean: difference, Low: difference - 1, High: difference + 1}, Parts: map[string]float64{"overdue": mean}, Done: new(0.5), InBands: map[string]float64{bad: 0.75}, Foresight: &habitat.Spread{Mean: 12},
			Acres: year(20, 40, 61), OverdueAcres: year(0, 7, 9), OverdueUnits: year(0, 1, 2), OnTime: 0.25, OneLate: 0.96,
			Units: []habitat.RehearsedUnit{{Unit: "never late", Overdue: []float64{0, 0}, Interval: 2}, {Unit: bad, Overdue: []float64{0.5, 0.25}, Ever: 0.625}}}
	}
	r := &habitat.Rehearsal{Plan: 1, FirstYear: 2027, Years: 2, Futures: 200, Asked: 500, Seed: 7, Blocks: 1, Gap: 0.02, Rounds: 16, Seconds: 10, Plans: 400, Cut: 3,
		Basis: bad, RecordYears: []date.ProgramYear{2001, 2002, 2003, 2004, 2005}, LeftOut: "2006 (12% of dormant known)", Notes: []string{bad}, Foresight: &habitat.Spread{Mean: 12},
		Rules: []habitat.RehearsedRule{rule("plan", 100, 90, 110, 0), rule(bad, 100.5, 90, 111, 0.5), rule("worse", 140, 130, 150, 40)}}
	return view.NewRehearsal(r, view.Stamp{})
}

func TestRehearsalChapter(t *testing.T) {
	v, err := view.NewProgram(sample.Terrace())
	if err != nil {
		t.Fatal(err)
	}
	write := func(r *view.Rehearsal) string {
		var b bytes.Buffer
		if err := WriteBook(&b, &Book{Program: v, Rehearsal: r}); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	text := write(hostileRehearsal())
	for _, want := range []string{`<section id="rehearsal">`, `id="chart-fan-burned"`, `id="chart-fan-overdue"`, "In 192 of 200 futures (more than 9 of 10) no unit is more than one year late",
		"and in 50 of 200 futures (3 of 10) none is overdue at all", "A rule that knew the weather in advance could not do better than 12.0 acre-years on average; this one does 100.0.",
		"no difference from plan seen in 200 futures", "falls short by 40 acre-years more than plan, future by future (95% interval 39 to 41)", "none seen", "(of 500 asked for; the rest was stopped)",
		"stopped 3 of 400 plans", "not a forecast", "not a decision to burn", "40 (20 to 61)", "shortfall of acres past their longest interval", "planned burns done in their year", "<td class=\"num\">75%</td>", "Left out, because too few of their days are known: 2006"} {
		if !strings.Contains(text, want) {
			t.Errorf("the book does not hold %q", want)
		}
	}
	if strings.Contains(text, "<img src=x") {
		t.Error("a name became an element")
	}
	if strings.Contains(text, "never late") {
		t.Error("a unit that is never late stands in the table of those that are")
	}
	if strings.Contains(write(nil), `<section id="rehearsal">`) {
		t.Error("a chapter without a rehearsal")
	}
}
