package weather

import (
	"fmt"
	"slices"

	"emberquilt/habitat/source"
)

// join makes one record of the files of one station, in the order given. It
// refuses files of different stations and typical years beside other files.
func join(parts []*gather, options *Options) (*Record, error) {
	if len(parts) == 0 {
		return nil, &source.Error{Found: "no weather file was named", Accepts: "one file or more"}
	}
	r := &Record{}
	for _, g := range parts {
		if err := r.meet(g, parts[0]); err != nil {
			return nil, err
		}
	}
	r.Typical = parts[0].typical
	for _, g := range parts {
		g.checkDewPoint()
		g.checkClocks()
		for _, doubt := range g.doubts {
			r.warn("%s: %s", g.about.File, doubt)
		}
	}
	sorted := parts[0].hours
	if len(parts) > 1 {
		sorted = joined(parts)
	}
	for _, g := range parts {
		r.Sources = append(r.Sources, *g.about)
	}
	r.Hours = sorted
	if slices.ContainsFunc(parts, func(g *gather) bool { return g.invented }) {
		r.warn("the file says that its weather is invented: nobody measured it")
	}
	r.complete(options)
	r.check()
	return r, nil
}

// meet takes what a file says of its station, and refuses a file that does not
// go with the first one.
func (r *Record) meet(g, first *gather) error {
	at := source.Position{File: g.about.File}
	if g != first && (g.typical || first.typical) {
		return &source.Error{Position: at, Found: "is joined with " + source.Quote(first.about.File) + ", and one of them is a typical year",
			Accepts: "a typical year alone, or years that were measured"}
	}
	s := &r.Station
	if s.ID != "" && g.station.ID != "" && s.ID != g.station.ID {
		return &source.Error{Position: at, Found: "is of station " + source.Quote(g.station.ID) + ", the files before it of " + source.Quote(s.ID),
			Accepts: "files of one station; two stations are set side by side, not mixed"}
	}
	if s.ID == "" {
		s.ID = g.station.ID
	}
	if s.Name == "" {
		s.Name = g.station.Name
	}
	if s.Place == nil {
		s.Place = g.station.Place
	}
	if g.station.UTCOffset != nil {
		if s.UTCOffset != nil && *s.UTCOffset != *g.station.UTCOffset {
			return &source.Error{Position: at, Found: fmt.Sprintf("has the UTC offset %v, the files before it %v", *g.station.UTCOffset, *s.UTCOffset),
				Accepts: "files of one station"}
		}
		s.UTCOffset = g.station.UTCOffset
	}
	return nil
}

// joined gives the hours of all files in order, and lets go of those of each. Files that
// follow one another, as years do, are put end to end.
func joined(parts []*gather) []Hour {
	n := 0
	for _, g := range parts {
		n += len(g.hours)
	}
	all := make([]Hour, 0, n)
	for _, g := range parts {
		if len(all) == 0 || all[len(all)-1].At < g.hours[0].At {
			all = append(all, g.hours...)
		} else {
			all = merge(all, g)
		}
		g.hours = nil
	}
	return all
}

// merge joins two ordered runs of hours; where both have an hour the first
// file's is kept, and the second file's account says so.
func merge(first []Hour, g *gather) []Hour {
	merged := make([]Hour, 0, len(first)+len(g.hours))
	i, j := 0, 0
	for i < len(first) || j < len(g.hours) {
		switch {
		case j == len(g.hours) || i < len(first) && first[i].At < g.hours[j].At:
			merged = append(merged, first[i])
			i++
		case i == len(first) || g.hours[j].At < first[i].At:
			merged = append(merged, g.hours[j])
			j++
		default:
			g.about.Overlaps++
			if first[i] != g.hours[j] {
				g.about.Differing++
			}
			merged = append(merged, first[i])
			i++
			j++
		}
	}
	return slices.Clip(merged)
}

// complete fills in what the files left open from the options, and warns where
// they contradict each other; the file wins, since it knows its own clock.
func (r *Record) complete(options *Options) {
	s := &r.Station
	switch {
	case s.UTCOffset == nil:
		s.UTCOffset = options.UTCOffset
	case options.UTCOffset != nil && *options.UTCOffset != *s.UTCOffset:
		r.warn("the UTC offset %s was given, but the file says %s; the file's is used",
			formatFloat(float64(*options.UTCOffset)), formatFloat(float64(*s.UTCOffset)))
	}
	if options.Place != nil {
		s.Place = options.Place
	}
}

func (r *Record) warn(format string, args ...any) {
	r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...))
}
