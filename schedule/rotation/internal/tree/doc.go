// Package tree is a branch and bound search over burn decisions.
//
// A node splits on one unit and year into burn and rest. Its bound is that of
// the relaxation with the decisions on the way fixed, at prices that start from
// its parent's and take a few more steps. Decisions whose other side the
// node's own prices close are fixed at once (reduced-cost fixing): in the tree
// they are splits whose other side is a leaf with the same dual.
//
// Nodes are taken in batches of a fixed size, least bound first, worked on by
// all threads, and joined in the order in which they were taken; so the tree is
// the same for any number of threads.
package tree
