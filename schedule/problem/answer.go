package problem

import "errors"

// ErrInfeasible says that the locked burns cannot stand together, so that no
// plan exists. The answer that comes with it names the clashes.
var ErrInfeasible = errors.New("no plan exists")

// Status says what is known of an answer.
type Status string

const (
	// Optimal means that the gap is at most OptimalGap.
	Optimal Status = "optimal"
	// Feasible means that the solver stopped with a larger gap.
	Feasible Status = "feasible"
	// Infeasible means that no plan exists.
	Infeasible Status = "infeasible"
)

// OptimalGap is the largest gap of a plan that is called optimal.
const OptimalGap = 1e-6

// Answer is what the solver returns: a plan, its cost, and what no plan beats.
type Answer struct {
	Status Status
	// Cost, Bound and Gap mean nothing when Status is Infeasible.
	Cost, Bound, Gap float64
	Seconds          float64
	Parts            Parts
	// Burns is ordered by year, then by unit; lookahead years are included.
	Burns    []Burn
	Prices   []RowPrice
	Clashes  []Clash
	Warnings []string
	// More holds savings from second solves with one limit moved; it may be
	// empty.
	More []Saving
}

// GapOf gives (cost − bound) / max(cost, 1), and 0 where rounding makes the
// bound pass the cost.
func GapOf(cost, bound float64) float64 {
	if bound >= cost {
		return 0
	}
	return (cost - bound) / max(cost, 1)
}

// Parts is the cost of a plan split into its six parts, in acre-years.
type Parts struct {
	Overdue, Mix, Season, Evenness, Neighbors, Keep float64
}

// Total sums the parts in their fixed order.
func (p Parts) Total() float64 {
	return p.Overdue + p.Mix + p.Season + p.Evenness + p.Neighbors + p.Keep
}

// Burn is one burn of a plan; Unit and Season are indices.
type Burn struct{ Unit, Year, Season int }

// RowKind names a kind of coupling row.
type RowKind string

// The kinds of coupling row of a problem. Answer files and certificates name
// rows by them.
const (
	RowAcres     RowKind = "acres"
	RowBurns     RowKind = "burns"
	RowCost      RowKind = "cost"
	RowBurnDays  RowKind = "burn_days"
	RowRefuge    RowKind = "refuge"
	RowApart     RowKind = "apart"
	RowMixLow    RowKind = "mix_low"
	RowMixHigh   RowKind = "mix_high"
	RowEvenLow   RowKind = "even_low"
	RowEvenHigh  RowKind = "even_high"
	RowNeighbors RowKind = "neighbours"
)

// EveryYear is the Year of a Saving's row whose limit was moved in every year
// that has it; the file then names no year.
const EveryYear = 0

// Row names one coupling row. Only the fields that its kind needs are read.
type Row struct {
	Kind RowKind
	Year int
	// Season is the season of a burn_days row.
	Season int
	// Refuge is the group of a refuge row; Mix and Class those of a mix row.
	Refuge, Mix, Class int
	// Pair holds the two unit indices of an apart or neighbors row, the lower
	// first.
	Pair [2]int
}

// RowPrice is a row with the rate at which one more of its quantity would
// lower the cost, in acre-years per acre, burn, dollar or burn day.
type RowPrice struct {
	Row
	PerUnit float64
}

// Saving is what a second solve with one limit moved by Step has found.
type Saving struct {
	Row
	Step float64
	// Cost and Bound are those of the second solve; Saves is the cost before
	// less Cost, and is 0 where the second solve found nothing better.
	Cost, Bound, Saves float64
}

// Requirement names a hard requirement in a clash.
type Requirement string

// The requirements that locked burns can break.
const (
	RequireRest     Requirement = "rest"
	RequireSeason   Requirement = "season"
	RequireAcres    Requirement = "acres"
	RequireBurns    Requirement = "burns"
	RequireCost     Requirement = "cost"
	RequireBurnDays Requirement = "burn_days"
	RequireApart    Requirement = "apart"
	RequireRefuge   Requirement = "refuge"
	RequireLock     Requirement = "lock"
)

// Clash is a smallest set of locks that cannot stand together.
type Clash struct {
	Requirement Requirement
	Year        int
	// Season and Refuge are indices, −1 where they have no meaning.
	Season, Refuge int
	Locks          []Lock
	// Needed and Allowed are the numbers that clash; HasNumbers says whether
	// they have a meaning.
	Needed, Allowed float64
	HasNumbers      bool
	// Text says it in plain words.
	Text string
}
