package assemble

import (
	"math/rand/v2"
	"slices"
	"testing"

	"emberquilt/habitat/date"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

// TestHoldAgainstBruteForce draws small problems and wishes, and asks the joint-age
// optimum, which shares no code with the search for clashes: with the wishes that are
// held a plan exists wherever one did without them, it burns each of them in time, and
// no wish that was given up could have been held as well.
func TestHoldAgainstBruteForce(t *testing.T) {
	const seed = 16
	r := rand.New(rand.NewPCG(seed, 0))
	held, givenUp := 0, 0
	for round := range 300 {
		p, err := problem.Canonical(reference.Random(r, reference.Size{MinUnits: 2, MaxUnits: 4, MinYears: 2, MaxYears: 4, Locks: 30}))
		if err != nil {
			t.Fatal(err)
		}
		if _, ok := reference.Optimum(p); !ok {
			continue
		}
		var lines []HeldLine
		for range 1 + r.IntN(4) {
			line := HeldLine{Name: "line", Unit: p.Units[r.IntN(len(p.Units))].ID, IsWish: true}
			for year := p.FirstYear - 1 + r.IntN(p.T()); len(line.Slots) < 1+r.IntN(2); year++ {
				slot := Slot{Year: date.ProgramYear(year)}
				if r.IntN(2) == 0 {
					slot.Season = p.Seasons[r.IntN(len(p.Seasons))]
				}
				line.Slots = append(line.Slots, slot)
			}
			lines = append(lines, line)
		}
		locks := len(p.Locks)
		with, said, err := Hold(p, lines)
		if err != nil {
			t.Fatal(err)
		}
		best, ok := reference.Optimum(with)
		if !ok || len(p.Locks) != locks {
			t.Fatalf("seed %d, round %d: wishes leave no plan: %+v", seed, round, said)
		}
		for _, one := range said {
			switch one := one.(type) {
			case LineHeld:
				held++
				if !slices.ContainsFunc(best.Burns, func(b problem.Burn) bool {
					return p.Units[b.Unit].ID == one.Line.Unit && b.Year == int(one.Slot.Year) && (one.Slot.Season == "" || p.Seasons[b.Season] == one.Slot.Season)
				}) {
					t.Fatalf("seed %d, round %d: %+v is not in %+v", seed, round, one, best.Burns)
				}
			case LineGivenUp:
				givenUp++
				if one.Text == "" {
					t.Fatalf("seed %d, round %d: no reason", seed, round)
				}
				for _, lock := range locksOf(with, slices.IndexFunc(p.Units, func(u problem.Unit) bool { return u.ID == one.Line.Unit }), one.Line.Slots) {
					more := *with
					more.Locks = append(slices.Clone(with.Locks), lock)
					if _, ok := reference.Optimum(&more); ok {
						t.Fatalf("seed %d, round %d: %+v was given up, and could be held by %+v", seed, round, one, lock)
					}
				}
			}
		}
	}
	if held < 50 || givenUp < 20 {
		t.Errorf("%d wishes held, %d given up: too few to say anything", held, givenUp)
	}
	t.Logf("%d wishes held, %d given up", held, givenUp)
}

// TestHoldOrder takes locks before wishes, and leaves lines of other years alone.
func TestHoldOrder(t *testing.T) {
	p := &problem.Problem{FirstYear: 2027, Years: 2, Seasons: []string{"winter"}, EvenLo: -problem.NoLimit, EvenHi: problem.NoLimit,
		Units: []problem.Unit{{ID: "a", Acres: 10, MinInterval: 1, MaxInterval: 2, Age: 1, Penalty: []float64{0}, Mix: -1, Refuge: -1}, {ID: "b", Acres: 10, MinInterval: 1, MaxInterval: 2, Age: 1, Penalty: []float64{0}, Mix: -1, Refuge: -1}}}
	for range 2 {
		p.Caps = append(p.Caps, problem.YearCaps{Acres: 10, Burns: problem.NoLimit, Cost: problem.NoLimit, BurnDays: []float64{problem.NoLimit}})
	}
	slots := []Slot{{Year: 2027}}
	made, said, err := Hold(p, []HeldLine{{Name: "wish", Unit: "a", IsWish: true, Slots: slots}, {Name: "lock", Unit: "b", Slots: slots}, {Name: "later", Unit: "a", Slots: []Slot{{Year: 2040}}}, {Name: "gone", Unit: "c", Slots: slots}})
	if err != nil || len(made.Locks) != 1 || made.Locks[0].Unit != 1 || len(said) != 2 {
		t.Fatalf("%v %+v %+v", err, made, said)
	}
	if up, ok := said[1].(LineGivenUp); !ok || up.Line.Name != "wish" {
		t.Errorf("%+v", said)
	}
	// A lock that cannot be is put all the same, and the problem says what clashes.
	made, _, err = Hold(p, []HeldLine{{Name: "one", Unit: "a", Slots: slots}, {Name: "two", Unit: "b", Slots: slots}})
	if err != nil || len(made.Locks) != 2 {
		t.Fatalf("%v %+v", err, made)
	}
	if _, ok := reference.Optimum(made); ok {
		t.Error("two locks that clash have a plan")
	}
}
