package app

import (
	"fmt"
	"strconv"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
)

// Rule is one way to run the program in a rehearsal.
type Rule struct {
	// Plan is the number of the plan in force in the first year, 0 for the newest.
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

// RuleWords lists what a rule may be made of.
const RuleWords = "plan, plan-NUMBER, poor, median, mean, settings, a number of burn days, crew-day, second-crew, second-chance, ahead or most-overdue, joined by + where several hold at once"

// ParseRule reads a rule, such as "median", "plan-2+ahead" or "most-overdue".
func ParseRule(text string) (Rule, error) {
	var r Rule
	bad := func(format string, args ...any) (Rule, error) {
		return Rule{}, badOption("rule", RuleWords, format, args...)
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

// DefaultRules are compared where none is named: the newest plan, and no plan.
func DefaultRules() []Rule { return []Rule{{}, {MostOverdue: true}} }

// ParseRules reads rules, none for DefaultRules. What secondChance and ahead say holds
// under each of them.
func ParseRules(texts []string, secondChance, ahead bool) ([]Rule, error) {
	var rules []Rule
	for _, text := range texts {
		rule, err := ParseRule(text)
		if err != nil {
			return nil, err
		}
		rules = append(rules, rule)
	}
	if len(rules) == 0 {
		rules = DefaultRules()
	}
	for i := range rules {
		rules[i].SecondChance = rules[i].SecondChance || secondChance
		rules[i].Ahead = rules[i].Ahead || ahead
	}
	return rules, nil
}

// String gives what ParseRule reads.
func (r Rule) String() string {
	var parts []string
	switch {
	case r.MostOverdue:
		parts = append(parts, mostOverdueWord)
	case r.BurnDays != nil && r.BurnDays.From == StatedDays:
		parts = append(parts, view.Figure(r.BurnDays.Days))
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

// words say what the rule does; newest is the number of the newest plan.
func (r Rule) words(newest int) string {
	var text string
	switch {
	case r.MostOverdue:
		text = "no plan: what is due burns, the most overdue first"
	case r.BurnDays != nil:
		text = map[BurnDaysFrom]string{
			PoorDays:   "plans with the burn days of the poor year, one in five",
			MedianDays: "plans with the burn days of the median year",
			MeanDays:   "plans with the mean burn days of the years",
		}[r.BurnDays.From]
		switch r.BurnDays.From {
		case SettingsDays:
			text = "plans with the burn days of the settings alone"
		case StatedDays:
			text = fmt.Sprintf("plans with %s %s a season", view.Figure(r.BurnDays.Days), quantity.Plural(r.BurnDays.Days, "burn day"))
		}
	case r.Plan > 0:
		text = fmt.Sprintf("plan %d, planned again each year", r.Plan)
	default:
		text = fmt.Sprintf("plan %d, the newest, planned again each year", newest)
	}
	if r.CrewDay {
		text += "; one crew day more a season"
	}
	if r.SecondCrew {
		text += "; a second crew"
	}
	if r.SecondChance {
		text += "; a missed unit waits for its next season of the same year"
	}
	if r.Ahead {
		text += "; days that are left take next year's units"
	}
	return text
}
