package view_test

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/report/internal/sample"
	"emberquilt/report/page"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
)

// Plans stand side by side with the sums of their own programs, shortfalls of other
// years are not compared, and what users wrote is inert in every form.
func TestBeside(t *testing.T) {
	first, second, third := sample.Terrace(), sample.Terrace(), sample.Terrace()
	first.Number, second.Number, third.Number = 1, 2, 3
	first.Standing = habitat.PlanStanding{Plan: 1, Standing: habitat.AdoptedPlan}
	second.Standing = habitat.PlanStanding{Plan: 2, Standing: habitat.DraftPlan, Trial: `</script><b>=1+1` + "\n", Changed: []string{"cap of acres: 420 → 120"}}
	third.Standing = habitat.PlanStanding{Plan: 3, Standing: habitat.DraftPlan}
	longer := *third.Problem
	longer.Lookahead--
	longer.Caps = longer.Caps[:longer.T()]
	answer := *third.Answer
	answer.Burns = nil
	for _, b := range third.Answer.Burns {
		if b.Year < longer.FirstYear+longer.T() {
			answer.Burns = append(answer.Burns, b)
		}
	}
	third.Problem, third.Answer = &longer, &answer
	v, err := view.NewBeside([]view.BesideInput{{Plan: first}, {Plan: second, Later: view.Later{Burns: 2, Settings: true}}, {Plan: third, Note: "by hand"}})
	if err != nil {
		t.Fatal(err)
	}
	program, err := view.NewProgram(first)
	if err != nil {
		t.Fatal(err)
	}
	var acres, overdue float64
	var burns int
	for _, y := range program.ByYear {
		acres, overdue, burns = acres+float64(y.Burned), overdue+float64(y.OverdueAcres), burns+y.Burns
	}
	one := &v.Plans[0]
	if d := float64(one.Acres) - acres; d > 1e-6 || d < -1e-6 || one.Burns != burns || float64(one.Overdue) != overdue || one.Units != len(program.Overdue) {
		t.Errorf("%v acres, %d burns, %v acre-years overdue, %d units; the program has %v, %d, %v, %d", one.Acres, one.Burns, one.Overdue, one.Units, acres, burns, overdue, len(program.Overdue))
	}
	if got := v.Plans[1].Difference; first.Answer.Status == problem.Optimal && got != "0" || got == "" {
		t.Errorf("two equal plans differ by %q", got)
	}
	if got, want := v.Plans[1].Words(), "cap of acres: 420 → 120. Older than 2 burns on record and the settings."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if v.Plans[2].Difference != "" || len(v.Notes) != 1 || !strings.Contains(v.Notes[0], "shortfalls cannot be compared: plan 3") {
		t.Errorf("a plan of other years: difference %q, notes %q", v.Plans[2].Difference, v.Notes)
	}
	if v.Plans[2].Head() != "plan 3, by hand" || v.Plans[0].Head() != "plan 1, in force" {
		t.Errorf("heads %q, %q", v.Plans[0].Head(), v.Plans[2].Head())
	}
	for name, write := range map[string]func(io.Writer) error{
		"text": func(w io.Writer) error { return table.Beside(w, v, table.Options{}) },
		"csv":  func(w io.Writer) error { return table.Beside(w, v, table.Options{Format: table.CSV}) },
		"json": func(w io.Writer) error { return table.Beside(w, v, table.Options{Format: table.JSON}) },
		"html": func(w io.Writer) error { return page.WriteBeside(w, v) },
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		if name == "html" && strings.Contains(text, "</script><b>") {
			t.Error("html: a name became a tag")
		}
		if name == "csv" && strings.Contains(text, ",=1+1") {
			t.Error("csv: a name became a formula")
		}
		for _, caution := range view.Cautions() {
			if name == "html" && !strings.Contains(text, caution) {
				t.Errorf("html: %q is missing", caution)
			}
		}
		if !strings.Contains(text, "420 → 120") {
			t.Errorf("%s: what was changed is missing", name)
		}
	}
	early := *first.Problem
	early.FirstYear -= 50
	first.Problem = &early
	first.Answer = &problem.Answer{Status: problem.Infeasible}
	if _, err := view.NewBeside([]view.BesideInput{{Plan: first}, {Plan: second}}); err == nil {
		t.Error("plans that share no year stand side by side")
	}
}
