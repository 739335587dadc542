package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
	"emberquilt/schedule/window"
	"emberquilt/store"
)

// inUse is the name of the document that says which station's record counts.
const inUse = "station in use"

// outlook is the weather record of a property with its prescriptions; the zero
// value knows no weather.
type outlook struct {
	station string
	series  *window.Series
	// limits are the prescriptions by name.
	limits map[string]*prescription.Prescription
	shapes map[string]ground.Shape
	places []ground.Place
	// firing is what the manager says of each unit.
	firing map[string]firing
	// days are the evaluations made so far, by unit and prescription.
	days map[[2]string]*window.Days
	// said are the warnings of the evaluations, each once.
	said []string
}

// stationInUse names the record that counts; empty where there is none. With
// several records the user chooses; nothing is mixed.
func stationInUse(snapshot *store.Snapshot) (string, error) {
	for _, d := range snapshot.Others {
		if d.Name == inUse {
			var name string
			if err := json.Unmarshal(d.Body, &name); err != nil {
				return "", fmt.Errorf("read which station is in use: %w", err)
			}
			return name, nil
		}
	}
	return "", nil
}

// newOutlook reads the record in use and the prescriptions, once for each version
// of the data.
func (d *desk) newOutlook(ctx context.Context) (*outlook, error) {
	if at := string(d.Change.Stamp()); d.sky != nil && d.skyAt == at {
		return d.sky, nil
	}
	o, err := d.readOutlook(ctx)
	if err == nil {
		d.sky, d.skyAt = o, string(d.Change.Stamp())
	}
	return o, err
}

func (d *desk) readOutlook(ctx context.Context) (*outlook, error) {
	current := d.Current()
	o := &outlook{limits: map[string]*prescription.Prescription{}, days: map[[2]string]*window.Days{}, shapes: current.Shapes, places: current.Places}
	for _, doc := range d.Prescriptions {
		p, err := prescription.Parse(d.store.Path()+": prescription "+doc.Name, doc.Body)
		if err != nil {
			return nil, err
		}
		o.limits[doc.Name] = p
	}
	var err error
	if o.firing, err = firings(d.Snapshot); err != nil {
		return nil, err
	}
	station, err := stationInUse(d.Snapshot)
	if err != nil || station == "" {
		return o, err
	}
	record, err := d.weatherRecord(ctx, station)
	if err != nil {
		return nil, err
	}
	if record.Station.Name == "" && record.Station.ID == "" {
		record.Station.Name = station // what the user calls it
	}
	o.station, o.series = station, window.NewSeries(record)
	return o, nil
}

// weatherRecord reads a loaded record.
func (d *desk) weatherRecord(ctx context.Context, station string) (*weather.Record, error) {
	doc, err := d.store.Document(ctx, store.Weather, station)
	if errors.Is(err, store.ErrUnknown) {
		return nil, &source.Error{Position: source.Position{File: d.store.Path()}, Found: "there is no weather record " + quote(station), Hint: "emberquilt weather lists those that are loaded"}
	}
	if err != nil {
		return nil, err
	}
	return weather.Restore(d.store.Path()+": weather "+station, doc.Body, doc.Record)
}

// cardInput gathers what is known for a unit's wind card: its depth along each
// wind, from its shape or from the manager, and the places around it. known is
// false without a depth.
func (o *outlook) cardInput(unit string) (in window.CardInput, known bool) {
	own := o.firingOf(unit)
	in.Within, in.BackingRate, in.SmokeAllowed = smokeDistance, quantity.ChainsPerHour(own.Rate), own.Smoke
	if own.Within > 0 {
		in.Within = quantity.Feet(own.Within)
	}
	shape, hasShape := o.shapes[unit]
	if hasShape {
		for i, depth := range shape.Depths() {
			in.Depths[i] = depth.Along
		}
		for _, place := range o.places {
			if away, ok := shape.Away(place); ok {
				in.Places = append(in.Places, window.Place{Name: place.Name, Toward: away.Toward, Distance: away.Distance})
			}
		}
	}
	if depths, stated := own.depths(); stated {
		in.Depths, known = depths, true
	}
	return in, known || hasShape
}

