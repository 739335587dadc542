// Package view computes every number and every sentence that a paper, a
// table or a calendar shows, once, so that two papers cannot disagree.
//
// What enters are plain values: the property with its units and records, the
// rotation problem and its answer, windows, tasks and contracts. What leaves
// are plain values too, one type for each kind of paper: Program for the
// whole plan, Due for one season, Why for one decision, Compare for two plans.
// The writers in report/table, report/page, report/pdf and report/ical format
// what stands there and decide nothing.
//
// Every type marshals to JSON; a quantity that is absent is null, never a
// number that means something else.
package view
