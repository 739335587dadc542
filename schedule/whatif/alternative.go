package whatif

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"

	"emberquilt/schedule/problem"
)

// Choice is what a plan does with a unit in a year.
type Choice struct {
	Unit, Year int
	Burn       bool
	Season     int // −1 for a rest
}

// Alternative is another plan that is nearly as good.
type Alternative struct {
	Answer *problem.Answer
	Extra  Range
	// Differs lists, by year and unit, what it does otherwise than the plan in
	// the years that a manager looks at first.
	Differs []Choice
}

// AlternativeSettings says what counts as another plan. The zero value of a
// field takes the default.
type AlternativeSettings struct {
	// Within is the share of the plan's cost by which another may cost more;
	// default 0.05. At a cost below 1 it counts in acre-years.
	Within float64
	// Count is how many plans are wanted; default 5.
	Count int
	// Years counts the first years in which they must differ; default 2.
	Years int
	// Tries bounds the second solves; default 4 × Count.
	Tries int
	Seed  uint64
}

func (s AlternativeSettings) filled() AlternativeSettings {
	s.Within = cmp.Or(s.Within, 0.05)
	s.Count = cmp.Or(s.Count, 5)
	s.Years = cmp.Or(s.Years, 2)
	s.Tries = cmp.Or(s.Tries, 4*s.Count)
	return s
}

// Alternatives finds plans that differ from a plan, and from each other, in
// which units burn in the first years. Each comes from a solve with one choice
// reversed, so each is the best of its kind. Fewer than Count come back where
// fewer were found within the limits; they are ordered by cost.
func Alternatives(ctx context.Context, solve Solve, p *problem.Problem, a *problem.Answer, settings AlternativeSettings) ([]Alternative, error) {
	s := settings.filled()
	years := min(s.Years, p.Years)
	allowed := s.Within * max(a.Cost, 1)
	source := rand.New(rand.NewPCG(s.Seed, 0x51ed))
	var found []Alternative
	seen := map[string]bool{fingerprint(p, a, years): true}
	// Burns are asked first: resting a unit that the plan burns is what a
	// manager would ask, and it always has a plan.
	questions := append(shuffled(source, choices(p, a, years, true)), shuffled(source, choices(p, a, years, false))...)
	for tries := 0; tries < s.Tries && tries < len(questions) && len(found) < s.Count; tries++ {
		c := questions[tries]
		other, err := Otherwise(ctx, solve, p, a, c.Unit, c.Year)
		if errors.Is(err, ErrNoTime) {
			break // with what was found
		}
		if err != nil {
			return nil, fmt.Errorf("look for another plan: %w", err)
		}
		if other.Answer.Status == problem.Infeasible || other.Extra.AtHand > allowed {
			continue
		}
		if mark := fingerprint(p, other.Answer, years); !seen[mark] {
			seen[mark] = true
			found = append(found, Alternative{Answer: other.Answer, Extra: other.Extra, Differs: Differences(p, a, other.Answer, years)})
		}
	}
	slices.SortStableFunc(found, func(x, y Alternative) int { return cmp.Compare(x.Answer.Cost, y.Answer.Cost) })
	return found, nil
}

// choices lists the unlocked choices of the first years that are burns, or
// rests of units that could burn.
func choices(p *problem.Problem, a *problem.Answer, years int, burns bool) []Choice {
	var all []Choice
	for t := range years {
		for i := range p.Units {
			year := p.FirstYear + t
			season, burn := Burns(a, i, year)
			if burn != burns || locked(p, i, year) || !burns && !mayBurn(p, i) {
				continue
			}
			all = append(all, Choice{Unit: i, Year: year, Burn: burn, Season: season})
		}
	}
	return all
}

func locked(p *problem.Problem, unit, year int) bool {
	return slices.ContainsFunc(p.Locks, func(l problem.Lock) bool { return l.Unit == unit && l.Year == year })
}

func mayBurn(p *problem.Problem, unit int) bool {
	return slices.ContainsFunc(p.Units[unit].Penalty, func(v float64) bool { return v >= 0 })
}

func shuffled(source *rand.Rand, all []Choice) []Choice {
	source.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	return all
}

// fingerprint says which units burn in which of the first years.
func fingerprint(p *problem.Problem, a *problem.Answer, years int) string {
	mark := make([]byte, len(p.Units)*years)
	for _, b := range a.Burns {
		if t := b.Year - p.FirstYear; t < years {
			mark[t*len(p.Units)+b.Unit] = 1
		}
	}
	return string(mark)
}

// Differences lists, by year and then unit, what the second plan does
// otherwise than the first in the first years: another choice, or another
// season of the same burn.
func Differences(p *problem.Problem, first, second *problem.Answer, years int) []Choice {
	var all []Choice
	for t := range years {
		for i := range p.Units {
			year := p.FirstYear + t
			was, burned := Burns(first, i, year)
			is, burns := Burns(second, i, year)
			if burned != burns || was != is {
				all = append(all, Choice{Unit: i, Year: year, Burn: burns, Season: is})
			}
		}
	}
	return all
}
