package problem

import "math"

// Format names of the three files.
const (
	Format            = "rotation-problem/1"
	AnswerFormat      = "rotation-answer/1"
	CertificateFormat = "rotation-certificate/1"
)

// NoLimit stands for a cap, a band end or a class end that is absent.
var NoLimit = math.Inf(1)

// SlackAllowed gives by how much a sum may pass a limit and still meet it:
// acres are decimal fractions and floats are not. Search, bound and checker use
// this one rule.
func SlackAllowed(limit float64) float64 { return math.Max(1, math.Abs(limit)) / 1e6 }

// Meets reports whether a sum meets its limit.
func Meets(sum, limit float64) bool { return sum <= limit+SlackAllowed(limit) }

// Problem is one rotation problem. It has passed Validate.
type Problem struct {
	// FirstYear is the first program year of the plan.
	FirstYear int
	// Years counts the plan years, Lookahead those after them that are solved
	// and priced like the others and not shown as plan.
	Years, Lookahead int
	// Seasons names the seasons of a program year, in their order in it.
	Seasons []string
	Units   []Unit
	// Caps holds T() entries, one a year, each with the caps of that year.
	Caps []YearCaps
	// Apart and Neighbors hold pairs of indices into Units, the lower first.
	// No pair stands in both.
	Apart, Neighbors [][2]int
	// Refuges and Mixes are in the order in which they stand in the file.
	Refuges []Refuge
	Mixes   []Mix
	// EvenLo and EvenHi bound the acres burned a year; −Inf and NoLimit mean
	// that the side is absent.
	EvenLo, EvenHi float64
	// Closed lists, without repeats, the seasons in which units may not burn in a
	// year, whatever Unit.Penalty says of the season.
	Closed []Closed
	// Locks are without repeats, but may contradict each other (a clash).
	Locks []Lock
	// Previous lists the burns of the plan before; KeepYears says for how many
	// of the first years a difference from it costs. 0 means that it does not.
	Previous  []UnitYear
	KeepYears int
	Weights   Weights
	// OverdueGrowth is the share of the overdue weight by which each further
	// overdue year costs more than the one before, for up to OverdueGrowthYears
	// years; 0 means that every overdue year costs the same, and then
	// OverdueGrowthYears is 0 too.
	OverdueGrowth      float64
	OverdueGrowthYears int
	// Warnings says, in plain words, what is odd but allowed, such as a unit
	// that its refuge group can never let burn.
	Warnings []string
	// SHA256 is that of the bytes of the problem file, in hex; a problem made
	// from a property has that of the file that Write would make.
	SHA256 string
}

// Unit is one burn unit as the solver sees it.
type Unit struct {
	ID    string
	Acres float64
	// MinInterval and MaxInterval are the return interval in program years.
	MinInterval, MaxInterval int
	// Age is the stand age at the end of the year before FirstYear.
	Age int
	// Penalty holds, for each of the problem's seasons, the penalty factor of a
	// burn in it; a negative value means that the season is not allowed.
	Penalty []float64
	// BurnDays and Cost are what one burn takes of the crew's days and of the
	// budget in dollars.
	BurnDays, Cost float64
	// Mix and Refuge index Mixes and Refuges; −1 means none.
	Mix, Refuge int
}

// Allows reports whether the unit may burn in a season, in years in which it is
// not closed to it.
func (u *Unit) Allows(season int) bool { return u.Penalty[season] >= 0 }

// YearCaps are the hard limits of one year; NoLimit where there is none.
type YearCaps struct {
	Acres, Burns, Cost float64
	// BurnDays holds one cap a season.
	BurnDays []float64
}

// Refuge is a group of units of which never more than MaxShare of the acres
// burns in one year.
type Refuge struct {
	Name     string
	MaxShare float64
}

// Mix is a group of units whose acres are wanted in shares by age class.
type Mix struct {
	Name    string
	Classes []Class
}

// Class is one age class of a mix: the stand ages From … To, both included.
type Class struct {
	Name     string
	From, To int // To is OpenEnded for the last class
	// MinShare and MaxShare are the wanted share of the mix's acres.
	MinShare, MaxShare float64
}

// OpenEnded is the To of a class without an upper end.
const OpenEnded = math.MaxInt

// Closed says that a unit may not burn in a season of a year.
type Closed struct {
	Unit, Year int // index into Units; program year
	// Season indexes Seasons; −1 means every season.
	Season int
}

// Lock is a burn or a rest that the manager has fixed.
type Lock struct {
	Unit, Year int // index into Units; program year
	Burn       bool
	// Season indexes Seasons; −1 means that any season will do.
	Season int
	// By says whose lock it is. Only words rest on it, and files do not hold it.
	By LockedBy
}

// LockedBy says why a lock stands.
type LockedBy int

// A manager sets locks; a record makes one of what has burned, a question makes
// one of what it asks about, and a plan makes one of what can no longer be otherwise.
const (
	BySomebody LockedBy = iota
	ByRecord
	ByQuestion
	ByPlan
)

// UnitYear names a unit by index and a program year.
type UnitYear struct{ Unit, Year int }

// Weights turn the six parts of the cost into acre-years.
type Weights struct {
	Overdue, Mix, Season, Evenness, Neighbors, Keep float64
}

// DefaultOverdueGrowthYears is used where a problem file has overdue_growth and
// names no years.
const DefaultOverdueGrowthYears = 3

// OverdueFactor gives the weights of overdue that a unit pays an acre for a
// year that it ends at an age: 0 before maxInterval, 1 at it, and more with
// each year after where overdue grows.
func (p *Problem) OverdueFactor(age, maxInterval int) float64 {
	if age < maxInterval {
		return 0
	}
	return 1 + p.OverdueGrowth*float64(min(age-maxInterval, p.OverdueGrowthYears))
}

// OverdueAge gives the age from which a unit's overdue cost grows no more.
func (p *Problem) OverdueAge(maxInterval int) int {
	if p.OverdueGrowth == 0 {
		return maxInterval
	}
	return maxInterval + p.OverdueGrowthYears
}

// Allowed gives a function that reports whether a unit may burn in a season of
// a program year: it is one of the unit's seasons, and not closed to it in that
// year.
func (p *Problem) Allowed() func(unit, year, season int) bool {
	closed := make(map[Closed]bool, len(p.Closed))
	for _, c := range p.Closed {
		closed[c] = true
	}
	return func(unit, year, season int) bool {
		return p.Units[unit].Allows(season) && (len(closed) == 0 ||
			!closed[Closed{unit, year, season}] && !closed[Closed{unit, year, -1}])
	}
}

// DefaultWeights are used where a problem file names none.
func DefaultWeights() Weights {
	return Weights{Overdue: 3, Mix: 2, Season: 0.5, Evenness: 1, Neighbors: 1, Keep: 1}
}

// T counts the years that are solved: plan years and lookahead.
func (p *Problem) T() int { return p.Years + p.Lookahead }

// RefugeAcres gives the acres of all units of each refuge group, in the order
// of Refuges, summed in unit order.
func (p *Problem) RefugeAcres() []float64 {
	acres := make([]float64, len(p.Refuges))
	for i := range p.Units {
		if r := p.Units[i].Refuge; r >= 0 {
			acres[r] += p.Units[i].Acres
		}
	}
	return acres
}

// MixAcres gives the acres of all units of each mix, in the order of Mixes,
// summed in unit order.
func (p *Problem) MixAcres() []float64 {
	acres := make([]float64, len(p.Mixes))
	for i := range p.Units {
		if m := p.Units[i].Mix; m >= 0 {
			acres[m] += p.Units[i].Acres
		}
	}
	return acres
}
