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
package rotation
