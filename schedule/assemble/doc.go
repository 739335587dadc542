// Package assemble turns a property, its units and its records into the
// rotation problem that the solver is given.
//
// Into it go values as they are stored; out comes a problem.Problem, the stand
// age of each unit with what it rests on, and every assumption in plain words.
// What is recorded is a fact: a burn of the first plan year becomes a lock,
// even where it broke a rest or a cap, and the first year's limits give way to
// it with a word about it. A season that is over, or in which closures and the
// crew's calendar leave no day, takes no more burns.
package assemble
