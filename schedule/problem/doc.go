// Package problem holds the rotation problem and what is said of it: the
// problem itself, the answer, the certificate, and their JSON files.
//
// It is the one vocabulary that the solver, the checker, the store and the
// reports share. A Problem comes from a file (Read) or from a property; both
// ways end in Validate, and behind it a Problem is good and is not checked
// again. A Problem has no computed parts: the solver builds its own arrays.
//
// Program years are numbered by the calendar year in which they end. The years
// of a problem are FirstYear … FirstYear+T()−1, lookahead included.
package problem
