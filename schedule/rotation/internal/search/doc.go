// Package search finds good plans of a rotation problem early.
//
// A Searcher holds one current plan with the sums of all its rows, and changes
// it by best responses: one unit is taken out, and an exact dynamic programme
// over (year, age) puts it back on the path that costs least given all the
// others. Mix, evenness and neighbour costs are sums over years, and so are the
// penalties for what passes a limit, so the response is exact; it takes a
// microsecond or two.
//
// New builds a searcher, Run works for a number of steps or until its context
// is done, Best gives the best plan that meets every requirement, Offer takes
// plans from elsewhere. Run goes on where it stopped. With the same model, seed
// and sequence of budgets, offers and guides, a searcher finds the same plans,
// whatever the machine; only a context that ends in between changes that.
//
// # Course
//
// The first plan is the locked burns alone, then everyone's best response: that
// takes milliseconds for thousands of units. Then come annealing cycles, each
// longer than the one before. A move takes out a few units that belong together
// (neighbours, apart pairs, one refuge group, one mix) and puts them back one
// by one on their best paths under some noise. Limits are soft at first and
// harden as the temperature falls; a cycle ends with every limit hard and every
// unit on its best response.
package search
