package store

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
)

var updateFiles = flag.Bool("update", false, "write the file of the present schema where there is none")

// TestFilesOfEverySchemaOpen opens a file of every schema there ever was. They
// were written by the program of their time and are never written again.
func TestFilesOfEverySchemaOpen(t *testing.T) {
	if present := schemaFile(len(migrations)); *updateFiles {
		if _, err := os.Stat(present); os.IsNotExist(err) {
			if err := full(t).Backup(context.Background(), present); err != nil {
				t.Fatal(err)
			}
		}
	}
	newest := snapshot(t, full(t))
	for version := 1; version <= len(migrations); version++ {
		data, err := os.ReadFile(schemaFile(version))
		if err != nil {
			t.Errorf("no file of schema %d: %v; run this test with -update", version, err)
			continue
		}
		path := filepath.Join(t.TempDir(), "old.emberquilt")
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
		s, err := Open(context.Background(), path)
		if err != nil {
			t.Errorf("schema %d: %v", version, err)
			continue
		}
		wantWhole(t, s)
		got := snapshot(t, s)
		want := *newest
		if version < 6 { // what came into contracts with the program of schema 6, without one of its own
			want.Contracts = slices.Clone(want.Contracts)
			for i := range want.Contracts {
				c := &want.Contracts[i]
				c.Early, c.Modifications, c.Items = "", nil, slices.Clone(c.Items)
				for j := range c.Items {
					c.Items[j].Until, c.Items[j].Status, c.Items[j].Was = 0, "", nil
				}
			}
		}
		if version < 3 { // what came into the values before schema 3, without one of its own
			want.Property.Zone = ""
			for i := range want.Contracts {
				want.Contracts[i].FiscalStart = 0
			}
		}
		if version < 8 { // before numbers of land and of items, and outlines of burns
			want.Property.Land = habitat.LandNumbers{}
			want.Units, want.Contracts, want.Records = slices.Clone(want.Units), slices.Clone(want.Contracts), slices.Clone(want.Records)
			for i := range want.Units {
				want.Units[i].Land = habitat.LandNumbers{}
			}
			want.Written = slices.Clone(want.Written)
			for i := range want.Records {
				want.Records[i].Outline, want.Written[i].Outline = "", ""
			}
			for i := range want.Contracts {
				c := &want.Contracts[i]
				c.Items = slices.Clone(c.Items)
				for j := range c.Items {
					c.Items[j].Item = ""
				}
			}
		}
		// Keys that are younger than every file here.
		want.Property.SeasonPeople, want.Property.GrazedUnits = nil, nil
		if version < 7 { // keys of the settings that no file of these had
			want.Property.People, want.Property.DayHolds = habitat.People{}, 0
		}
		if version < 5 { // before treatments other than fire
			want.Property.TreatmentsReset = nil
		}
		if version < 4 { // before units are owned for a time
			want.Property.Owned = nil
			want.Units = slices.Clone(want.Units)
			for i := range want.Units {
				want.Units[i].Owned = habitat.Ownership{}
			}
		}
		if version < 2 { // before the kinds of schema 2
			want.Firings, want.Contacts, want.Station, want.Scenarios = habitat.Firings{}, nil, "", nil
			want.Change.Number = 3
		}
		// The file was sealed over the words in which its time wrote settings;
		// wantWhole has recomputed its own seals.
		if got.Change.SHA256 = want.Change.SHA256; len(got.Plans) == len(want.Plans) {
			for i := range got.Plans {
				got.Plans[i].Data = want.Plans[i].Data
			}
		}
		if diff := cmp.Diff(&want, got); diff != "" {
			t.Errorf("schema %d holds something else: -want +got\n%s", version, diff)
		}
		update(t, s, func(tx *Tx) error { return tx.PutUnit(unit("new")) })
		wantWhole(t, s)
		s.Close()
	}
}

func schemaFile(version int) string {
	return filepath.Join("testdata", fmt.Sprintf("schema-%d.emberquilt", version))
}

func TestMigrationsThatFailLeaveTheFileAlone(t *testing.T) {
	s := full(t)
	ctx := context.Background()
	before, err := os.ReadFile(s.Path())
	if err != nil {
		t.Fatal(err)
	}
	for _, step := range []string{
		"CREATE TABLE extra (a) STRICT",                          // not good SQL: a strict column has a type
		"CREATE TABLE extra (a INTEGER) STRICT; CREATE nonsense", // good, then not
		"DROP TRIGGER unit_remains; DELETE FROM unit",            // leaves references broken
	} {
		if err := s.migrateBy(ctx, append(append([]string(nil), migrations...), step)); err == nil {
			t.Errorf("%q was applied", step)
		}
		if after, err := os.ReadFile(s.Path()); err != nil || string(after) != string(before) {
			t.Errorf("%q changed the file", step)
		}
	}
	// The control: a good step is applied, once.
	good := append(append([]string(nil), migrations...), "CREATE TABLE extra (a INTEGER) STRICT")
	for range 2 {
		if err := s.migrateBy(ctx, good); err != nil {
			t.Error(err)
		}
	}
	if said, err := s.schema(ctx); err != nil || said.version != len(good) {
		t.Errorf("schema %d, %v", said.version, err)
	}
	if err := s.checkPragmas(ctx); err != nil {
		t.Error(err)
	}
	// And this program now takes the file for a newer one.
	if _, err := Open(ctx, s.Path()); err == nil {
		t.Error("a newer file was opened")
	}
}

