package rehearsal

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
	"emberquilt/schedule/window"
)

// MinYears is how many years a record must know well enough to be drawn from.
const MinYears = window.YearsForLow

// knownShare is the share of a season's days that a record year must know.
const knownShare = 0.8

// Record is what the weather record says: for each of its usable program years
// the days on which each unit is in prescription in each season.
type Record struct {
	// Years are the program years of the record that are drawn from, in order.
	Years []date.ProgramYear
	// Candidates holds for each of Years, unit and season the candidate days of
	// the season: Candidates[year][unit][season].
	Candidates [][][]DaySet
	// LeftOut lists the years that the record does not know well enough.
	LeftOut []LeftOut
	// Basis says whose weather it is.
	Basis string
}

// LeftOut is a program year of the record that is not drawn from.
type LeftOut struct {
	Year date.ProgramYear
	// Season is the season of which too few days are known, Known their share.
	Season string
	Known  float64
}

// NewRecord looks up the candidate days of each unit and season in every program
// year of the record. days holds the evaluations, days[unit][season], nil where
// the unit never burns in the season or no wind suits it; spans gives the days of a
// season in a program year.
//
// A program year is left out where fewer than four days in five of a season of
// use are known; a day that is not known is not a candidate day. 29 February is
// as 28 February in years without it. The error is that of a record with fewer
// than MinYears usable years.
func NewRecord(days [][]*window.Days, seasons []string, spans func(season int, year date.ProgramYear) date.Span) (*Record, error) {
	first, last, basis, any := extent(days)
	if !any {
		return nil, &source.Error{
			Found:   "no unit has a prescription that the weather record can be held against",
			Accepts: "a prescription for the units and seasons that are rehearsed",
		}
	}
	r := &Record{Basis: basis}
	// A program year ends in the calendar year of its name; the first day of a
	// season may lie in the one before.
	for year := date.ProgramYear(first); year <= date.ProgramYear(last)+1; year++ {
		candidates, worst, share, touched := yearOf(days, year, spans)
		switch {
		case !touched:
		case share < knownShare:
			r.LeftOut = append(r.LeftOut, LeftOut{year, seasons[worst], share})
		default:
			r.Years = append(r.Years, year)
			r.Candidates = append(r.Candidates, candidates)
		}
	}
	if len(r.Years) < MinYears {
		out := ""
		if len(r.LeftOut) > 0 {
			out = "; left out are " + r.LeftOutWords()
		}
		return nil, &source.Error{Found: fmt.Sprintf("the weather record has %d usable program years%s", len(r.Years), out),
			Accepts: fmt.Sprintf("%d program years or more, each with four days in five known in every season of use", MinYears)}
	}
	return r, nil
}

// LeftOutWords lists the years that are left out, with their reasons.
func (r *Record) LeftOutWords() string {
	var words []string
	for _, l := range r.LeftOut {
		words = append(words, fmt.Sprintf("%d (%.0f%% of %s known)", l.Year, 100*l.Known, l.Season))
	}
	return strings.Join(words, ", ")
}

// extent gives the calendar years of the evaluations.
func extent(days [][]*window.Days) (first, last int, basis string, any bool) {
	for _, own := range days {
		for _, d := range own {
			if d != nil && len(d.Days) > 0 {
				return d.Days[0].Date().Year, d.Days[len(d.Days)-1].Date().Year, d.Basis(), true
			}
		}
	}
	return 0, 0, "", false
}

// yearOf gives the candidate days of one program year, the season of which the
// least is known, and that share. touched is false where the record holds no day
// of any season of use.
func yearOf(days [][]*window.Days, year date.ProgramYear, spans func(int, date.ProgramYear) date.Span) (candidates [][]DaySet, worst int, share float64, touched bool) {
	// Units often share an evaluation.
	type key struct {
		days   *window.Days
		season int
	}
	seen := map[key]DaySet{}
	share = 2
	candidates = make([][]DaySet, len(days))
	for i, own := range days {
		candidates[i] = make([]DaySet, len(own))
		for s, d := range own {
			if d == nil {
				continue
			}
			set, ok := seen[key{d, s}]
			if !ok {
				var known, all int
				set, known, all = daysIn(d, spans(s, year))
				if touched = touched || known > 0; float64(known)/float64(max(1, all)) < share {
					worst, share = s, float64(known)/float64(max(1, all))
				}
				seen[key{d, s}] = set
			}
			candidates[i][s] = set
		}
	}
	return candidates, worst, share, touched
}

// daysIn gives the candidate days of a span, and how many of its days are known.
func daysIn(d *window.Days, span date.Span) (set DaySet, known, all int) {
	at, _ := slices.BinarySearchFunc(d.Days, span.First, func(a window.Day, b date.Day) int { return a.Date().Compare(b) })
	all = span.Days()
	leap := date.Day{Year: 2028, Month: 2, Dom: 29}
	for ; at < len(d.Days) && !d.Days[at].Date().After(span.Last); at++ {
		day := &d.Days[at]
		if !day.Known {
			continue
		}
		known++
		if !day.Candidate {
			continue
		}
		set.Add(day.Date())
		if day.Date().Month == 2 && day.Date().Dom == 28 && day.Date().AddDays(1).Month == 3 {
			set.Add(leap)
		}
	}
	return set, known, all
}

// Calendar says which days of the coming years may be burned on.
type Calendar struct {
	// First holds the first day of each season in each rehearsed year:
	// First[year][season].
	First [][]date.Day
	// Usable holds the usable days of each unit: Usable[year][season][unit].
	Usable [][][]DaySet
}