// plainDays holds the record against a unit's prescription alone.
func (o *outlook) plainDays(t *terms) (*window.Days, error) {
	if o.series == nil || t.limits == nil {
		return nil, nil
	}
	return o.series.Evaluate(t.limits, window.Options{WindAdjustment: t.options.WindAdjustment})
}

// smokeDistance is within which a place is sensitive to smoke. Common practice,
// no source: a mile.
const smokeDistance quantity.Feet = 5280

// unitDays holds the record against a unit's prescription of a season, with the
// hours and the winds that the unit asks for; nil where record or prescription
// are missing, or no wind suits.
func (o *outlook) unitDays(u *habitat.Unit, season string) (*window.Days, error) {
	name := u.PrescriptionIn(season)
	key := [2]string{u.ID, name}
	if days, ok := o.days[key]; ok {
		return days, nil
	}
	t := o.terms(u, season)
	if o.series == nil || t.limits == nil || !t.suits {
		o.days[key] = nil
		return nil, nil
	}
	days, err := o.series.Evaluate(t.limits, t.options)
	if err != nil {
		return nil, againstUnit(u.ID, err)
	}
	o.days[key] = days
	for _, warning := range days.Warnings {
		if !slices.Contains(o.said, warning) {
			o.said = append(o.said, warning)
		}
	}
	return days, nil
}

// againstUnit says for which unit a record could not be held against a
// prescription, and what helps.
func againstUnit(unit string, err error) error {
	var fault *source.Error
	if errors.As(err, &fault) && fault.Field == "wind_adjustment" {
		return &source.Error{Position: source.Position{File: unit, Field: fault.Field}, Found: fault.Found, Accepts: fault.Accepts,
			Hint: fmt.Sprintf("emberquilt card %s --adjustment 0.4 --keep says it for the unit, without the unit for all of them; 0.4 is only an example", quote(unit))}
	}
	return fmt.Errorf("hold the weather against %s: %w", unit, err)
}

// windows gives the windows of one planned burn, from today on.
func (d *desk) windows(o *outlook, u *habitat.Unit, burn habitat.PlannedBurn) ([]window.Window, error) {
	season := d.Property.SeasonIndex(burn.Season)
	if season < 0 {
		return nil, nil
	}
	span := d.Property.SeasonSpan(season, burn.Year)
	if span.First.Before(d.today) && !d.today.After(span.Last) {
		span.First = d.today
	}
	closed := d.closures(u.ID, span)
	days, err := o.unitDays(u, burn.Season)
	switch {
	case err != nil || days == nil && !o.terms(u, burn.Season).suits:
		return nil, err
	case days == nil:
		return window.FromDates(span, closed, &d.Property.Crew), nil
	}
	return days.Windows(window.Season{Span: span, Closures: closed, Crew: &d.Property.Crew}, d.Property.WindowChance), nil
}

// closures gives the days of a span on which a unit may not burn.
func (d *desk) closures(unit string, span date.Span) []date.Span {
	var closed []date.Span
	for i := range d.Property.Closures {
		if c := &d.Property.Closures[i]; c.Covers(unit) {
			closed = append(closed, c.Within(span)...)
		}
	}
	return closed
}

// burnDays gives, season by season, the burn days to expect in a program year:
// days on which at least one unit that may burn in it is in prescription.
// Closures of single units do not count. nil where no weather is known.
func (d *desk) burnDays(o *outlook, year date.ProgramYear) (map[string]*window.BurnDays, error) {
	if o.series == nil {
		return nil, nil
	}
	expected := map[string]*window.BurnDays{}
	for i, season := range d.Property.Seasons {
		var all []*window.Days
		for k := range d.Units {
			u := &d.Units[k]
			if !slices.ContainsFunc(u.Choices(&d.Property), func(c habitat.SeasonChoice) bool { return c.Season == season.Name }) {
				continue
			}
			days, err := o.unitDays(u, season.Name)
			if err != nil {
				return nil, err
			}
			if days != nil {
				all = append(all, days)
			}
		}
		if len(all) == 0 {
			continue
		}
		span := d.Property.SeasonSpan(i, year)
		expected[season.Name] = window.AnyOf(all...).BurnDays(window.Season{Span: span, Closures: d.closures("", span), Crew: &d.Property.Crew}, 0)
	}
	return expected, nil
}
