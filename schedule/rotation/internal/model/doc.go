// Package model turns a problem into flat, read-only arrays for the kernels,
// and says what a plan costs and whether it stands.
//
// Units i = 0 … N−1 are those of the problem, in its order; years t = 0 … T−1
// count from FirstYear; seasons s = 0 … S−1.
//
//	symbol    field               unit          meaning
//	a_i       Acres[i]            acres         acres of a unit
//	d_i, c_i  Days[i], Dollars[i] days, dollars what one burn takes
//	k         –                   –             age state of a unit, 0 … K[i]−1
//	–         Start[i]            –             age state before the first year
//	x_its     Plan[i·T+t] = s     –             burn in season s; −1 is rest
//
// # Age states
//
// A stand age matters only through three questions: may the unit burn next
// year, is it overdue and by how much, and in which class of its mix does it lie. State k is
// the age k, except that the last state K−1 stands for all ages from which
// none of the three answers changes any more, and that a unit that is older
// than T before the first year keeps those years in a shorter count (ages
// between T and its first age cannot occur). Resting leads from k to
// min(k+1, K−1), burning to 0; K is at least 2, so that a unit ends a year in
// state 0 exactly when it burned in it. CanBurn, Overdue and Class answer for the state
// at the end of a year; CanBurn for a burn in the year after.
//
// # Rows
//
// Every coupling row has an index: kind by kind in the order of the problem
// package's RowKind constants, within a kind item by item (season, refuge,
// pair, class), within an item year by year. Rows that a problem lacks, such as
// a cap that is absent, keep their index and have PriceMax 0.
package model
