package app

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
	"emberquilt/store"
)

// FiringName begins the name of the document that keeps a unit's firing;
// EveryUnit stands in it for the property's own, which holds where the unit says
// nothing.
const (
	FiringName = "firing of "
	EveryUnit  = ""
)

// Firing is what the manager says of how a unit is burned; nil or 0 says
// nothing.
type Firing struct {
	Hours      int     `json:"hours,omitempty"`
	Lines      *int    `json:"interior_lines,omitempty"`
	Spacing    float64 `json:"line_spacing_chains,omitempty"`
	Rate       float64 `json:"backing_chains_per_hour,omitempty"`
	Adjustment float64 `json:"wind_adjustment,omitempty"`
	Within     float64 `json:"smoke_within_ft,omitempty"`
	Smoke      bool    `json:"smoke_allowed,omitempty"`
	Depth      float64 `json:"depth_ft,omitempty"`
	Length     float64 `json:"length_ft,omitempty"`
	Width      float64 `json:"width_ft,omitempty"`
	Axis       float64 `json:"axis_deg,omitempty"`
}

// Window gives it as window.Card takes it.
func (f *Firing) Window() window.Firing {
	return window.Firing{Hours: f.Hours, Lines: f.Lines, Spacing: quantity.Chains(f.Spacing)}
}

// Depths gives the extents that the manager states; known is false where there
// are none.
func (f *Firing) Depths() (depths [16]quantity.Feet, known bool) {
	switch {
	case f.Depth > 0:
		return window.SameDepths(quantity.Feet(f.Depth)), true
	case f.Length > 0 && f.Width > 0:
		return window.RectangleDepths(quantity.Feet(f.Length), quantity.Feet(f.Width), quantity.NewBearing(f.Axis)), true
	}
	return depths, false
}

// over puts what the unit says over what holds for every unit.
func (f Firing) over(every Firing) Firing {
	pick := func(own *float64, other float64) {
		if *own == 0 {
			*own = other
		}
	}
	if f.Hours == 0 && f.Lines == nil {
		f.Hours, f.Lines = every.Hours, every.Lines
	}
	pick(&f.Spacing, every.Spacing)
	pick(&f.Rate, every.Rate)
	pick(&f.Adjustment, every.Adjustment)
	pick(&f.Within, every.Within)
	f.Smoke = f.Smoke || every.Smoke
	return f
}

// firings gives what is kept of each unit.
func firings(snapshot *store.Snapshot) (map[string]Firing, error) {
	all := map[string]Firing{}
	for _, doc := range snapshot.Others {
		if unit, ok := strings.CutPrefix(doc.Name, FiringName); ok {
			var f Firing
			if err := json.Unmarshal(doc.Body, &f); err != nil {
				return nil, fmt.Errorf("read how %s is burned: %w", unit, err)
			}
			all[unit] = f
		}
	}
	return all, nil
}

// FiringOf gives what is said of a unit and, where it says nothing, of every
// unit.
func (o *Outlook) FiringOf(unit string) Firing { return o.Firing[unit].over(o.Firing[EveryUnit]) }

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

// Lines says in words what a burn is held to, for due, sheet, draft and
// forecast.
func (t *Terms) Lines() []string {
	var all []string
	switch {
	case t.Named == "":
		return []string{"It has no prescription: its windows follow from dates only."}
	case t.Limits == nil:
		return []string{fmt.Sprintf("Its prescription %s is not loaded: its windows follow from dates only.", source.Quote(t.Named))}
	case !t.Suits:
		return []string{fmt.Sprintf("Prescription %s.", t.Named), "No wind suits it: each one of the prescription carries smoke to a sensitive place."}
	}
	all = append(all, fmt.Sprintf("Prescription %s.", t.Named), "Needed: "+t.Need.Words+".")
	if t.Need.Warning != "" {
		all = append(all, "Warning: "+t.Need.Warning+".")
	}
	return all
}

// Terms gathers what holds for a unit in a season; season "" asks for the
// prescription that holds where no season has its own.
func (o *Outlook) Terms(u *habitat.Unit, season string) *Terms {
	name := u.PrescriptionIn(season)
	if whole := o.Limits[u.Prescription]; whole != nil {
		name = u.Prescription // a name that was loaded before ; and : parted seasons
	}
	t := &Terms{Named: name, Limits: o.Limits[name], Suits: true}
	own := o.FiringOf(u.ID)
	in, known := o.CardInput(u.ID)
	if known {
		t.Card = window.NewCard(in, t.Limits, nil)
		if t.Need, t.Suits = t.Card.Need(own.Window(), t.Limits); t.Suits {
			t.Options.WindFrom, _ = t.Card.Sectors()
		}
	} else {
		t.Need = window.NeedWithoutDepth(own.Window(), t.Limits)
	}
	t.Options.MinHours, t.Options.WindAdjustment = t.Need.Hours, quantity.Share(own.Adjustment)
	return t
}

// View gives the terms as the papers show them.
func (t *Terms) View() view.Terms {
	v := view.Terms{Prescription: t.Named, Words: t.Lines()}
	if t.Limits != nil && t.Suits {
		v.Hours = &t.Need.Hours
		if t.Card != nil {
			v.Lines = &t.Need.Lines
		}
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
	return window.Options{WindAdjustment: quantity.Share(o.Firing[EveryUnit].Adjustment)}
}
