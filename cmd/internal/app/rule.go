package app

import "emberquilt/habitat"

// DefaultRules are compared where none is named: the adopted plan, and no plan.
func DefaultRules() []habitat.Rule { return []habitat.Rule{{}, {MostOverdue: true}} }

// ParseRules reads rules, none for DefaultRules. What secondChance and ahead say holds
// under each of them.
func ParseRules(texts []string, secondChance, ahead bool) ([]habitat.Rule, error) {
	var rules []habitat.Rule
	for _, text := range texts {
		rule, err := habitat.ParseRule(text)
		if err != nil {
			return nil, optionFaults(err)
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

// offeredRules are those that people mostly ask for, the usual ones first.
func offeredRules() []habitat.Rule {
	days := func(from habitat.BurnDaysFrom) *habitat.BurnDays { return &habitat.BurnDays{From: from} }
	return append(DefaultRules(),
		habitat.Rule{BurnDays: days(habitat.PoorDays)}, habitat.Rule{BurnDays: days(habitat.MedianDays)}, habitat.Rule{BurnDays: days(habitat.MeanDays)},
		habitat.Rule{CrewDay: true}, habitat.Rule{SecondCrew: true}, habitat.Rule{SecondChance: true}, habitat.Rule{Ahead: true})
}
