package list

import (
	"regexp"
	"strconv"
	"strings"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/pattern"
)

// aboutWhen is when a unit last burned, as people remember it: a month, a part of a
// year, a year, or so many years ago.
type aboutWhen struct {
	// year is that of the calendar; ago counts years back from today where isAgo.
	year, ago int
	isAgo     bool
	// month is the middle of the time that was said; 0 means that a year alone was,
	// which counts as the burn year.
	month time.Month
}

var (
	wordsAndYear = pattern.Lazy(`^(?:([a-z. ]+?)[ ,/'-]*)?((?:19|20)\d\d)$`)
	monthAndTurn = pattern.Lazy(`^([a-z]+)\.?[-'/ ]+(\d\d)$`)
	twoYearsLong = pattern.Lazy(`^(?:winter |dormant(?: season)? )((?:19|20)\d\d)\s*[-–/]\s*(\d{4}|\d\d)$`)
	numberOfYear = pattern.Lazy(`^(\d{1,2})[-/.]((?:19|20)\d\d)$`)
	yearOfNumber = pattern.Lazy(`^((?:19|20)\d\d)[-/.](\d{1,2})$`)
	yearsAgo     = pattern.Lazy(`^(\d{1,2}|one|two|three|four|five|six|seven|eight|nine|ten) (?:years?|yrs?\.?) ago$`)
)

// partsOfYears gives the middle month of the words for parts of a year. A winter is
// named by the year in which most of it lies, unless both are said. Common practice,
// no source.
var partsOfYears = map[string]time.Month{"spring": time.April, "summer": time.July, "fall": time.October, "autumn": time.October, "winter": time.January}

var numberWords = map[string]int{"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10}

// parseAboutWhen reads "March 2023", "3/2023", "Mar-23", "spring 2023", "about 2023",
// "winter 2022-23", "3 years ago" and "last year".
func parseAboutWhen(text string) (when aboutWhen, ok bool) {
	t := strings.ToLower(strings.Join(strings.Fields(text), " "))
	for _, word := range []string{"about ", "around ", "approx. ", "approx ", "ca. ", "ca ", "in ", "~"} {
		t = strings.TrimSpace(strings.TrimPrefix(t, word))
	}
	t = strings.TrimSpace(strings.TrimRight(t, "?. "))
	switch t {
	case "this year":
		return aboutWhen{isAgo: true}, true
	case "last year", "a year ago":
		return aboutWhen{isAgo: true, ago: 1}, true
	}
	if m := yearsAgo().FindStringSubmatch(t); m != nil {
		n, err := strconv.Atoi(m[1])
		if err != nil {
			n = numberWords[m[1]]
		}
		return aboutWhen{isAgo: true, ago: n}, true
	}
	if m := twoYearsLong().FindStringSubmatch(t); m != nil {
		first, _ := strconv.Atoi(m[1])
		last, _ := strconv.Atoi(m[2])
		if len(m[2]) == 2 {
			last += first / 100 * 100
			if last < first {
				last += 100
			}
		}
		return aboutWhen{year: last, month: time.January}, last == first+1
	}
	if m := wordsAndYear().FindStringSubmatch(t); m != nil {
		when.year, _ = strconv.Atoi(m[2])
		words := strings.Fields(m[1])
		if len(words) > 3 {
			return when, false
		}
		for _, word := range words {
			if month, known := monthOf(word); known {
				when.month = month
			}
		}
		return when, true
	}
	for _, form := range []struct {
		find        func() *regexp.Regexp
		month, year int
	}{{monthAndTurn, 1, 2}, {numberOfYear, 1, 2}, {yearOfNumber, 2, 1}} {
		m := form.find().FindStringSubmatch(t)
		if m == nil {
			continue
		}
		when.year, _ = strconv.Atoi(m[form.year])
		if when.year < 100 {
			when.year = turned(when.year)
		}
		if n, err := strconv.Atoi(m[form.month]); err == nil {
			when.month = time.Month(n)
			return when, n >= 1 && n <= 12
		}
		when.month, ok = monthOf(m[form.month])
		return when, ok
	}
	return when, false
}

// monthOf reads a month or a part of a year.
func monthOf(word string) (time.Month, bool) {
	word = strings.TrimSuffix(word, ".")
	if month, ok := partsOfYears[word]; ok {
		return month, true
	}
	for month := time.January; month <= time.December; month++ {
		name := strings.ToLower(month.String())
		if word == name || len(word) >= 3 && len(word) <= 4 && strings.HasPrefix(name, word) {
			return month, true
		}
	}
	return 0, false
}

// turned gives the year of its last two digits, by the usual turn: 69 is 1969, 68 is
// 2068.
func turned(year int) int {
	if year += 1900; year < 1969 {
		year += 100
	}
	return year
}

// burnYear gives the burn year that is meant.
func (w aboutWhen) burnYear(starts date.YearStart, today date.Day) date.ProgramYear {
	switch {
	case w.isAgo:
		return starts.Of(today) - date.ProgramYear(w.ago)
	case w.month != 0:
		return starts.Of(date.Day{Year: w.year, Month: w.month, Dom: 15})
	}
	return date.ProgramYear(w.year)
}
