package list

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/pattern"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// synonyms maps headers that people write to our columns; a header of ours that
// stands in the file goes first.
var synonyms = map[string]string{
	"patch": "unit", "field": "unit", "unit_name": "unit", "burn_unit": "unit", "pasture": "unit", "block": "unit", "name": "unit",
	"acreage": "acres", "ac": "acres", "size_acres": "acres", "area_acres": "acres",
	"every": interval, "return_interval": interval, "burn_interval": interval, "burn_every": interval, "how_often": interval, "frequency": interval,
	"burned_on": "date", "burn_date": "date", "date_burned": "date", "burned": "date",
	lastBurned: lastBurned, "last_burn": lastBurned, "last_burned_on": lastBurned, "last_fire": lastBurned, "date_last_burned": lastBurned, "most_recent_burn": lastBurned,
	"min_int": "min_interval", "max_int": "max_interval", // as our own map files spell them
	// as shapefiles cut our columns, at 10 characters; "estimated_" may be two of them
	"min_interv": "min_interval", "max_interv": "max_interval", "prescripti": "prescription", "owned_unti": "owned_until", "field_numb": "field_number", "last_burne": lastBurned,
	"vegetation": "cover", "cover_type": "cover", "comments": "notes", "remarks": "notes",
}

// interval is a column that holds the least and the most years in one text.
const interval = "interval"

// forgive makes the sheet easier to read before it is read: rows of totals are
// left out, headers that mean ours are taken for ours, and an interval in one
// column becomes two.
func (s *sheet) forgive(opts *Options) {
	s.dropTotals()
	s.takeSynonyms(opts)
	s.dropSum()
	s.splitInterval()
	s.tellOrder(opts)
	if len(s.meanings) > 0 {
		s.say(s.headerLine, "columns were taken by what they mean: %s; an empty --columns %s= leaves one unread", strings.Join(s.meanings, ", "), s.firstMeant)
	}
}

// meant keeps which of our columns a header was taken for, where it reads otherwise.
func (s *sheet) meant(header, ours string) {
	if key(header) == ours {
		return
	}
	if len(s.meanings) == 0 {
		s.firstMeant, _, _ = strings.Cut(ours, " ")
	}
	s.meanings = append(s.meanings, source.Quote(header)+" as "+ours)
}

// dropSum leaves out a last row whose acres are the sum of all others and that says
// nothing of how often it burns: totals, whatever they are called.
func (s *sheet) dropSum() {
	at, has := s.columns["acres"]
	last := len(s.rows) - 1
	if !has || last < 2 || s.rows[last].feature != nil {
		return
	}
	for _, name := range []string{interval, "min_interval", "max_interval", "date"} {
		if i, ok := s.columns[name]; ok && strings.TrimSpace(s.rows[last].values[i]) != "" {
			return
		}
	}
	if !s.hasUnitColumns() {
		return
	}
	var sum, stated float64
	for i := range s.rows {
		text, _ := about(s.rows[i].values[at])
		if s.comma {
			text = pointed(text)
		}
		v, err := quantity.Parse(text)
		if err != nil {
			return
		}
		if i < last {
			sum += v
		} else {
			stated = v
		}
	}
	if math.Abs(sum-stated) > 0.051*float64(last) { // each was rounded to a tenth at most
		return
	}
	first := s.rows[last].values[0]
	s.say(s.rows[last].line, "the row %s holds the sum of the acres above and was left out", source.Quote(first))
	s.rows = s.rows[:last]
}

// dateColumns are those that hold days.
var dateColumns = []string{"date", "through", lastBurned, "owned_from", "owned_until"}

// tellOrder finds out which of month and day comes first where some days of the file
// can be read in one way only, and none in the other.
func (s *sheet) tellOrder(opts *Options) {
	if opts.Dates == MonthFirst || opts.Dates == DayFirst {
		return
	}
	shows := map[DateForm]string{}
	isNeeded := false
	for _, name := range dateColumns {
		at, has := s.columns[name]
		if !has {
			continue
		}
		for i := range s.rows {
			text := strings.TrimSpace(s.rows[i].values[at])
			first, second, _, ok := slashed(text)
			switch {
			case !ok:
			case second > 12 && first <= 12:
				shows[MonthFirst] = text
			case first > 12 && second <= 12:
				shows[DayFirst] = text
			case first != second:
				isNeeded = true
			}
		}
	}
	if !isNeeded || len(shows) != 1 {
		return
	}
	for form, text := range shows {
		s.order = form
		words, other := "month first", DayFirst
		if form == DayFirst {
			words, other = "day first", MonthFirst
		}
		s.say(s.headerLine, "dates were read %s, as %s can only be; --dates %s reads them the other way", words, text, other)
	}
}

