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
	lit    []Labels // hours wholly between sunrise and sunset, for each day
}

type seriesDay struct {
	number     weather.Stamp
	date       date.Day
	from, upTo int // hours of the record
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

// Record gives the record that the series was made of.
func (s *Series) Record() *weather.Record { return s.record }

// daylight gives the hours between sunrise and sunset of each day.
func (s *Series) daylight() ([]Labels, error) {
	station := &s.record.Station
	if station.Place == nil || station.UTCOffset == nil {
		return nil, &source.Error{Position: source.Position{Field: "daylight_only"},
			Found:   "the record does not say where its station stands, or its UTC offset",
			Accepts: "a record with both, or both given beside it"}
	}
	s.sunny.Do(func() {
		s.lit = make([]Labels, len(s.days))
		for i := range s.days {
			sun := weather.Sun(s.days[i].date, *station.Place, *station.UTCOffset)
			for label := 1; label <= 24; label++ {
				if float64(label-1) >= float64(sun.Rise) && float64(label) <= float64(sun.Set) {
					s.lit[i] |= 1 << (label - 1)
				}
			}
		}
	})
	return s.lit, nil
}
