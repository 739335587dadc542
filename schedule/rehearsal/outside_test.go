package rehearsal_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/rehearsal"
)

// python runs a script with a value as JSON on its input, and skips where there
// is no python3 with the modules.
func python(t *testing.T, script string, in, out any, modules ...string) {
	t.Helper()
	program := ""
	for _, name := range []string{"python3", "/usr/bin/python3"} { // the system's own has Debian's modules
		if exec.Command(name, "-c", "import "+strings.Join(append(modules, "json"), ", ")).Run() == nil {
			program = name
			break
		}
	}
	if program == "" {
		t.Skip("python3 is not installed, or not with: ", modules)
	}
	body, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(program, "-c", script)
	command.Stdin = bytes.NewReader(body)
	var stderr bytes.Buffer
	command.Stderr = &stderr
	answer, err := command.Output()
	if err != nil {
		t.Fatalf("python3: %v\n%s", err, stderr.String())
	}
	if err := json.Unmarshal(answer, out); err != nil {
		t.Fatalf("python3 wrote %q: %v", answer, err)
	}
}

// TestStatisticsAgainstScipy holds means, intervals and percentiles against
// numpy (mean, percentile) and scipy (stats.t.interval).
func TestStatisticsAgainstScipy(t *testing.T) {
	const script = `
import json, sys, numpy, scipy.stats
out = []
for x in json.load(sys.stdin):
    x = numpy.array(x)
    lo, hi = scipy.stats.t.interval(0.95, len(x) - 1, loc=x.mean(), scale=scipy.stats.sem(x))
    out.append([x.mean(), lo, hi] + [float(numpy.percentile(x, q)) for q in (10, 50, 90)])
json.dump(out, sys.stdout)`
	r := rand.New(rand.NewPCG(1, 2))
	var samples [][]float64
	for _, n := range []int{2, 3, 4, 5, 10, 11, 37, 200, 1000, 1001} {
		x := make([]float64, n)
		for i := range x {
			x[i] = math.Exp(2*r.NormFloat64()) + float64(r.IntN(3))
		}
		samples = append(samples, x)
	}
	var theirs [][]float64
	python(t, script, samples, &theirs, "numpy", "scipy")
	for k, x := range samples {
		s := rehearsal.Summarize(x)
		for at, ours := range []float64{s.Mean, s.Low, s.High, s.P10, s.P50, s.P90} {
			if math.Abs(ours-theirs[k][at]) > 1e-9*max(1, math.Abs(theirs[k][at])) {
				t.Errorf("%d figures, column %d: %v, theirs %v", len(x), at, ours, theirs[k][at])
			}
		}
	}
}

// TestPlayedASecondTime has testdata/play.py play three properties from their
// description and compares every future of every rule: what burned when, and the
// shortfall.
func TestPlayedASecondTime(t *testing.T) {
	script, err := os.ReadFile("testdata/play.py")
	if err != nil {
		t.Fatal(err)
	}
	rules := append(slices.Clone(allRules), rehearsal.Rule{Name: "all of it", SecondChance: true, Ahead: true, Crews: 2, ExtraDays: 1})
	for k, p := range threeProblems() {
		t.Run(fmt.Sprint("problem ", k+1), func(t *testing.T) {
			r := rand.New(rand.NewPCG(uint64(k), 77))
			var days [6][3][2][]bool
			for a := range days {
				for b := range days[a] {
					for c := range days[a][b] {
						days[a][b][c] = make([]bool, 12)
						share := []float64{0.1, 0.25, 0.5}[r.IntN(3)]
						for d := range days[a][b][c] {
							days[a][b][c][d] = r.Float64() < share
						}
					}
				}
			}
			in := stage(p, 4, 2, 1, 12, 6, func(a, b, c, d int) bool { return days[a][b][c][d] })
			in.KeepYears = k
			if k == 2 {
				in.DayHolds = 1.5
			}
			played := map[string]map[int]*rehearsal.Played{}
			set := rehearsal.Settings{Futures: 8, Seed: uint64(k), Solve: tryAll, NoForesight: true, Threads: 1,
				Trace: func(p *rehearsal.Played) {
					if played[p.Rule] == nil {
						played[p.Rule] = map[int]*rehearsal.Played{}
					}
					played[p.Rule][p.Number] = p
				}}
			rehearse(t, in, rules, set)
			var theirs [][]struct {
				Shortfall float64
				Burned    [][]*int
			}
			var futures [][]int
			for f := range set.Futures {
				futures = append(futures, played["plan"][f].Drawn)
			}
			python(t, string(script), map[string]any{"property": describe(in), "rules": describeRules(rules), "futures": futures}, &theirs)
			burns, missed := 0, 0
			for a, rule := range rules {
				for f := range set.Futures {
					ours, other := played[rule.Name][f], theirs[a][f]
					if math.Abs(ours.Future.Shortfall-other.Shortfall) > 1e-6 {
						t.Errorf("%s, future %d: shortfall %v, theirs %v", rule.Name, f, ours.Future.Shortfall, other.Shortfall)
					}
					for k, y := range ours.Years {
						season := make([]int, len(p.Units))
						for i := range season {
							season[i] = -1
						}
						for _, b := range y.Burned {
							season[b.Unit] = b.Season
							burns++
						}
						for i, s := range other.Burned[k] {
							if (s == nil) != (season[i] < 0) || s != nil && *s != season[i] {
								t.Errorf("%s, future %d, year %d, unit %d: we burned in %d", rule.Name, f, k, i, season[i])
							}
						}
					}
					missed += ours.Future.Planned - ours.Future.Done
				}
			}
			if burns < 50 || missed < 10 {
				t.Errorf("%d burns and %d missed: the problem asks for too little", burns, missed)
			}
		})
	}
}

