package problem

// Certificate is all that is needed to check a bound without trusting the
// search that found it.
//
// A node of its tree splits on one unit and program year into burn and rest,
// so that the leaves cover every plan. The value of a leaf is a lower bound on
// the cost of every plan that obeys the decisions on the way to it. The certified
// bound is the least value of a leaf, brought up to the next cost that a plan can
// have: in a problem without mixes, what a plan pays (weights times acres,
// penalties and ends of the evenness band, each as float64 rounds the product)
// sums to a whole multiple of the largest number of which all these are whole
// multiples, and the cost is that but for 2⁻⁵² of all that can be paid.
//
// # Value of a leaf
//
// A leaf holds prices of coupling rows, cuts, and blocks. Write x(i,t) = 1 for
// a burn and x(i,t,s) for a burn in season s, A for the acres of a group. L is
// what a sum can come to: a limit plus SlackAllowed of it (the bound must hold
// for every plan that Meets accepts), brought down to a whole multiple of the
// largest number of which all the amounts in the sum are whole multiples, as
// exact rational numbers. (Fields of 100 acres under a cap of 125 burn 100.) Each price adds its term to the cost; for every plan that
// meets the requirements the term is at most what the plan really pays, 0 for
// a hard requirement, so the sum stays a lower bound:
//
//	row          price range          term
//	acres        p ≥ 0                p · (Σ a x(i,t) − L)
//	burns        p ≥ 0                p · (Σ x(i,t) − L)
//	cost         p ≥ 0                p · (Σ c x(i,t) − L)
//	burn_days    p ≥ 0                p · (Σ d x(i,t,s) − L)
//	refuge       p ≥ 0                p · (Σ a x(i,t) over the group − L)
//	apart        p ≥ 0                p · (x(i,t) + x(j,t) − 1)
//	mix_low      0 ≤ p ≤ w_mix        p · (lo A − acres in the class)
//	mix_high     0 ≤ p ≤ w_mix        p · (acres in the class − hi A)
//	even_low     0 ≤ p ≤ w_evenness   p · (lo − Σ a x(i,t))
//	even_high    0 ≤ p ≤ w_evenness   p · (Σ a x(i,t) − hi)
//	neighbours   0 ≤ p ≤ w min(a,a')  p · (x(i,t) + x(j,t) − 1)
//	cut          p ≥ 0                p · (Σ α x − β), see Cut
//
// A row that the problem does not have (no such cap, no such pair), a row
// named twice, and a price outside its range make the certificate invalid.
// Year blocks hold one year of many units as a program of its own; see YearBlock.
//
// The sum of all terms and of the units' own costs (overdue, season, keep) is
// a constant plus, for each unit, a cost of its path through (year, age). The
// value of the leaf is the constant plus the least cost of each block and the
// value of each year block. A unit
// in no block is a block by itself. A leaf in which some block has no path
// left, under the decisions on the way and the requirements that the block
// keeps, is closed: its value is +Inf.
type Certificate struct {
	// ProblemSHA256 is the SHA-256 of the bytes of the problem file, in hex.
	ProblemSHA256 string
	Bound         float64
	// WithoutGrowth says that the leaves are those of the problem whose overdue
	// does not grow. No plan costs less with growth than without it, so the
	// bound holds for both.
	WithoutGrowth bool
	// Shared holds leaves that nodes refer to by index, so that a thousand
	// leaves with the same prices need not repeat them.
	Shared []Leaf
	Tree   *Node
}

// Node is a split when Burn and Rest are set, else a leaf: either its own
// Leaf, or, where Leaf is nil, the one at index Use of Certificate.Shared.
//
// A split on unit and year has the plans in which the unit burns in that year
// in Burn, and the others in Rest. With InSeason it splits on a burn in Season:
// Burn has the plans in which the unit burns in that year in that season, Rest
// those in which it burns in another season or not at all.
type Node struct {
	Unit, Year int
	InSeason   bool
	Season     int
	Burn, Rest *Node
	Leaf       *Leaf
	Use        int
}

