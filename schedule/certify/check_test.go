package certify

import (
	"context"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/problem/clash"
	"emberquilt/schedule/reference"
)

func check(t *testing.T, p *problem.Problem, a *problem.Answer) *Report {
	t.Helper()
	r, err := Check(context.Background(), p, a, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// answerOf makes the answer that says the truth about a plan that is optimal.
func answerOf(p *problem.Problem, best reference.Result) *problem.Answer {
	parts := reference.Cost(p, best.Burns)
	return &problem.Answer{Status: problem.Optimal, Cost: best.Cost, Bound: best.Cost, Parts: parts, Burns: best.Burns}
}

// TestTruthIsAccepted checks optimal plans and infeasible answers of random
// problems, cost and parts being computed elsewhere.
func TestTruthIsAccepted(t *testing.T) {
	plans, infeasible := 0, 0
	for seed := range uint64(1000) {
		p := reference.Random(rand.New(rand.NewPCG(seed, 9)), reference.Size{Locks: 40})
		var a *problem.Answer
		if best, ok := reference.Optimum(p); ok {
			a = answerOf(p, best)
			plans++
		} else {
			a = &problem.Answer{Status: problem.Infeasible, Clashes: clash.Find(p)}
			infeasible++
		}
		if r := check(t, p, a); !r.OK() {
			t.Fatalf("seed %d: %v", seed, r.Violations)
		}
	}
	if plans < 500 || infeasible < 100 {
		t.Errorf("%d plans, %d infeasible", plans, infeasible)
	}
}

// TestEveryRandomChangeIsSeen burns or rests one unit and year more, or moves a
// season. By chance a change may be a plan of the same cost; then nothing must
// be reported, which the reference tells.
func TestEveryRandomChangeIsSeen(t *testing.T) {
	seen, same := 0, 0
	for seed := range uint64(1500) {
		r := rand.New(rand.NewPCG(seed, 10))
		p := reference.Random(r, reference.Size{Locks: 40})
		best, ok := reference.Optimum(p)
		if !ok {
			continue
		}
		a := answerOf(p, best)
		a.Burns = slices.Clone(a.Burns)
		change := problem.Burn{Unit: r.IntN(len(p.Units)), Year: p.FirstYear + r.IntN(p.T()), Season: r.IntN(len(p.Seasons))}
		k := slices.IndexFunc(a.Burns, func(b problem.Burn) bool { return b.Unit == change.Unit && b.Year == change.Year })
		switch {
		case k < 0:
			a.Burns = append(a.Burns, change)
			slices.SortFunc(a.Burns, func(x, y problem.Burn) int { return (x.Year-y.Year)*1000 + x.Unit - y.Unit })
		case a.Burns[k].Season == change.Season:
			a.Burns = slices.Delete(a.Burns, k, k+1)
		default:
			a.Burns[k] = change
		}
		good := stands(p, a.Burns) && abs(reference.Cost(p, a.Burns).Total()-best.Cost) <= Tolerance*max(1, best.Cost)
		if good {
			same++
			a.Parts = reference.Cost(p, a.Burns)
		} else {
			seen++
		}
		if rep := check(t, p, a); rep.OK() != good {
			t.Fatalf("seed %d: good %v, reported %v", seed, good, rep.Violations)
		}
	}
	t.Logf("%d changes seen, %d made no difference", seen, same)
	if seen < 800 || same < 10 {
		t.Error("the draw is too one-sided")
	}
}

func abs(x float64) float64 { return max(x, -x) }

// stands asks the reference whether a plan is feasible: it locks all of it.
func stands(p *problem.Problem, burns []problem.Burn) bool {
	q := *p
	q.Locks = slices.Clone(p.Locks)
	for i := range p.Units {
		for t := range p.T() {
			l := problem.Lock{Unit: i, Year: p.FirstYear + t, Season: -1}
			for _, b := range burns {
				if b.Unit == i && b.Year == l.Year {
					l.Burn, l.Season = true, b.Season
				}
			}
			q.Locks = append(q.Locks, l)
		}
	}
	_, ok := reference.Optimum(&q)
	return ok
}

const pastures = `{"format": "rotation-problem/1", "first_year": 2027, "years": 3, "lookahead": 1, "seasons": ["dormant", "late"],
"units": [
 {"id": "a", "acres": 10, "min_interval": 2, "max_interval": 3, "age": 2, "seasons": {"dormant": 0, "late": 1}, "cost": 100, "refuge": "north", "mix": "m"},
 {"id": "b", "acres": 20, "min_interval": 1, "max_interval": 2, "age": 1, "seasons": {"dormant": 0}, "cost": 200, "refuge": "north", "mix": "m"},
 {"id": "c", "acres": 30, "min_interval": 1, "max_interval": 2, "age": 0, "seasons": {"late": 0.5}, "burn_days": 2, "cost": 300},
 {"id": "d", "acres": 40, "min_interval": 2, "max_interval": 4, "age": 3, "seasons": {"dormant": 0, "late": 0}, "cost": 50, "mix": "m"}],
"caps": {"acres": 60, "burns": 2, "cost": 400, "burn_days": {"dormant": 1, "late": 2}},
"apart": [["a", "b"]], "neighbours": [["c", "d"]], "refuges": {"north": {"max_share": 0.7}},
"mixes": {"m": [{"class": "x", "from": 0, "to": 1, "min_share": 0.2}, {"class": "y", "from": 2, "max_share": 0.5}]},
"evenness": {"min_acres": 20, "max_acres": 40}, "locks": [{"unit": "a", "year": 2028, "burn": true, "season": "late"}, {"unit": "d", "year": 2029, "burn": false}],
"previous": [{"unit": "b", "year": 2027}], "keep_years": 1}`

func readText(t testing.TB, text string) *problem.Problem {
	t.Helper()
	p, err := problem.Read(strings.NewReader(text), "p")
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestViolations breaks one thing at a time.
func TestViolations(t *testing.T) {
	p := readText(t, pastures)
	best, ok := reference.Optimum(p)
	if !ok {
		t.Fatal("no plan")
	}
	t.Log(best.Burns)
	add := func(burns ...problem.Burn) func(a *problem.Answer) {
		return func(a *problem.Answer) {
			for _, b := range burns {
				a.Burns = slices.DeleteFunc(a.Burns, func(o problem.Burn) bool { return o.Unit == b.Unit && o.Year == b.Year })
				if b.Season >= 0 {
					a.Burns = append(a.Burns, b)
				}
			}
			slices.SortFunc(a.Burns, func(x, y problem.Burn) int { return (x.Year-y.Year)*1000 + x.Unit - y.Unit })
		}
	}
	for _, c := range []struct {
		name, want string
		change     func(a *problem.Answer)
	}{
		{"nothing", "", func(*problem.Answer) {}},
		{"a locked burn taken away", "locks[0]: 2028: a is locked to burn and rests", add(problem.Burn{Unit: 0, Year: 2028, Season: -1})},
		{"a locked burn in another season", "locks[0]: 2028: a is locked to burn in late and burns in dormant", add(problem.Burn{Unit: 0, Year: 2028, Season: 0})},
		{"a locked rest burned", "locks[1]: 2029: d is locked to rest and burns", add(problem.Burn{Unit: 3, Year: 2029, Season: 1})},
		{"too soon", "a: 2029: it burns 1 years after its last burn; its shortest interval is 2", add(problem.Burn{Unit: 0, Year: 2029, Season: 0})},
		{"season not allowed", "b: 2027: it burns in late, which it is not allowed", add(problem.Burn{Unit: 1, Year: 2027, Season: 1})},
		{"apart", "apart: 2028: a and b both burn", add(problem.Burn{Unit: 1, Year: 2028, Season: 0})},
		{"refuge", "refuge north: 2028: the plan takes 30, allowed are 21", add(problem.Burn{Unit: 1, Year: 2028, Season: 0})},
		{"acres", "acres: 2027: the plan takes 70, allowed are 60", add(problem.Burn{Unit: 1, Year: 2027, Season: -1}, problem.Burn{Unit: 2, Year: 2027, Season: 1}, problem.Burn{Unit: 3, Year: 2027, Season: 0})},
		{"burns", "burns: 2027: the plan takes 3, allowed are 2", add(problem.Burn{Unit: 1, Year: 2027, Season: 0}, problem.Burn{Unit: 2, Year: 2027, Season: 1}, problem.Burn{Unit: 3, Year: 2027, Season: 0})},
		{"cost", "cost cap: 2027: the plan takes 500, allowed are 400", add(problem.Burn{Unit: 3, Year: 2027, Season: -1}, problem.Burn{Unit: 1, Year: 2027, Season: 0}, problem.Burn{Unit: 2, Year: 2027, Season: 1})},
		{"burn days", "burn days of late: 2027: the plan takes 3, allowed are 2", add(problem.Burn{Unit: 2, Year: 2027, Season: 1}, problem.Burn{Unit: 3, Year: 2027, Season: 1})},
		{"twice", "burns[1]: 2027: b burns twice", func(a *problem.Answer) {
			a.Burns = []problem.Burn{{Unit: 1, Year: 2027}, {Unit: 1, Year: 2027}}
		}},
		{"order", "is not in order of year", func(a *problem.Answer) { a.Burns[0], a.Burns[1] = a.Burns[1], a.Burns[0] }},
		{"cost claimed", "cost: the answer says", func(a *problem.Answer) { a.Cost -= 0.01 }},
		{"cost no number", "cost: the answer says", func(a *problem.Answer) { a.Cost = nan }},
		{"a part", "parts.mix: the answer says", func(a *problem.Answer) { a.Parts.Mix++; a.Parts.Season-- }},
		{"bound above", "bound: ", func(a *problem.Answer) { a.Bound = a.Cost + 1 }},
		{"bound no number", "bound: ", func(a *problem.Answer) { a.Bound = nan }},
		{"gap", "gap: the answer says 0.5", func(a *problem.Answer) { a.Gap = 0.5 }},
		{"status feasible", "status: it claims to be feasible only", func(a *problem.Answer) { a.Status = problem.Feasible }},
		{"status optimal", "status: it claims to be optimal", func(a *problem.Answer) { a.Bound = a.Cost * 0.9; a.Gap = 0.1 }},
		{"status unknown", `status: "good" is not a status`, func(a *problem.Answer) { a.Status = "good" }},
		{"clashes", "clashes: an answer with a plan names 1 clashes", func(a *problem.Answer) { a.Clashes = make([]problem.Clash, 1) }},
		{"a row", "prices[0]: row refuge 2027", func(a *problem.Answer) {
			a.Prices = []problem.RowPrice{{Row: problem.Row{Kind: problem.RowRefuge, Refuge: 5, Year: 2027}}}
		}},
		{"infeasible", "clashes: an infeasible answer names no clash", func(a *problem.Answer) { a.Status = problem.Infeasible }},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := answerOf(p, best)
			a.Burns = slices.Clone(a.Burns)
			c.change(a)
			r := check(t, p, a)
			var text strings.Builder
			for _, v := range r.Violations {
				text.WriteString(v.String() + "\n")
			}
			if (c.want == "") != r.OK() || !strings.Contains(text.String(), c.want) {
				t.Errorf("got:\n%swant: %s", text.String(), c.want)
			}
		})
	}
}

var nan = func() float64 { zero := 0.0; return zero / zero }()

// TestFalseClashes makes up clashes.
func TestFalseClashes(t *testing.T) {
	p := readText(t, strings.Replace(pastures, `"locks": [`, `"locks": [{"unit": "a", "year": 2028, "burn": true}, {"unit": "a", "year": 2030, "burn": true}, {"unit": "b", "year": 2028, "burn": true}, {"unit": "c", "year": 2028, "burn": true}, {"unit": "a", "year": 2029, "burn": true}, {"unit": "d", "year": 2029, "burn": true}, `, 1))
	lock := func(unit, year, season int) problem.Lock {
		return problem.Lock{Unit: unit, Year: year, Burn: true, Season: season}
	}
	a, b, c := lock(0, 2028, 1), lock(1, 2028, -1), lock(2, 2028, -1)
	again, d, rest := lock(0, 2029, -1), lock(3, 2029, -1), problem.Lock{Unit: 3, Year: 2029, Season: -1}
	for _, one := range []struct {
		name, want string // "" for a true one
		clash      problem.Clash
	}{
		{"apart", "", problem.Clash{Requirement: problem.RequireApart, Locks: []problem.Lock{a, b}}},
		{"apart and more", "it takes two locks", problem.Clash{Requirement: problem.RequireApart, Locks: []problem.Lock{a, b, c}}},
		{"not apart", "a and c need not be apart", problem.Clash{Requirement: problem.RequireApart, Locks: []problem.Lock{a, c}}},
		{"another year", "locks[0] is not a burn of 2027", problem.Clash{Requirement: problem.RequireApart, Year: 2027, Locks: []problem.Lock{a, b}}},
		{"refuge", "", problem.Clash{Requirement: problem.RequireRefuge, Locks: []problem.Lock{a, b}, HasNumbers: true, Needed: 30, Allowed: 21}},
		{"refuge numbers", "it says that 31 are needed", problem.Clash{Requirement: problem.RequireRefuge, Locks: []problem.Lock{a, b}, HasNumbers: true, Needed: 31, Allowed: 21}},
		{"not of the refuge", "c is not in refuge north", problem.Clash{Requirement: problem.RequireRefuge, Locks: []problem.Lock{a, b, c}}},
		{"no refuge", "it names no refuge", problem.Clash{Requirement: problem.RequireRefuge, Refuge: 3, Locks: []problem.Lock{a, b}}},
		{"burns", "", problem.Clash{Requirement: problem.RequireBurns, Locks: []problem.Lock{a, b, c}}},
		{"burns within", "the locks take 2, which is within 2", problem.Clash{Requirement: problem.RequireBurns, Locks: []problem.Lock{a, b}}},
		{"acres within", "the locks take 60, which is within 60", problem.Clash{Requirement: problem.RequireAcres, Locks: []problem.Lock{a, b, c}}},
		{"cost", "", problem.Clash{Requirement: problem.RequireCost, Locks: []problem.Lock{b, c}}},
		{"cost with one too many", "fewer of these locks already pass the limit", problem.Clash{Requirement: problem.RequireCost, Locks: []problem.Lock{a, b, c}}},
		{"days of late", "", problem.Clash{Requirement: problem.RequireBurnDays, Season: 1, Locks: []problem.Lock{a, c}}},
		{"days of dormant", "the locks are not bound to dormant", problem.Clash{Requirement: problem.RequireBurnDays, Season: 0, Locks: []problem.Lock{a, c}}},
		{"days that fit", "the locks fit into the burn days of 2028", problem.Clash{Requirement: problem.RequireBurnDays, Season: -1, Locks: []problem.Lock{a, b}}},
		{"days, one too many", "without locks[1] the others already do not fit", problem.Clash{Requirement: problem.RequireBurnDays, Season: -1, Locks: []problem.Lock{a, b, c}}},
		{"rest", "", problem.Clash{Requirement: problem.RequireRest, Year: 2029, Locks: []problem.Lock{a, again}, HasNumbers: true, Needed: 2, Allowed: 1}},
		{"rest at the start", "a rests 4 years", problem.Clash{Requirement: problem.RequireRest, Locks: []problem.Lock{a}}},
		{"rest that is enough", "a rests 2 years", problem.Clash{Requirement: problem.RequireRest, Locks: []problem.Lock{a, lock(0, 2030, -1)}}},
		{"rest of two", "not burns of one unit", problem.Clash{Requirement: problem.RequireRest, Locks: []problem.Lock{a, b}}},
		{"season", "a may burn in late", problem.Clash{Requirement: problem.RequireSeason, Locks: []problem.Lock{a}}},
		{"lock", "", problem.Clash{Requirement: problem.RequireLock, Year: 2029, Locks: []problem.Lock{d, rest}}},
		{"lock of any season", "the locks on a in 2028 do not contradict each other", problem.Clash{Requirement: problem.RequireLock, Locks: []problem.Lock{a, lock(0, 2028, -1)}}},
		{"lock of two units", "it takes two locks on one unit and year", problem.Clash{Requirement: problem.RequireLock, Locks: []problem.Lock{a, b}}},
		{"no lock", "it names no lock", problem.Clash{Requirement: problem.RequireLock}},
		{"made up", "locks[1] is not a lock of the problem", problem.Clash{Requirement: problem.RequireApart, Locks: []problem.Lock{a, lock(1, 2028, 0)}}},
		{"twice", "locks[1] is named twice", problem.Clash{Requirement: problem.RequireApart, Locks: []problem.Lock{a, a}}},
		{"what", `"rain" is not a requirement`, problem.Clash{Requirement: "rain", Locks: []problem.Lock{a}}},
	} {
		t.Run(one.name, func(t *testing.T) {
			if one.clash.Year == 0 {
				one.clash.Year = 2028
			}
			r := check(t, p, &problem.Answer{Status: problem.Infeasible, Clashes: []problem.Clash{one.clash}})
			if one.want == "" {
				if !r.OK() {
					t.Error(r.Violations)
				}
				return
			}
			if r.OK() || !strings.Contains(r.Violations[0].String(), one.want) {
				t.Errorf("got %v, want %s", r.Violations, one.want)
			}
		})
	}
	r := check(t, p, &problem.Answer{Status: problem.Infeasible, Clashes: clash.Find(p), Burns: make([]problem.Burn, 1)})
	if len(r.Violations) != 1 || r.Violations[0].Where != "burns" {
		t.Error(r.Violations)
	}
}
