package view

import (
	"fmt"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/whatif"
	"emberquilt/schedule/window"
)

// Weather is what the record in use says of a property: burn days of its
// seasons over the years, and of each prescription the chance by week and hour
// and what its limits cost.
type Weather struct {
	// Basis names station and years.
	Basis   string       `json:"basis"`
	Seasons []SeasonDays `json:"seasons"`
	Heats   []Heat       `json:"chance_by_week_and_hour"`
	Costs   []LimitTable `json:"limits"`
	// Stations is empty where one record alone is loaded.
	Stations []StationTable `json:"stations"`
	// Springs says what other burn days would cost; empty where none were asked.
	Springs  []Spring `json:"springs"`
	Warnings []string `json:"weather_warnings"`
	Cautions []string `json:"cautions"`
}

// SeasonDays are the burn days of one season over the years of the record.
type SeasonDays struct {
	Season string           `json:"season"`
	Year   date.ProgramYear `json:"program_year"`
	// Usable counts the days that the calendar allows.
	Usable int       `json:"usable_days"`
	Years  []YearDay `json:"years"`
	Mean   float64   `json:"mean"`
	Median float64   `json:"median"`
	Low    float64   `json:"one_year_in_five_low"`
	// HasYears is false where too few years were counted; Median and Low are then
	// the mean times Reliability.
	HasYears    bool    `json:"has_years_enough"`
	Reliability float64 `json:"reliability"`
	Note        string  `json:"note"`
}

// YearDay is a season in one year of the record.
type YearDay struct {
	Year      int `json:"year"`
	Known     int `json:"known_usable_days"`
	Candidate int `json:"candidate_days"`
	// Days is Candidate scaled to all usable days.
	Days    float64 `json:"burn_days"`
	Counted bool    `json:"counted"`
}

// NewSeasonDays lays burn days out.
func NewSeasonDays(season string, year date.ProgramYear, b *window.BurnDays) SeasonDays {
	s := SeasonDays{Season: season, Year: year, Usable: b.Usable, Mean: b.Mean, Median: b.Median, Low: b.Low, HasYears: b.HasYears,
		Reliability: float64(b.Reliability), Note: b.Note, Years: []YearDay{}}
	for _, y := range b.Years {
		s.Years = append(s.Years, YearDay{y.Year, y.Known, y.Candidate, y.Estimate, y.Counted})
	}
	return s
}

// Heat is the share of known days on which each hour is in prescription, by
// week.
type Heat struct {
	Prescription string `json:"prescription"`
	// Hours are the burn hours, by the clock time at which they begin.
	Hours []string   `json:"hours"`
	Weeks []HeatWeek `json:"weeks"`
}

// HeatWeek is one week of the year.
type HeatWeek struct {
	Week int `json:"week"`
	// From is its first day, as "8 Jan".
	From string `json:"from"`
	// Candidate and Shares are nil where the record knows no day of the week;
	// Shares has one entry an hour.
	Candidate *float64   `json:"candidate_share"`
	Shares    []*float64 `json:"hour_shares"`
}

// NewHeat lays the weeks out: those that the seasons of the property touch, in
// the order of the program year, or all of them where p is nil.
func NewHeat(limits *prescription.Prescription, days *window.Days, p *habitat.Property) Heat {
	h := Heat{Prescription: limits.Name}
	first, last := limits.BurnHours.Labels()
	if midsummer := date.MustDay(2026, time.July, 1); limits.HoursAre != prescription.ClockTime && window.ClockShift(days.Zone, nil, midsummer) > 0 {
		last++ // hours are shown by the clock
	}
	last = min(last, first+23)
	if !limits.BurnHours.IsOvernight() {
		last = min(24, last)
	}
	for label := first; label <= last; label++ {
		h.Hours = append(h.Hours, fmt.Sprintf("%02d:00", (label-1)%24))
	}
	heat := days.Heat()
	for _, week := range weeksOf(p) {
		row := HeatWeek{Week: week + 1, From: weekFrom(week), Candidate: shareKnown(heat.Candidate[week])}
		for label := first; label <= last; label++ {
			row.Shares = append(row.Shares, shareKnown(heat.Share[week][(label-1)%24]))
		}
		h.Weeks = append(h.Weeks, row)
	}
	return h
}

