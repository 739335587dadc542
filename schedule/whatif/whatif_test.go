package whatif

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

// exact solves by the reference program over joint ages, so that what is
// tested here owes nothing to the solver.
func exact(_ context.Context, p *problem.Problem) (*problem.Answer, error) {
	best, ok := reference.Optimum(p)
	if !ok {
		return &problem.Answer{Status: problem.Infeasible}, nil
	}
	return &problem.Answer{Status: problem.Optimal, Cost: best.Cost, Bound: best.Cost, Burns: best.Burns}, nil
}

// bottleneck has three units that are all due in the first year, of which the
// burn days let only one burn.
func bottleneck() *problem.Problem {
	p := &problem.Problem{
		FirstYear: 2027, Years: 3, Seasons: []string{"dormant"}, Weights: problem.DefaultWeights(),
		EvenLo: -problem.NoLimit, EvenHi: problem.NoLimit,
	}
	for _, id := range []string{"A", "B", "C"} {
		p.Units = append(p.Units, problem.Unit{ID: id, Acres: 10 * float64(len(p.Units)+1), MinInterval: 2, MaxInterval: 3, Age: 2, Penalty: []float64{0}, BurnDays: 1, Mix: -1, Refuge: -1})
	}
	for range p.T() {
		p.Caps = append(p.Caps, problem.YearCaps{Acres: problem.NoLimit, Burns: problem.NoLimit, Cost: problem.NoLimit, BurnDays: []float64{1}})
	}
	return p
}

func solved(t *testing.T, p *problem.Problem) *problem.Answer {
	t.Helper()
	a, err := exact(context.Background(), p)
	if err != nil || a.Status != problem.Optimal {
		t.Fatalf("%v, %v", a, err)
	}
	return a
}

func TestOtherwiseIsNeverCheaper(t *testing.T) {
	asked := 0
	for seed := range uint64(60) {
		p := reference.Random(rand.New(rand.NewPCG(seed, 7)), reference.Size{MinUnits: 2, MaxUnits: 4, MinYears: 2, MaxYears: 5})
		a, _ := exact(context.Background(), p)
		if a.Status == problem.Infeasible {
			continue
		}
		for i := range p.Units {
			_, before := Burns(a, i, p.FirstYear)
			other, err := Otherwise(context.Background(), exact, p, a, i, p.FirstYear)
			if err != nil {
				t.Fatal(err)
			}
			if other.Answer.Status == problem.Infeasible {
				continue
			}
			asked++
			if _, after := Burns(other.Answer, i, p.FirstYear); after == before {
				t.Fatalf("seed %d: the choice was not reversed", seed)
			}
			if !locked(p, i, p.FirstYear) && other.Extra.AtHand < -1e-9 {
				t.Fatalf("seed %d: the other choice of %s saves %v on an optimum", seed, p.Units[i].ID, -other.Extra.AtHand)
			}
		}
	}
	if asked < 50 {
		t.Errorf("only %d questions had an answer", asked)
	}
}

func TestReliefsAreSecondSolves(t *testing.T) {
	p := bottleneck()
	a := solved(t, p)
	for year := range 3 {
		a.Prices = append(a.Prices, problem.RowPrice{Row: problem.Row{Kind: problem.RowBurnDays, Year: 2027 + year}, PerUnit: 5})
	}
	a.Prices = append(a.Prices, problem.RowPrice{Row: problem.Row{Kind: problem.RowEvenLow, Year: 2027}, PerUnit: 99})
	got, err := Reliefs(context.Background(), exact, p, a, 3)
	if err != nil || len(got) != 1 || got[0].Kind != problem.RowBurnDays || got[0].Step != 1 {
		t.Fatalf("%+v, %v", got, err)
	}
	// One day a year: C first, then B, A last: B overdue 1 year, A 2 years: 3 × (20 + 2×10) = 120.
	// Two days a year: B and C first, then A overdue 1 year: 3 × 10 = 30.
	if math.Abs(a.Cost-120) > 1e-9 || math.Abs(got[0].Saves.AtHand-90) > 1e-9 || math.Abs(got[0].Saves.Most-got[0].Saves.Least) > 1e-4 {
		t.Errorf("cost %v, saves %+v; worked by hand: 120 and 90", a.Cost, got[0].Saves)
	}
}

