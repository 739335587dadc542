// Package date holds civil dates, program years and the crew's calendar.
//
// A Day is a date on the wall, without a clock or a zone; comparing two of them
// never asks where the machine stands. A program year is twelve months named by
// the calendar year in which it ends. A Crew says which days are worked.
//
// It is the only package that imports rickar/cal, which supplies the US federal
// holidays with their observed days.
package date
