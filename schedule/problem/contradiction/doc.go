// Package contradiction finds, before a problem is solved, wishes that no plan can
// meet together: units kept apart that must both burn, caps below the least that the
// return intervals need, refuge shares below that, wanted shares of age classes that
// the intervals do not let be reached, units that locks or closed seasons keep from
// burning in time.
//
// Each Finding is a theorem about the plans of the problem: it holds for every plan
// that meets the hard requirements. What cannot be proven by its counts is not said.
// For each unit alone, an exact program over years and ages gives the fewest burns,
// and the fewest and the most years in an age class, of all ways to burn it that
// never leave it overdue; for a pair that is kept apart the program runs over both
// ages at once. Sums of those counts over units are held against the caps of the
// same years: what the counts need at least, no plan without an overdue unit can do
// with less. With every unit on its longest interval the sum of a year is that of
// area regulation: acres divided by interval, added up.
package contradiction
