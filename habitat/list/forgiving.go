package list

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
)

// synonyms maps headers that people write to our columns; a header of ours that
// stands in the file goes first.
var synonyms = map[string]string{
	"patch": "unit", "field": "unit", "unit_name": "unit", "burn_unit": "unit", "pasture": "unit", "block": "unit", "name": "unit",
	"acreage": "acres", "ac": "acres", "size_acres": "acres", "area_acres": "acres",
	"every": interval, "return_interval": interval, "burn_interval": interval, "burn_every": interval, "how_often": interval, "frequency": interval,
	"burned_on": "date", "burn_date": "date", "date_burned": "date", "last_burned": "date", "last_burn": "date", "burned": "date",
	"min_int": "min_interval", "max_int": "max_interval", // as our own map files spell them
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
	s.splitInterval()
}

func (s *sheet) say(line int, format string, args ...any) {
	s.notes = append(s.notes, ground.Note{Position: source.Position{File: s.file, Line: line}, Kind: ground.Assumed, Text: fmt.Sprintf(format, args...)})
}

var isTotal = regexp.MustCompile(`(?i)^(grand |sub-?)?(total|sum)s?\b:?`)

// dropTotals leaves out rows whose first value is the word total, or that have
// numbers and no name.
func (s *sheet) dropTotals() {
	var kept []row
	for _, r := range s.rows {
		first := ""
		for _, v := range r.values {
			if first = strings.TrimSpace(v); first != "" {
				break
			}
		}
		if r.feature == nil && isTotal.MatchString(first) {
			s.say(r.line, "the row %s holds totals and was left out", source.Quote(first))
			continue
		}
		kept = append(kept, r)
	}
	s.rows = kept
}

// takeSynonyms names columns of ours that the file calls otherwise. A word with a
// second sense, such as last_burned, is taken only where our column is missing
// and nothing else means it.
func (s *sheet) takeSynonyms(opts *Options) {
	for i, h := range s.header {
		k := key(h)
		ours, ok := synonyms[k]
		if !ok {
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
			if _, has := s.columns[ours]; has && k != ours {
				continue
			}
		}
		delete(s.columns, k)
		s.columns[ours] = i
		if k == ours {
			continue
		}
		if ours != interval {
			s.say(s.headerLine, "column %s was taken as %s; --columns %s= leaves it unread", source.Quote(h), ours, ours)
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

// hasUnitColumns reports whether the sheet says what only a list of units does.
func (s *sheet) hasUnitColumns() bool {
	for _, h := range s.header {
		switch k := key(h); {
		case k == "min_interval" || k == "max_interval" || k == interval || synonyms[k] == interval:
			return true
		}
	}
	return false
}

var (
	twoYears = regexp.MustCompile(`^(\d+)\s*(?:-|–|—|to|or|\.\.)\s*(\d+)$`)
	oneYear  = regexp.MustCompile(`^(\d+)$`)
)

// ParseInterval reads how often a unit burns: "2-3", "every 2 to 3 years", "annual".
func ParseInterval(text string) (habitat.Interval, error) {
	least, most, ok := parseInterval(text)
	i := habitat.Interval{Min: least, Max: most}
	if !ok || i.Validate() != nil {
		return i, fmt.Errorf("%s does not say how often; accepts years such as 2-3, every 2 to 3 years, or annual", source.Quote(text))
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
	if m := twoYears.FindStringSubmatch(t); m != nil {
		least, _ = strconv.Atoi(m[1])
		most, _ = strconv.Atoi(m[2])
		return least, most, least >= 1 && most >= least
	}
	if m := oneYear.FindStringSubmatch(t); m != nil {
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
	s.say(s.headerLine, "column %s was taken as min_interval and max_interval", source.Quote(s.header[at]))
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
var isAbout = regexp.MustCompile(`(?i)^\s*(?:about|approx\.?|approximately|around|roughly|circa|ca\.?|c\.|~|≈)\s*([0-9].*)$`)

// about takes the word off an estimate.
func about(text string) (number string, isEstimate bool) {
	if m := isAbout.FindStringSubmatch(text); m != nil {
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
var decimalComma = regexp.MustCompile(`^\s*-?(\d{1,3}(\.\d{3})+|\d+),\d+\s*$`)

// pointed gives a number with a decimal point in place of a comma.
func pointed(text string) string {
	if !decimalComma.MatchString(text) {
		return text
	}
	return strings.Replace(strings.ReplaceAll(text, ".", ""), ",", ".", 1)
}
