// Package rotation finds rotation plans and proves how good they are.
//
// Solve takes a problem.Problem and gives a problem.Answer, a certificate of its
// bound, and counts of the work. It works in rounds. In each round a bound task
// (bound: prices and joint blocks; sweep and tree: proofs of small problems) and
// a plan task (search: annealing by best responses; polish: exact large
// neighborhoods) do a fixed amount of work side by side, and what they found is
// exchanged when both are done. Once blocks are as large as is worth the while,
// the search has both processors. So without a time limit the
// answer does not depend on the number of threads.
//
// A bound is a promise that no plan is cheaper. It comes from Lagrangian
// relaxation (Geoffrion 1974): for any prices on the coupling rows, the cheapest
// paths of the blocks of units, each by itself, cost no more than any plan; see
// problem.Certificate for the rules, which a checker applies with exact
// arithmetic. What float arithmetic may have lost is taken off (bound.Margin).
//
// # Warm starts
//
// Result.Warm holds the plan, the prices and the blocks of a solve; handed in as
// Settings.Warm it is where a solve of a problem nearly alike begins: the same
// problem after an edit (another lock, cap or closed season), or the same property a
// year later. Nothing needs to be said about what has changed: units, seasons and
// groups are found again by name, years are program years, so that for the year
// after it is enough to make the problem with its FirstYear, ages and records and to
// hand in the Warm of the year before; what lies before FirstYear falls away, and the
// new last year takes the prices of the one before it.
//
//	first, err := rotation.Solve(ctx, p, rotation.Settings{Rounds: 20, TimeLimit: -1})
//	…                                  // q is p after an edit, or a year later
//	next, err := rotation.Solve(ctx, q, rotation.Settings{Rounds: 20, TimeLimit: -1, Warm: first.Warm})
//
// Before the first round the units that the change touches, and those whose burns
// do not stand any more, answer all others by best responses until every requirement
// is met; then their neighborhoods are searched exactly. The plan is shown to
// Progress after either, within milliseconds, and Progress.Answer gives it. The
// search then begins with a gentle cooling from that plan at the prices that were
// handed in, and goes on as from cold; the bound goes on from the prices and blocks.
// A warm solve is as deterministic as a cold one, its answer and certificate hold by
// the same rules, and where nothing can be taken over it is a cold one.
package rotation
