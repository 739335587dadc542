// Package reference holds what tests hold the solver and the checker against:
// random small problems, the cost of a plan word for word as the definition
// has it, and the optimum of a small problem by a dynamic program over the
// ages of all units at once.
//
// It is for tests only. It is written to be obviously right, shares no code
// with what it checks, and is hopeless beyond about eight units.
package reference