// threeProblems are small, invented, and use every part of the cost and every
// requirement once at least.
func threeProblems() []*problem.Problem {
	unit := func(id string, acres float64, lo, hi, age int, penalty ...float64) problem.Unit {
		return problem.Unit{ID: id, Acres: acres, MinInterval: lo, MaxInterval: hi, Age: age, Penalty: penalty, BurnDays: 1, Mix: -1, Refuge: -1}
	}
	none := problem.NoLimit
	make := func(seasons []string, caps problem.YearCaps, units ...problem.Unit) *problem.Problem {
		p := &problem.Problem{FirstYear: 2027, Years: 6, Seasons: seasons, Units: units, EvenLo: -none, EvenHi: none, Weights: problem.DefaultWeights()}
		for range p.Years {
			c := caps
			c.BurnDays = slices.Clone(caps.BurnDays)
			p.Caps = append(p.Caps, c)
		}
		return p
	}
	one := make([]string{"dormant"}, problem.YearCaps{Acres: 60, Burns: none, Cost: none, BurnDays: []float64{2}},
		unit("a", 31.3, 1, 2, 1, 0), unit("b", 22.1, 1, 2, 2, 0), unit("c", 17.9, 2, 3, 2, 0))
	one.EvenLo, one.EvenHi = 20, 45
	two := make([]string{"dormant", "growing"}, problem.YearCaps{Acres: none, Burns: 2, Cost: none, BurnDays: []float64{1, none}},
		unit("a", 12.7, 1, 2, 2, 0, 1), unit("b", 33.1, 2, 3, 3, 0.5, 0), unit("c", 21.3, 1, 2, 1, -1, 0))
	two.OverdueGrowth, two.OverdueGrowthYears = 0.5, 2
	two.Closed = []problem.Closed{{Unit: 0, Year: 2028, Season: 0}, {Unit: 2, Year: 2029, Season: 1}}
	two.Neighbors = [][2]int{{0, 1}}
	two.Apart = [][2]int{{1, 2}}
	two.Mixes = []problem.Mix{{Name: "m", Classes: []problem.Class{{Name: "new", From: 0, To: 0, MinShare: 0.3, MaxShare: 0.5}, {Name: "old", From: 1, To: problem.OpenEnded, MinShare: 0, MaxShare: 0.6}}}}
	for i := range two.Units {
		two.Units[i].Mix = 0
	}
	three := make([]string{"dormant", "growing"}, problem.YearCaps{Acres: none, Burns: none, Cost: none, BurnDays: []float64{4, 2}},
		unit("a", 41.9, 1, 2, 3, 0, 0), unit("b", 28.3, 1, 3, 2, 0, 1), unit("c", 9.7, 1, 1, 1, 0, 0.5))
	three.Units[0].BurnDays, three.Units[1].BurnDays = 2, 1.5
	three.Refuges = []problem.Refuge{{Name: "r", MaxShare: 0.65}}
	three.Units[0].Refuge, three.Units[1].Refuge = 0, 0
	return []*problem.Problem{one, two, three}
}

// limit gives a limit as JSON has it: null for none.
func limit(x float64) any {
	if math.IsInf(x, 0) {
		return nil
	}
	return x
}

