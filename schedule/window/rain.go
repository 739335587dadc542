package window

import (
	"math"

	"emberquilt/habitat/prescription"
	"emberquilt/habitat/weather"
)

// sinceRain says for each day whether the limits on the days since rain hold.
//
// The rain of a day is the sum over its labels 1 to 24; the days since rain are
// counted from the last day with at least the depth, 0 on that day itself, also
// where the rain fell after the burn hours. Before the first such day of a
// record they are taken as more than any limit: the lower limit holds and the
// upper one does not.
//
// With the strict rule a day with a missing depth may have been such a day, and
// so may every day before and every gap in the record: both limits must hold
// whether it was or not.
func (s *Series) sinceRain(limit *prescription.SinceRain, strict bool) []bool {
	const never = math.MinInt32
	holds := make([]bool, len(s.days))
	certain, possible := never, never // numbers of the last such days
	rain := s.dayRains()
	for i := range s.days {
		number := int(s.days[i].number)
		depth, hours := rain[i].depth, rain[i].hours
		if strict && (i == 0 || int(s.days[i-1].number) != number-1) {
			possible = number - 1
		}
		if depth >= float64(limit.Depth)-1e-9 { // sums of decimals; see prescription.Range
			certain, possible = number, number
		} else if strict && hours < 24 {
			possible = number
		}
		least := number - max(certain, possible)
		most := number - certain
		holds[i] = (!limit.Days.HasMin || least >= limit.Days.Min) && (!limit.Days.HasMax || most <= limit.Days.Max)
	}
	return holds
}

// rainOf sums the depths of some hours and counts the hours that have one.
func rainOf(hours []weather.Hour) (depth float64, have int) {
	for j := range hours {
		if r, ok := hours[j].Rain(); ok {
			depth += float64(r)
			have++
		}
	}
	return depth, have
}
