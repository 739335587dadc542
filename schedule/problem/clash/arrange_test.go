package clash_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/problem/clash"
	"emberquilt/schedule/reference"
)

// stands reports by brute force whether locks can stand together.
func stands(p *problem.Problem, locks []problem.Lock) bool {
	q := *p
	q.Locks = locks
	_, ok := reference.Optimum(&q)
	return ok
}

// smallest gives the size of the smallest set of locks that cannot stand.
func smallest(p *problem.Problem) int {
	best := len(p.Locks) + 1
	for set := 1; set < 1<<len(p.Locks); set++ {
		var locks []problem.Lock
		for k, l := range p.Locks {
			if set>>k&1 == 1 {
				locks = append(locks, l)
			}
		}
		if len(locks) < best && !stands(p, locks) {
			best = len(locks)
		}
	}
	return best
}

// TestAgainstBruteForce draws problems with many locks. The verdict, the size
// of the smallest clash, each clash by itself, and what remains without all
// locks that are named are held against the joint-age optimum.
func TestAgainstBruteForce(t *testing.T) {
	clashing, standing := 0, 0
	kinds := map[problem.Requirement]int{}
	for seed := range uint64(3000) {
		r := rand.New(rand.NewPCG(seed, 3))
		p := crowded(r)
		burns, clashes := clash.Arrange(p)
		if len(clashes) == 0 {
			standing++
			if !stands(p, p.Locks) {
				t.Fatalf("seed %d: locks that cannot stand are called good", seed)
			}
			checkArranged(t, p, burns)
			continue
		}
		clashing++
		if stands(p, p.Locks) {
			t.Fatalf("seed %d: locks that stand are called clashing: %s", seed, clashes[0].Text)
		}
		named := map[problem.UnitYear]bool{}
		least := len(p.Locks)
		for _, c := range clashes {
			kinds[c.Requirement]++
			if c.Requirement == problem.RequireBurnDays && c.Season < 0 && len(c.Locks) > 2 {
				kinds["packing of more than two"]++
			}
			least = min(least, len(c.Locks))
			if stands(p, c.Locks) {
				t.Fatalf("seed %d: the locks of this clash stand together: %s", seed, c.Text)
			}
			for _, l := range c.Locks {
				named[problem.UnitYear{Unit: l.Unit, Year: l.Year}] = true
			}
		}
		if want := smallest(p); least != want {
			t.Fatalf("seed %d: the smallest clash has %d locks, brute force finds %d", seed, least, want)
		}
		// Two locks on one unit and year say the same twice, and one is named.
		rest := slices.DeleteFunc(slices.Clone(p.Locks), func(l problem.Lock) bool { return named[problem.UnitYear{Unit: l.Unit, Year: l.Year}] })
		if !stands(p, rest) {
			t.Fatalf("seed %d: without all locks that are named there is still a clash", seed)
		}
	}
	t.Logf("%d clash, %d stand; %v", clashing, standing, kinds)
	if clashing < 300 || standing < 300 || len(kinds) < 10 {
		t.Errorf("the draw is too one-sided: %d clash, %d stand, kinds %v", clashing, standing, kinds)
	}
}

// crowded draws a problem of few years with many locks in them.
func crowded(r *rand.Rand) *problem.Problem {
	p := reference.Random(r, reference.Size{MinUnits: 3, MaxUnits: 6, MinYears: 1, MaxYears: 2})
	seen := map[problem.Lock]bool{}
	for range 1 + r.IntN(7) {
		l := problem.Lock{Unit: r.IntN(len(p.Units)), Year: p.FirstYear + r.IntN(p.T()), Burn: r.IntN(10) > 0, Season: -1}
		if l.Burn && r.IntN(4) == 0 {
			l.Season = r.IntN(len(p.Seasons))
		}
		if !seen[l] {
			p.Locks = append(p.Locks, l)
		}
		seen[l] = true
	}
	if r.IntN(2) == 0 { // make room, so that burn days decide
		for t := range p.Caps {
			p.Caps[t].Acres, p.Caps[t].Cost, p.Caps[t].Burns = problem.NoLimit, problem.NoLimit, problem.NoLimit
		}
		p.Apart = nil
	}
	return p
}

