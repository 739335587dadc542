// Package repair makes clean shapes of rings as files hold them.
//
// A Cleaner takes the rings of one feature in degrees on WGS 84: it closes them,
// drops what repeats, tells pieces from holes, takes apart what touches or
// crosses itself, and turns each ring the way RFC 7946 asks. What it changed
// stands in its Notes with the acres that moved; a repair that would be a guess
// is an error.
package repair
