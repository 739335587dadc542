// Package habitat holds the values of the trade: the property and its
// settings, burn units, return intervals, seasons, closures, burn records,
// stand ages and preparation tasks.
//
// The values come from readers and from the store, have passed Validate, and
// are plain data: nothing here reads or writes a file. What follows from them
// is computed here too: the program year and season of a burn, the stand age
// of a unit at the end of a program year, the assumptions that had to be made.
package habitat
