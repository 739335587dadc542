// Package window turns hourly weather, a prescription and a calendar into
// candidate burn windows and the burn days that a season can be expected to
// give.
//
// NewSeries cuts a weather.Record into days; Series.Evaluate holds them against
// a prescription and gives Days: known or not, which hours count, candidate or
// not. From Days follow Count (by month and year), Chances and Heat (by day of
// the year, by week and hour), Windows and BurnDays (for a season), the shares
// of a wind Card, and Costs, what each limit costs. Count does the first three
// at once. Without a weather record FromDates makes windows from the season's
// dates, the closures and the crew's days alone, and marks them DatesOnly.
// CheckForecast reads a public forecast against a prescription.
//
// Everything here is planning from past weather. It is neither a forecast nor
// a decision to burn; whoever shows a window shows Caution beside it, and beside
// a forecast check ForecastCaution.
//
// # Rules
//
//   - An hour counts when it lies wholly inside the burn hours (09:00 to 18:00
//     holds the labels 10 to 18), its temperature, humidity and wind speed are
//     known, and every limit holds. Limits are inclusive and nothing is rounded;
//     a billionth of slack keeps decimals such as 16.0 °C = 60.8 °F inclusive.
//   - A day is known when at least 80 percent of its burn hours have those
//     three. Other days are in no count, not in hours either: a day that is not
//     known adds nothing to a month's hours (Tally.Hours; the only place is
//     Days.Count).
//   - A day is a candidate when it is known and has a run of the needed hours.
//
// # Where the rules had left it open
//
//   - Burn hours that run across midnight are one night, and all of it belongs to the
//     day on which they begin: its month, its season, its days since rain. Daylight is
//     that of each hour's own day. A night that runs into a closed day is closed
//     (BeforeClosed); one that runs into a day off or past the season's end is not.
//     The last night of a record, and one before a gap, has no hours after midnight.
//     In clock time a day or a night in which the clocks change is an hour shorter or longer.
//     In a typical year they change as they do today, whatever year its days bear.
//   - Wind means its speed: an hour whose direction is missing, calm or variable
//     is known, but fails where directions are limited.
//   - A wind or another of the three that is missing makes an hour unknown, also
//     where the prescription does not limit it.
//   - Days since rain are counted between civil days: a day's rain is the sum
//     over its labels 1 to 24, and the day itself is 0 whatever the hour of the
//     rain. Before the first such day of a record the lower limit holds and the
//     upper does not. A typical year's January does not follow its December.
//   - The strict rule fails an hour without a depth for dry_hour, and for days
//     since rain lets a day with a missing depth be one with enough rain or not,
//     whichever fails.
//   - Chances match days by month and day over all years, a week to either side
//     in each year's own calendar.
//   - Weeks run from Monday to Sunday. A week's chance is the mean of its days
//     in the season, days off included: the calendar cuts windows, not chances.
//   - A window runs from its first to its last usable day; days off inside do
//     not cut it.
//   - Burn days look the plan season's usable days up in every year of the
//     record by month and day, so that its weekends and closures hold for all
//     years alike. Years that know less than 80 percent of them are left out;
//     in the others the count is scaled to all usable days.
//   - The poor year is the least count at or below which one counted year in
//     five lies: the lowest of five, the second lowest of six to ten.
//   - The prevailing wind of a candidate day is the vector mean over its longest
//     run.
//   - A forecast hour holds when no limit fails on which the document says
//     anything; what it does not hold is listed and judged by nobody.
package window