// checkArranged locks the seasons that were given and asks brute force.
func checkArranged(t *testing.T, p *problem.Problem, burns []problem.Burn) {
	t.Helper()
	locks := slices.Clone(p.Locks)
	for _, b := range burns {
		locks = append(locks, problem.Lock{Unit: b.Unit, Year: b.Year, Burn: true, Season: b.Season})
	}
	if !stands(p, locks) {
		t.Fatalf("the seasons that were given do not stand: %v", burns)
	}
	if !slices.IsSortedFunc(burns, func(a, b problem.Burn) int { return (a.Year-b.Year)*1000 + a.Unit - b.Unit }) {
		t.Errorf("not in order: %v", burns)
	}
}

func land(units int, acres float64, caps problem.YearCaps) *problem.Problem {
	p := &problem.Problem{FirstYear: 2027, Years: 2, Seasons: []string{"dormant", "late"}, EvenLo: -problem.NoLimit, EvenHi: problem.NoLimit,
		Weights: problem.DefaultWeights(), Caps: []problem.YearCaps{caps, caps}, Refuges: []problem.Refuge{{Name: "north", MaxShare: 0.5}}}
	for i := range units {
		p.Units = append(p.Units, problem.Unit{ID: "n" + string(rune('1'+i%9)) + strings.Repeat("'", i/9), Acres: acres, MinInterval: 1, MaxInterval: 3, Age: 3,
			Penalty: []float64{0, 1}, BurnDays: 1, Mix: -1, Refuge: -1})
	}
	return p
}

func free() problem.YearCaps {
	return problem.YearCaps{Acres: problem.NoLimit, Burns: problem.NoLimit, Cost: problem.NoLimit, BurnDays: []float64{problem.NoLimit, problem.NoLimit}}
}

func lock(units ...int) []problem.Lock {
	var locks []problem.Lock
	for _, i := range units {
		locks = append(locks, problem.Lock{Unit: i, Year: 2028, Burn: true, Season: -1})
	}
	return locks
}

