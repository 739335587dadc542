package store

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"maps"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
)

// raw opens the file past the store, as another program would.
func raw(t testing.TB, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

func execute(t testing.TB, db *sql.DB, query string) {
	t.Helper()
	if _, err := db.Exec(query); err != nil {
		t.Fatal(err)
	}
}

// tables that hold versions, with a column of each.
var versioned = map[string]string{"change": "reason", "property_version": "settings", "unit": "name", "unit_version": "notes", "shape_version": "file", "pair_version": "shared_feet",
	"lock_version": "season", "burn_version": "notes", "document_version": "name", "plan": "note"}

// full gives a store with a row in every table.
func full(t testing.TB) *Store {
	t.Helper()
	s := create(t, n1(), unit("a"))
	update(t, s, func(tx *Tx) error {
		if _, err := tx.AddBurn(fullBurn()); err != nil {
			return err
		}
		if _, err := tx.AddPlan(Plan{PlanHead: PlanHead{MadeFor: fullBurn().On, FirstYear: 2027, Years: 1, Status: "optimal"}}); err != nil {
			return err
		}
		for _, err := range []error{tx.PutShape(UnitShape{Unit: "n1", Shape: square()}), tx.PutPair(habitat.Pair{A: "a", B: "n1", Kind: habitat.Apart}),
			tx.PutLock(habitat.Lock{Unit: "a", Year: 2028}), tx.PutTask(fullTask()), tx.PutContract(fullContract()),
			tx.PutTaskDone(habitat.TaskDone{Task: "call", Unit: "n1", Year: 2027, On: date.MustDay(2027, 1, 5), Notes: "by phone"}),
			tx.PutPlace(ground.Place{Name: "school", Kind: "school", Shape: square(), Lines: []ground.Line{{{Lon: -97, Lat: 36.9}, {Lon: -97.1, Lat: 36.8}}}, Points: []ground.Point{{Lon: 0.1, Lat: 0.2}}}),
			tx.PutDocument(Document{Kind: Weather, Name: "station", Body: []byte(`{}`), Record: []byte{0, 1, 2}})} {
			if err != nil {
				return err
			}
		}
		return nil
	})
	// Kinds of schema 2.
	update(t, s, func(tx *Tx) error {
		return errors.Join(tx.PutFiring("n1", fullFiring()), tx.PutEveryFiring(habitat.Firing{Hours: 3}), tx.PutContacts([]habitat.Contact{fullContact()}),
			tx.UseStation("station"), tx.putScenarios(1, []habitat.BurnDayScenario{fullScenario()}))
	})
	return s
}

// fullTask and fullContract give values in which every field has a value.
func fullTask() habitat.Task {
	return habitat.Task{Name: "call", Units: []string{"n1"}, Covers: []string{"prairie"}, Seasons: []string{"dormant"}, Prescriptions: []string{"grass"},
		Earliest: 10, Latest: 2, Workdays: true, Yearly: &date.AnnualSpan{First: date.Annual{Month: 11, Dom: 1}, Last: date.Annual{Month: 12, Dom: 31}},
		After: []string{"permit"}, Standing: "memory", Notes: "n"}
}

func fullContract() habitat.Contract {
	return habitat.Contract{Name: "grass", Number: "17", Client: "landowner", Notes: "n", FiscalStart: 7, Files: []habitat.Attachment{{Path: "a.pdf", SHA256: "00"}},
		Practices: []habitat.Practice{{Code: "338", Name: "Prescribed Burning", Standard: "2020-09", Measure: habitat.InAcres, Burns: true}},
		Items:     []habitat.ContractItem{{Item: "4", Unit: "n1", Practice: "338", FiscalYear: 2027, Planned: 38.5, ID: 1, Until: 2028, Status: habitat.Closed, Was: &habitat.LinePlace{Unit: "n1", FiscalYear: 2026, Planned: 30}}},
		Early:     habitat.EarlyCredited, Modifications: []habitat.Modification{{Number: "M1", On: date.MustDay(2026, 5, 1), Kind: habitat.Extend, Line: 1, Was: "a", Is: "b", Reason: "rain"}},
		Completions: []habitat.Completion{{Unit: "n1", Practice: "338", On: date.MustDay(2026, 3, 1), Applied: 30.1, Notes: "n"}}}
}

// fullFiring gives a firing in which every field has a value but Hours, which
// stands for Lines.
func fullFiring() habitat.Firing {
	return habitat.Firing{Lines: ptr(4), Spacing: 6, Rate: 2.5, Adjustment: 0.4, Within: 3000, Smoke: true, Depth: 900, Length: 2640, Width: 1800, Axis: 30}
}

func fullContact() habitat.Contact {
	return habitat.Contact{Role: "neighbor", Name: "invented", Phone: "555-0100", When: "the day before"}
}

// fullScenario has a value in every field but Infeasible and Same.
func fullScenario() habitat.BurnDayScenario {
	return habitat.BurnDayScenario{Name: habitat.PoorYear, Days: []habitat.SeasonCap{{Season: "dormant", Days: 4.5}}, Cost: 12.5, Bound: 12, Difference: 0.25}
}

// TestFullValuesAreFull fails when a stored value gets a field that the files of
// old schemas do not show.
func TestFullValuesAreFull(t *testing.T) {
	c := fullContract()
	for _, v := range []any{fullTask(), c, c.Practices[0], c.Items[0], c.Completions[0], fullBurn(), n1(), oakHill(), fullFiring(), fullContact(), fullScenario()} {
		value := reflect.ValueOf(v)
		for i := range value.NumField() {
			switch name := value.Type().Field(i).Name; {
			case value.Field(i).IsZero() && !slices.Contains([]string{"BurnRecord.ID", "BurnRecord.Of", "BurnRecord.UnitAcres", "Task.AfterBurn", "Task.Grazed", "Property.AllGrazed", "Property.KeepUnasked", "Property.Templates", "Contract.Hold", "ContractItem.Hold", "Property.Owned", "Firing.Hours", "BurnDayScenario.Infeasible", "BurnDayScenario.Same"}, value.Type().Name()+"."+name):
				t.Errorf("%s.%s has no value", value.Type(), name)
			}
		}
	}
}

func TestTheDatabaseKeepsEveryVersion(t *testing.T) {
	s := full(t)
	db := raw(t, s.Path())
	for table, column := range versioned {
		for _, query := range []string{"UPDATE " + table + " SET " + column + " = " + column, "DELETE FROM " + table} {
			if _, err := db.Exec(query); err == nil || !strings.Contains(err.Error(), "never") {
				t.Errorf("%s: %v", query, err)
			}
		}
	}
	// The list above is complete: every table of the file is in it.
	rows, err := db.Query("SELECT name FROM sqlite_master WHERE type = 'table'")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			t.Fatal(err)
		}
		// Edits under way and what calendars said are not part of the history.
		if versioned[name] == "" && name != "draft" && name != "published_event" && name != "identity" {
			t.Errorf("table %s is not guarded", name)
		}
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	wantWhole(t, s)
}