func TestAlternatives(t *testing.T) {
	p := bottleneck()
	for i := range p.Units {
		p.Units[i].Acres = 10 // all alike, so that any order is as good
	}
	a := solved(t, p)
	got, err := Alternatives(context.Background(), exact, p, a, AlternativeSettings{Within: 0.01, Seed: 1})
	if err != nil || len(got) == 0 {
		t.Fatalf("%v, %v", got, err)
	}
	marks := map[string]bool{fingerprint(p, a, 2): true}
	for _, alt := range got {
		if alt.Answer.Cost > a.Cost*1.01+1e-9 || len(alt.Differs) == 0 {
			t.Errorf("cost %v against %v, differs %v", alt.Answer.Cost, a.Cost, alt.Differs)
		}
		if mark := fingerprint(p, alt.Answer, 2); marks[mark] {
			t.Error("the same plan twice")
		} else {
			marks[mark] = true
		}
	}
	again, _ := Alternatives(context.Background(), exact, p, a, AlternativeSettings{Within: 0.01, Seed: 1})
	if !slices.EqualFunc(got, again, func(x, y Alternative) bool { return fingerprint(p, x.Answer, 3) == fingerprint(p, y.Answer, 3) }) {
		t.Error("another answer for the same seed")
	}
	p = bottleneck()
	if none, _ := Alternatives(context.Background(), exact, p, solved(t, p), AlternativeSettings{Within: 1e-9}); len(none) != 0 {
		t.Errorf("plans of the same cost where the optimum is alone: %v", none)
	}
}

func TestFixOverdue(t *testing.T) {
	p := bottleneck()
	a := solved(t, p)
	if years := OverdueYears(p, a, 0); !slices.Equal(years, []int{2027, 2028}) {
		t.Fatalf("A is overdue in %v", years)
	}
	fixes, err := FixOverdue(context.Background(), exact, p, a, 1, 5)
	if err != nil || len(fixes) == 0 {
		t.Fatalf("%v, %v", fixes, err)
	}
	if c := fixes[0].Change; c.Kind != MoreBurnDays || c.Year != 2027 || c.Step != 1 {
		t.Errorf("the smallest fix for B is a burn day in 2027, not %+v", c)
	}
	for _, f := range fixes {
		if q := apply(p, f.Change); len(OverdueYears(q, f.Answer, 1)) > 0 {
			t.Errorf("%s does not fix it", f.Change.Kind)
		}
	}
	p.Locks = []problem.Lock{{Unit: 1, Year: 2027, Burn: true, Season: -1}}
	a = solved(t, p)
	fixes, err = FixOverdue(context.Background(), exact, p, a, 2, 1)
	if err != nil || len(fixes) != 1 || fixes[0].Change.Kind != DropLock {
		t.Errorf("dropping the lock of B lets C burn: %+v, %v", fixes, err)
	}
	if none, err := FixOverdue(context.Background(), exact, p, a, 1, 1); none != nil || err != nil {
		t.Errorf("B is not overdue: %v, %v", none, err)
	}
}

func TestFixClashes(t *testing.T) {
	p := bottleneck()
	p.Locks = []problem.Lock{{Unit: 0, Year: 2027, Burn: true, Season: 0}, {Unit: 1, Year: 2027, Burn: true, Season: 0}}
	clash := problem.Clash{Requirement: problem.RequireBurnDays, Year: 2027, Season: 0, Refuge: -1, Locks: p.Locks, Needed: 2, Allowed: 1, HasNumbers: true}
	a := &problem.Answer{Status: problem.Infeasible, Clashes: []problem.Clash{clash}}
	fixes, err := FixClashes(context.Background(), exact, p, a, 9)
	if err != nil || len(fixes) != 3 {
		t.Fatalf("two locks to drop and a day to add: %+v, %v", fixes, err)
	}
	if fixes[2].Change.Kind != MoreBurnDays || fixes[2].Change.Step != 1 {
		t.Errorf("%+v", fixes[2].Change)
	}
}

func TestErrorsOfTheSolverComeBack(t *testing.T) {
	p := bottleneck()
	a := solved(t, p)
	broken := errors.New("out of paper")
	fail := func(context.Context, *problem.Problem) (*problem.Answer, error) { return nil, broken }
	if _, err := Otherwise(context.Background(), fail, p, a, 0, 2027); !errors.Is(err, broken) {
		t.Errorf("got %v", err)
	}
}

func TestCloneSharesNothing(t *testing.T) {
	p := reference.Random(rand.New(rand.NewPCG(3, 7)), reference.Size{MinUnits: 4, MaxUnits: 5, MinYears: 2, MaxYears: 4})
	p.SHA256 = "x"
	q := p.Clone()
	if q.SHA256 != "" {
		t.Error("a clone carries the original's checksum")
	}
	before := p.Caps[0].BurnDays[0]
	q.Caps[0].BurnDays[0] = -7
	q.Units[0].Penalty[0] = -7
	q.Units[0].Acres = -7
	if p.Caps[0].BurnDays[0] != before || p.Units[0].Penalty[0] == -7 || p.Units[0].Acres == -7 {
		t.Error("a change of the clone reached the original")
	}
}