func TestTexts(t *testing.T) {
	for _, c := range []struct {
		name string
		p    func() *problem.Problem
		want []string
	}{
		{"the example of the format", func() *problem.Problem {
			p := land(4, 35.75, free())
			p.Units[1].Acres, p.Units[2].Acres = 24.25, 24.25
			for i := range p.Units {
				p.Units[i].Refuge = 0
			}
			p.Locks = lock(0, 3)
			return p
		}, []string{"2028: the locked burns of n1 and n4 take 71.5 acres of refuge north, which allows 60.0"}},
		{"one unit alone", func() *problem.Problem {
			c := free()
			c.Acres = 30
			p := land(2, 40, c)
			p.Locks = lock(0, 1)
			return p
		}, []string{"2028: the locked burn of n1 takes 40.0 acres; the year allows 30.0", "2028: the locked burn of n2 takes 40.0 acres; the year allows 30.0"}},
		{"packing", func() *problem.Problem {
			c := free()
			c.BurnDays = []float64{1.5, 1.5}
			p := land(3, 1, c)
			p.Locks = lock(0, 1, 2)
			return p
		}, []string{"2028: the locked burns of n1, n2 and n3 take 3.0 burn days; the seasons that they may use allow 3.0, but in no arrangement does each burn fit into one season"}},
		{"one season", func() *problem.Problem {
			c := free()
			c.BurnDays[0] = 1
			p := land(3, 1, c)
			p.Locks = lock(0, 1, 2)
			p.Locks[0].Season, p.Locks[2].Season = 0, 0
			return p
		}, []string{"2028: the locked burns of n1 and n3 take 2.0 burn days of dormant, which allows 1.0"}},
		{"rest", func() *problem.Problem {
			p := land(1, 1, free())
			p.Units[0].MinInterval = 7
			p.Locks = append(lock(0), problem.Lock{Unit: 0, Year: 2027, Burn: true, Season: -1})
			return p
		}, []string{"2027: n1 is locked to burn 4 years after its last burn; its shortest interval is 7 years",
			"2028: n1 is locked to burn 5 years after its last burn; its shortest interval is 7 years",
			"2028: n1 is locked to burn 1 year after its locked burn of 2027; its shortest interval is 7 years"}},
		{"contradiction", func() *problem.Problem {
			p := land(1, 1, free())
			p.Locks = append(lock(0), problem.Lock{Unit: 0, Year: 2028, Season: -1})
			return p
		}, []string{"2028: n1 is locked to burn and locked to rest"}},
		{"season", func() *problem.Problem {
			p := land(1, 1, free())
			p.Units[0].Penalty[1] = -1
			p.Locks = lock(0)
			p.Locks[0].Season = 1
			return p
		}, []string{"2028: n1 is locked to burn in late, which it is not allowed"}},
		{"closed", func() *problem.Problem {
			p := land(3, 1, free())
			p.Units[2].Penalty[1] = -1
			p.Closed = []problem.Closed{{Unit: 0, Year: 2028, Season: 1}, {Unit: 1, Year: 2028, Season: -1}, {Unit: 2, Year: 2028, Season: 0}, {Unit: 2, Year: 2027, Season: -1}}
			p.Locks = lock(0, 1, 2)
			p.Locks[0].Season = 1
			return p
		}, []string{"2028: n1 is locked to burn in late, which is closed to it in that year",
			"2028: n2 is locked to burn and its seasons are closed in that year",
			"2028: n3 is locked to burn and its seasons are closed in that year"}},
		{"apart and count", func() *problem.Problem {
			c := free()
			c.Burns = 1
			p := land(2, 1, c)
			p.Apart = [][2]int{{0, 1}}
			p.Locks = lock(0, 1)
			return p
		}, []string{"2028: the locked burns of n1 and n2 are 2; the year allows 1", "2028: n1 and n2 are locked to burn in one year and must be apart"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			for _, one := range clash.Find(c.p()) {
				got = append(got, one.Text)
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("got  %q\nwant %q", got, c.want)
			}
		})
	}
}

// TestHundredsOfLocksAreFast packs years that are as full as can be.
func TestHundredsOfLocksAreFast(t *testing.T) {
	for _, c := range []struct {
		name string
		caps []float64
		fits bool
		// hundredths draws days of two decimals, and takes caps as what is left
		// over or missing.
		hundredths bool
	}{
		{"just fits", []float64{200, 200}, true, false},
		{"a day too few", []float64{200, 199}, false, false},
		{"granular", []float64{200.5, 198.5 + 0.9}, false, false},
		{"hundredths that just fit", []float64{0, 0}, true, true},
		{"hundredths, one too few", []float64{0, -0.01}, false, true},
		{"hundredths, off the grid", []float64{0.005, -0.005}, false, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(7, 7))
			caps := free()
			caps.BurnDays = c.caps
			p := land(400, 1, caps)
			if c.hundredths {
				p = land(60, 1, caps)
			}
			for i := range p.Units {
				p.Units[i].BurnDays = []float64{0.5, 0.75, 1.25, 1.5}[i%4]
				p.Locks = append(p.Locks, problem.Lock{Unit: i, Year: 2027, Burn: true, Season: -1})
			}
			if c.hundredths {
				total := 0.0
				for i := range p.Units {
					p.Units[i].BurnDays = float64(50+r.IntN(100)) / 100
					total += p.Units[i].BurnDays
				}
				half := math.Floor(total*50) / 100
				p.Caps[0].BurnDays = []float64{half + c.caps[0], total - half + c.caps[1]}
			}
			r.Shuffle(len(p.Locks), func(i, j int) { p.Locks[i], p.Locks[j] = p.Locks[j], p.Locks[i] })
			start := time.Now()
			clashes := clash.Find(p)
			if took := time.Since(start); took > 5*time.Second {
				t.Errorf("took %v", took)
			} else {
				t.Log(took, len(clashes))
			}
			if (len(clashes) == 0) != c.fits {
				t.Errorf("%d clashes", len(clashes))
			}
		})
	}
}