func shareKnown(share float64) *float64 {
	if share < 0 {
		return nil
	}
	return &share
}

// weekFrom names the first day of a week, counted from 1 January in a leap year,
// as the record's weeks are.
func weekFrom(week int) string {
	return time.Date(2024, time.January, 1+7*week, 0, 0, 0, 0, time.UTC).Format("Jan 2")
}

// weeksOf gives the weeks that the seasons touch.
func weeksOf(p *habitat.Property) []int {
	var weeks []int
	seen := map[int]bool{}
	add := func(week int) {
		if !seen[week] {
			seen[week] = true
			weeks = append(weeks, week)
		}
	}
	if p == nil || len(p.Seasons) == 0 {
		for week := range 53 {
			add(week)
		}
		return weeks
	}
	for season := range p.Seasons {
		span := p.SeasonSpan(season, 2025)
		for day := span.First; !day.After(span.Last); day = day.AddDays(1) {
			at := time.Date(2024, day.Month, day.Dom, 0, 0, 0, 0, time.UTC)
			add((at.YearDay() - 1) / 7)
		}
	}
	return weeks
}

// LimitTable says what each limit of a prescription costs in candidate days.
type LimitTable struct {
	Prescription string `json:"prescription"`
	// Basis names the record; Candidates counts its candidate days, KnownDays
	// those that are known.
	Basis      string     `json:"basis"`
	Candidates int        `json:"candidate_days"`
	KnownDays  int        `json:"known_days"`
	Rows       []LimitRow `json:"limits"`
	Note       string     `json:"note"`
	Warnings   []string   `json:"weather_warnings"`
}

// LimitRow is one limit.
type LimitRow struct {
	Limit  string `json:"limit"`
	States string `json:"as_it_stands"`
	// Lost counts the days that this limit alone keeps from being candidates.
	Lost int `json:"days_lost_by_it_alone"`
	// Step is how it was widened, empty where it cannot be; Gained what that
	// adds.
	Step   string `json:"widened_by,omitempty"`
	Gained *int   `json:"days_gained"`
}

// LimitNote stands beside every table of limits.
const LimitNote = "This informs and advises nothing: each limit is there for a reason that no count of days knows. The written plan and whoever signed it decide."

