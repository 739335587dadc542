// Package clash decides whether the locked burns of a problem can stand
// together, and names smallest sets of locks that cannot.
//
// Taking a burn away never breaks a requirement other than a locked burn, so a
// plan exists exactly when the locked burns alone meet all requirements, each in
// some allowed season. Every requirement but the burn days is a question about
// sums or pairs. Burn days are a packing: the locked burns of a year that name
// no season must be spread over the seasons so that each season's days suffice.
//
// Arrange gives the locked burns with seasons, or the clashes. For one
// requirement of one year the clashes that are named share no lock, and
// without all locks on the units and years that are named anywhere a plan
// exists.
package clash
