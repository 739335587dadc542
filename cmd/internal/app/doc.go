// Package app is what the program can do, as functions and values: open a
// property with its weather, plan it, say what is due and what was missed,
// gather what a paper shows. The command line stands on it, and so can anything
// else that asks people what they want.
//
// What enters is a Session, an open property at one moment, and a struct of
// options; what leaves is a value of habitat, of report/view or of this package,
// or an error. An OptionError says which option cannot be used, an Interrupted
// that a caller's context ended the work, a *source.Error that stored or given
// data are not good.
//
// Nothing here prints, reads a clock, knows a flag or writes a paper: today's
// date, the time of a change and how far long work has come are part of the
// Environment.
package app