func TestEverySealedTableIsSealed(t *testing.T) {
	covered := map[string]bool{"change": true, "unit": true} // names of units stand in their versions
	for _, table := range sealed {
		covered[table] = true
	}
	for table := range versioned {
		if !covered[table] {
			t.Errorf("no seal covers %s", table)
		}
	}
}

// TestVerifyFindsWhatWasAltered alters a file behind the program's back, one
// thing at a time.
func TestVerifyFindsWhatWasAltered(t *testing.T) {
	for _, c := range []struct{ name, trigger, query, want string }{
		{"acres of a unit", "unit_version_stays", "UPDATE unit_version SET acres = 99 WHERE unit = 'n1'", "change 2 (2027-01-20) was altered"},
		{"date of a burn", "burn_version_stays", "UPDATE burn_version SET first_on = '2026-02-28'", "change 3 (2027-01-20) was altered"},
		{"answer of a plan", "plan_stays", "UPDATE plan SET answer = x'00'", "change 3 (2027-01-20) was altered"},
		{"a version that is gone", "lock_version_remains", "DELETE FROM lock_version", "change 3 (2027-01-20) was altered"},
		{"reason of a change", "change_stays", "UPDATE change SET reason = 'other' WHERE id = 2", "change 2 (2027-01-20) was altered"},
		{"a change that is gone", "change_remains", "PRAGMA foreign_keys = OFF; DELETE FROM change WHERE id = 2", "rows of unit_version name a change that is not there"},
		{"a unit that cannot be", "unit_version_stays", "UPDATE unit_version SET mix = 'none such' WHERE unit = 'n1'", "is not a mix of this property"},
		{"a lock of no unit", "unit_version_stays", "UPDATE unit_version SET removed = 1 WHERE unit = 'a'", `a lock is kept for unit "a"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := full(t)
			db := raw(t, s.Path())
			var trigger string
			if err := db.QueryRow("SELECT sql FROM sqlite_schema WHERE name = ?", c.trigger).Scan(&trigger); err != nil {
				t.Fatal(err)
			}
			execute(t, db, "DROP TRIGGER "+c.trigger)
			// The control: but for the trigger it is still intact.
			if faults, err := s.Verify(context.Background()); err != nil || len(faults) != 1 || faults[0] != "the trigger "+c.trigger+" is missing" {
				t.Errorf("without the trigger: %v %q", err, faults)
			}
			execute(t, db, c.query)
			execute(t, db, trigger)
			faults, err := s.Verify(context.Background())
			if err != nil || !strings.Contains(strings.Join(faults, "\n"), c.want) {
				t.Errorf("%v %q, want one with %q", err, faults, c.want)
			}
		})
	}
}

// TestVerifyFindsWhatWasAdded adds to a file what no command writes.
func TestVerifyFindsWhatWasAdded(t *testing.T) {
	for _, c := range []struct{ name, query, want string }{
		{"a trigger", "CREATE TRIGGER extra AFTER INSERT ON change BEGIN SELECT 1; END", "the file holds a trigger extra, which this program did not make"},
		{"a table", "CREATE TABLE notes (text)", "the file holds a table notes"},
		{"a view", "CREATE VIEW v AS SELECT 1", "the file holds a view v"},
		{"an index that is gone", "DROP INDEX burn_of_unit", "the index burn_of_unit is missing"},
		{"a trigger that does nothing", "DROP TRIGGER unit_stays; CREATE TRIGGER unit_stays BEFORE UPDATE ON unit BEGIN SELECT 1; END", "the trigger unit_stays was altered"},
		{"a unit of no change", "INSERT INTO unit (name) VALUES ('ghost')", `a unit "ghost" is named that no change made`},
		{"a version of change 3 in a later number", "INSERT INTO lock_version (unit, program_year, version, change, removed, burn, season) VALUES ('n1', 2030, 7, 3, 0, 0, '')",
			"lock_version: the versions of 1 rows do not count up from 1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := full(t)
			execute(t, raw(t, s.Path()), c.query)
			faults, err := s.Verify(context.Background())
			if err != nil || !strings.Contains(strings.Join(faults, "\n"), c.want) {
				t.Errorf("%v %q, want one with %q", err, faults, c.want)
			}
		})
	}
}

func TestVerifyFindsDamagedPages(t *testing.T) {
	s := create(t)
	update(t, s, func(tx *Tx) error {
		for _, u := range manyUnits(500) {
			if err := tx.PutUnit(u); err != nil {
				return err
			}
		}
		return nil
	})
	path := s.Path()
	s.Close()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	// The end of every page in turn, where its oldest content stands; Open or
	// Verify must notice the damage, and nothing may panic. Pages of few
	// cells and inner pages have unused room there, which may be damaged without
	// harm. Source: SQLite's file format, section 1.6: the type of a page is at 0.
	const pageSize = 4096
	used, found := 0, 0
	for at := pageSize; at < len(data); at += pageSize {
		isLeaf := data[at] == 10 || data[at] == 13
		isUsed := isLeaf && len(bytes.Trim(data[at+pageSize-80:at+pageSize-16], "\x00")) > 0
		bad := append([]byte(nil), data...)
		for i := range 64 {
			bad[at+pageSize-80+i] ^= 0x55
		}
		if err := os.WriteFile(path, bad, 0o644); err != nil {
			t.Fatal(err)
		}
		noticed := true
		if again, err := Open(context.Background(), path); err == nil {
			faults, err := again.Verify(context.Background())
			noticed = err != nil || len(faults) > 0
			again.Close()
		}
		if isUsed {
			used++
			if noticed {
				found++
			}
		}
	}
	if used < 30 || found < used {
		t.Errorf("damage was found in %d of %d pages", found, used)
	}
}

// The checksum of the schema is that of the objects which the migrations make.
func TestSchemaSHA256(t *testing.T) {
	made, err := schemaObjects()
	if err != nil || len(made) < 20 {
		t.Fatal(err, len(made))
	}
	names := slices.SortedFunc(maps.Keys(made), func(a, b string) int { // by kind, then by name
		kindA, nameA, _ := strings.Cut(a, " ")
		kindB, nameB, _ := strings.Cut(b, " ")
		return cmp.Or(cmp.Compare(kindA, kindB), cmp.Compare(nameA, nameB))
	})
	h := sha256.New()
	for _, name := range names {
		addTo(h, name, made[name])
	}
	if got := hex.EncodeToString(h.Sum(nil)); got != schemaSHA256 {
		t.Errorf("after a migration: put schemaSHA256 = %q into verify_schema.go", got)
	}
}
