// Package source says how bad input is reported: where it stands, what was
// found there and what would have been accepted.
//
// A reader gathers its complaints in a List, which keeps the first MaxShown of
// them in file order and counts the rest, and returns List.Err. A caller that
// decides on bad input finds it with errors.As and *Error or *List.
package source