// dateForm gives the form of the sheet's dates: what was said, else what the dates show.
func (s *sheet) dateForm(opts *Options) DateForm {
	if s.order != "" {
		return s.order
	}
	return opts.Dates
}

func (s *sheet) say(line int, format string, args ...any) {
	s.notes = append(s.notes, ground.Note{Position: source.Position{File: s.file, Line: line}, Kind: ground.Assumed, Text: fmt.Sprintf(format, args...)})
}

var isTotal = pattern.Lazy(`(?i)^(grand |sub-?)?(total|sum)s?\b:?`)

// dropTotals leaves out rows whose first value is the word total, or that have
// numbers and no name.
func (s *sheet) dropTotals() {
	s.rows = slices.DeleteFunc(s.rows, func(r row) bool {
		first := ""
		for _, v := range r.values {
			if first = strings.TrimSpace(v); first != "" {
				break
			}
		}
		if r.feature == nil && isTotal().MatchString(first) {
			s.say(r.line, "the row %s holds totals and was left out", source.Quote(first))
			return true
		}
		return false
	})
}

// takeSynonyms names columns of ours that the file calls otherwise. A word is taken
// only where our column is missing and nothing else means it.
func (s *sheet) takeSynonyms(opts *Options) {
	for i, h := range s.header {
		k := key(h)
		ours, ok := synonyms[k]
		if !ok {
			continue
		}
		if ours == lastBurned && opts.Kind == Burns {
			ours = "date"
		}
		if k == ours {
			continue
		}
		if _, has := s.columns[ours]; has {
			continue
		}
		if at, has := s.columns[k]; !has || at != i {
			continue // the user has given it a meaning
		}
		if _, left := opts.Columns[ours]; left || opts.Kind == contacts {
			continue
		}
		if _, hasAcres := s.columns["acres"]; k == "name" && !hasAcres && !s.hasUnitColumns() {
			continue
		}
		if ours == "date" && (s.hasUnitColumns() || opts.Kind == Units) {
			ours = lastBurned // when a unit last burned is not a list of burns
			if _, has := s.columns[ours]; has {
				continue
			}
		}
		delete(s.columns, k)
		s.columns[ours] = i
		if ours != interval {
			s.meant(h, ours)
		}
	}
}

// spelled gives values that are said of all rows under our own columns: "every" as
// min_interval and max_interval. What it cannot read stays, and is refused.
func spelled(set map[string]string) map[string]string {
	ours := map[string]string{}
	for name, text := range set {
		if to, ok := synonyms[name]; ok {
			if _, said := set[to]; !said {
				name = to
			}
		}
		if least, most, ok := parseInterval(text); ok && name == interval {
			ours["min_interval"], ours["max_interval"] = strconv.Itoa(least), strconv.Itoa(most)
			continue
		}
		ours[name] = text
	}
	return ours
}

// spelledColumns gives the columns that a user has named under our own names. The days
// on which units last burned stay apart from those of burns.
func spelledColumns(columns map[string]string) map[string]string {
	ours := map[string]string{}
	for name, theirs := range columns {
		if to, ok := synonyms[name]; ok && to != "date" {
			if _, said := columns[to]; !said {
				name = to
			}
		}
		ours[name] = theirs
	}
	return ours
}

// hasUnitColumns reports whether the sheet says what only a list of units does.
func (s *sheet) hasUnitColumns() bool {
	for _, h := range s.header {
		switch k := key(h); {
		case k == "min_interval" || k == "max_interval" || k == interval || synonyms[k] == interval || synonyms[k] == lastBurned:
			return true
		}
	}
	for _, name := range []string{interval, "min_interval", "max_interval", lastBurned} {
		if _, said := s.columns[name]; said {
			return true
		}
	}
	return false
}

