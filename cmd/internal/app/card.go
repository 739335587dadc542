package app

import (
	"fmt"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// SeasonFor checks a season's name; an empty one becomes the season in which the
// unit may burn that is under way or comes next.
func (s *Session) SeasonFor(u *habitat.Unit, name string) (string, error) {
	if name != "" {
		return name, s.KnowsSeason(name)
	}
	best, from := "", s.Today
	for _, choice := range u.Choices(&s.Property) {
		i := s.Property.SeasonIndex(choice.Season)
		if i < 0 {
			continue
		}
		for year := s.Property.YearOf(s.Today) - 1; year <= s.Property.YearOf(s.Today)+2; year++ {
			span := s.Property.SeasonSpan(i, year)
			if span.Last.Before(s.Today) {
				continue
			}
			if best == "" || span.First.Before(from) {
				best, from = choice.Season, span.First
			}
			break
		}
	}
	return best, nil
}

// KnowsSeason refuses a season that the property does not have.
func (s *Session) KnowsSeason(name string) error {
	if s.Property.SeasonIndex(name) < 0 {
		return badOption("season", "a season of the property: "+strings.Join(seasonNames(&s.Property), ", "), "%s is none", source.Quote(name))
	}
	return nil
}

func seasonNames(p *habitat.Property) []string {
	names := make([]string, len(p.Seasons))
	for i := range p.Seasons {
		names[i] = p.Seasons[i].Name
	}
	return names
}

// WindCard computes a unit's wind card with the shares of the record.
func (o *Outlook) WindCard(u *habitat.Unit, season string) (*view.WindCard, error) {
	t := o.Terms(u, season)
	if t.Card == nil {
		return nil, &NoDepthError{u.ID}
	}
	days, err := o.PlainDays(t)
	if err != nil {
		return nil, AgainstUnit(u.ID, err)
	}
	in, _ := o.CardInput(u.ID)
	own := o.FiringOf(u.ID)
	card := view.NewWindCard(u.ID, season, window.NewCard(in, t.Limits, days), own.Window())
	card.Prescription, card.Within = t.Named, in.Within
	if t.Limits == nil && t.Named != "" {
		card.Notes = append(card.Notes, fmt.Sprintf("Its prescription %s is not loaded: every wind is taken to be within it.", source.Quote(t.Named)))
	}
	if t.Suits {
		card.Need = &t.Need
	}
	if days != nil {
		card.Basis, card.Warnings = days.Basis(), days.Warnings
	}
	return card, nil
}