// TestLaterColumnsKeepTheSeals adds a column, as a later migration may.
func TestLaterColumnsKeepTheSeals(t *testing.T) {
	s := full(t)
	steps := append(append([]string(nil), migrations...), "ALTER TABLE unit_version ADD COLUMN soil TEXT")
	if err := s.migrateBy(context.Background(), steps); err != nil {
		t.Fatal(err)
	}
	// This program does not know the step, and says no more than that.
	if faults, err := s.Verify(context.Background()); err != nil || len(faults) != 1 || faults[0] != "the table unit_version was altered" {
		t.Errorf("%v %q", err, faults)
	}
}

func TestAnOlderFileIsNotMigratedForReading(t *testing.T) {
	path := oldFile(t, 1)
	if _, err := OpenToRead(context.Background(), path); !errors.Is(err, ErrOlderSchema) {
		t.Errorf("an older file was opened for reading: %v", err)
	}
}

// oldFile gives a copy of the file of a schema.
func oldFile(t *testing.T, version int) string {
	t.Helper()
	data, err := os.ReadFile(schemaFile(version))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "old.emberquilt")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// A user_version that another program altered is named, whichever way it points, and the
// file is left alone.
func TestUserVersionThatWasAltered(t *testing.T) {
	ctx := context.Background()
	type altered struct {
		path string
		says int
		is   int
	}
	present := full(t).Path()
	var all []altered
	for says := -2; says < len(migrations); says++ {
		all = append(all, altered{present, says, len(migrations)})
	}
	for is := 1; is < len(migrations); is++ {
		for _, says := range []int{is - 1, is + 1, len(migrations)} {
			all = append(all, altered{oldFile(t, is), says, is})
		}
	}
	for _, c := range all {
		set := func(version int) []byte {
			db := raw(t, c.path)
			execute(t, db, fmt.Sprintf("PRAGMA user_version = %d", version))
			db.Close()
			data, err := os.ReadFile(c.path)
			if err != nil {
				t.Fatal(err)
			}
			return data
		}
		before := set(c.says)
		want := fmt.Sprintf("%s: user_version says schema %d, and the tables are those of schema %d; accepts user_version %d\n"+
			"hint: another program altered it: use the last backup, or have it set to %d and run emberquilt verify", c.path, c.says, c.is, c.is, c.is)
		for _, open := range []func(context.Context, string) (*Store, error){Open, OpenToRead} {
			if _, err := open(ctx, c.path); !errors.Is(err, ErrDamaged) || err.Error() != want {
				t.Errorf("\n got %v\nwant %s", err, want)
			}
		}
		if after, err := os.ReadFile(c.path); err != nil || !bytes.Equal(before, after) {
			t.Errorf("schema %d of a file that says %d: the file was touched (%v)", c.is, c.says, err)
		}
		set(c.is) // as the hint says
		s, err := Open(ctx, c.path)
		if err != nil {
			t.Errorf("set to what it is, %d: %v", c.is, err)
			continue
		}
		wantWhole(t, s)
		s.Close()
		if c.path != present { // it is of the present schema now
			os.Remove(c.path)
		}
	}
}

// Where more than user_version was altered, it is not known what the file is of.
func TestStepsThatDoNotFit(t *testing.T) {
	path := full(t).Path()
	for version, want := range map[int]string{2: "schema 2 cannot be brought up to date (the index burn_of_change is not as a step of it left it)", -3: "user_version says schema -3, which there is not"} {
		db := raw(t, path)
		execute(t, db, fmt.Sprintf("CREATE INDEX IF NOT EXISTS more ON plan (note); PRAGMA user_version = %d", version))
		db.Close()
		before, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		_, err = Open(context.Background(), path)
		if !errors.Is(err, ErrDamaged) || !strings.HasPrefix(err.Error(), path+": "+want) ||
			!strings.HasSuffix(err.Error(), "; accepts a property file as this program wrote it\nhint: another program altered it: use the last backup") {
			t.Errorf("%d: %v", version, err)
		}
		if after, err := os.ReadFile(path); err != nil || !bytes.Equal(before, after) {
			t.Errorf("%d: the file was touched (%v)", version, err)
		}
	}
}
