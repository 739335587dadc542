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
// The least sum is never below the sum of the least, whatever the split.
//
// # The step rule
//
// L is concave in prices, and in shares and shifts; what the best paths take of a row less its
// right side is a supergradient. Ascent steps along running means of it, each
// coordinate with its own length (Kingma and Ba 2015), in natural units. The
// first steps must be long (0.3 to 0.5 acre-years per acre): with short ones the
// prices do not come to where they belong. Measured on medium-101, 2,000 steps
// by units from 0.5 down to 0.001 reach 6,941 of 6,942; from 0.1, 1,000 steps,
// 6,741. Shares that move with the prices instead of staying even lift blocks of
// 1,000 states from 8,058 to 8,118.
//
// Which units share a block matters more than how many do. Refuge groups whole,
// beside three layers over all links (Cover), bring medium-101 to 8,666 with
// blocks of 3,000 states; two layers alone came to 8,152, with 100,000 states to
// 8,730. One refuge group of five units, which two layers had split, made 370 of
// the difference.
//
// A mix of a few units is never near its bands, which prices cannot see: they let
// each unit be a little of every class. Blocks that pay such mixes lift the bound
// of growth's 10 units × 20 years from 1,160 to 5,075, of 30 units from 3,439 to
// 4,869.
//
// A year of a block is a pass over its joint states for each unit. On amd64 the
// passes use vector instructions (step_amd64.s), which make a step of the prices
// take about a quarter of the time and give the same numbers as plain code.
//
// What was tried and left out, before there were year blocks: growing blocks while keeping their shares (slower
// than beginning anew), more than four layers, layers of random clusters, shifts
// for each age instead of burns alone (0.5 % on medium-104, nothing on
// medium-101), neighbor costs split among all blocks that hold the pair (0.1 to
// 0.4 %), clusters weighed by the relaxation's own burn
// shares (7,074 against 7,559 by acres alone on medium-101), blocks that carry
// no share of costs but hold up to 14 units (5,630 on medium-104 in 5.3 s of
// processor time, against 5,731 in 1.3 s by blocks that do), joining blocks at
// the prices they have (a gain below 1 %), and diving for plans.
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
// give on growth's 30 units 6,792.3 where exact cells give 6,792.1, 300 cells
// 6,788.7.
//
// Steps move, beside each unit's price, one price for all units of a class, which
// goes into theirs, and keep the running means of the other prices when year blocks
// are added (growth, 30 units, 300 steps: 6,792 without, 6,833 with both).
//
// # A promise
//
// Claims are made of rounded prices (Engine.Round) less Engine.Margin, which
// bounds what float arithmetic may have lost; package certify checks them with
// exact arithmetic.
package bound
