package app

import (
	"errors"
	"fmt"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/source"
)

// MaxAnswers is how many bytes the text of AnswerAll may have: as many as settings, far
// above what anyone answers.
const MaxAnswers = 1 << 20

// AnswerAll takes the answers of a text with lines such as "where: Riley County,
// Kansas". A # at the begin of a line makes it a comment. Faults are a *source.List
// with the lines at which they stand.
func (f *FirstRun) AnswerAll(text, file string) error {
	if len(text) > MaxAnswers {
		return &source.Error{Position: source.Position{File: file}, Found: "is larger than 1 MB", Accepts: "an answers file, as emberquilt new --example prints one"}
	}
	decoded, _ := source.Decode([]byte(text))
	var faults source.List
	seen := map[string]int{}
	for i, line := range strings.Split(string(decoded), "\n") {
		line = strings.TrimSpace(strings.TrimPrefix(line, "\ufeff"))
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		key, answer, ok := strings.Cut(line, ":")
		at := source.Position{File: file, Line: i + 1}
		if !ok {
			faults.Addf(at, "a line such as where: Riley County, Kansas", "%s has no colon", source.Quote(line))
			continue
		}
		key = strings.ToLower(strings.TrimSpace(key))
		if first := seen[key]; first > 0 && !f.repeats(key) {
			faults.Addf(source.Position{File: file, Line: i + 1, Field: key}, "one answer", "is answered on line %d already", first)
			continue
		}
		seen[key] = i + 1
		if err := f.Answer(key, answer); err != nil {
			addAnswerFaults(&faults, at, key, err)
		}
	}
	return faults.Err()
}

func (f *FirstRun) repeats(key string) bool {
	for _, q := range questions() {
		if q.Key == key {
			return q.Repeats
		}
	}
	return false
}

// addAnswerFaults adds what is wrong with one answer, at its line.
func addAnswerFaults(faults *source.List, at source.Position, key string, err error) {
	var many *source.List
	var fault *source.Error
	var field *habitat.FieldError
	switch {
	case errors.As(err, &many): // of a file, each with its own place
		for _, e := range many.Errors {
			faults.Add(e)
		}
		faults.More += many.More
	case errors.As(err, &fault) && fault.File == key:
		faults.Add(&source.Error{Position: at, Found: source.Quote(key) + " " + fault.Found, Accepts: fault.Accepts, Hint: fault.Hint})
	case errors.As(err, &fault) && fault.Line > 0:
		faults.Add(fault)
	case errors.As(err, &fault):
		found := fault.Found
		if part := fault.Position.String(); part != "" { // a part of the answer
			found = part + ": " + found
		}
		at.Field = key
		faults.Add(&source.Error{Position: at, Found: found, Accepts: fault.Accepts, Hint: fault.Hint})
	case errors.As(err, &field):
		at.Field = key
		faults.Add(&source.Error{Position: at, Found: field.Found, Accepts: field.Accepts})
	default:
		at.Field = key
		faults.Add(&source.Error{Position: at, Found: err.Error()})
	}
}

// ExampleAnswers is a text for AnswerAll that says every question and its usual
// answer; where and the patches are invented.
func ExampleAnswers() string {
	var b strings.Builder
	b.WriteString("# Answers for emberquilt new NAME --answers FILE. A line behind a # is left out:\n# the usual answer, which stands there, holds.\n")
	example := map[string][]string{
		askWhere: {"Riley County, Kansas"},
		askPatch: {
			"North Field, 18 acres, every 2-3 years, last burned 3/28/2023",
			"Creek Patch, about 9 acres, annual",
			"Ridge, 22.5 acres, every 3 to 5 years, last burned 2021",
		},
	}
	commented := map[string][]string{
		askName: {"Larkin Farm"}, askPlace: {"our house, 39.2105, -96.5893, own", "county road, 39.20, -96.60, 39.20, -96.58"},
		askContact: {"neighbor to the east, J. Example, 555-0100", "fire department, , 555-0101"}, askWeather: {"station-2016.csv"},
		askClock: {"America/Chicago"}, askPeople: {"4"},
	}
	for _, q := range questions() {
		fmt.Fprintf(&b, "\n# %s?", q.Asks)
		if q.Form != "" {
			fmt.Fprintf(&b, " (%s)", q.Form)
		}
		fmt.Fprintf(&b, "\n# %s\n", q.About)
		rows, mark := example[q.Key], ""
		if rows == nil {
			rows, mark = commented[q.Key], "# "
		}
		if rows == nil {
			rows = []string{q.Usual}
		}
		for _, row := range rows {
			fmt.Fprintf(&b, "%s%s: %s\n", mark, q.Key, row)
		}
	}
	return b.String()
}
