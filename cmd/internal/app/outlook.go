package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
	"emberquilt/schedule/window"
	"emberquilt/store"
)

// Outlook is the weather record of a property with its prescriptions; the zero
// value knows no weather.
type Outlook struct {
	// Station names the record in use; Series is nil without one.
	Station string
	Series  *window.Series
	// Limits are the prescriptions by name.
	Limits map[string]*prescription.Prescription
	// Firings is what the manager says of how the units are burned.
	Firings habitat.Firings
	shapes  map[string]ground.Shape
	places  []ground.Place
	// zone is that whose clock the property's people read.
	zone *time.Location
	// depths are those of the shapes of units, measured so far.
	depths map[string][16]ground.Depth
	// near are the places around units, measured so far.
	near map[nearKey][]window.Place
	// days are the evaluations made so far, by unit and prescription; units that ask for the
	// same share one, which evaluated holds: ten years take 60 kilobytes.
	days      map[[2]string]*window.Days
	evaluated map[asked]*window.Days
	// none are the reasons found so far; see Session.noWindow.
	none map[string]*window.NoWindow
	// said are the warnings of the evaluations, each once.
	said []string
}

// asked is what a unit asks of the record: limits, hours in a row, winds.
type asked struct {
	limits     *prescription.Prescription
	minHours   int
	adjustment quantity.Share
	windFrom   string
}

// nearKey names a unit and how far around it places count.
type nearKey struct {
	unit   string
	within quantity.Feet
}

// placesAround gives the places near a unit with a shape.
func (o *Outlook) placesAround(unit string, shape ground.Shape, within quantity.Feet) []window.Place {
	key := nearKey{unit, within}
	near, ok := o.near[key]
	if !ok {
		near = window.PlacesAround(shape, o.places, within)
		o.near[key] = near
	}
	return near
}

// Outlook reads the record in use and the prescriptions, once for each version of
// the data.
func (s *Session) Outlook(ctx context.Context) (*Outlook, error) {
	if s.outlook != nil && s.outlookAt == s.Change.Stamp() {
		return s.outlook, nil
	}
	o, err := s.readOutlook(ctx)
	if err == nil {
		s.outlook, s.outlookAt = o, s.Change.Stamp()
	}
	return o, err
}

// ForgetWeather lets go of the weather record and what was found out by it. Who asks again
// waits until it is read again.
func (s *Session) ForgetWeather() { s.outlook = nil }

func (s *Session) readOutlook(ctx context.Context) (*Outlook, error) {
	current := s.Current()
	o := &Outlook{Limits: map[string]*prescription.Prescription{}, days: map[[2]string]*window.Days{}, evaluated: map[asked]*window.Days{}, shapes: current.Shapes, places: current.Places, Firings: s.Firings,
		zone: s.Property.Location(), depths: map[string][16]ground.Depth{}, near: map[nearKey][]window.Place{}, none: map[string]*window.NoWindow{}}
	for _, doc := range s.Prescriptions {
		p, err := s.parsePrescription(&doc)
		if err != nil {
			return nil, err
		}
		o.Limits[doc.Name] = p
	}
	station := s.Station
	if station == "" {
		return o, nil
	}
	doc, err := s.weatherDocument(ctx, station)
	if err != nil {
		return nil, err
	}
	o.Station = station
	o.Series, err = s.series(&doc)
	return o, err
}

// series cuts a loaded record into days.
func (s *Session) series(doc *store.Document) (*window.Series, error) {
	var key [32]byte
	if s.shelf != nil {
		key = recordKey(doc.Name, doc)
		if series := s.shelf.find(key); series != nil {
			return series, nil
		}
	}
	record, err := s.restore(doc)
	if err != nil {
		return nil, err
	}
	if record.Station.Name == "" && record.Station.ID == "" {
		record.Station.Name = doc.Name // what the user calls it
	}
	series := window.NewSeries(record)
	s.shelf.put(key, series)
	return series, nil
}

// WeatherRecord reads a loaded record.
func (s *Session) WeatherRecord(ctx context.Context, station string) (*weather.Record, error) {
	doc, err := s.weatherDocument(ctx, station)
	if err != nil {
		return nil, err
	}
	return s.restore(&doc)
}

