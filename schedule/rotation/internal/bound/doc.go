// Package bound computes what no plan can beat, and improves it.
//
// # The relaxation
//
// Let rows r be the coupling requirements and bands (model.Rows), each with what
// a plan takes of it, A_r(x), and its right side b_r. For prices p_r in their
// ranges every plan x that meets the requirements costs at least
//
//	L(p) = −Σ_r p_r b_r + Σ_B min over the joint paths of block B of
//	       (own costs + Σ_r p_r A_r(path))
//
// since for a hard row A_r(x) ≤ b_r, so that its term is at most 0; and for a
// band or a neighbor pair the term p_r (A_r(x) − b_r) is at most the weight
// times the part beyond the band, which the plan pays. A limit is taken with the
// slack that problem.Meets allows, so L(p) holds for every plan that it accepts.
//
// A block is one unit (package path) or a few, whose joint paths over (year,
// tuple of ages) are searched exactly (joint.go). Inside a block apart pairs,
// the year's limits on the block's own sums, and refuge shares are kept, and
// neighbor pairs are paid for in full; and a block that holds all units of a mix
// pays for it by the ages themselves. That lifts L(p) above the bound of the
// linear relaxation of the path formulation, which single units reach.
//
// Blocks may overlap. A unit's path cost is then split among its copies: each
// carries a share of it, and shifts of burn prices that sum to 0 in each year.
// The least sum is never below the sum of the least, whatever the split. Beside year
// blocks the split is finer: each age of a unit at the end of each year has its price
// (age.go), and of a neighbor pair that several blocks hold each pays a part (part.go).
//
// # The step rule
//
// L is concave in prices, and in shares and shifts; what the best paths take of a row less its
// right side is a supergradient. Ascent steps along running means of it, each
// coordinate with its own length (Kingma and Ba 2015), in natural units. The
// first steps must be long (0.3 to 0.5 acre-years per acre): with short ones the
// prices do not come to where they belong. Shares move with the prices.
//
// Which units share a block matters more than how many do: refuge groups whole,
// beside three layers over all links (Cover). Links by what the paths of single copies
// violate together chose none better.
//
// A mix of a few units is never near its bands, which prices cannot see: they let
// each unit be a little of every class. So some blocks pay such mixes exactly.
//
// A year of a block is a pass over its joint states for each unit. On amd64 the
// passes use vector instructions (step_amd64.s), which make a step of the prices
// take about a quarter of the time and give the same numbers as plain code.
//
// What each of these gives, and what was tried and left out, stands in
// schedule/bench/NOTES.md.
//
// # Year blocks
//
// Prices of a year's rows never see that burns are whole. A year block (year.go)
// holds one year of many units as a program of its own: which units may burn
// together, with refuge shares, apart pairs and neighbors, by eliminating one unit
// after another (year_graph.go); the acres in one class of one mix, and one cap,
// over counts of cells (year_sum.go). What a unit block and a year block choose for
// one unit is tied by a price that cancels in every plan (Guignard and Kim 1987), so
// that any prices are valid; what a year block pays (a band, a neighbor pair) its
// rows may not have a price for. Prices of hard rows stay beside.
//
// A sum over cells need not lose what an amount is off its cells: the cost of a sum
// is the largest of three straight pieces (nothing, short of the band, above it), in
// each of which that part is a price on the unit, so that a table for each piece
// bounds the cost, and the largest of the three is near it. A thousand cells a sum
// lose next to nothing against exact cells.
//
// The last part of the way is done block by block, with means of what each block chose
// in place of a step length (Proximal): it takes a fraction of the steps.
//
// Steps move, beside each unit's price, one price for all units of a class, which
// goes into theirs, and keep the running means of the other prices when year blocks
// are added.
//
// # A promise
//
// Claims are made of rounded prices (Engine.Round) less Engine.Margin, which
// bounds what float arithmetic may have lost; package certify checks them with
// exact arithmetic.
package bound
