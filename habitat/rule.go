package habitat

import (
	"fmt"
	"strconv"
	"strings"

	"emberquilt/habitat/source"
)

// Rule is one way to run the program in a rehearsal.
type Rule struct {
	// Plan is the number of the plan in force in the first year, 0 for the adopted one.
	// BurnDays, where it is not nil, makes that plan anew, with these burn days.
	Plan     int
	BurnDays *BurnDays
	// CrewDay gives one crew day more a season, SecondCrew a second crew.
	CrewDay, SecondCrew bool
	// SecondChance lets a missed unit wait for its next season of the same year,
	// Ahead lets days that are left take next year's units.
	SecondChance, Ahead bool
	// MostOverdue plans nothing and burns what is due, the most overdue first.
	MostOverdue bool
}

// The words of a rule.
const (
	planWord         = "plan"
	crewDayWord      = "crew-day"
	secondCrewWord   = "second-crew"
	secondChanceWord = "second-chance"
	aheadWord        = "ahead"
	mostOverdueWord  = "most-overdue"
)

// ruleParts lists what a rule may be made of.
const ruleParts = "plan, plan-NUMBER, poor, median, mean, settings, a number of burn days, crew-day, second-crew, second-chance, ahead or most-overdue, joined by + where several hold at once"

// ParseRule reads a rule, such as "median", "plan-2+ahead" or "most-overdue".
// The error is a *FieldError of "rule".
func ParseRule(text string) (Rule, error) {
	var r Rule
	bad := func(format string, args ...any) (Rule, error) {
		return Rule{}, fieldErrorf("rule", ruleParts, format, args...)
	}
	whose := 0 // parts that say whose plan it is
	for part := range strings.SplitSeq(text, "+") {
		switch part {
		case crewDayWord:
			r.CrewDay = true
		case secondCrewWord:
			r.SecondCrew = true
		case secondChanceWord:
			r.SecondChance = true
		case aheadWord:
			r.Ahead = true
		case mostOverdueWord:
			r.MostOverdue = true
			whose++
		case planWord:
			whose++
		default:
			whose++
			if number, ok := strings.CutPrefix(part, planWord+"-"); ok {
				n, err := strconv.Atoi(number)
				if err != nil || n < 1 {
					return bad("%s names no plan", source.Quote(part))
				}
				r.Plan = n
				continue
			}
			days, err := ParseBurnDays(part)
			if err != nil || part == "" || days.From == StatedDays && days.Days < 0 {
				return bad("%s is not a rule", source.Quote(part))
			}
			r.BurnDays = &days
		}
	}
	if whose > 1 {
		return bad("%s names more than one plan", source.Quote(text))
	}
	return r, nil
}

// String gives what ParseRule reads.
func (r Rule) String() string {
	var parts []string
	switch {
	case r.MostOverdue:
		parts = append(parts, mostOverdueWord)
	case r.BurnDays != nil && r.BurnDays.From == StatedDays:
		parts = append(parts, strconv.FormatFloat(r.BurnDays.Days, 'f', -1, 64))
	case r.BurnDays != nil:
		parts = append(parts, string(r.BurnDays.From))
	case r.Plan > 0:
		parts = append(parts, fmt.Sprint(planWord, "-", r.Plan))
	default:
		parts = append(parts, planWord)
	}
	for _, one := range []struct {
		on   bool
		word string
	}{{r.CrewDay, crewDayWord}, {r.SecondCrew, secondCrewWord}, {r.SecondChance, secondChanceWord}, {r.Ahead, aheadWord}} {
		if one.on {
			parts = append(parts, one.word)
		}
	}
	return strings.Join(parts, "+")
}
