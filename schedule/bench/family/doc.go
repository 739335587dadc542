// Package family makes the problems that the solver is measured on, each from a
// stated seed, so that anyone gets the same ones.
//
// The land is invented. Property is a property of burn units with everything
// that a manager may ask for; Grid is a square landscape with a yearly budget,
// after the design of Minas, Hearne and Martell 2014 (A spatial optimization
// model for multi-period landscape level fuel management, European Journal of
// Operational Research 232): 25 to 1,225 cells, ten years, 5, 10 or 15% of the
// area a year, ages 1 to 12 at random, old at 4, 8 or 12. What they minimize is
// the contact of old cells; here it is old cells and common burns of cells that
// touch, so that figures are not theirs. Pinwheel is the scheduling problem of
// Holte et al. 1989: one burn a year, each unit at least once in so many years.
package family
