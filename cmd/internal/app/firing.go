package app

import (
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
)

// windowFiring gives what the manager says of the hours as window.Card takes it.
func windowFiring(f *habitat.Firing) window.Firing {
	return window.Firing{Hours: f.Hours, Lines: f.Lines, Spacing: f.Spacing}
}

// statedDepths gives the extents and runs that the manager states; known is false where
// there are none.
func statedDepths(f *habitat.Firing) (depths, runs [16]quantity.Feet, known bool) {
	switch {
	case f.Depth > 0:
		depths = window.SameDepths(f.Depth)
		return depths, depths, true
	case f.Length > 0 && f.Width > 0:
		depths, runs = window.RectangleDepths(f.Length, f.Width, quantity.NewBearing(float64(f.Axis)))
		return depths, runs, true
	}
	return depths, runs, false
}

// Terms are what a burn of a unit in a season is held to.
type Terms struct {
	// Named is the prescription's name, empty where the unit has none; Limits is
	// nil where none of that name is loaded.
	Named  string
	Limits *prescription.Prescription
	// Card is nil where no depth is known.
	Card *window.Card
	Need window.Need
	// Options are what the record is evaluated with. Suits is false where no wind
	// is left.
	Options window.Options
	Suits   bool
}

// Terms gathers what holds for a unit in a season; season "" asks for the
// prescription that holds where no season has its own.
func (o *Outlook) Terms(u *habitat.Unit, season string) *Terms {
	t := &Terms{Suits: true}
	t.Named, t.Limits = o.limitsIn(u, season)
	own := o.Firings.For(u.ID)
	in, known := o.CardInput(u.ID)
	if known {
		t.Card = window.NewCard(in, t.Limits, nil)
		if t.Need, t.Suits = t.Card.Need(windowFiring(&own), t.Limits); t.Suits {
			t.Options.WindFrom, _ = t.Card.Sectors()
		}
	} else {
		t.Need = window.NeedWithoutDepth(windowFiring(&own), t.Limits)
	}
	t.Options.MinHours, t.Options.WindAdjustment, t.Options.Zone = t.Need.Hours, own.Adjustment, o.zone
	return t
}

// limitsIn gives the prescription of a unit in a season and its name; nil where it is
// not loaded.
func (o *Outlook) limitsIn(u *habitat.Unit, season string) (name string, limits *prescription.Prescription) {
	if whole := o.Limits[u.Prescription]; whole != nil {
		return u.Prescription, whole // a name that was loaded before ; and : parted seasons
	}
	name = u.PrescriptionIn(season)
	return name, o.Limits[name]
}

// View gives the terms as the papers show them.
func (t *Terms) View() view.Terms {
	facts := view.TermsFacts{Prescription: t.Named, IsLoaded: t.Limits != nil, HasDepth: t.Card != nil}
	if t.Suits {
		facts.Need = &t.Need
	}
	v := view.NewTerms(facts)
	if t.Card != nil && t.Limits != nil && t.Suits {
		v.Winds = view.WindWords(t.Card)
		v.Words = append(v.Words, v.Winds)
	}
	return v
}

// Warnings are those of the record in use and of what was held against it so
// far.
func (o *Outlook) Warnings() []string {
	if o.Series == nil {
		return nil
	}
	all := slices.Clone(o.Series.Record().Warnings)
	for _, warning := range o.said {
		if !slices.Contains(all, warning) {
			all = append(all, warning)
		}
	}
	return all
}

// Bare are the options for a prescription by itself, apart from any unit: eye-
// level wind takes the adjustment that holds for every unit.
func (o *Outlook) Bare() window.Options {
	return window.Options{WindAdjustment: o.Firings.Every.Adjustment, Zone: o.zone}
}
