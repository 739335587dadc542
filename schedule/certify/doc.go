// Package certify checks what a solver claims, without trusting it.
//
// Check takes a problem, an answer and, where there is one, a certificate. It
// asks whether the plan meets every hard requirement, computes its cost again,
// holds status, bound and gap against each other, and finds out from the
// certificate what no plan can beat. For an infeasible answer it asks whether
// each clash is one.
//
// The package shares no code with the search and must not: it imports nothing
// below schedule/rotation. What a certificate means is said at
// problem.Certificate; here is how it is checked.
//
// # Arithmetic
//
// Prices, acres and weights are float64, each an exact rational number. A cost
// of one unit in one year is a short sum of products of them; it is formed as
// an unevaluated sum of two float64 (Dekker 1971) with a bound on its error,
// and floored to a whole multiple of a power of two. From there on all sums and
// comparisons are of integers and exact. Flooring can only lower a bound. The
// grain is chosen for each unit so that no sum can pass 2⁶² grains, which makes
// the loss about 10⁻¹⁶ of the magnitudes that are summed; sums over units are
// of math/big integers.
//
// # Parts
//
// yearsOf finds what year blocks are worth: graphs by eliminating one unit after
// another, sums over counts of cells, with what an amount is off its cells counted
// apart, rounded against the claim.
//
// price gathers the rows and cuts of a leaf, checkCut proves each cut, weigh and
// floored bring a unit's costs to grains, path and joint search a unit's and a
// block's ages, swept goes through all plans of a small problem, and Bound walks
// the tree. A leaf that a thousand places of the tree share is worked out once;
// at each place only the blocks with decisions are searched again.
//
// # Closing
//
// It fails closed. A certificate for other bytes of the problem, a row that the
// problem lacks or that is named twice, a price outside its range, a cut that
// does not hold, a cost that is paid twice, shares that do not sum to 1, a block too large to search, and
// a bound above the certified value are all refused, each with its reason.
package certify
