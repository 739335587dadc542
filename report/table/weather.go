package table

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// SeasonDays lists the burn days of seasons by year of the record.
func SeasonDays(all []view.SeasonDays) *Sheet {
	s := &Sheet{Name: "burn days", Header: []string{"season", "year", "usable_days", "known_days", "candidate_days", "burn_days", "counted"}}
	for i := range all {
		for _, y := range all[i].Years {
			s.Rows = append(s.Rows, []any{all[i].Season, y.Year, all[i].Usable, y.Known, y.Candidate, rounded(y.Days, 2), y.Counted})
		}
	}
	return s
}

// SeasonLevels holds a row a season: mean, median, poor year.
func SeasonLevels(all []view.SeasonDays) *Sheet {
	s := &Sheet{Name: "expected burn days", Header: []string{"season", "usable_days", "mean", "median", "one_year_in_five_low", "rests_on"}}
	for _, d := range all {
		s.Rows = append(s.Rows, []any{d.Season, d.Usable, rounded(d.Mean, 2), rounded(d.Median, 2), rounded(d.Low, 2), d.Note})
	}
	return s
}

// Heat holds a row a week: the share of days on which each hour is in
// prescription, in percent.
func Heat(h *view.Heat) *Sheet {
	s := &Sheet{Name: "chance", Header: []string{"prescription", "week", "from", "candidate_days_pct"}, keys: 4}
	for _, hour := range h.Hours {
		s.Header = append(s.Header, hour+"_pct")
	}
	for _, w := range h.Weeks {
		row := []any{h.Prescription, w.Week, w.From, percent(w.Candidate)}
		for _, share := range w.Shares {
			row = append(row, percent(share))
		}
		s.Rows = append(s.Rows, row)
	}
	return s
}

func percent(share *float64) any {
	if share == nil {
		return nil
	}
	return rounded(100**share, 1)
}

// Limits holds a row a limit.
func Limits(all []view.LimitTable) *Sheet {
	s := &Sheet{Name: "limits", Header: []string{"prescription", "limit", "as_it_stands", "days_lost_by_it_alone", "widened_by", "days_gained", "candidate_days", "known_days"}}
	for _, t := range all {
		for _, r := range t.Rows {
			var gained any
			if r.Gained != nil {
				gained = *r.Gained
			}
			s.Rows = append(s.Rows, []any{t.Prescription, r.Limit, r.States, r.Lost, r.Step, gained, t.Candidates, t.KnownDays})
		}
	}
	return s
}

// Stations holds a row a station and prescription.
func Stations(all []view.StationTable) *Sheet {
	s := StationCounts(all)
	for month := range 12 {
		s.Header = append(s.Header, fmt.Sprintf("month_%02d_pct", month+1))
	}
	for i, shares := range monthShares(all) {
		s.Rows[i] = append(s.Rows[i], shares...)
	}
	return s
}

// StationCounts is Stations without its months.
func StationCounts(all []view.StationTable) *Sheet {
	s := &Sheet{
		Name: "stations",
		Header: []string{
			"prescription",
			"station",
			"in_use",
			"first_on",
			"last_on",
			"known_days",
			"days_not_known",
			"candidate_days",
			"share_pct",
			"days_a_year",
			"hours",
			"rain_missing_pct",
		},
	}
	for _, t := range all {
		for _, r := range t.Rows {
			first, last := any(r.First), any(r.Last)
			if r.Typical {
				first, last = nil, nil
			}
			s.Rows = append(
				s.Rows,
				[]any{
					t.Prescription,
					r.Station,
					r.InUse,
					first,
					last,
					r.KnownDays,
					r.MissingDays,
					r.CandidateDays,
					percent(r.Share),
					rounded(r.ExpectedInYear, 1),
					r.Hours,
					rounded(100*r.RainMissing, 1),
				},
			)
		}
	}
	return s
}

// StationMonths holds the shares of the months alone.
func StationMonths(all []view.StationTable) *Sheet {
	s := &Sheet{Name: "stations by month", Header: []string{"prescription", "station"}, keys: 2}
	for month := range 12 {
		s.Header = append(s.Header, monthName(month))
	}
	shares := monthShares(all)
	for _, t := range all {
		for _, r := range t.Rows {
			s.Rows = append(s.Rows, append([]any{t.Prescription, r.Station}, shares[len(s.Rows)]...))
		}
	}
	return s
}

// monthName gives "Jan" for 0.
func monthName(month int) string { return time.Month(month + 1).String()[:3] }

// monthShares has a row for each of a table's rows.
func monthShares(all []view.StationTable) (rows [][]any) {
	for _, t := range all {
		for _, r := range t.Rows {
			var row []any
			for _, share := range r.Months {
				row = append(row, percent(share))
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// LoadedStations lists the records that are loaded.
func LoadedStations(all []view.LoadedStation) *Sheet {
	s := &Sheet{Name: "weather", Header: []string{"station", "in_use", "files", "formats", "hours", "typical_year", "warnings"}}
	for _, r := range all {
		s.Rows = append(s.Rows, []any{r.Station, r.InUse, strings.Join(r.Files, ", "), strings.Join(r.Formats, ", "), r.Hours, r.Typical, strings.Join(r.Warnings, "; ")})
	}
	return s
}

// MonthTallies counts a record by month, with a row for the year.
func MonthTallies(c *window.Counts) *Sheet {
	s := tallies("month")
	for month := range c.Months {
		s.Rows = append(s.Rows, tallyRow(monthName(month), c.Months[month]))
	}
	s.Rows = append(s.Rows, tallyRow("year", c.Year))
	return s
}

// YearTallies counts a record by calendar year.
func YearTallies(c *window.Counts) *Sheet {
	s := tallies("calendar_year")
	for _, y := range c.Years {
		s.Rows = append(s.Rows, tallyRow(strconv.Itoa(y.Year), y.Total))
	}
	return s
}

func tallies(first string) *Sheet {
	return &Sheet{Name: first, Header: []string{first, "known_days", "candidate_days", "share_pct", "hours"}}
}

func tallyRow(name string, t window.Tally) []any {
	var share any
	if s, ok := t.Share(); ok {
		share = rounded(100*float64(s), 1)
	}
	return []any{name, t.KnownDays, t.CandidateDays, share, t.Hours}
}
