package window

import (
	"fmt"
	"math"
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// What it takes to speak of poor years, and what is done without.
const (
	// YearsForLow is from how many years on a median and a poor year are given.
	YearsForLow = 5
	// DefaultReliability is by what the mean of fewer years is multiplied where
	// the user states nothing. Common practice, no source.
	DefaultReliability = quantity.Share(0.6)
	// LowOneIn: the poor year is the level at or below which one year in five
	// lies.
	LowOneIn = 5
	// knownForSeason is the share of a season's usable days that must be known
	// for the year to count.
	knownForSeason = 0.8
)

// BurnDays are the burn days that a season can be expected to give.
type BurnDays struct {
	// Usable counts the days of the season that the calendar allows.
	Usable int
	// Years holds each year of the record in which the season lies, in order.
	Years []SeasonYear
	// Counted counts the years that were known well enough.
	Counted int
	// Mean, Median and Low are over the counted years. Low is the poor year:
	// with Counted below YearsForLow it and Median are the mean times
	// Reliability instead, and HasYears is false.
	Mean, Median, Low float64
	HasYears          bool
	// Reliability is what the mean was multiplied by; 1 with enough years.
	Reliability quantity.Share
	// Typical says that all rests on one typical year.
	Typical bool
	// Note says in words what the figures rest on.
	Note string
}

// SeasonYear is the season as it fell in one year of the record.
type SeasonYear struct {
	// Year is that of the season's first day.
	Year int
	// Known counts the usable days that are known, Candidate those of them that
	// are candidate days.
	Known, Candidate int
	// Estimate is Candidate scaled to all usable days. Counted is false where
	// too few are known.
	Estimate float64
	Counted  bool
}

// BurnDays counts, in each year of the record, the candidate days among the
// season's usable days. The season's own calendar decides which days are usable,
// closures and weekends of its year included, and each of them is looked up by
// month and day in every year of the record. reliability 0 means
// DefaultReliability.
func (d *Days) BurnDays(season Season, reliability quantity.Share) *BurnDays {
	if reliability == 0 {
		reliability = DefaultReliability
	}
	b := &BurnDays{Reliability: 1, Typical: d.Series.record.Typical}
	var usable []date.Day
	for day := season.First; !day.After(season.Last); day = day.AddDays(1) {
		if season.IsUsable(day) {
			usable = append(usable, day)
		}
	}
	b.Usable = len(usable)
	if len(d.Days) == 0 || len(usable) == 0 {
		b.Note = "no day of the season is usable, or the record is empty"
		return b
	}
	d.seasonYears(b, season, usable)
	var estimates []float64
	for i := range b.Years {
		if b.Years[i].Counted {
			estimates = append(estimates, b.Years[i].Estimate)
			b.Mean += b.Years[i].Estimate
		}
	}
	if b.Counted = len(estimates); b.Counted == 0 {
		b.Note = "no year of the record knows enough of the season's days"
		return b
	}
	b.Mean /= float64(b.Counted)
	slices.Sort(estimates)
	b.HasYears = b.Counted >= YearsForLow
	if b.HasYears {
		n := b.Counted
		b.Median = (estimates[(n-1)/2] + estimates[n/2]) / 2
		b.Low = estimates[(n+LowOneIn-1)/LowOneIn-1]
		b.Note = fmt.Sprintf("%d years of record; the poor year is the level at or below which one year in five lies", n)
		return b
	}
	b.Reliability = reliability
	b.Median = b.Mean * float64(reliability)
	b.Low = b.Median
	b.Note = fmt.Sprintf("%d years of record are too few for a poor year: the mean of %.1f days times a reliability of %.2f",
		b.Counted, b.Mean, float64(reliability))
	if b.Typical {
		b.Note = fmt.Sprintf("one typical year says nothing about poor years: its %.1f days times a reliability of %.2f", b.Mean, float64(reliability))
	}
	return b
}

// seasonYears looks the usable days up in every year of the record.
func (d *Days) seasonYears(b *BurnDays, season Season, usable []date.Day) {
	first, last := d.Days[0].Date().Year, d.Days[len(d.Days)-1].Date().Year
	crosses := season.Last.Year - season.First.Year
	if d.Series.record.Typical {
		crosses = 0 // one year stands for all; its January follows its December
	} else {
		first -= crosses
	}
	for year := first; year <= last; year++ {
		y := SeasonYear{Year: year}
		for _, day := range usable {
			at := date.Day{Year: year, Month: day.Month, Dom: day.Dom}
			if crosses > 0 {
				at.Year += day.Year - season.First.Year
			}
			if of := d.on(at); of != nil && of.Known {
				y.Known++
				if of.Candidate {
					y.Candidate++
				}
			}
		}
		if y.Known == 0 {
			continue
		}
		y.Estimate = float64(y.Candidate) / float64(y.Known) * float64(len(usable))
		y.Counted = y.Known >= int(math.Ceil(knownForSeason*float64(len(usable))-1e-9))
		b.Years = append(b.Years, y)
	}
}

// on gives a day of the record; nil where it has none.
func (d *Days) on(day date.Day) *Day {
	at, found := slices.BinarySearchFunc(d.Days, day, func(a Day, b date.Day) int { return a.Date().Compare(b) })
	if !found {
		return nil
	}
	return &d.Days[at]
}
