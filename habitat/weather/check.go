package weather

import (
	"fmt"
	"math"
	"slices"

	"emberquilt/habitat/source"
)

// Bounds of what is plausible over a whole record; beyond them a warning is
// given, nothing is refused. Common practice, no source: open stations in the
// United States have median winds of 4 to 12 mph at 10 m.
const (
	calmestMedian, windiestMedian = 2.0, 15.0 // mph
	fewestForCheck                = 24 * 20   // hours
)

// check adds a warning for whatever looks odd about the record as a whole.
func (r *Record) check() {
	r.checkFiles()
	r.checkClock()
	r.checkOffset()
	r.checkReadings()
	r.checkWind()
	r.checkGaps()
	r.checkTypicalYear()
	if share := r.RainMissing(); share > DryByDefault {
		r.warn("%.1f percent of the hours have no depth of precipitation; they count as dry unless the strict rule is asked for", 100*float64(share))
	}
	if r.Typical {
		r.warn("one typical year, put together from months of several: it says nothing about poor years")
	}
}

func (r *Record) checkFiles() {
	for i := range r.Sources {
		s := &r.Sources[i]
		if s.BadLines > 0 {
			r.warn("%s: %d of %d lines could not be read whole", s.File, s.BadLines, s.Lines)
		}
		if s.Kept > 0 && s.Overlaps == s.Kept {
			r.warn("%s: holds nothing that the files before it do not hold (%d of its hours differ); is it there twice?", s.File, s.Differing)
		} else if s.Overlaps > 0 {
			r.warn("%s: %d of its hours are in a file before it, which is kept; %d of them differ", s.File, s.Overlaps, s.Differing)
		}
	}
}

// checkClock looks at the mean temperature of each hour of the day. The warmest
// is in the afternoon wherever the sun shines; where noon is colder than
// midnight, the time zone is wrong.
func (r *Record) checkClock() {
	var sum, count [25]float64
	for i := range r.Hours {
		if t, ok := r.Hours[i].Temperature(); ok {
			label := r.Hours[i].At.Label()
			sum[label] += float64(t)
			count[label]++
		}
	}
	noon, midnight := mean(sum[12]+sum[13], count[12]+count[13]), mean(sum[24]+sum[1], count[24]+count[1])
	if count[12]+count[13] < 40 || count[24]+count[1] < 40 {
		return
	}
	if noon < midnight {
		r.warn("noon is colder than midnight on average (%.1f against %.1f °F): the UTC offset or the station's clock is wrong", noon, midnight)
		return
	}
	warmest := 1
	for label := 2; label <= 24; label++ {
		if mean(sum[label], count[label]) > mean(sum[warmest], count[warmest]) {
			warmest = label
		}
	}
	if warmest < 11 || warmest > 20 {
		r.warn("the warmest hour is that ending at %d:00 on average: the UTC offset or the station's clock may be wrong", warmest)
	}
}

func mean(sum, count float64) float64 {
	if count == 0 {
		return math.Inf(-1)
	}
	return sum / count
}

func (r *Record) checkWind() {
	speeds := make([]float64, 0, len(r.Hours))
	for i := range r.Hours {
		if v, ok := r.Hours[i].Wind(); ok {
			speeds = append(speeds, float64(v))
		}
	}
	if len(speeds) < fewestForCheck {
		return
	}
	slices.Sort(speeds)
	if median := speeds[len(speeds)/2]; median < calmestMedian || median > windiestMedian {
		r.warn("the median wind is %.1f mph: the unit may be wrong, or the station is sheltered or very exposed", median)
	}
}

// checkGaps names years without a reading and an end in the middle of a day.
func (r *Record) checkGaps() {
	if len(r.Hours) == 0 {
		return
	}
	longest, from := Stamp(0), 0
	for i := 1; i < len(r.Hours); i++ {
		if gap := r.Hours[i].At - r.Hours[i-1].At - 1; gap > longest {
			longest, from = gap, i
		}
	}
	if days := longest / 24; days >= 28 {
		r.warn("%d days without a reading, from %s to %s", days, r.Hours[from-1].At.Day(), r.Hours[from].At.Day())
	}
	years := r.yearsWithoutReading()
	if len(years) > 0 {
		r.warn("no reading at all in %s", joinYears(years))
	}
	last := r.Hours[len(r.Hours)-1].At
	if last.Label() < 18 && !r.endsWithUTCDay(last) {
		r.warn("the record ends on %s at %d:00, in the middle of a day", last.Day(), last.Label())
	}
}

// endsWithUTCDay reports that a file in UTC ends at the end of a day there, as
// files of one year do.
func (r *Record) endsWithUTCDay(last Stamp) bool {
	format := r.Sources[len(r.Sources)-1].Format
	if r.Station.UTCOffset == nil || format != ISDLite && format != ISD && format != GlobalHourly {
		return false
	}
	return (last - Stamp(math.Round(float64(*r.Station.UTCOffset)))).Label() >= 23
}

func (r *Record) yearsWithoutReading() []int {
	has := make(map[int]bool)
	for i := 0; i < len(r.Hours); i += 12 {
		has[r.Hours[i].At.Day().Year] = true
	}
	s := r.Span()
	var none []int
	for y := s.First.Year; y <= s.Last.Year; y++ {
		if !has[y] && y > s.First.Year && y < s.Last.Year {
			none = append(none, y)
		}
	}
	return none
}

func joinYears(years []int) string {
	text := ""
	for i, y := range years {
		if i > 0 {
			text += ", "
		}
		if i == 10 {
			return text + fmt.Sprintf("and %d more years", len(years)-10)
		}
		text += fmt.Sprint(y)
	}
	return text
}

// Complaints gives the bad lines of all files that were kept as examples, as
// one list for printing; nil where there are none.
func (r *Record) Complaints() *source.List {
	var list source.List
	for i := range r.Sources {
		for _, e := range r.Sources[i].Bad {
			list.Add(e)
		}
	}
	if list.Len() == 0 {
		return nil
	}
	return &list
}
