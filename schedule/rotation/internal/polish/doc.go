// Package polish makes a good plan better by large neighbourhoods that are
// searched exactly.
//
// A neighbourhood is a dozen units that belong together (neighbours, apart
// pairs, one refuge group) with a few of their mix. All other units keep to the
// plan, and a sweep (package sweep) goes through all plans of the dozen at once;
// the prices of the root bound, climbed a little further around the plan, cut
// it short. What comes back is the best of the neighbourhood or the proof that
// the plan is.
//
// The size of neighbourhoods follows the work that they turn out to need: it is
// counted in options looked at, not in seconds, so that the same seed gives the
// same plans.
package polish
