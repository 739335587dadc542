package store

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
)

var noon = time.Date(2027, time.January, 20, 12, 0, 0, 0, time.UTC)

func ptr[T any](v T) *T { return &v }

// oakHill gives settings in which every field has a value of its own.
func oakHill() habitat.Property {
	p := habitat.NewProperty("Oak Hill")
	p.Place, p.Owner = "Orrin County", "area manager"
	p.Land = habitat.LandNumbers{Farm: "2210", Tract: "4471", Section: "14-11S-8E"}
	p.Latitude, p.Longitude, p.HasPlace = 36.91, -97.02, true
	p.UTCOffset, p.Zone, p.People, p.DayHolds = -6, "America/Chicago", habitat.People{Count: 6}, 2
	p.SeasonPeople = []habitat.SeasonPeople{{Season: "early-growing", People: habitat.Named("A. Example", "B. Example")}}
	p.Years, p.Lookahead, p.KeepYears = 6, 3, ptr(2)
	p.GrazedUnits = []string{"n1"}
	p.BreakDollars, p.TreatmentsReset = 0.4, []habitat.RecordKind{habitat.Mowing}
	p.Seasons = []habitat.Season{
		{Name: "dormant", Span: date.AnnualSpan{First: date.Annual{Month: 11, Dom: 15}, Last: date.Annual{Month: 3, Dom: 15}}, BurnDays: ptr(14.0)},
		{Name: "early-growing", Span: date.AnnualSpan{First: date.Annual{Month: 3, Dom: 16}, Last: date.Annual{Month: 5, Dom: 10}}},
	}
	p.Closures = []habitat.Closure{{Name: "nesting", Yearly: &date.AnnualSpan{First: date.Annual{Month: 4, Dom: 15}, Last: date.Annual{Month: 7, Dom: 15}}, Units: []string{"n1"}}}
	p.Caps = habitat.Caps{Acres: ptr(quantity.Acres(420)), Burns: ptr(10), Cost: ptr(quantity.Cents(1800000))}
	p.CapsIn = []habitat.CapsIn{{Year: 2028, Caps: habitat.Caps{Acres: ptr(quantity.Acres(300)), BurnDays: map[string]float64{"dormant": 10}}}}
	p.Mixes = []habitat.Mix{{Name: "savanna", Classes: []habitat.AgeClass{
		{Name: "fresh", From: 0, To: 0, MinShare: 0.25, MaxShare: 0.45}, {Name: "old", From: 1, To: habitat.OpenEnded, MaxShare: 1}}}}
	p.Refuges = []habitat.Refuge{{Name: "meadow", MaxShare: 0.34}}
	p.EvenLo, p.EvenHi = ptr(quantity.Acres(0.1)), ptr(quantity.Acres(400))
	return p
}

func n1() habitat.Unit {
	return habitat.Unit{ID: "n1", Acres: 38.5, StatedAcres: 39, Interval: habitat.Interval{Min: 2, Max: 3},
		Seasons: []habitat.SeasonChoice{{Season: "early-growing", Penalty: 1}, {Season: "dormant"}}, BurnDays: 1, Cost: 115000,
		Cover: "prairie", Mix: "savanna", Refuge: "meadow", Prescription: "grass", EstimatedAge: ptr(2), EstimatedIn: 2026, Notes: "steep",
		Owned: habitat.Ownership{From: date.MustDay(2019, 3, 1), Until: date.MustDay(2051, 12, 31)},
		Land:  habitat.LandNumbers{Farm: "2211", Tract: "4472", Field: "3b", Section: "NE 1/4 of 14-11S-8E"}}
}

func unit(name string) habitat.Unit {
	return habitat.Unit{ID: name, Acres: 10, Interval: habitat.Interval{Min: 1, Max: 2}, BurnDays: 1}
}

func create(t testing.TB, units ...habitat.Unit) *Store {
	t.Helper()
	s, err := Create(context.Background(), filepath.Join(t.TempDir(), "oak hill.emberquilt"), Making{}, oakHill(), noon)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	if len(units) > 0 {
		update(t, s, func(tx *Tx) error {
			for _, u := range units {
				if err := tx.PutUnit(u); err != nil {
					return err
				}
			}
			return nil
		})
	}
	return s
}

func update(t testing.TB, s *Store, do func(tx *Tx) error) {
	t.Helper()
	if err := s.Update(context.Background(), noon, "", "test", do); err != nil {
		t.Fatal(err)
	}
}

