// Package whatif answers the questions that a person asks of a plan, each by
// solving the problem again with one thing changed: what the other choice for a
// unit would cost, what one more burn day would save, which other plans are
// nearly as good, and which single change would fix an overdue unit or a
// clash.
//
// Nothing here is guessed from prices. Prices only choose which questions are
// worth a second solve. Every figure of cost comes as a Range, since a plan that
// is not proven optimal leaves room: the true difference of the two optima lies
// between Least and Most.
//
// The solver comes from outside as a Solve function, so that this package knows
// nothing of how a plan is found.
package whatif
