package store

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

// openCopy opens a copy of a file in testdata.
func openCopy(t testing.TB, name string) *Store {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// TestUntypedValuesOfSchema1AreRead opens a file that the program of schema 1
// made with its commands. It kept firings, contacts, the station in use and
// scenarios as documents that were told apart by their names.
func TestUntypedValuesOfSchema1AreRead(t *testing.T) {
	s := openCopy(t, "bend-schema-1.emberquilt")
	wantWhole(t, s)
	snap := snapshot(t, s)
	if stamp := snap.Change.Stamp(); stamp != "15-9cf8f27b" {
		t.Errorf("the version of the data is %s: a migration has changed it", stamp)
	}
	if snap.Station != "tower" {
		t.Errorf("station in use %q", snap.Station)
	}
	wantFirings := habitat.Firings{
		Every: habitat.Firing{Spacing: 6, Rate: 2.5, Adjustment: 0.4, Within: 3000},
		Of:    map[string]habitat.Firing{"North": {Lines: ptr(7), Smoke: true, Length: 2640, Width: 1800, Axis: 30}, "South": {Hours: 4, Depth: 900}},
	}
	if diff := cmp.Diff(wantFirings, snap.Firings); diff != "" {
		t.Error(diff)
	}
	wantContacts := []habitat.Contact{{Role: "county dispatch", Phone: "555-0100", When: "before lighting"},
		{Role: "neighbor to the east", Name: "Invented Person", Phone: "555-0101", When: "the day before"}}
	if diff := cmp.Diff(wantContacts, snap.Contacts); diff != "" {
		t.Error(diff)
	}
	days := []habitat.SeasonCap{{Season: "dormant", Days: 4.5}, {Season: "early", Days: 26}}
	wantScenarios := map[int][]habitat.BurnDayScenario{
		1: {{Name: "median", Days: days, Same: true}, {Name: "poor", Days: days, Same: true}},
		2: {{Name: "median", Days: days, Difference: -1260}, {Name: "poor", Days: days, Difference: -1260}},
	}
	if diff := cmp.Diff(wantScenarios, snap.Scenarios); diff != "" {
		t.Error(diff)
	}
	// Old versions and new ones are versions of one value.
	update(t, s, func(tx *Tx) error {
		return errors.Join(tx.PutFiring("North", habitat.Firing{Hours: 5}), tx.PutFiring("South", habitat.Firing{}), tx.PutContacts(wantContacts[:1]), tx.UseStation("farther"))
	})
	wantWhole(t, s)
	versions, err := history(s, documents, string(firing), "North")
	if err != nil || len(versions) != 3 || string(versions[0].Value.Body) != `{"length_ft":2640,"width_ft":1800,"axis_deg":30}` ||
		versions[1].Number != 2 || string(versions[2].Value.Body) != `{"hours":5}` || versions[2].Number != 3 {
		t.Errorf("%v %+v", err, versions)
	}
	after := snapshot(t, s)
	if after.Station != "farther" || len(after.Contacts) != 1 || len(after.Firings.Of) != 1 || after.Firings.Of["North"].Hours != 5 {
		t.Errorf("%q %v %v", after.Station, after.Contacts, after.Firings)
	}
	// What is there already writes nothing, whichever program wrote it.
	update(t, s, func(tx *Tx) error {
		return errors.Join(tx.PutEveryFiring(wantFirings.Every), tx.PutFiring("South", habitat.Firing{}))
	})
	if again := snapshot(t, s); again.Change != after.Change {
		t.Errorf("change %d was made of nothing", again.Change.Number)
	}
}

func TestARemovedUnitTakesAlongWhatHangsOnIt(t *testing.T) {
	s := create(t, n1(), unit("a"))
	done := habitat.TaskDone{Task: "call", Unit: "n1", Year: 2027, On: date.MustDay(2027, 1, 5)}
	other := habitat.TaskDone{Task: "call", Unit: "a", Year: 2027, On: date.MustDay(2027, 1, 5)}
	update(t, s, func(tx *Tx) error {
		return errors.Join(tx.PutFiring("n1", fullFiring()), tx.PutFiring("a", habitat.Firing{Hours: 3}), tx.PutTaskDone(done), tx.PutTaskDone(other))
	})
	update(t, s, func(tx *Tx) error { return tx.RemoveUnit("n1") })
	wantGone := func() {
		t.Helper()
		snap := snapshot(t, s)
		if diff := cmp.Diff(map[string]habitat.Firing{"a": {Hours: 3}}, snap.Firings.Of); diff != "" {
			t.Error(diff)
		}
		if diff := cmp.Diff([]habitat.TaskDone{other}, snap.TasksDone); diff != "" {
			t.Error(diff)
		}
	}
	wantGone()
	// The versions stay readable.
	versions, err := history(s, documents, string(firing), "n1")
	if err != nil || len(versions) != 2 || versions[0].Removed || !versions[1].Removed {
		t.Errorf("%v %+v", err, versions)
	}
	// A unit that comes again does not find it, nor what schema 1 left behind.
	update(t, s, func(tx *Tx) error {
		return tx.PutDocument(Document{Kind: "other", Name: "firing of gone", Body: []byte(`{"hours":2}`)})
	})
	wantGone()
	update(t, s, func(tx *Tx) error { return errors.Join(tx.PutUnit(n1()), tx.PutUnit(unit("gone"))) })
	wantGone()
	wantWhole(t, s)
}

func TestValuesOfTheseKindsAreCheckedAtTheDoor(t *testing.T) {
	s := create(t, unit("a"))
	for what, do := range map[string]func(tx *Tx) error{
		"hours": func(tx *Tx) error { return tx.PutFiring("a", habitat.Firing{Hours: 25}) },
		"every": func(tx *Tx) error { return tx.PutEveryFiring(habitat.Firing{Adjustment: 2}) },
		"role":  func(tx *Tx) error { return tx.PutContacts([]habitat.Contact{{Name: "nobody"}}) },
	} {
		var fault *habitat.FieldError
		if err := s.Update(context.Background(), noon, "", "test", do); !errors.As(err, &fault) {
			t.Errorf("%s: %v", what, err)
		}
	}
	if err := s.Update(context.Background(), noon, "", "test", func(tx *Tx) error { return tx.UseStation("x") }); !errors.Is(err, ErrUnknown) {
		t.Errorf("a station that is not loaded: %v", err)
	}
	// Verify finds what came in by another door.
	update(t, s, func(tx *Tx) error {
		return errors.Join(
			tx.PutDocument(Document{Kind: firing, Name: "a", Body: []byte(`{"hours":25}`)}),
			tx.PutDocument(Document{Kind: stationInUse, Name: theProperty, Body: []byte(`"x"`)}))
	})
	faults, err := s.Verify(context.Background())
	want := []string{`firing of "a": hours: 25 hours in a row are in no day; accepts 1 to 24`, `the weather record "x" is in use, which is not there`}
	if diff := cmp.Diff(want, faults); err != nil || diff != "" {
		t.Errorf("%v %s", err, diff)
	}
}

// TestSeasonsOfOldScenariosAreFound reads the words that schema 1 kept.
func TestSeasonsOfOldScenariosAreFound(t *testing.T) {
	for words, want := range map[string][]habitat.SeasonCap{
		"no limit of burn days":                       nil,
		"1 day in spring":                             {{Season: "spring", Days: 1}},
		"0.125 days in late, wet spring, 3 days in b": {{Season: "late, wet spring", Days: 0.125}, {Season: "b", Days: 3}},
	} {
		var got map[int][]habitat.BurnDayScenario
		body := encodeJSON([]map[string]string{{"name": "poor", "burn_days": words}})
		if err := readScenarios(&got, Document{Kind: scenarios, Name: "3", Body: []byte(body)}); err != nil || cmp.Diff(want, got[3][0].Days) != "" {
			t.Errorf("%s: %v %s", words, err, cmp.Diff(want, got[3][0].Days))
		}
	}
}
