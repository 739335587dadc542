package window

import (
	"slices"

	"emberquilt/habitat/prescription"
	"emberquilt/habitat/weather"
)

// AnyOf gives the days on which at least one of several evaluations of one
// series has a candidate day: what a crew can burn at all. It panics where they
// are of different series.
func AnyOf(all ...*Days) *Days {
	if len(all) == 0 {
		return &Days{Series: NewSeries(&weather.Record{}), MinHours: 1}
	}
	out := &Days{
		Series:      all[0].Series,
		MinHours:    all[0].MinHours,
		IsOvernight: all[0].IsOvernight,
		Zone:        all[0].Zone,
		Days:        slices.Clone(all[0].Days),
		Warnings:    slices.Clone(all[0].Warnings),
	}
	for _, d := range all[1:] {
		if d.Series != out.Series {
			panic("window: AnyOf of different series")
		}
		out.MinHours = min(out.MinHours, d.MinHours)
		out.IsOvernight = out.IsOvernight && d.IsOvernight
		for _, w := range d.Warnings {
			if !slices.Contains(out.Warnings, w) {
				out.Warnings = append(out.Warnings, w)
			}
		}
		for i := range d.Days {
			out.Days[i].Known = out.Days[i].Known || d.Days[i].Known
			out.Days[i].Candidate = out.Days[i].Candidate || d.Days[i].Candidate
			out.Days[i].Counting |= d.Days[i].Counting
		}
	}
	return out
}

// StationCounts are the counts of one station, for standing beside others.
type StationCounts struct {
	Station weather.Station
	Files   []string
	Counts  *Counts
	// Expected is the sum of the chances over all days of the year.
	Expected float64
}

// BesideEachOther counts each record against one prescription, in the order
// given, and mixes nothing: the user chooses.
func BesideEachOther(records []*weather.Record, p *prescription.Prescription, o Options) ([]StationCounts, error) {
	out := make([]StationCounts, 0, len(records))
	for _, r := range records {
		d, err := NewSeries(r).Evaluate(p, o)
		if err != nil {
			return nil, err
		}
		one := StationCounts{Station: r.Station, Counts: d.Count()}
		for i := range r.Sources {
			one.Files = append(one.Files, r.Sources[i].File)
		}
		c := d.Chances()
		for slot := range c.pooled {
			if share, ok := c.pooled[slot].Share(); ok {
				one.Expected += float64(share)
			}
		}
		out = append(out, one)
	}
	return out, nil
}
