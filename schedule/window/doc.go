// Package window turns hourly weather, a prescription and a calendar into
// candidate burn windows and the burn days that a season can be expected to
// give.
//
// A Window is a run of days on which a burn may be planned. Without a weather
// record FromDates makes it from the season's dates, the closures and the
// crew's days alone, and marks it DatesOnly.
//
// Everything here is planning from past weather. It is neither a forecast nor
// a decision to burn; whoever shows a window shows Caution beside it.
package window
