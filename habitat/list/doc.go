// Package list reads the lists that a property is filled from: units, burns,
// pairs, locks and contracts from CSV or a workbook (.xlsx), units and sensitive
// places and standing breaks from any file with shapes that package ground reads.
//
// Read and ReadFile give a List: values with the place of each, what kind of
// list it is and how that was told, and the columns that nobody asked for.
// Headers of any case, with _, - or blanks, in any order are understood;
// Options map the headers and the words of foreign files.
//
// MakePlan holds lists against what a property has, and gives the Plan of an
// import: what would be added, what would change from what to what, what is
// there already. The plan is printed, or carried out by the store; carrying out
// the same list twice changes nothing.
//
// ReadContacts reads the list of whom to call, which is loaded as a whole.
//
// All report up to twenty faults at once, each with file, line and column.
// With Options.LeaveOut the faulty rows are left out instead, and named.
package list
