package table

import (
	"fmt"

	"emberquilt/report/view"
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
	s := &Sheet{Name: "burn days to expect", Header: []string{"season", "usable_days", "mean", "median", "one_year_in_five_low", "rests_on"}}
	for _, d := range all {
		s.Rows = append(s.Rows, []any{d.Season, d.Usable, rounded(d.Mean, 2), rounded(d.Median, 2), rounded(d.Low, 2), d.Note})
	}
	return s
}

// Heat holds a row a week: the share of days on which each hour is in
// prescription, in percent.
func Heat(h *view.Heat) *Sheet {
	s := &Sheet{Name: "chance", Header: []string{"prescription", "week", "from", "candidate_days_pct"}}
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
	s := &Sheet{Name: "stations", Header: []string{"prescription", "station", "in_use", "first_on", "last_on", "known_days", "days_not_known", "candidate_days", "share_pct", "days_a_year", "hours", "rain_missing_pct"}}
	for month := range 12 {
		s.Header = append(s.Header, fmt.Sprintf("month_%02d_pct", month+1))
	}
	for _, t := range all {
		for _, r := range t.Rows {
			first, last := any(r.First), any(r.Last)
			if r.Typical {
				first, last = nil, nil
			}
			row := []any{t.Prescription, r.Station, r.InUse, first, last, r.KnownDays, r.MissingDays, r.CandidateDays, percent(r.Share), rounded(r.ExpectedInYear, 1), r.Hours, rounded(100*r.RainMissing, 1)}
			for _, share := range r.Months {
				row = append(row, percent(share))
			}
			s.Rows = append(s.Rows, row)
		}
	}
	return s
}
