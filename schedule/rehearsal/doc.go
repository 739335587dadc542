// Package rehearsal plays the coming program years many times over with weather
// from the record, and counts what becomes of a burn program.
//
// Into it go the problem of all the years that may be planned, the days on which
// the record would have let each unit burn (Record), the days that the calendar
// allows (Calendar), and the rules to compare. Out comes, for each rule, what
// happened in every future, with means, intervals and percentiles, and beside
// them the foresight bound: what no rule could beat, even one that knew the
// weather.
//
// # A future
//
// Each program year of a future takes the weather of one program year of the
// record, drawn with replacement; all units share it. Every rule meets the same
// futures. A future depends on the seed and its own number alone, so that the
// numbers do not depend on threads, and more futures leave the first ones as they
// were.
//
// # A program year
//
// At its start the plan is made again from what really burned, over the same
// horizon. Then its seasons are played day by day: on each usable day the crew
// takes the season's planned units, in the order of what resting them would cost
// the plan, dearest first, as far as it is a candidate day for them, until the
// day's burn days are used. A unit of several burn days needs as many such days,
// not necessarily together; where they do not all come it stays unburned and the
// days that it took are spent. What was missed waits for the next plan, or, by
// rule, for its next allowed season of the year. Wildfire, where it is given a
// chance, burns at the end of the year, and counts in ages alone.
//
// Whatever is played is a plan of the problem with what that weather would have
// allowed, so the solver's bound on that problem is a bound on every rule
// (see foresight.go).
//
// Nothing here is a forecast: the weather is past, the futures are invented.
package rehearsal
