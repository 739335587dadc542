// Package polish makes a good plan better by large neighborhoods that are
// searched exactly.
//
// A neighborhood is a dozen units that belong together (neighbors, apart
// pairs, one refuge group) with a few of their mix. All other units keep to the
// plan, and a sweep (package sweep) goes through all plans of the dozen at once;
// the prices of the root bound, climbed a little further around the plan, cut
// it short. What comes back is the best of the neighborhood or the proof that
// the plan is.
//
// The size of neighborhoods follows the work that they turn out to need: it is
// counted in options looked at, not in seconds, so that the same seed gives the
// same plans.
//
// Where the acres of a year alone couple units, YearPairs lets all of them choose anew
// in which of two years they burn.
package polish
