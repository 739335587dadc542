package window

import (
	"sync"

	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
)

// Series is a record cut into days, made once and evaluated against any number
// of prescriptions. It may be used by several goroutines.
type Series struct {
	record *weather.Record
	days   []seriesDay
	lacks  weather.Missing
	sunny  sync.Once
	lit    []Labels // hours wholly between sunrise and sunset, for each day and the one after
	rained sync.Once
	rain   []dayRain
}

type seriesDay struct {
	number     weather.Stamp
	date       date.Day
	from, upTo int // hours of the record
}

// dayRain is the depth of a day's rain, and how many of its hours have one.
type dayRain struct {
	depth float64
	hours int
}

// NewSeries cuts a record into days. The record is kept, and must not change.
func NewSeries(r *weather.Record) *Series {
	s := &Series{record: r, lacks: r.Missing(), days: make([]seriesDay, 0, len(r.Hours)/24+1)}
	for i := range r.Hours {
		number := r.Hours[i].At.DayNumber()
		if n := len(s.days); n > 0 && s.days[n-1].number == number {
			s.days[n-1].upTo = i + 1
			continue
		}
		s.days = append(s.days, seriesDay{number, r.Hours[i].At.Day(), i, i + 1})
	}
	return s
}

// hours gives the hours of a day of the record up to a label: of the next day too where
// that lies beyond 24.
func (s *Series) hours(i, upTo int) []weather.Hour {
	of := &s.days[i]
	if upTo > 24 && s.isFollowed(i) {
		return s.record.Hours[of.from:s.days[i+1].upTo]
	}
	return s.record.Hours[of.from:of.upTo]
}

// isFollowed reports whether the record holds the day after its day i.
func (s *Series) isFollowed(i int) bool {
	return i+1 < len(s.days) && s.days[i+1].number == s.days[i].number+1
}

// labelOn gives the label of an hour on a day: from 25 on for hours of the next day.
func (of *seriesDay) labelOn(h *weather.Hour) int { return int(h.At - of.number*24 + 1) }

// Record gives the record that the series was made of.
func (s *Series) Record() *weather.Record { return s.record }

// daylight gives the hours between sunrise and sunset of each day and of the one after.
func (s *Series) daylight() ([]Labels, error) {
	station := &s.record.Station
	if station.Place == nil || station.UTCOffset == nil {
		return nil, &source.Error{Position: source.Position{Field: "daylight_only"},
			Found:   "the record does not say where its station stands, or its UTC offset",
			Accepts: "a record with both, or both given beside it"}
	}
	s.sunny.Do(func() {
		s.lit = make([]Labels, len(s.days))
		lit := weather.NewLitHours(*station.Place, *station.UTCOffset)
		for i := range s.days {
			first, last := lit.On(s.days[i].date)
			for label := first; label <= last; label++ {
				s.lit[i] |= 1 << (label - 1)
			}
		}
		for i := range s.lit { // the next day has no night yet
			if s.isFollowed(i) {
				s.lit[i] |= s.lit[i+1] << 24
			}
		}
	})
	return s.lit, nil
}

// dayRains sums the rain of each day.
func (s *Series) dayRains() []dayRain {
	s.rained.Do(func() {
		s.rain = make([]dayRain, len(s.days))
		for i := range s.days {
			s.rain[i].depth, s.rain[i].hours = rainOf(s.record.Hours[s.days[i].from:s.days[i].upTo])
		}
	})
	return s.rain
}
