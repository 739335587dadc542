package cli

import (
	"context"
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

// firingName begins the name of the document that keeps a unit's firing;
// everyUnit stands in it for the property's own, which holds where the unit says
// nothing.
const (
	firingName = "firing of "
	everyUnit  = ""
)

// firing is what the manager says of how a unit is burned; nil or 0 says
// nothing.
type firing struct {
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

func (f *firing) window() window.Firing {
	return window.Firing{Hours: f.Hours, Lines: f.Lines, Spacing: quantity.Chains(f.Spacing)}
}

// depths gives the extents that the manager states; known is false where there
// are none.
func (f *firing) depths() (depths [16]quantity.Feet, known bool) {
	switch {
	case f.Depth > 0:
		return window.SameDepths(quantity.Feet(f.Depth)), true
	case f.Length > 0 && f.Width > 0:
		return window.RectangleDepths(quantity.Feet(f.Length), quantity.Feet(f.Width), quantity.NewBearing(f.Axis)), true
	}
	return depths, false
}

// over puts what the unit says over what holds for every unit.
func (f firing) over(every firing) firing {
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
func firings(snapshot *store.Snapshot) (map[string]firing, error) {
	all := map[string]firing{}
	for _, doc := range snapshot.Others {
		if unit, ok := strings.CutPrefix(doc.Name, firingName); ok {
			var f firing
			if err := json.Unmarshal(doc.Body, &f); err != nil {
				return nil, fmt.Errorf("read how %s is burned: %w", unit, err)
			}
			all[unit] = f
		}
	}
	return all, nil
}

// firingOf gives what is said of a unit and, where it says nothing, of every
// unit.
func (o *outlook) firingOf(unit string) firing { return o.firing[unit].over(o.firing[everyUnit]) }

// terms are what a burn of a unit in a season is held to.
type terms struct {
	// named is the prescription's name, empty where the unit has none; limits is
	// nil where none of that name is loaded.
	named  string
	limits *prescription.Prescription
	// card is nil where no depth is known.
	card *window.Card
	need window.Need
	// options are what the record is evaluated with. suits is false where no wind
	// is left.
	options window.Options
	suits   bool
}

// lines says in words what a burn is held to, for due, sheet, draft and
// forecast.
func (t *terms) lines() []string {
	var all []string
	switch {
	case t.named == "":
		return []string{"It has no prescription: its windows follow from dates only."}
	case t.limits == nil:
		return []string{fmt.Sprintf("Its prescription %s is not loaded: its windows follow from dates only.", quote(t.named))}
	case !t.suits:
		return []string{fmt.Sprintf("Prescription %s.", t.named), "No wind suits it: each one of the prescription carries smoke to a sensitive place."}
	}
	all = append(all, fmt.Sprintf("Prescription %s.", t.named), "Needed: "+t.need.Words+".")
	if t.need.Warning != "" {
		all = append(all, "Warning: "+t.need.Warning+".")
	}
	return all
}

// terms gathers what holds for a unit in a season; season "" asks for the
// prescription that holds where no season has its own.
func (o *outlook) terms(u *habitat.Unit, season string) *terms {
	name := u.PrescriptionIn(season)
	if whole := o.limits[u.Prescription]; whole != nil {
		name = u.Prescription // a name that was loaded before ; and : parted seasons
	}
	t := &terms{named: name, limits: o.limits[name], suits: true}
	own := o.firingOf(u.ID)
	in, known := o.cardInput(u.ID)
	if known {
		t.card = window.NewCard(in, t.limits, nil)
		if t.need, t.suits = t.card.Need(own.window(), t.limits); t.suits {
			t.options.WindFrom, _ = t.card.Sectors()
		}
	} else {
		t.need = window.NeedWithoutDepth(own.window(), t.limits)
	}
	t.options.MinHours, t.options.WindAdjustment = t.need.Hours, quantity.Share(own.Adjustment)
	return t
}

// notLoaded is the error for a unit whose prescription is not there.
func notLoaded(u *habitat.Unit, season string, t *terms) error {
	found := quote(u.ID) + " has no prescription"
	if t.named != "" {
		found = fmt.Sprintf("the prescription %s of %s is not loaded", quote(t.named), quote(u.ID))
	}
	if season != "" {
		found += " in " + season
	}
	return &source.Error{Position: source.Position{File: "--unit"}, Found: found, Accepts: "a unit with one that is loaded",
		Hint: "emberquilt prescription loads them; the column prescription of a list of units names them"}
}

// view gives the terms as the papers show them.
func (t *terms) view() view.Terms {
	v := view.Terms{Prescription: t.named, Words: t.lines()}
	if t.limits != nil && t.suits {
		v.Hours = &t.need.Hours
		if t.card != nil {
			v.Lines = &t.need.Lines
		}
	}
	return v
}

// warnings are those of the record in use and of what was held against it so
// far.
func (o *outlook) warnings() []string {
	if o.series == nil {
		return nil
	}
	all := slices.Clone(o.series.Record().Warnings)
	for _, warning := range o.said {
		if !slices.Contains(all, warning) {
			all = append(all, warning)
		}
	}
	return all
}

// bare are the options for a prescription by itself, apart from any unit: eye-
// level wind takes the adjustment that holds for every unit.
func (o *outlook) bare() window.Options {
	return window.Options{WindAdjustment: quantity.Share(o.firing[everyUnit].Adjustment)}
}

// warnPrescriptions says which prescriptions units name that are not loaded: their
// windows then follow from dates only.
func (a *app) warnPrescriptions(ctx context.Context, d *desk) error {
	snapshot, err := d.store.Snapshot(ctx)
	if err != nil {
		return err
	}
	loaded := map[string]bool{}
	for _, doc := range snapshot.Prescriptions {
		loaded[doc.Name] = true
	}
	var missing []string
	for i := range snapshot.Units {
		if u := &snapshot.Units[i]; !loaded[u.Prescription] {
			for _, name := range u.Prescriptions() {
				if !loaded[name] && !slices.Contains(missing, quote(name)) {
					missing = append(missing, quote(name))
				}
			}
		}
	}
	if len(missing) > 0 {
		a.warn([]string{"units name prescriptions that are not loaded: " + strings.Join(missing, ", ") + "; until emberquilt prescription loads them, windows follow from dates only"})
	}
	return nil
}
