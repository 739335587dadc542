package view

import (
	"fmt"

	"emberquilt/habitat"
)

// WorkWords names work that was done for a practice.
func WorkWords(p *habitat.Practice, done *habitat.Completion) string {
	return fmt.Sprintf("%s %s on %s, %s", p.Code, p.Name, done.Unit, done.On)
}

// AppliedWords says how much of it was done.
func AppliedWords(p *habitat.Practice, done *habitat.Completion) string {
	return fmt.Sprintf("%s: %s %s applied", WorkWords(p, done), Figure(done.Applied), p.Measure)
}

// PracticeWords says what papers say of a practice.
func PracticeWords(p *habitat.Practice) string {
	return fmt.Sprintf("%s: %s, standard of %s", p.Code, p.Name, p.Standard)
}

// Undated says which practices of a contract have no date of a standard.
func Undated(c *habitat.Contract) []string {
	var all []string
	for _, p := range c.Practices {
		if p.Standard == "" {
			all = append(all, fmt.Sprintf("practice %s: the date of its standard was not typed", p.Code))
		}
	}
	return all
}
