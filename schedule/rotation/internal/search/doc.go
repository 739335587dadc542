// Package search finds good plans of a rotation problem early.
//
// A walk holds one current plan with the sums of all its rows, and changes it by
// best responses: one unit is taken out, and an exact dynamic program over
// (year, age) puts it back on the path that costs least given all the others.
// Mix, evenness and neighbor costs are sums over years, and so is what rows
// charge, so the response is exact; it takes about a microsecond. Where the processor has
// vector instructions, years and ages are added up four at a time (kernel_amd64.s), to the
// same bits as without.
//
// New builds a Searcher, Run works for a number of steps or until its context
// is done, Best gives the best plan that meets every requirement, Offer takes
// plans from elsewhere. Run goes on where it stopped. With the same model, seed,
// planned steps and sequence of calls, a searcher finds the same plans, whatever
// the number of cores; only a context that ends in between changes that.
//
// # Course
//
// The first plan is the locked burns alone, then everyone's best response: that
// takes milliseconds for hundreds of units. Then come generations of annealing
// walks, each with three times the work of the one before it; the last one that
// is planned takes all the steps that are left, and Expect stretches or shortens it
// where there are more or fewer of them than was thought. A move takes out one to four units that have to
// do with each other (neighbors, apart pairs, one refuge group, one mix, burns
// in the same year) and puts them back one by one on their best paths under some
// noise.
//
// # Generations
//
// Walks that cool alike end far apart, what a walk's plans cost from halfway down
// on tells how it will end, and moves seldom fix it once it is cold. So the walks
// of a generation cool side by side, and every twentieth of the way the worst
// quarter go on from where the best are, with their prices ("go with the winners",
// Aldous and Vazirani 1994). On many hundred units a generation is one walk: it
// needs all the steps. The figures stand in schedule/bench/NOTES.md.
//
// What makes plans of a hundred units differ by a tenth is which units of small coupled
// groups (a refuge group, a few apart pairs) take turns in which years. It is decided hot,
// mostly by chance; where a bound with large blocks is there, Guide lets its averages
// decide it with better chances.
//
// # Prices
//
// On a short-handed property every cap is full in every year, and a plan in
// which every limit is hard cannot be improved one unit at a time: who leaves a
// slot loses what it is worth before anyone else can take it. So while a cycle
// cools, each row with a limit has a price, found by itself: it rises where the
// row is over its limit and falls where it is not. Within the limit a row
// charges nearly that price, beyond it a little more. Prices work as in a
// Lagrangian relaxation, but nothing is claimed from them. Toward the end the
// charge within the limit fades and that beyond it grows; a cycle ends with
// every limit hard and every unit on its best response.
//
// Where the relaxation is nearly whole, the prices of its bound are right, and what
// is left is to decide among paths that cost next to nothing more: Aim begins
// coolings there, cold, and mostly under hard limits.
//
// Prices of caps that stay far from full fall faster than the others, and limits
// harden all the way. What prices gain over penalties alone, and what was tried
// and did not pay, stands in schedule/bench/NOTES.md.
//
// # Cycles
//
// Where a place in a year is worth the same to all units, as on grids of equal cells,
// an Exchanger finds what walks take long for: units that trade places in a cycle.
package search