// Leaf holds what makes the value of a leaf; see Certificate.
//
// # Swept leaves
//
// A leaf with Sweep above 0 claims that no plan that obeys the decisions on the
// way to it costs less than Sweep, and that this can be found out by going
// through all plans at once, year by year: keep every tuple of unit ages that a
// plan can have at the end of a year, each with the least true cost of getting
// there; drop it when that cost and what the years to come cost at least, at
// the leaf's prices and blocks, together reach Sweep; and find none left at the
// end. Rows and cuts belong to one year each, so that their terms of the years
// to come, with the least path costs of the blocks from the ages on, are a lower
// bound on what those years cost. The value of the leaf is then the larger of
// Sweep and its value at the prices. Its blocks must not overlap, and the
// problem have at most MaxSweepUnits units. Prices and blocks only make the
// search short; whether the claim holds does not depend on them. A year block's
// value counts among the terms of its year.
type Leaf struct {
	// Prices holds each row at most once; PerUnit is the price. A row that is
	// not named has price 0.
	Prices []RowPrice
	Cuts   []Cut
	Blocks []Block
	// Years holds year blocks; a decision on the way to the leaf changes nothing of
	// their values.
	Years []YearBlock
	// Sweep is what no plan is cheaper than, by a search that the checker makes
	// again; 0 means that the leaf rests on its prices alone.
	Sweep float64
}

// MaxSweepUnits is the largest number of units of a problem with swept leaves.
const MaxSweepUnits = 32

// Block is a set of units whose joint paths are searched exactly: over the
// years, and over the tuples of their ages. Joint burns in one year of units of
// a block must, as far as the units of the block alone can tell, meet the
// requirements of that year: apart pairs inside the block, and the acres,
// burns, cost and refuge limits on the sums over the block's own units. Of burn
// days they must meet one thing: a burn is in a season whose days are enough for
// it alone. (Else burn days are kept by their rows and cuts.)
//
// A neighbor pair inside a block is paid exactly, in the first block of the
// leaf that holds both units, less what Parts say that later blocks pay of it; no
// price may be named for its row.
//
// A block pays the mixes in Mixes exactly, each year by the ages that its units
// end it in. It must hold all units of such a mix, no other block of the leaf
// may pay the mix, and no price may be named for the mix's rows.
//
// Blocks may overlap. Then the path cost of a unit is split between them: a
// block carries the part Share of it, plus Shift for burns in single years, plus
// Ages for the ages that the unit ends years with.
// For each unit that stands in some block the shares must sum to exactly 1
// and, for each year, the shifts to exactly 0, and so the prices of each age, as
// exact rational numbers: the
// solver keeps them to multiples of 2⁻²⁰. Any such split is valid, since the
// least sum is never below the sum of the least.
type Block struct {
	// Units holds unit indices, ascending.
	Units []int
	// Share holds one share a unit of the block; nil means 1 for each.
	Share []float64
	// Shift holds the prices on burns of the block's units.
	Shift []Shift
	// Ages holds the prices on the ages of the block's units.
	Ages []AgePrices
	// Mixes holds the indices of the mixes that the block pays.
	Mixes []int
	// Parts holds what the block pays of neighbor pairs that are inside an earlier
	// block too.
	Parts []PairParts
}

// PairParts is a pair of units, the lower first, and a part of what it costs for each
// year of the plan, from 0 to all of it. What one block pays of a pair and another pays less
// cancels in every plan.
type PairParts struct {
	Pair [2]int
	Cost []float64
}

// Shift moves the price of one burn between overlapping blocks.
type Shift struct {
	Unit, Year int
	Price      float64
}

// AgePrices moves what it costs a unit to end a year with each age between
// overlapping blocks. Price at a is that of age a; the last one holds for all greater
// ages too. It may not go beyond the age from which nothing changes: the largest of
// the longest interval with the years by which overdue grows, of the shortest less one, and of
// those at which the classes of the unit's mix begin.
type AgePrices struct {
	Unit, Year int
	Price      []float64
}

// Cut is a valid inequality Σ α x ≤ β over burns of one year: of x(i,t) where
// Season is −1, else of x(i,t,s). It is valid when every set of its units with
// Σ α > β breaks, by its own units alone, a requirement of that year: an apart
// pair, the acres, burns, cost or refuge limit, or, where Season is given, the
// burn-day cap of that season. A checker finds that out by itself.
type Cut struct {
	Year, Season int
	// Units holds unit indices, ascending, at most MaxCutUnits of them; Weight
	// holds α, whole numbers of at least 1; AtMost is β.
	Units  []int
	Weight []int
	AtMost int
	Price  float64
}

// MaxCutUnits keeps the exhaustive check of a cut cheap.
const MaxCutUnits = 24
