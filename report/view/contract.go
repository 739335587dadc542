package view

import (
	"fmt"
	"slices"

	"emberquilt/habitat"
)

// WorkWords names work that was done for a practice.
func WorkWords(p *habitat.Practice, done *habitat.Completion) string {
	return fmt.Sprintf("%s %s on %s, %s", p.Code, p.Name, done.OnPlace(), done.On)
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

// HoldWords says how plans hold to a line of a contract from now on; line 0 means all
// of its lines.
func HoldWords(c *habitat.Contract, line int, hold habitat.LineHold) string {
	which := fmt.Sprintf("line %d of %s", line, c.Name)
	but := ""
	if line == 0 {
		which = "every line of " + c.Name
		if hold != habitat.FreeLine && slices.ContainsFunc(c.Items, func(i habitat.ContractItem) bool { return i.IsPropertyWide() }) {
			but = "; to lines of the " + habitat.WholeProperty + " it is not held"
		}
	}
	return which + " is " + map[habitat.LineHold]string{
		habitat.FreeLine:   "free: plans are free, and say what they do with it",
		habitat.WishedLine: "a wish: plans burn it in its years wherever that can be",
		habitat.LockedLine: "a lock: plans burn it in its years",
	}[hold] + but
}

// BelongsWords says that a file is on the list of a contract; with a reason, that it
// takes the place of one that was altered.
func BelongsWords(file, contract, because string) string {
	if because != "" {
		return fmt.Sprintf("%s takes the place of the file of that name in %s: %s", file, contract, because)
	}
	return fmt.Sprintf("%s belongs to %s", file, contract)
}