// describe writes an input for the script.
func describe(in *rehearsal.Input) map[string]any {
	p := in.Problem
	holds := in.DayHolds
	if holds == 0 {
		holds = 1
	}
	w := p.Weights
	out := map[string]any{"seasons": p.Seasons, "plan_years": in.PlanYears, "lookahead": in.Lookahead, "keep_years": in.KeepYears, "day_holds": holds,
		"even_lo": limit(p.EvenLo), "even_hi": limit(p.EvenHi),
		"weights": map[string]float64{"overdue": w.Overdue, "mix": w.Mix, "season": w.Season, "evenness": w.Evenness, "neighbors": w.Neighbors, "keep": w.Keep}}
	var units, caps []any
	for _, u := range p.Units {
		units = append(units, map[string]any{"acres": u.Acres, "min": u.MinInterval, "max": u.MaxInterval, "age": u.Age, "penalty": u.Penalty, "days": u.BurnDays, "mix": u.Mix, "refuge": u.Refuge})
	}
	for _, c := range p.Caps {
		var days []any
		for _, d := range c.BurnDays {
			days = append(days, limit(d))
		}
		caps = append(caps, map[string]any{"acres": limit(c.Acres), "burns": limit(c.Burns), "days": days})
	}
	refuges, mixes := []float64{}, []any{}
	for _, r := range p.Refuges {
		refuges = append(refuges, r.MaxShare)
	}
	for _, m := range p.Mixes {
		var classes []any
		for _, c := range m.Classes {
			to := any(c.To)
			if c.To == problem.OpenEnded {
				to = nil
			}
			classes = append(classes, map[string]any{"from": c.From, "to": to, "min": c.MinShare, "max": c.MaxShare})
		}
		mixes = append(mixes, classes)
	}
	pairs := func(x [][2]int) [][2]int { return append([][2]int{}, x...) }
	out["units"], out["caps"], out["refuges"], out["mixes"] = units, caps, refuges, mixes
	out["apart"], out["neighbors"] = pairs(p.Apart), pairs(p.Neighbors)
	list := func(set rehearsal.DaySet, season int) []string {
		days := []string{}
		for d := range 40 {
			if day := seasonFirsts(2001)[season].AddDays(d); has(set, day) {
				days = append(days, day.String()[5:])
			}
		}
		return days
	}
	var usable, seasonDays, candidates []any
	for k := range in.Years {
		var bySeason, all []any
		for s := range p.Seasons {
			var byUnit []any
			for i := range p.Units {
				byUnit = append(byUnit, list(in.Calendar.Usable[k][s][i], s))
			}
			bySeason, all = append(bySeason, byUnit), append(all, list(in.Calendar.Usable[k][s][0], s))
		}
		usable, seasonDays = append(usable, bySeason), append(seasonDays, all)
	}
	for _, record := range in.Record.Candidates {
		var byUnit []any
		for i := range record {
			var bySeason []any
			for s := range record[i] {
				bySeason = append(bySeason, list(record[i][s], s))
			}
			byUnit = append(byUnit, bySeason)
		}
		candidates = append(candidates, byUnit)
	}
	closed := [][3]int{}
	for _, c := range p.Closed {
		closed = append(closed, [3]int{c.Unit, c.Year - p.FirstYear, c.Season})
	}
	out["closed"], out["growth"], out["growth_years"] = closed, p.OverdueGrowth, p.OverdueGrowthYears
	out["usable"], out["season_days"], out["candidates"] = usable, seasonDays, candidates
	return out
}

func describeRules(rules []rehearsal.Rule) (out []any) {
	for _, r := range rules {
		out = append(out, map[string]any{"crews": max(1, r.Crews), "extra": r.ExtraDays, "second_chance": r.SecondChance, "ahead": r.Ahead, "most_overdue_first": r.MostOverdueFirst})
	}
	return out
}

// tryAll finds the plan that testdata/play.py finds: the cheapest of all, and
// among those within 1e-9 of it the first in the order of years, then units,
// where resting comes before the seasons.
func tryAll(_ context.Context, p *problem.Problem, _ *rehearsal.Solved) (*rehearsal.Solved, error) {
	s := exhaustive{p: p, best: math.Inf(1), season: make([]int, p.T()*len(p.Units))}
	ages := make([]int, len(p.Units))
	for i := range ages {
		ages[i] = p.Units[i].Age
	}
	s.year(0, ages, 0)
	return &rehearsal.Solved{Answer: &problem.Answer{Status: problem.Optimal, Cost: s.best, Bound: s.best, Burns: s.burns}}, nil
}

