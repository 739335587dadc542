package window

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strconv"

	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
)

// Tally counts days and hours of a month or of a year.
type Tally struct {
	// KnownDays counts the days that are known; the others are in no count.
	KnownDays int
	// CandidateDays counts the known days with a long enough run.
	CandidateDays int
	// Hours counts the counting hours of the known days, in a run or not.
	Hours int
}

// Share gives candidate days over known days; ok is false without known days.
func (t Tally) Share() (s quantity.Share, ok bool) {
	if t.KnownDays == 0 {
		return 0, false
	}
	return quantity.Share(float64(t.CandidateDays) / float64(t.KnownDays)), true
}

func (t *Tally) add(o Tally) {
	t.KnownDays += o.KnownDays
	t.CandidateDays += o.CandidateDays
	t.Hours += o.Hours
}

// Counts is the bare count of a record against a prescription.
type Counts struct {
	// Months holds January to December, pooled over the years; Year is their sum.
	Months [12]Tally
	Year   Tally
	// Years holds each calendar year of the record, in order, save for one at
	// either end that a file in UTC only touches. A typical year bears the number
	// weather.TypicalYear.
	Years []YearCounts
	// Span runs from the first to the last day of the record, UnknownDays counts
	// those of its days that are not known.
	Span        date.Span
	UnknownDays int
	// RainMissing is the share of hours without a depth of rain.
	RainMissing quantity.Share
	// DirectionMissing is the share of hours whose wind has a speed and no
	// direction that was reported; such hours fail where directions are limited.
	DirectionMissing quantity.Share
	// Typical says that the record is one typical year.
	Typical bool
	// Warnings are those of the days.
	Warnings []string
}

// YearCounts are the tallies of one calendar year.
type YearCounts struct {
	Year   int
	Months [12]Tally
	Total  Tally
}

// Count holds a record against a prescription and counts by month and year.
func Count(r *weather.Record, p *prescription.Prescription, o Options) (*Counts, error) {
	days, err := NewSeries(r).Evaluate(p, o)
	if err != nil {
		return nil, err
	}
	return days.Count(), nil
}

// Count counts the days by month and year.
func (d *Days) Count() *Counts {
	r := d.Series.record
	c := &Counts{Span: r.Span(), Typical: r.Typical, Warnings: d.Warnings}
	if lacks := d.Series.lacks; lacks.Hours > 0 {
		c.RainMissing = quantity.Share(float64(lacks.Rain) / float64(lacks.Hours))
		c.DirectionMissing = quantity.Share(float64(lacks.Direction) / float64(lacks.Hours))
	}
	known := 0
	for i := range d.Days {
		day := &d.Days[i]
		if n := len(c.Years); n == 0 || c.Years[n-1].Year != day.Date().Year {
			c.Years = append(c.Years, YearCounts{Year: day.Date().Year})
		}
		if !day.Known {
			continue
		}
		known++
		t := Tally{KnownDays: 1, Hours: day.Counting.Count()}
		if day.Candidate {
			t.CandidateDays = 1
		}
		year := &c.Years[len(c.Years)-1]
		year.Months[day.Date().Month-1].add(t)
		year.Total.add(t)
		c.Months[day.Date().Month-1].add(t)
		c.Year.add(t)
	}
	if len(d.Days) > 0 {
		c.UnknownDays = c.Span.Days() - known
	}
	c.Years = d.dropTouched(c.Years)
	return c
}

// dropTouched drops the first and the last year where the record has one day of
// it at most and does not know it: the evening before a UTC year begins.
func (d *Days) dropTouched(years []YearCounts) []YearCounts {
	n := len(d.Days)
	if n < 2 {
		return years
	}
	if len(years) > 1 && years[0].Total.KnownDays == 0 && d.Days[1].Date().Year != d.Days[0].Date().Year {
		years = years[1:]
	}
	if len(years) > 1 && years[len(years)-1].Total.KnownDays == 0 && d.Days[n-2].Date().Year != d.Days[n-1].Date().Year {
		years = years[:len(years)-1]
	}
	return years
}

// WriteCSV writes the header month,known_days,candidate_days,hours, the months
// 1 to 12 pooled over the years, and a row for the year.
func (c *Counts) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	row := func(name string, t Tally) {
		out.Write([]string{name, strconv.Itoa(t.KnownDays), strconv.Itoa(t.CandidateDays), strconv.Itoa(t.Hours)})
	}
	out.Write([]string{"month", "known_days", "candidate_days", "hours"})
	for i, t := range c.Months {
		row(strconv.Itoa(i+1), t)
	}
	row("year", c.Year)
	out.Flush()
	return out.Error()
}

// MarshalJSON gives the counts with their shares, in a fixed order.
func (c *Counts) MarshalJSON() ([]byte, error) {
	type tally struct {
		Month         int      `json:"month,omitempty"`
		KnownDays     int      `json:"known_days"`
		CandidateDays int      `json:"candidate_days"`
		Share         *float64 `json:"share"`
		Hours         int      `json:"hours"`
	}
	of := func(month int, t Tally) tally {
		out := tally{month, t.KnownDays, t.CandidateDays, nil, t.Hours}
		if s, ok := t.Share(); ok {
			share := float64(s)
			out.Share = &share
		}
		return out
	}
	months := func(all [12]Tally) []tally {
		out := make([]tally, 12)
		for i, t := range all {
			out[i] = of(i+1, t)
		}
		return out
	}
	type year struct {
		Year   string  `json:"year"`
		Months []tally `json:"months"`
		Total  tally   `json:"total"`
	}
	years := make([]year, len(c.Years))
	for i, y := range c.Years {
		name := strconv.Itoa(y.Year)
		if c.Typical {
			name = "typical"
		}
		years[i] = year{name, months(y.Months), of(0, y.Total)}
	}
	return json.Marshal(struct {
		Months           []tally        `json:"months"`
		Year             tally          `json:"year"`
		Years            []year         `json:"years"`
		First            date.Day       `json:"first_on"`
		Last             date.Day       `json:"last_on"`
		UnknownDays      int            `json:"unknown_days"`
		RainMissing      quantity.Share `json:"rain_missing_share"`
		DirectionMissing quantity.Share `json:"direction_missing_share"`
		Typical          bool           `json:"typical_year"`
		Warnings         []string       `json:"warnings"`
		Caution          string         `json:"caution"`
	}{months(c.Months), of(0, c.Year), years, c.Span.First, c.Span.Last, c.UnknownDays, c.RainMissing, c.DirectionMissing, c.Typical,
		append([]string{}, c.Warnings...), Caution})
}

// MissingLine says in one line what the record lacks, for every output that
// shows a count.
func (c *Counts) MissingLine() string {
	days := max(c.Span.Days(), 1)
	return fmt.Sprintf("%.1f percent of %d days are not known and in no count; %.1f percent of the hours have no depth of rain",
		100*float64(c.UnknownDays)/float64(days), c.Span.Days(), 100*float64(c.RainMissing))
}
