// Package search finds good plans of a rotation problem early.
//
// A Searcher holds one current plan with the sums of all its rows, and changes
// it by best responses: one unit is taken out, and an exact dynamic programme
// over (year, age) puts it back on the path that costs least given all the
// others. Mix, evenness and neighbour costs are sums over years, and so is what
// rows charge, so the response is exact; it takes a microsecond or two.
//
// New builds a searcher, Run works for a number of steps or until its context
// is done, Best gives the best plan that meets every requirement, Offer takes
// plans from elsewhere. Run goes on where it stopped. With the same model, seed
// and sequence of budgets, offers and guides, a searcher finds the same plans,
// whatever the number of cores; only a context that ends in between changes
// that.
//
// # Course
//
// The first plan is the locked burns alone, then everyone's best response: that
// takes milliseconds for hundreds of units. Then come annealing cycles, each
// twice as long as the one before, up to a length that grows with the size of
// the problem. A move takes out one to four units that have to do with each
// other (neighbours, apart pairs, one refuge group, one mix, burns in the same
// year) and puts them back one by one on their best paths under some noise.
//
// # Prices
//
// On a short-handed property every cap is full in every year, and a plan in
// which every limit is hard cannot be improved one unit at a time: who leaves a
// slot loses what it is worth before anyone else can take it. So while a cycle
// cools, each row with a limit has a price, found by itself: it rises where the
// row is over its limit and falls where it is not. Within the limit a row
// charges nearly that price, beyond it a little more. Prices work as in a
// Lagrangian relaxation, but nothing is claimed from them. Towards the end the
// charge within the limit fades and that beyond it grows; a cycle ends with
// every limit hard and every unit on its best response.
//
// Prices of caps that stay far from full fall faster than the others, and limits
// harden all the way: with both, and a move that puts units back in the opposite
// order, the best of 25 million steps on medium-104 went from 7,186 to 7,068 on
// average over four seeds, on growth's 100 units from 10,173 (two seeds) to 9,664.
//
// On medium-101 (126 units, 15 years; 3,000 steps a unit) penalties beyond the
// limits alone reached 11,040 on average over six seeds, prices 10,350 over
// three.
package search
