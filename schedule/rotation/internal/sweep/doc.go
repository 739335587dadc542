// Package sweep proves small problems by going through all their plans at
// once, year by year.
//
// A layer holds every tuple of unit ages that plans can have reached by the end
// of a year, each with the least true cost of getting there. Two plans that
// lead to the same ages differ in nothing that follows, so only the cheaper one
// goes on: that is what a tree of decisions cannot see. A tuple is dropped when
// its cost so far and a lower bound on the years to come (bound.Completion, at
// the best prices) together reach a target. If the last layer is empty, no plan
// costs less than the target; if not, its cheapest plan is the best of all.
//
// The step from a tuple to the next year chooses, block by block, which units
// burn. Each block offers its options in the order of their cost at the prices,
// so that a choice is cut as soon as its bound reaches the target. What is
// added to the cost so far is the true cost of the year: overdue, mix, evenness,
// neighbors, keep, and the cheapest seasons that the burn days allow, found
// exactly for each set of burning units and remembered.
//
// The idea is dynamic programming over joint states with bounding by a
// relaxation (Morin and Marsten 1976, Operations Research 24:611–627).
//
// NewAround searches the paths of some units only, while all others keep to a
// plan: a large neighborhood, searched exactly.
//
// Layers do not depend on the number of threads: equal tuples keep the least
// cost, and of equal costs the one that comes from the earliest tuple.
package sweep