var (
	twoYears = pattern.Lazy(`^(\d+)\s*(?:-|–|—|to|or|\.\.)\s*(\d+)$`)
	oneYear  = pattern.Lazy(`^(\d+)$`)
)

// ParseInterval reads how often a unit burns: "2-3", "every 2 to 3 years", "annual".
func ParseInterval(text string) (habitat.Interval, error) {
	least, most, ok := parseInterval(text)
	i := habitat.Interval{Min: least, Max: most}
	if !ok || i.Validate() != nil {
		return i, &source.Error{Found: source.Quote(text) + " does not say how often", Accepts: "years such as 2-3, every 2 to 3 years, or annual"}
	}
	return i, nil
}

// parseInterval reads "2-3", "every 2 to 3 years", "annual", "every other year".
func parseInterval(text string) (least, most int, ok bool) {
	t := strings.ToLower(strings.TrimSpace(text))
	switch strings.TrimSuffix(t, ".") {
	case "annual", "annually", "yearly", "every year", "each year":
		return 1, 1, true
	case "biennial", "biennially", "every other year", "every second year":
		return 2, 2, true
	}
	t = strings.TrimSpace(strings.TrimPrefix(t, "every"))
	for _, end := range []string{"years", "year", "yrs", "yr", "yrs.", "yr."} {
		if cut, has := strings.CutSuffix(t, end); has {
			t = strings.TrimSpace(cut)
			break
		}
	}
	if m := twoYears().FindStringSubmatch(t); m != nil {
		least, _ = strconv.Atoi(m[1])
		most, _ = strconv.Atoi(m[2])
		return least, most, least >= 1 && most >= least
	}
	if m := oneYear().FindStringSubmatch(t); m != nil {
		least, _ = strconv.Atoi(m[1])
		return least, least, least >= 1
	}
	return 0, 0, false
}

// splitInterval makes min_interval and max_interval of a column that holds both.
// What it cannot read stays, and is refused where it stands.
func (s *sheet) splitInterval() {
	at, has := s.columns[interval]
	if !has {
		return
	}
	if _, own := s.columns["min_interval"]; own {
		return
	}
	if _, own := s.columns["max_interval"]; own {
		return
	}
	s.columns["min_interval"], s.columns["max_interval"] = at, len(s.header)
	delete(s.columns, interval)
	s.meant(s.header[at], "min_interval and max_interval")
	s.header = append(s.header, s.header[at])
	for i := range s.rows {
		r := &s.rows[i]
		text := r.values[at]
		r.values = append(r.values, text)
		if r.none != nil {
			r.none = append(r.none, r.none[at])
		}
		if least, most, ok := parseInterval(text); ok {
			r.values[at], r.values[len(r.values)-1] = strconv.Itoa(least), strconv.Itoa(most)
		}
	}
}

// isAbout finds an estimate, such as "about 18" or "~18".
var isAbout = pattern.Lazy(`(?i)^\s*(?:about|approx\.?|approximately|around|roughly|circa|ca\.?|c\.|~|≈)\s*([0-9].*)$`)

// about takes the word off an estimate.
func about(text string) (number string, isEstimate bool) {
	if m := isAbout().FindStringSubmatch(text); m != nil {
		return m[1], true
	}
	return text, false
}

// keepEstimates writes into a unit's notes that its acres were given as an
// estimate.
func keepEstimates(s *sheet, units []value[habitat.Unit]) {
	for i := range units {
		u := &units[i]
		text, ok := s.text(u.row, "acres", &Options{})
		if _, isEstimate := about(text); !ok || !isEstimate {
			continue
		}
		note := "acres are an estimate: " + strings.TrimSpace(text)
		if !strings.Contains(u.V.Notes, note) {
			u.V.Notes = strings.TrimSpace(u.V.Notes + "\n" + note)
		}
		u.has["notes"] = true
	}
}

// decimalComma finds a number as spreadsheets with semicolons write it.
var decimalComma = pattern.Lazy(`^\s*-?(\d{1,3}(\.\d{3})+|\d+),\d+\s*$`)

// pointed gives a number with a decimal point in place of a comma.
func pointed(text string) string {
	if !decimalComma().MatchString(text) {
		return text
	}
	return strings.Replace(strings.ReplaceAll(text, ".", ""), ",", ".", 1)
}
