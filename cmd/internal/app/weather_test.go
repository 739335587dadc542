package app

import (
	"context"
	"errors"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
	"emberquilt/habitat/weather/invented"
	"emberquilt/schedule/window"
	"emberquilt/store"
)

// sky puts invented weather of a few years, the starter prescriptions and, for every
// unit, one of them into a property.
func sky(t *testing.T, s *Session) {
	t.Helper()
	ctx := context.Background()
	made := invented.Demo()
	made.Years = 3
	if _, err := s.LoadWeather(ctx, made.Station, invented.Record(made)); err != nil {
		t.Fatal(err)
	}
	starters := prescription.Starters()
	if err := s.LoadPrescriptions(ctx, starters); err != nil {
		t.Fatal(err)
	}
	err := s.update(ctx, "name a prescription", func(tx *store.Tx) error {
		for _, unit := range s.Units {
			unit.Prescription = starters[0].Name
			if err := tx.PutUnit(unit); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestWeatherNeedsARecord(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	for name, do := range map[string]func() error{
		"days":    func() error { _, err := s.WeatherDays(ctx, 0); return err },
		"chance":  func() error { _, err := s.WeatherChance(ctx, ""); return err },
		"limits":  func() error { _, err := s.WeatherLimits(ctx, "", window.Steps{}); return err },
		"compare": func() error { _, err := s.CompareStations(ctx, ""); return err },
		"use":     func() error { return s.UseStation(ctx, "nowhere") },
	} {
		if err := do(); !source.Is(err) {
			t.Errorf("%s without a record: %v", name, err)
		}
	}
}

func TestWeatherSays(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	sky(t, s)
	first := invented.Demo().Station
	if s.Station != first {
		t.Errorf("%q is in use", s.Station)
	}
	days, err := s.WeatherDays(ctx, 0)
	if err != nil || days.Year != 2027 || len(days.Seasons) == 0 || len(days.Cautions) == 0 {
		t.Fatalf("%+v %v", days, err)
	}
	chance, err := s.WeatherChance(ctx, "")
	if err != nil || len(chance.Heats) != 1 || chance.Heats[0].Prescription != s.Units[0].Prescription || len(chance.Cautions) == 0 {
		t.Errorf("%+v %v", chance, err)
	}
	limits, err := s.WeatherLimits(ctx, s.Units[0].Prescription, window.Steps{Humidity: 5})
	if err != nil || len(limits.Limits) != 1 || len(limits.Limits[0].Rows) == 0 {
		t.Fatalf("%+v %v", limits, err)
	}
	if _, err := s.WeatherLimits(ctx, "no such prescription", window.Steps{}); !source.Is(err) {
		t.Errorf("a prescription that is not loaded: %v", err)
	}
	// A second record is loaded beside the first and does not take its place.
	far := invented.Demo()
	far.Seed, far.Station, far.Years = far.Seed+1, "far", 2
	loaded, err := s.LoadWeather(ctx, far.Station, invented.Record(far))
	if err != nil || loaded.InUse != first || !strings.Contains(loaded.Words(), first+" stays in use") {
		t.Errorf("%+v %v", loaded, err)
	}
	stations, err := s.CompareStations(ctx, "")
	if err != nil || len(stations.Stations) != 1 || len(stations.Stations[0].Rows) != 2 {
		t.Fatalf("%+v %v", stations, err)
	}
	if rows := stations.Stations[0].Rows; rows[0].InUse == rows[1].InUse {
		t.Errorf("in use: %+v", rows)
	}
	if rows := stations.Stations[0].Rows; rows[0].CandidateDays+rows[1].CandidateDays == 0 || limits.Limits[0].Candidates == 0 {
		t.Error("nothing is counted: the comparison says nothing")
	}
	for _, row := range stations.Stations[0].Rows {
		if row.InUse && row.CandidateDays != limits.Limits[0].Candidates {
			t.Errorf("%s: %d candidate days, %d beside its limits", row.Station, row.CandidateDays, limits.Limits[0].Candidates)
		}
	}
	if err := s.UseStation(ctx, "far"); err != nil || s.Station != "far" {
		t.Errorf("%q is in use, %v", s.Station, err)
	}
	if _, err := s.LoadWeather(ctx, " ", invented.Record(far)); asOption(err) != "name" {
		t.Errorf("a station without a name: %v", err)
	}
	list, err := s.LoadedStations()
	if err != nil || len(list) != 2 {
		t.Errorf("%+v %v", list, err)
	}
}

func TestCardChangesWhatIsKept(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	sky(t, s)
	unit := s.Units[0].ID
	bare, err := s.Card(ctx, CardOptions{Unit: strings.ToUpper(unit)})
	if err != nil || bare.Unit == nil || bare.Unit.ID != unit || bare.Wind == nil || bare.Needs != nil {
		t.Fatalf("%+v %v", bare, err)
	}
	if len(bare.Wind.Directions) != 16 || bare.Wind.Basis == "" || bare.Wind.Prescription != s.Units[0].Prescription {
		t.Errorf("%+v", bare.Wind)
	}
	// What is asked counts for this card alone, until it is saved.
	hours := 2
	ask := CardOptions{Unit: unit, Change: FiringChange{Hours: &hours}}
	asked, err := s.Card(ctx, ask)
	if err != nil || asked.Wind.Need == nil || asked.Wind.Need.Hours != 2 {
		t.Fatalf("%+v %v", asked, err)
	}
	if again, err := s.Card(ctx, CardOptions{Unit: unit}); err != nil || again.Wind.Need.Hours != bare.Wind.Need.Hours || len(s.Firings.Of) != 0 {
		t.Errorf("%+v %v is kept, %+v", again, err, s.Firings)
	}
	ask.Save = true
	if _, err := s.Card(ctx, ask); err != nil || s.Firings.Of[unit].Hours != 2 {
		t.Errorf("%+v is kept, %v", s.Firings, err)
	}
	if again, err := s.Card(ctx, CardOptions{Unit: unit}); err != nil || again.Wind.Need.Hours != 2 {
		t.Errorf("%+v %v", again, err)
	}
	if _, err := s.Card(ctx, CardOptions{Unit: unit, Clear: true}); err != nil || len(s.Firings.Of) != 0 {
		t.Errorf("%+v is kept after it was cleared, %v", s.Firings, err)
	}
	// Without a unit the change is that of every unit that says nothing itself.
	spacing := quantity.Chains(6)
	every, err := s.Card(ctx, CardOptions{Change: FiringChange{Spacing: &spacing}, Save: true})
	if err != nil || every.Unit != nil || len(every.Needs) == 0 || s.Firings.Every.Spacing != 6 {
		t.Errorf("%+v %v, %+v is kept", every, err, s.Firings)
	}
	if _, err := s.Card(ctx, CardOptions{Season: "monsoon"}); asOption(err) != "season" {
		t.Errorf("a season that is none: %v", err)
	}
	if _, err := s.Card(ctx, CardOptions{Unit: "nowhere"}); !source.Is(err) {
		t.Errorf("a unit that is none: %v", err)
	}
}

func TestCardNeedsADepth(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	sky(t, s)
	u := s.Units[0]
	u.ID = "Without a shape"
	if err := s.update(ctx, "add", func(tx *store.Tx) error { return tx.PutUnit(u) }); err != nil {
		t.Fatal(err)
	}
	var missing *NoDepthError
	if _, err := s.Card(ctx, CardOptions{Unit: u.ID}); !errors.As(err, &missing) || missing.Unit != u.ID {
		t.Errorf("a unit without a depth: %v", err)
	}
	depth := quantity.Feet(660)
	card, err := s.Card(ctx, CardOptions{Unit: u.ID, Change: FiringChange{Depth: &depth}, Save: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range card.Wind.Directions {
		if d.Depth != 660 {
			t.Errorf("from %s the depth is %v", d.From, d.Depth)
		}
	}
	// Clearing takes the depth away, and with it the card.
	if card, err = s.Card(ctx, CardOptions{Unit: u.ID, Clear: true}); err != nil || card.Wind != nil || len(s.Firings.Of) != 0 {
		t.Errorf("%+v %v", card, err)
	}
}

func TestFiringChange(t *testing.T) {
	lines, hours, none := 3, 4, 0
	length, depth, far := quantity.Feet(900), quantity.Feet(400), quantity.Feet(2e6)
	axis, turned := quantity.Bearing(90), quantity.Bearing(361)
	kept := habitat.Firing{Depth: 500, Hours: 6, Rate: 2}
	for _, test := range []struct {
		name   string
		change FiringChange
		want   habitat.Firing
		option string
	}{
		{"nothing", FiringChange{}, kept, ""},
		{"a depth", FiringChange{Depth: &depth}, habitat.Firing{Depth: 400, Hours: 6, Rate: 2}, ""},
		{"a length takes the depth away", FiringChange{Length: &length, Width: &depth, Axis: &axis}, habitat.Firing{Length: 900, Width: 400, Axis: 90, Hours: 6, Rate: 2}, ""},
		{"lines take the hours away", FiringChange{Lines: &lines}, habitat.Firing{Depth: 500, Lines: &lines, Rate: 2}, ""},
		{"no line is a number of lines", FiringChange{Lines: &none}, habitat.Firing{Depth: 500, Lines: &none, Rate: 2}, ""},
		{"hours", FiringChange{Hours: &hours}, habitat.Firing{Depth: 500, Hours: 4, Rate: 2}, ""},
		{"too deep", FiringChange{Depth: &far}, kept, "depth"},
		{"no hours", FiringChange{Hours: &none}, kept, "hours"},
		{"past north", FiringChange{Axis: &turned}, kept, "axis"},
	} {
		got, err := test.change.Onto(kept)
		if asOption(err) != test.option {
			t.Errorf("%s: %v, want %q refused", test.name, err, test.option)
		}
		if test.option != "" {
			continue
		}
		if got.Depth != test.want.Depth || got.Length != test.want.Length || got.Width != test.want.Width || got.Axis != test.want.Axis || got.Hours != test.want.Hours || got.Rate != test.want.Rate || (got.Lines == nil) != (test.want.Lines == nil) {
			t.Errorf("%s: %+v, want %+v", test.name, got, test.want)
		}
	}
}

func TestForecastTerms(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	if _, err := s.ForecastTerms(ctx, s.Units[0].ID, ""); asOption(err) != "unit" {
		t.Errorf("a unit whose prescription is not loaded: %v", err)
	}
	sky(t, s)
	terms, err := s.ForecastTerms(ctx, s.Units[0].ID, "")
	if err != nil || terms.Limits.Name != s.Units[0].Prescription || len(terms.Words) == 0 || terms.Known.UTCOffset == nil {
		t.Fatalf("%+v %v", terms, err)
	}
	if _, err := CheckForecast(ctx, weather.File{Name: "x", Content: strings.NewReader("{}")}, terms.Known, terms, new(-1)); asOption(err) != "dry-days" {
		t.Errorf("days since rain below 0: %v", err)
	}
	if _, err := CheckForecast(ctx, weather.File{Name: "x", Content: strings.NewReader("{}")}, terms.Known, terms, nil); err == nil {
		t.Error("a document without hours is read")
	}
}