func snapshot(t testing.TB, s *Store) *Snapshot {
	t.Helper()
	snap, err := s.Snapshot(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return snap
}

func wantWhole(t testing.TB, s *Store) {
	t.Helper()
	faults, err := s.Verify(context.Background())
	if err != nil || len(faults) > 0 {
		t.Errorf("Verify: %v, %q", err, faults)
	}
}

// fullBurn gives a record in which every field has a value.
func fullBurn() habitat.BurnRecord {
	return habitat.BurnRecord{Unit: "n1", On: date.MustDay(2026, 3, 1), Through: date.MustDay(2026, 3, 2), Kind: habitat.Prescribed,
		Acres: 30.1, HasAcres: true, Purpose: "quail", Ignition: "ring", Start: "11:00", End: "15:30",
		Readings:     []habitat.Reading{{At: "11:00", Temperature: ptr(quantity.Fahrenheit(61)), Humidity: ptr(quantity.Percent(38)), Wind: ptr(quantity.MilesPerHour(7)), WindFrom: ptr(quantity.Bearing(200))}, {At: "13:00"}},
		FuelMoisture: "dry", SoilMoisture: "damp", Crew: "four", Permit: "17-a", Notified: []habitat.Notification{{Who: "fire dept", At: "2026-03-01 08:00"}},
		Consumed: ptr(quantity.Share(0.8)), TopKilled: ptr(quantity.Share(0.5)), Escapes: "none", MopUpEnd: "2026-03-02 18:00",
		Outline: `{"type":"Polygon","coordinates":[[[-97.02,36.91],[-97.01,36.91],[-97.01,36.92],[-97.02,36.91]]]}`,
		Files:   []habitat.Attachment{{Path: "photos/a.jpg", SHA256: "00"}}, Notes: "went well"}
}

func square() ground.Shape {
	return ground.Shape{Polygons: []ground.Polygon{{
		Outer: ground.Ring{{Lon: -97.1, Lat: 36.9}, {Lon: -97.0, Lat: 36.9}, {Lon: -97.0, Lat: 37.000000000000014}},
		Holes: []ground.Ring{{{Lon: -97.05, Lat: 36.92}, {Lon: -97.04, Lat: 36.93}, {Lon: -97.04, Lat: 36.92}}},
	}}}
}

func TestEverythingComesBackAsItWent(t *testing.T) {
	s := create(t, n1(), unit("a0"))
	ctx := context.Background()
	pair := habitat.Pair{A: "a0", B: "n1", Kind: habitat.Apart, SharedFeet: 120.5}
	lock := habitat.Lock{Unit: "n1", Year: 2028, Burn: true, Season: "dormant"}
	task := habitat.Task{Name: "call", Units: []string{"n1"}, Earliest: 10, Latest: 2, Workdays: true, After: []string{"permit"}, Standing: "memory"}
	done := habitat.TaskDone{Task: "call", Unit: "n1", Year: 2027, On: date.MustDay(2027, 1, 5)}
	contract := habitat.Contract{Name: "grass", Practices: []habitat.Practice{{Code: "338", Name: "Prescribed Burning", Standard: "2020-09", Measure: habitat.InAcres, Burns: true}},
		Items: []habitat.ContractItem{{ID: 1, Unit: "n1", Practice: "338", FiscalYear: 2027, Planned: 38.5}}}
	shape := UnitShape{Unit: "n1", Shape: square(), File: "units.geojson"}
	prescription := Document{Kind: Prescription, Name: "grass", Body: []byte(`{"format": "prescription/1"}`)}
	weather := Document{Kind: Weather, Name: "station", Body: []byte(`{}`), Record: []byte{0, 1, 2}}
	own, every := fullFiring(), habitat.Firing{Spacing: 6}
	calls := []habitat.Contact{fullContact(), {Role: "sheriff"}}
	scenario := fullScenario()
	school := ground.Place{Name: "school", Kind: "school", Shape: square(), Lines: []ground.Line{{{Lon: -97, Lat: 36.9}, {Lon: -97.1, Lat: 36.8}}}, Points: []ground.Point{{Lon: 0.1, Lat: 0.2}}}
	plan := Plan{PlanHead: PlanHead{MadeFor: date.MustDay(2027, 1, 20), FirstYear: 2027, Years: 5, Status: "optimal", Cost: 1.25, Bound: 1, Note: "first"},
		Problem: []byte("{}"), Answer: []byte("[]"), Certificate: []byte("c"), Assumptions: []string{"n1 is due"}, Program: "test"}
	record := fullBurn()
	update(t, s, func(tx *Tx) (err error) {
		record.ID, err = tx.AddBurn(record)
		if err == nil {
			plan.Number, err = tx.AddPlan(plan)
		}
		return errors.Join(err, tx.PutPair(habitat.Pair{A: "n1", B: "a0", Kind: habitat.Apart, SharedFeet: 120.5}), tx.PutLock(lock), tx.PutTask(task), tx.PutTaskDone(done),
			tx.PutContract(contract), tx.PutShape(shape), tx.PutDocument(prescription), tx.PutDocument(weather), tx.PutPlace(school),
			tx.PutFiring("n1", own), tx.PutEveryFiring(every), tx.PutContacts(calls), tx.UseStation("station"), tx.putScenarios(plan.Number, []habitat.BurnDayScenario{scenario}))
	})
	snap := snapshot(t, s)
	plan.Change, plan.MadeAt, plan.Data = 3, noon, Change{Number: 2, SHA256: mustChanges(t, s)[1].SHA256}.Stamp()
	property := oakHill()
	property.Owned = map[string]habitat.Ownership{"n1": n1().Owned}
	want := &Snapshot{Property: property, Written: []habitat.BurnRecord{record}, Units: []habitat.Unit{n1(), unit("a0")}, Shapes: []UnitShape{shape}, Pairs: []habitat.Pair{pair}, Locks: []habitat.Lock{lock},
		Records: []habitat.BurnRecord{record}, Tasks: []habitat.Task{task}, TasksDone: []habitat.TaskDone{done}, Contracts: []habitat.Contract{contract},
		Places: []ground.Place{school}, Prescriptions: []Document{prescription}, Weather: []Document{{Kind: Weather, Name: "station", Body: []byte(`{}`)}}, Station: "station",
		Firings: habitat.Firings{Every: every, Of: map[string]habitat.Firing{"n1": own}}, Contacts: calls, Scenarios: map[int][]habitat.BurnDayScenario{1: {scenario}}, Plans: []PlanHead{plan.PlanHead},
		Standings: habitat.PlanStandings{{Plan: 1, Standing: habitat.AdoptedPlan, On: plan.MadeFor, Change: 3}}, Change: snap.Change}
	if diff := cmp.Diff(want, snap); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
	gotPlan, err := s.Plan(ctx, 0)
	if err != nil || cmp.Diff(plan, gotPlan) != "" {
		t.Errorf("plan: %v\n%s", err, cmp.Diff(plan, gotPlan))
	}
	d, err := s.Document(ctx, Weather, "station")
	if err != nil || cmp.Diff(weather, d) != "" {
		t.Errorf("document: %v\n%s", err, cmp.Diff(weather, d))
	}
	wantWhole(t, s)
}

func mustChanges(t testing.TB, s *Store) []Change {
	t.Helper()
	all, err := s.Changes(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func TestPuttingTheSameAgainChangesNothing(t *testing.T) {
	s := create(t, n1())
	before := len(mustChanges(t, s))
	update(t, s, func(tx *Tx) error { return errors.Join(tx.PutUnit(n1()), tx.SetProperty(oakHill())) })
	if after := len(mustChanges(t, s)); after != before {
		t.Errorf("%d changes became %d", before, after)
	}
	// The control: something else does change it.
	other := n1()
	other.Notes = "flat"
	update(t, s, func(tx *Tx) error { return tx.PutUnit(other) })
	versions, err := history(s, units, "n1")
	if err != nil || len(versions) != 2 || versions[0].Value.Notes != "steep" || versions[1].Value.Notes != "flat" || versions[1].Change.Reason != "test" {
		t.Errorf("history: %v %+v", err, versions)
	}
}

// history gives all versions of what a key names, the oldest first.
func history[V any](s *Store, of *table[V], key ...any) (all []Version[V], err error) {
	err = s.View(context.Background(), func(tx *Tx) error {
		all, err = of.history(tx, key...)
		return err
	})
	return all, err
}

// manyUnits gives units with two seasons each.
func manyUnits(count int) []habitat.Unit {
	all := make([]habitat.Unit, count)
	for i := range all {
		all[i] = n1()
		all[i].ID = fmt.Sprintf("unit %d", i)
	}
	return all
}

func TestSettingsThatCannotBeReadBackAreRefused(t *testing.T) {
	s := create(t)
	before := snapshot(t, s)
	p := before.Property
	acres := quantity.Acres(1e19) // written as a whole number that no reader takes
	p.Caps.Acres = &acres
	err := s.Update(context.Background(), time.Now(), "", "test", func(tx *Tx) error { return tx.SetProperty(p) })
	if err == nil || !strings.Contains(err.Error(), "the settings would not be read back") {
		t.Errorf("got %v", err)
	}
	if after := snapshot(t, s); after.Change != before.Change {
		t.Errorf("a change was made: %v", after.Change)
	}
}
