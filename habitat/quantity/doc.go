// Package quantity holds the units of measure that the rest of the program
// speaks: acres, feet, chains per hour, degrees of bearing.
//
// Each unit is a named type over float64 whose name is the unit, so that a
// signature says what it takes and nobody looks it up. Values enter through a
// Parse function, which stops NaN and infinities, and leave through String.
// A product or a quotient of quantities is a named function of this package.
//
// The ratios are exact: 1 chain = 66 ft, 80 chains = 1 mile, 10 square chains
// = 1 acre = 43,560 sq ft. Metric lengths enter through the international foot
// of 0.3048 m, which is said once, in MetersPerFoot.
package quantity