type exhaustive struct {
	p      *problem.Problem
	best   float64
	burns  []problem.Burn
	season []int // −1 for rest
}

func (s *exhaustive) year(t int, ages []int, cost float64) {
	if cost >= s.best-1e-9 {
		return
	}
	if t == s.p.T() {
		s.best, s.burns = cost, nil
		for at, k := range s.season {
			if k >= 0 {
				s.burns = append(s.burns, problem.Burn{Unit: at % len(ages), Year: s.p.FirstYear + at/len(ages), Season: k})
			}
		}
		return
	}
	s.unit(t, 0, ages, cost)
}

func (s *exhaustive) unit(t, i int, ages []int, cost float64) {
	n := len(ages)
	if i == n {
		if !s.allowed(t) {
			return
		}
		after := make([]int, n)
		for j := range after {
			if after[j] = ages[j] + 1; s.season[t*n+j] >= 0 {
				after[j] = 0
			}
		}
		s.year(t+1, after, cost+s.cost(t, after))
		return
	}
	s.season[t*n+i] = -1
	s.unit(t, i+1, ages, cost)
	if ages[i]+1 < s.p.Units[i].MinInterval {
		return
	}
	for k := range s.p.Seasons {
		if s.p.Allowed()(i, s.p.FirstYear+t, k) {
			s.season[t*n+i] = k
			s.unit(t, i+1, ages, cost)
		}
	}
	s.season[t*n+i] = -1
}

func (s *exhaustive) allowed(t int) bool {
	n := len(s.p.Units)
	season := s.season[t*n : (t+1)*n]
	acres, burns := 0.0, 0.0
	days, refuge := make([]float64, len(s.p.Seasons)), make([]float64, len(s.p.Refuges))
	for i, k := range season {
		if k < 0 {
			continue
		}
		u := &s.p.Units[i]
		acres, burns = acres+u.Acres, burns+1
		days[k] += u.BurnDays
		if u.Refuge >= 0 {
			refuge[u.Refuge] += u.Acres
		}
	}
	ok := problem.Meets(acres, s.p.Caps[t].Acres) && problem.Meets(burns, s.p.Caps[t].Burns)
	for k := range days {
		ok = ok && problem.Meets(days[k], s.p.Caps[t].BurnDays[k])
	}
	for r, all := range s.p.RefugeAcres() {
		ok = ok && problem.Meets(refuge[r], s.p.Refuges[r].MaxShare*all)
	}
	for _, pair := range s.p.Apart {
		ok = ok && (season[pair[0]] < 0 || season[pair[1]] < 0)
	}
	return ok
}

// cost gives what a year costs, keep included.
func (s *exhaustive) cost(t int, ages []int) float64 {
	p, n := s.p, len(ages)
	season, w := s.season[t*n:(t+1)*n], p.Weights
	off := func(x, lo, hi float64) float64 { return max(0, lo-x) + max(0, x-hi) }
	acres, total := 0.0, 0.0
	for i, k := range season {
		u := &p.Units[i]
		if k >= 0 {
			acres += u.Acres
			total += w.Season * u.Penalty[k] * u.Acres
		}
		if late := ages[i] - u.MaxInterval; late >= 0 {
			total += w.Overdue * u.Acres * (1 + p.OverdueGrowth*float64(min(late, p.OverdueGrowthYears)))
		}
		if t < p.KeepYears && (k >= 0) != slices.Contains(p.Previous, problem.UnitYear{Unit: i, Year: p.FirstYear + t}) {
			total += w.Keep * u.Acres
		}
	}
	total += w.Evenness * off(acres, p.EvenLo, p.EvenHi)
	for _, pair := range p.Neighbors {
		if season[pair[0]] >= 0 && season[pair[1]] >= 0 {
			total += w.Neighbors * min(p.Units[pair[0]].Acres, p.Units[pair[1]].Acres)
		}
	}
	mixAcres := p.MixAcres()
	for m := range p.Mixes {
		for _, c := range p.Mixes[m].Classes {
			held := 0.0
			for i := range ages {
				if p.Units[i].Mix == m && ages[i] >= c.From && ages[i] <= c.To {
					held += p.Units[i].Acres
				}
			}
			total += w.Mix * off(held, c.MinShare*mixAcres[m], c.MaxShare*mixAcres[m])
		}
	}
	return total
}
