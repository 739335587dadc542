package weather

import (
	"slices"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// Record is what one station reported, hour by hour.
type Record struct {
	Station Station
	// Typical says that the record is one synthetic year, put together from
	// months of different years. Its days bear a year that means nothing
	// (TypicalYear), and it says nothing about poor years.
	Typical bool
	// Hours are in order of time, at most one for each stamp; an hour that
	// nobody reported is absent.
	Hours []Hour
	// Sources says of each file what was read, in the order given.
	Sources []Source
	// Warnings says in plain words what is odd about the record.
	Warnings []string
}

// TypicalYear is the calendar year that the days of a typical year bear;
// TypicalLeapYear where it has a 29 February.
const (
	TypicalYear     = 2001
	TypicalLeapYear = 2000
)

// Station says where a record is from. What a file does not say is unknown.
type Station struct {
	// ID and Name are as the file writes them, or empty.
	ID, Name string
	// Place is nil where the position is unknown.
	Place *Place
	// UTCOffset is local standard time minus UTC; nil where it is unknown.
	UTCOffset *quantity.Hours
}

// Source is the account of one file.
type Source struct {
	// File is the file's name, with the member where it is a zip file.
	File string
	// Format is what the content was recognized as, Packed "gzip", "zip" or empty.
	Format Format
	Packed string
	// Lines counts the data lines, Kept the hours taken from them.
	Lines, Kept int
	// Duplicates counts records for an hour that the file had already given;
	// Overlaps those for an hour that a file before it had given, and Differing
	// those of them that said something else. The first is kept each time.
	Duplicates, Overlaps, Differing int
	// OtherReports counts reports that are not hourly ones: specials, summaries.
	OtherReports int
	// Suspect counts values that the file itself marks as suspect or erroneous;
	// they are taken as not reported, except rain above zero, which stays rain.
	Suspect int
	// BadLines counts lines that could not be read whole; Bad holds the first.
	BadLines int
	Bad      []*source.Error
	// Notes says in plain words how the file was read.
	Notes []string
	// First and Last are the hours the file begins and ends with, by time.
	First, Last Stamp
	// SourceYears are the first and last calendar year that a typical year was
	// put together from; 0 where the record is not a typical year.
	SourceYears [2]int
}

// Span gives the days from the first to the last hour of the record.
func (r *Record) Span() date.Span {
	if len(r.Hours) == 0 {
		return date.Span{}
	}
	return date.Span{First: r.Hours[0].At.Day(), Last: r.Hours[len(r.Hours)-1].At.Day()}
}

// Years counts the calendar years of which the record holds at least half the
// days, the first and the last year by the days up to its edges. A typical year
// counts as one.
func (r *Record) Years() int {
	days := make(map[int]int)
	var before Stamp = -1 << 30
	for i := range r.Hours {
		if n := r.Hours[i].At.DayNumber(); n != before {
			before = n
			days[r.Hours[i].At.Day().Year]++
		}
	}
	years := 0
	for _, n := range days {
		if n >= 183 {
			years++
		}
	}
	return years
}

// Missing counts, over the hours that were reported at all, those without a
// reading.
type Missing struct {
	Hours, Temperature, Humidity, Wind, Direction, Rain int
	// Gust counts the hours without one: stations report gusts of gusty hours alone.
	Gust int
	// MixingHeight, TransportWind and TransportFrom count the hours without those.
	MixingHeight, TransportWind, TransportFrom int
}

// Missing counts what the record's hours lack. A calm or variable wind does not
// lack its direction.
func (r *Record) Missing() Missing {
	m := Missing{Hours: len(r.Hours)}
	lacks := func(h *Hour, f field) int {
		if h.known&f == 0 {
			return 1
		}
		return 0
	}
	for i := range r.Hours {
		h := &r.Hours[i]
		m.Temperature += lacks(h, hasTemperature)
		m.Humidity += lacks(h, hasHumidity)
		m.Wind += lacks(h, hasWind)
		m.Direction += lacks(h, hasDirection|isUnsteady)
		m.Rain += lacks(h, hasRain)
		m.Gust += lacks(h, hasGust)
		m.MixingHeight += lacks(h, hasMixing)
		m.TransportWind += lacks(h, hasTransport)
		m.TransportFrom += lacks(h, hasTransportFrom)
	}
	return m
}

// DryByDefault is the share of hours without a depth of rain above which every
// output warns.
const DryByDefault = quantity.Share(0.10)

// RainMissing gives the share of the reported hours that have no depth of rain;
// such hours count as dry unless the strict rule is asked for.
func (r *Record) RainMissing() quantity.Share {
	if len(r.Hours) == 0 {
		return 0
	}
	return quantity.Share(float64(r.Missing().Rain) / float64(len(r.Hours)))
}

// settle puts the hours in order, keeps the first of each stamp in file order,
// and gives every hour the rain that is its own. It returns the hours and how
// many repeated one.
func settle(hours []Hour) (kept []Hour, duplicates int) {
	byTime := func(a, b Hour) int { return int(a.At) - int(b.At) }
	if !slices.IsSortedFunc(hours, byTime) {
		slices.SortStableFunc(hours, byTime)
	}
	kept = slices.CompactFunc(hours, func(a, b Hour) bool { return a.At == b.At })
	duplicates = len(hours) - len(kept)
	for i := range kept {
		if kept[i].rainHours > 1 {
			settleSum(kept, i)
		}
	}
	return kept, duplicates
}

// settleSum splits a depth that hour i reports for several hours up to itself.
// Hours before it with a depth of their own keep it, and the rest is booked to
// hour i; those without one are wet where the sum is above zero.
func settleSum(hours []Hour, i int) {
	sum := &hours[i]
	first := sum.At - Stamp(sum.rainHours) + 1
	for j := i - 1; j >= 0 && hours[j].At >= first; j-- {
		switch own := &hours[j]; {
		case own.known&hasRain != 0:
			sum.rain -= own.rain
		case sum.known&isWet != 0:
			own.known |= isWet
		}
	}
	sum.rain = max(sum.rain, 0)
	sum.rainHours = 1
}
