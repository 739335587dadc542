package app

import (
	"context"
	"maps"
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
	return knowsSeason(&s.Property, "season", name)
}

// knowsSeason refuses what an option names that is not a season of a property.
func knowsSeason(p *habitat.Property, option, name string) error {
	if p.SeasonIndex(name) >= 0 {
		return nil
	}
	names := seasonNames(p)
	return unknownName(option, "a season of the property: "+strings.Join(names, ", "), name, names, "%s is none", source.Quote(name))
}

func seasonNames(p *habitat.Property) []string {
	names := make([]string, len(p.Seasons))
	for i := range p.Seasons {
		names[i] = p.Seasons[i].Name
	}
	return names
}

// CardOptions ask for a unit's wind card, or for what the units need.
type CardOptions struct {
	// Unit is empty for every unit that says nothing itself.
	Unit string
	// Season is empty for the one under way or next.
	Season string
	// Change is what the caller says of how the unit is burned, over what is kept.
	Change FiringChange
	// Save keeps the change, Clear takes away what was kept before; not both.
	Save, Clear bool
}

// Card is what a burn of a unit is held to, wind by wind.
type Card struct {
	// Unit is nil where every unit is meant.
	Unit *habitat.Unit
	// Wind is nil without a unit, and where clearing took its depth away.
	Wind *view.WindCard
	// Needs is what a burn of each unit needs, where no unit is named.
	Needs []view.UnitNeed
}

// Card computes a wind card, and keeps or clears what is said of the unit. An
// OptionError says what cannot be, a NoDepthError that the unit has no depth. Where the
// Card beside an error is not nil, what is said was kept or cleared.
func (s *Session) Card(ctx context.Context, o CardOptions) (*Card, error) {
	var card Card
	name := ""
	if o.Unit != "" {
		var err error
		if card.Unit, err = FindUnit(s.Snapshot, o.Unit); err != nil {
			return nil, err
		}
		name = card.Unit.ID
	}
	kept := s.Firings.Every
	if name != "" {
		kept = s.Firings.Of[name]
	}
	if o.Clear {
		kept = habitat.Firing{}
	}
	said, err := o.Change.Onto(kept)
	if err != nil {
		return nil, err
	}
	outlook, err := s.Outlook(ctx)
	if err != nil {
		return nil, err
	}
	outlook = outlook.with(name, said)
	if o.Save || o.Clear {
		if err := s.SaveFiring(ctx, name, said); err != nil {
			return nil, err
		}
	}
	if card.Unit == nil {
		card.Needs, err = s.needs(outlook, o.Season)
		return &card, err
	}
	season, err := s.SeasonFor(card.Unit, o.Season)
	if err != nil {
		return &card, err
	}
	if o.Clear && outlook.Terms(card.Unit, season).Card == nil {
		return &card, nil
	}
	card.Wind, err = outlook.WindCard(card.Unit, season)
	return &card, err // what was saved is saved, whether or not there is a card
}

// with gives the outlook as it is when a unit, or every unit, is burned otherwise.
func (o *Outlook) with(unit string, f habitat.Firing) *Outlook {
	other := *o
	other.days = map[[2]string]*window.Days{}
	if unit == "" {
		other.Firings.Every = f
		return &other
	}
	if other.Firings.Of = maps.Clone(o.Firings.Of); other.Firings.Of == nil {
		other.Firings.Of = map[string]habitat.Firing{}
	}
	other.Firings.Of[unit] = f
	return &other
}

// needs gives what a burn of each unit needs in each of its seasons, or in one.
func (s *Session) needs(o *Outlook, season string) ([]view.UnitNeed, error) {
	if season != "" {
		if err := s.KnowsSeason(season); err != nil {
			return nil, err
		}
	}
	all := []view.UnitNeed{}
	for i := range s.Units {
		u := &s.Units[i]
		for _, choice := range u.Choices(&s.Property) {
			if season == "" || choice.Season == season {
				t := o.Terms(u, choice.Season)
				all = append(all, view.NewUnitNeed(u.ID, choice.Season, t.Named, t.Limits != nil, t.Card, t.Suits, t.Need))
			}
		}
	}
	return all, nil
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
	own := o.Firings.For(u.ID)
	card := view.NewWindCard(u.ID, season, window.NewCard(in, t.Limits, days), windowFiring(&own))
	card.Prescription, card.Within = t.Named, in.Within
	if t.Limits == nil && t.Named != "" {
		card.NotLoaded(t.Named)
	}
	if t.Suits {
		card.Need = &t.Need
	}
	if days != nil {
		card.Basis, card.Warnings = days.Basis(), days.Warnings
	}
	return card, nil
}
