package app

import (
	"context"

	"emberquilt/habitat"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
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
	return s.update(ctx, "change whom to call", func(tx *store.Tx) error { return tx.PutContacts(all) })
}

// OnSiteOptions say for which burn equipment and crew are listed.
type OnSiteOptions struct {
	Unit string
	// People is the size of the crew, the burn boss included; 0 takes that of the
	// settings, which may not be known.
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
	if o.Hours == 0 && len(unit.Seasons) > 0 {
		outlook, err := s.Outlook(ctx)
		if err != nil {
			return nil, nil, err
		}
		o.Hours, _ = outlook.Backing(unit, unit.Seasons[0].Season)
	}
	if state := s.StateOf(unit); state.PartBurned() {
		part := *unit
		part.Acres, unit = state.Left, &part
	}
	if o.People == 0 {
		o.People = s.Property.People
	}
	return unit, preparation.OnSite(unit.Acres, o.Hours, o.People), nil
}
