package app

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/store"
)

// ContactList gives whom to call, in order: the property's own list or, without one,
// the roles that such a list usually holds.
func (s *Session) ContactList() []habitat.Contact {
	if s.Contacts != nil {
		return s.Contacts
	}
	return preparation.Contacts()
}

// ReplaceContacts makes a list the property's own.
func (s *Session) ReplaceContacts(ctx context.Context, all []habitat.Contact) error {
	var faults []error
	for i := range all {
		for _, err := range unjoin(optionFaults(all[i].Validate())) {
			var fault *OptionError
			if errors.As(err, &fault) {
				fault.Option = fmt.Sprintf("contact %d, %s", i+1, fault.Option)
			}
			faults = append(faults, err)
		}
	}
	if err := errors.Join(faults...); err != nil {
		return err
	}
	return s.update(ctx, "change whom to call", func(tx *store.Tx) error { return tx.PutContacts(all) })
}

// OnSiteOptions say for which burn equipment and crew are listed.
type OnSiteOptions struct {
	Unit string
	// Season is that of the burn; empty takes that of the unit's next burn in the
	// adopted plan, or its preferred one.
	Season string
	// People is the size of the crew, the burn boss included; 0 takes the crew that the
	// settings name for the season, which may not be known.
	People int
	// Hours are those that the fire needs; 0 means those of the wind card.
	Hours quantity.Hours
}

// OnSite lists what to have on site for a burn of a unit: of what is left to burn,
// where some of it burned this program year. The unit's acres are then those.
func (s *Session) OnSite(ctx context.Context, o OnSiteOptions) (*habitat.Unit, []preparation.Item, error) {
	if o.People < 0 || o.People > 500 {
		return nil, nil, badOption("people", "0 to 500", "%d is not the size of a crew", o.People)
	}
	if !(o.Hours >= 0 && o.Hours <= 100) {
		return nil, nil, badOption("hours", "0 to 100", "%v is not a time that a burn takes", float64(o.Hours))
	}
	unit, err := FindUnit(s.Snapshot, o.Unit)
	if err != nil {
		return nil, nil, err
	}
	season, err := s.burnSeason(ctx, unit, o.Season)
	if err != nil {
		return nil, nil, err
	}
	if o.Hours == 0 && season != "" {
		outlook, err := s.Outlook(ctx)
		if err != nil {
			return nil, nil, err
		}
		o.Hours, _ = outlook.Backing(unit, season)
	}
	if state := s.StateOf(unit); state.PartBurned() {
		part := *unit
		part.Acres, unit = state.Left, &part
	}
	crew := habitat.People{Count: o.People}
	if o.People == 0 {
		crew = s.Property.PeopleIn(season)
	}
	return unit, preparation.OnSite(unit.Acres, o.Hours, crew), nil
}

// burnSeason gives the season in which a unit burns next by the adopted plan, or else its
// preferred one, also where the season of the plan's burn is gone; asked is taken where
// it is a season of the unit's.
func (s *Session) burnSeason(ctx context.Context, unit *habitat.Unit, asked string) (string, error) {
	seasons := make([]string, len(unit.Seasons))
	for i, choice := range unit.Seasons {
		seasons[i] = choice.Season
	}
	switch {
	case asked != "" && !slices.Contains(seasons, asked):
		return "", badOption("season", "one of "+quotedList(seasons), "%s does not burn in %s", unit.ID, source.Quote(asked))
	case asked != "":
		return asked, nil
	}
	if number := s.Adopted(); number > 0 {
		plan, err := s.Plan(ctx, number)
		if err != nil {
			return "", err
		}
		for _, burn := range plan.Burns() {
			if burn.Unit == unit.ID && s.isAhead(unit, burn) && s.Property.SeasonIndex(burn.Season) >= 0 {
				return burn.Season, nil
			}
		}
	}
	if len(seasons) == 0 {
		return "", nil
	}
	return seasons[0], nil
}
