package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

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
	// days are the evaluations made so far, by unit. smoky are the units for
	// which every wind carries smoke to a sensitive place.
	days  map[string]*window.Days
	smoky map[string]bool
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

// newOutlook reads the record in use and the prescriptions.
func (d *desk) newOutlook(ctx context.Context) (*outlook, error) {
	current := d.Current()
	o := &outlook{limits: map[string]*prescription.Prescription{}, days: map[string]*window.Days{}, smoky: map[string]bool{}, shapes: current.Shapes, places: current.Places}
	for _, doc := range d.Prescriptions {
		p, err := prescription.Parse(d.store.Path()+": prescription "+doc.Name, doc.Body)
		if err != nil {
			return nil, err
		}
		o.limits[doc.Name] = p
	}
	station, err := stationInUse(d.Snapshot)
	if err != nil || station == "" {
		return o, err
	}
	record, err := d.weatherRecord(ctx, station)
	if err != nil {
		return nil, err
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

// cardInput gathers what the property knows for a unit's wind card: its depth
// along each wind and the places around it. known is false without a shape.
func (o *outlook) cardInput(unit string) (in window.CardInput, known bool) {
	in.Within = smokeDistance
	shape, known := o.shapes[unit]
	if !known {
		return in, false
	}
	for i, depth := range shape.Depths() {
		in.Depths[i] = depth.Along
	}
	for _, place := range o.places {
		if away, ok := shape.Away(place); ok {
			in.Places = append(in.Places, window.Place{Name: place.Name, Toward: away.Toward, Distance: away.Distance})
		}
	}
	return in, true
}

// plainDays holds the record against a unit's prescription alone.
func (o *outlook) plainDays(u *habitat.Unit) (*window.Days, error) {
	limits := o.limits[u.Prescription]
	if o.series == nil || limits == nil {
		return nil, nil
	}
	return o.series.Evaluate(limits, window.Options{})
}

// smokeDistance is within which a place is sensitive to smoke. Common practice,
// no source: a mile.
const smokeDistance quantity.Feet = 5280

// unitDays holds the record against a unit's prescription, with the hours and
// the winds that the unit's shape asks for; nil where record or prescription
// are missing, or no wind suits.
func (o *outlook) unitDays(u *habitat.Unit) (*window.Days, error) {
	limits := o.limits[u.Prescription]
	if o.series == nil || limits == nil {
		return nil, nil
	}
	if days, ok := o.days[u.ID]; ok {
		return days, nil
	}
	options, suits := o.unitOptions(u, limits)
	if !suits {
		o.smoky[u.ID] = true
		o.days[u.ID] = nil
		return nil, nil
	}
	days, err := o.series.Evaluate(limits, options)
	o.days[u.ID] = days
	return days, err
}

// unitOptions gives the hours and the winds that a unit's shape asks for; suits is
// false where every wind carries smoke to a sensitive place.
func (o *outlook) unitOptions(u *habitat.Unit, limits *prescription.Prescription) (options window.Options, suits bool) {
	in, known := o.cardInput(u.ID)
	if !known {
		return options, true
	}
	card := window.NewCard(in, limits, nil)
	// The prescription's own number of hours counts; where it has none, the
	// unit's depth along the wind says how many a backing fire needs.
	if hours, ok := card.NeededHours(); ok && !statesHours(limits) {
		options.MinHours = hours
	}
	options.WindFrom, suits = card.Sectors()
	return options, suits
}

// statesHours reports whether a prescription says itself how many hours in a row
// a burn needs.
func statesHours(p *prescription.Prescription) bool {
	return !slices.ContainsFunc(p.Assumed, func(text string) bool { return strings.HasPrefix(text, "min_hours") })
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
	days, err := o.unitDays(u)
	switch {
	case err != nil || o.smoky[u.ID]:
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
			days, err := o.unitDays(u)
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