func (s *Session) restore(doc *store.Document) (*weather.Record, error) {
	return weather.Restore(s.Store.Path()+": weather "+doc.Name, doc.Body, doc.Record)
}

// weatherDocument gives a loaded record as the file holds it.
func (s *Session) weatherDocument(ctx context.Context, station string) (store.Document, error) {
	doc, err := s.Store.Document(ctx, store.Weather, station)
	if errors.Is(err, store.ErrUnknown) {
		names := make([]string, len(s.Weather))
		for i := range s.Weather {
			names[i] = s.Weather[i].Name
		}
		return doc, &AdvisedError{
			Fault: &source.Error{
				Position: source.Position{File: s.Store.Path()},
				Found:    "there is no weather record " + source.Quote(station),
				Hint:     source.DidYouMean(station, names),
			},
			Advice: ListWeather,
		}
	}
	return doc, err
}

// CardInput gathers what is known for a unit's wind card: its depth along each
// wind and the longest run of the wind inside it, from its shape or from the manager, and the places around it. known is
// false without a depth.
func (o *Outlook) CardInput(unit string) (in window.CardInput, known bool) {
	own := o.Firings.For(unit)
	in.Within, in.BackingRate, in.SmokeAllowed = SmokeDistance, own.Rate, own.Smoke
	if own.Within > 0 {
		in.Within = own.Within
	}
	shape, hasShape := o.shapes[unit]
	if hasShape {
		depths, ok := o.depths[unit]
		if !ok {
			depths = shape.Depths()
			o.depths[unit] = depths
		}
		for i, depth := range depths {
			in.Depths[i], in.Runs[i] = depth.Along, depth.Run
		}
		in.Places = o.placesAround(unit, shape, in.Within)
	}
	if depths, runs, stated := statedDepths(&own); stated {
		in.Depths, in.Runs, known = depths, runs, true
	}
	return in, known || hasShape
}

// PlainDays holds the record against a unit's prescription alone.
func (o *Outlook) PlainDays(t *Terms) (*window.Days, error) {
	if o.Series == nil || t.Limits == nil {
		return nil, nil
	}
	return o.evaluate(t.Limits, window.Options{WindAdjustment: t.Options.WindAdjustment, Zone: o.zone})
}

// evaluate holds the record against limits, once for all units that ask for the same.
func (o *Outlook) evaluate(limits *prescription.Prescription, options window.Options) (*window.Days, error) {
	ask := asked{limits, options.MinHours, options.WindAdjustment, fmt.Sprint(options.WindFrom)}
	if days := o.evaluated[ask]; days != nil {
		return days, nil
	}
	days, err := o.Series.Evaluate(limits, options)
	if err == nil {
		o.evaluated[ask] = days
	}
	return days, err
}

// SmokeDistance is within which a place is sensitive to smoke. Common practice,
// no source: a mile.
const SmokeDistance quantity.Feet = 5280

// UnitDays holds the record against a unit's prescription of a season, with the
// hours and the winds that the unit asks for; nil where record or prescription
// are missing, or no wind suits.
func (o *Outlook) UnitDays(u *habitat.Unit, season string) (*window.Days, error) {
	name := u.PrescriptionIn(season)
	key := [2]string{u.ID, name}
	if days, ok := o.days[key]; ok {
		return days, nil
	}
	t := o.Terms(u, season)
	if o.Series == nil || t.Limits == nil || !t.Suits {
		o.days[key] = nil
		return nil, nil
	}
	days, err := o.evaluate(t.Limits, t.Options)
	if err != nil {
		return nil, AgainstUnit(u.ID, err)
	}
	o.days[key] = days
	for _, warning := range days.Warnings {
		if !slices.Contains(o.said, warning) {
			o.said = append(o.said, warning)
		}
	}
	return days, nil
}

// AgainstUnit says for which unit a record could not be held against a
// prescription, and what helps.
func AgainstUnit(unit string, err error) error {
	var fault *source.Error
	if errors.As(err, &fault) && fault.Field == "wind_adjustment" {
		return &AdvisedError{
			Fault:  &source.Error{Position: source.Position{File: unit, Field: fault.Field}, Found: fault.Found, Accepts: fault.Accepts},
			Advice: StateAdjustment,
			Unit:   unit,
		}
	}
	return fmt.Errorf("hold the weather against %s: %w", unit, err)
}