// NewLimitTable lays the costs out.
func NewLimitTable(limits *prescription.Prescription, days *window.Days, costs []window.Cost) LimitTable {
	counts := days.Count()
	t := LimitTable{Prescription: limits.Name, Basis: days.Basis(), Candidates: counts.Year.CandidateDays, KnownDays: counts.Year.KnownDays,
		Rows: []LimitRow{}, Note: LimitNote, Warnings: append([]string{}, days.Warnings...)}
	for _, c := range costs {
		row := LimitRow{Limit: limitWords(c.Limit), States: c.States, Lost: c.Lost, Step: c.Step}
		if c.Step != "" {
			gained := c.Gained
			row.Gained = &gained
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// limitWords names a key of a prescription file for a reader.
func limitWords(key string) string {
	words := map[string]string{"temp_f": "air temperature", "rh_pct": "relative humidity", "wind_mph": "wind speed", "wind_from_deg": "wind direction",
		"gust_mph": "gusts", "mixing_height_ft": "mixing height", "transport_wind_mph": "transport wind", "transport_from_deg": "direction of the transport wind",
		"fuel_moisture_pct": "fine dead fuel moisture", "days_since_rain": "days since rain", "dry_hour": "dry hour", "daylight_only": "daylight",
		"min_hours": "hours in a row", "burn_hours": "burn hours"}[key]
	if words == "" {
		return key
	}
	return words
}

// StationTable sets stations side by side against one prescription.
type StationTable struct {
	Prescription string       `json:"prescription"`
	Rows         []StationRow `json:"stations"`
}

// StationRow is one station.
type StationRow struct {
	Station string `json:"station"`
	// InUse says that windows and burn days rest on it.
	InUse bool     `json:"in_use"`
	First date.Day `json:"first_on"`
	Last  date.Day `json:"last_on"`
	// MissingDays are days of the span that are not known.
	KnownDays      int      `json:"known_days"`
	MissingDays    int      `json:"days_not_known"`
	CandidateDays  int      `json:"candidate_days"`
	Share          *float64 `json:"share"`
	ExpectedInYear float64  `json:"candidate_days_a_year"`
	Hours          int      `json:"hours"`
	// RainMissing is the share of hours without a depth of rain.
	RainMissing float64 `json:"rain_missing_share"`
	// Months holds the share of candidate days of January to December; nil where
	// none is known.
	Months   [12]*float64 `json:"month_shares"`
	Typical  bool         `json:"typical_year"`
	Warnings []string     `json:"weather_warnings"`
}

// NewStationTable counts each record against one prescription and mixes nothing.
func NewStationTable(names []string, inUse string, records []*weather.Record, limits *prescription.Prescription, o window.Options) (StationTable, error) {
	t := StationTable{Prescription: limits.Name, Rows: []StationRow{}}
	beside, err := window.BesideEachOther(records, limits, o)
	if err != nil {
		return t, err
	}
	for i := range beside {
		c := beside[i].Counts
		row := StationRow{Station: names[i], InUse: names[i] == inUse, First: c.Span.First, Last: c.Span.Last, KnownDays: c.Year.KnownDays, MissingDays: c.UnknownDays,
			CandidateDays: c.Year.CandidateDays, ExpectedInYear: beside[i].Expected, Hours: c.Year.Hours, RainMissing: float64(c.RainMissing), Typical: c.Typical,
			Warnings: append([]string{}, c.Warnings...)}
		if share, ok := c.Year.Share(); ok {
			row.Share = limit(float64(share))
		}
		for month := range c.Months {
			if share, ok := c.Months[month].Share(); ok {
				row.Months[month] = limit(float64(share))
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t, nil
}

// Spring is a plan made again with other burn days, in words.
type Spring struct {
	// Name is "median" or "poor", Days the burn days of each season in words.
	Name string `json:"name"`
	Days string `json:"burn_days"`
	// Cost and Bound are those of the second solve; Difference is its cost less
	// that of the plan. Infeasible says that no plan exists.
	Cost       float64 `json:"shortfall_acre_years"`
	Bound      float64 `json:"bound_acre_years"`
	Difference float64 `json:"difference_acre_years"`
	Infeasible bool    `json:"infeasible"`
	// Same says that its burn days are those of the plan: nothing was solved.
	Same  bool   `json:"same_as_the_plan"`
	Words string `json:"words"`
}

// newSpring puts a scenario into words.
func newSpring(of *habitat.BurnDayScenario, plan *problem.Answer) Spring {
	s := Spring{Name: of.Name, Days: capWords(of.Days), Cost: of.Cost, Bound: of.Bound, Difference: of.Difference, Infeasible: of.Infeasible, Same: of.Same}
	switch {
	case s.Same:
		s.Words = fmt.Sprintf("A %s year, %s: that is what this plan counts on.", s.Name, s.Days)
	case s.Infeasible:
		s.Words = fmt.Sprintf("A %s year, %s: no plan exists with the locks as they are.", s.Name, s.Days)
	default:
		d := whatif.Range{AtHand: s.Cost - plan.Cost, Least: s.Bound - plan.Cost, Most: s.Cost - plan.Cost + room(plan)}
		s.Words = fmt.Sprintf(
			"A %s year, %s: planned again, the best plan found has a shortfall of %s acre-years; against this plan it is %s.",
			s.Name,
			s.Days,
			within(s.Cost, d.Most-d.Least, shownDecimals(s.Cost)),
			DifferenceWords(d),
		)
	}
	return s
}

// capWords gives "14 days in dormant, 5 days in early-growing".
func capWords(all []habitat.SeasonCap) string {
	var words []string
	for _, c := range all {
		noun := "days"
		if c.Days == 1 {
			noun = "day"
		}
		words = append(words, fmt.Sprintf("%s %s in %s", strings.TrimSuffix(strings.TrimRight(quantity.Group(c.Days, 3), "0"), "."), noun, c.Season))
	}
	if words == nil {
		return "no limit of burn days"
	}
	return strings.Join(words, ", ")
}
