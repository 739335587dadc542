package app

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
	"emberquilt/store"
)

// springsName begins the name of the document that keeps what other springs
// would cost a plan.
const springsName = "springs of plan "

// askSprings plans again with the burn days of a median and of a poor year, to
// say what a better or a worse spring would cost. Without a weather record there
// is nothing to ask.
func (s *Session) askSprings(ctx context.Context, p *problem.Problem, answer *problem.Answer, over Horizon, settings rotation.Settings) ([]view.Spring, error) {
	o, err := s.Outlook(ctx)
	if err != nil || o.Series == nil {
		return nil, err
	}
	year := s.Property.YearOf(s.Today)
	if over.From != 0 {
		year = over.From
	}
	expected, err := s.ExpectedBurnDays(o, year)
	if err != nil {
		return nil, err
	}
	for _, e := range expected {
		if !e.HasYears {
			return nil, nil // too few years to tell a better spring from a worse one
		}
	}
	defer s.begin("asking what a better or a worse spring would cost")()
	var all []view.Spring
	for _, choice := range []BurnDaysFrom{MedianDays, PoorDays} {
		over.BurnDays = BurnDays{From: choice}
		made, err := s.Problem(ctx, over)
		if err != nil {
			return nil, err
		}
		spring := view.Spring{Name: string(choice), Days: capDays(made.Problem)}
		if spring.Same = sameCaps(p, made.Problem); spring.Same {
			spring.Cost, spring.Bound = answer.Cost, answer.Bound
		} else {
			other, err := again(settings)(ctx, made.Problem)
			if err != nil {
				return nil, err
			}
			if spring.Infeasible = other.Status == problem.Infeasible; !spring.Infeasible {
				spring.Cost, spring.Bound, spring.Difference = other.Cost, other.Bound, other.Cost-answer.Cost
			}
		}
		spring.Say()
		all = append(all, spring)
	}
	return all, nil
}

// capDays says the burn-day caps of the first year.
func capDays(p *problem.Problem) string {
	var words []string
	for i, days := range p.Caps[0].BurnDays {
		if days != problem.NoLimit {
			words = append(words, fmt.Sprintf("%s %s in %s", view.Figure(days), map[bool]string{true: "day", false: "days"}[days == 1], p.Seasons[i]))
		}
	}
	if words == nil {
		return "no limit of burn days"
	}
	return strings.Join(words, ", ")
}

func sameCaps(a, b *problem.Problem) bool {
	return slices.EqualFunc(a.Caps, b.Caps, func(x, y problem.YearCaps) bool { return slices.Equal(x.BurnDays, y.BurnDays) })
}

// putSprings keeps them beside the plan.
func putSprings(tx *store.Tx, number int, all []view.Spring) error {
	if len(all) == 0 {
		return nil
	}
	body, err := json.Marshal(all)
	if err != nil {
		return err
	}
	return tx.PutDocument(store.Document{Kind: store.Other, Name: fmt.Sprint(springsName, number), Body: body})
}

// springs gives those that were kept beside a plan.
func (s *Session) springs(number int) (all []view.Spring, err error) {
	name := fmt.Sprint(springsName, number)
	for _, doc := range s.Others {
		if doc.Name == name {
			if err := json.Unmarshal(doc.Body, &all); err != nil {
				return nil, fmt.Errorf("read %s: %w", name, err)
			}
		}
	}
	return all, nil
}
