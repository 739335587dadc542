package view

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/whatif"
)

func TestDecimals(t *testing.T) {
	for slack, want := range map[float64]int{0: 3, 0.0009: 3, 0.001: 3, 0.002: 3, 0.01: 2, 0.05: 2, 0.1: 1, 0.9: 1, 1: 0, 314: 0, math.NaN(): 3} {
		if got := Decimals(slack); got != want {
			t.Errorf("within %v acre-years: %d decimals, want %d", slack, got, want)
		}
	}
}

func TestDifferenceWords(t *testing.T) {
	for _, c := range []struct {
		d           whatif.Range
		words, cell string
	}{
		{whatif.Range{}, "the same", "0"},
		{whatif.Range{AtHand: 12.5, Least: 12.5, Most: 12.5}, "12.5 acre-years larger", "+12.5"},
		{whatif.Range{AtHand: -1, Least: -1, Most: -1}, "1 acre-year smaller", "−1"},
		{whatif.Range{AtHand: 597.25, Least: 282.9, Most: 699.1}, "597 acre-years larger (282 or more by the proofs)", "+597"},
		{whatif.Range{AtHand: -597.25, Least: -699.1, Most: -282.9}, "597 acre-years smaller (282 or more by the proofs)", "−597"},
		{whatif.Range{AtHand: 12.3, Least: -7217.5, Most: 7345.8}, "not told apart by these proofs (between 7,218 acre-years smaller and 7,346 larger)", "not told apart"},
		{whatif.Range{AtHand: 0, Least: 0, Most: 0.42}, "not told apart by these proofs (the same or up to 0.5 acre-years larger)", "not told apart"},
		{whatif.Range{AtHand: -3, Least: -40.2, Most: 0}, "not told apart by these proofs (the same or up to 41 acre-years smaller)", "not told apart"},
		{whatif.Range{AtHand: 0.31, Least: 0.27, Most: 0.31}, "0.31 acre-years larger (0.27 or more by the proofs)", "+0.31"},
	} {
		if got := DifferenceWords(c.d); got != c.words {
			t.Errorf("%+v: %q, want %q", c.d, got, c.words)
		}
		if got := ShortDifference(c.d); got != c.cell {
			t.Errorf("%+v: %q in a column, want %q", c.d, got, c.cell)
		}
	}
}

// Whatever the proofs: no figure has more decimals than its slack, ends are rounded
// outward, a bound is never printed above itself.
func TestFiguresKeepToTheProof(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 12))
	number := func(text string) float64 {
		v, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", ""), 64)
		if err != nil {
			t.Fatalf("%q is not a number: %v", text, err)
		}
		return v
	}
	decimals := func(text string) int {
		_, after, _ := strings.Cut(text, ".")
		return len(after)
	}
	for range 20000 {
		cost := math.Exp(r.Float64() * 12)
		slack := math.Exp(r.Float64()*16 - 7)
		answer := &problem.Answer{Status: problem.Feasible, Cost: cost, Bound: cost - slack, Gap: slack / math.Max(1, cost)}
		shown, bound := provenTexts(answer)
		if number(bound) > answer.Bound+1e-9*math.Max(1, cost) {
			t.Fatalf("bound %v is printed as %s", answer.Bound, bound)
		}
		for _, text := range []string{shown, bound} {
			if n := decimals(text); n > 0 && math.Pow10(-n) < slack/10-1e-12 {
				t.Fatalf("%s has %d decimals, proven to within %v", text, n, slack)
			}
		}
		line := NewPlanLine(PlanLine{Status: problem.Feasible, Cost: cost, Bound: answer.Bound})
		if line.Bound > answer.Bound+1e-9*math.Max(1, cost) || math.Abs(line.Cost-cost) > math.Max(slack, 0.001) {
			t.Fatalf("cost %v, bound %v are listed as %v, %v", cost, answer.Bound, line.Cost, line.Bound)
		}
		d := whatif.Range{AtHand: r.NormFloat64() * slack}
		d.Least, d.Most = d.AtHand-slack*r.Float64(), d.AtHand+slack*r.Float64()
		if words := DifferenceWords(d); ApartOf(d) == NotTold && !strings.HasPrefix(words, "not told apart by these proofs (") || d.Least > 0.01 && !strings.Contains(words, "larger") {
			t.Fatalf("%+v: %s", d, words)
		} else if ApartOf(d) == NotTold && strings.Contains(words, "between ") {
			var low, high string
			fields := strings.Fields(words)
			for i, f := range fields {
				if f == "(between" {
					low = fields[i+1]
				}
				if f == "and" {
					high = fields[i+1]
				}
			}
			if number(low) < -d.Least-1e-9 || number(high) < d.Most-1e-9 {
				t.Fatalf("%+v is said to lie %s", d, words)
			}
		}
	}
}

func TestGapLine(t *testing.T) {
	for _, c := range []struct {
		answer problem.Answer
		want   string
	}{
		{problem.Answer{Status: problem.Optimal, Cost: 183.25, Bound: 183.2499}, "optimal: shortfall 183.25 acre-years, and no plan is better"},
		{problem.Answer{Status: problem.Feasible, Cost: 2540.123, Bound: 2438.987, Gap: 0.0398}, "feasible: shortfall 2540 acre-years, bound 2438, gap 3.98%"},
		{problem.Answer{Status: problem.Feasible, Cost: 12.37, Bound: 12.16, Gap: 0.017}, "feasible: shortfall 12.4 acre-years, bound 12.1, gap 1.70%"},
	} {
		if got := GapLine(&c.answer); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// On the page the parts of an edited plan bear no more decimals than its proof.
func TestPartsOfAnEditAreNoFinerThanItsProof(t *testing.T) {
	for slack, want := range map[float64]string{0: "+12.4", 0.3: "+12.4", 250: "+12"} {
		v := &Edited{Parts: []EditedPart{{Name: "overdue", Difference: 12.43}}}
		if v.differences(slack); v.Parts[0].Text != want {
			t.Errorf("within %v: %q, want %q", slack, v.Parts[0].Text, want)
		}
	}
}
