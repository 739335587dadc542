package store

import (
	"context"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// endless is a view that is never read to its end.
const endless = "WITH RECURSIVE r(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM r) SELECT "

// TestTablesOfOthersAreNotRead puts into a file what is without end, or without measure,
// once it is read. It is named, and nothing waits for it: where one of these checks read
// it, the test would not come to its end.
func TestTablesOfOthersAreNotRead(t *testing.T) {
	ctx := context.Background()
	slow := "like('%a%a%a%a%a%a%a%a%a%a%a%a%b', replace(hex(zeroblob(300)), '0', 'a'))"
	for _, c := range []struct {
		name, query, want string
		isOwn             bool
	}{
		{"a view for the identity", "DROP TABLE identity; CREATE VIEW identity AS " + endless + "1 AS one, n || '' AS id, '' AS sha256 FROM r", "the file holds a view identity, which this program did not make", false},
		{"a view for the versions of units", "DROP TABLE unit_version; CREATE VIEW unit_version AS " + endless + "n AS row, n || '' AS unit, 1 AS version, 1 AS change, 0 AS removed FROM r", "the table unit_version is missing", false},
		{"a view for the journal", "DROP TABLE change; CREATE VIEW change AS " + endless + "n AS id, '2027-01-01T00:00:00Z' AS made_at, 'x' AS reason, '' AS sha256, NULL AS made_by FROM r", "the table change is missing", false},
		{"a table with a constraint that takes for ever", "CREATE TABLE more (a CHECK (NOT " + slow + ")); PRAGMA ignore_check_constraints = ON; INSERT INTO more VALUES (1)", "the file holds a table more", true},
		{"a table with references to computed columns", "CREATE TABLE more (a, b AS (" + slow + " || a) REFERENCES unit (name)); INSERT INTO more (a) VALUES (1)", "the file holds a table more", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := full(t)
			path := s.Path()
			s.Close()
			db := raw(t, path)
			db.SetMaxOpenConns(1)
			execute(t, db, "PRAGMA foreign_keys = OFF; PRAGMA legacy_alter_table = ON")
			execute(t, db, c.query)
			db.Close()
			for _, open := range []func(context.Context, string) (*Store, error){Open, OpenToRead} {
				s, err := open(ctx, path)
				if err != nil {
					t.Fatal(err)
				}
				isOwn, err := s.HasOwnTables(ctx)
				if err != nil || isOwn != c.isOwn {
					t.Errorf("own tables: %t, want %t: %v", isOwn, c.isOwn, err)
				}
				for _, check := range []func(context.Context) ([]string, error){s.Verify, s.Unsealed} {
					if faults, err := check(ctx); err != nil || !strings.Contains(strings.Join(faults, "\n"), c.want) {
						t.Errorf("%v %q, want one with %q", err, faults, c.want)
					}
				}
				s.Close()
			}
			if c.isOwn {
				return
			}
			// Nor is it read where its changes are received, by whoever has the property.
			ours := full(t)
			theirs, err := OpenToRead(ctx, path)
			if err != nil {
				t.Fatal(err)
			}
			var unfit *UnfitError
			if _, err := ours.Receive(ctx, theirs, noon, "", func(*Contradiction) Side { return Ours }); !errors.As(err, &unfit) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("received: %v", err)
			}
			theirs.Close()
		})
	}
}

// TestTablesOfOthersAreNotMigrated puts a view in the place of a table that a step of the
// schema copies: without an end, it would fill the disk.
func TestTablesOfOthersAreNotMigrated(t *testing.T) {
	path := oldFile(t, 4)
	db := raw(t, path)
	db.SetMaxOpenConns(1)
	execute(t, db, "PRAGMA foreign_keys = OFF; PRAGMA legacy_alter_table = ON; CREATE TABLE one AS SELECT * FROM burn_version LIMIT 1; DROP TABLE burn_version; CREATE VIEW burn_version AS SELECT * FROM one")
	db.Close()
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want := path + ": schema 4 cannot be brought up to date (the index burn_of_change is not as a step of it left it); accepts a property file as this program wrote it"
	for _, open := range []func(context.Context, string) (*Store, error){Open, OpenToRead} {
		if _, err := open(t.Context(), path); !errors.Is(err, ErrDamaged) || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("\n got %v\nwant %s", err, want)
		}
	}
	if after, err := os.ReadFile(path); err != nil || !slices.Equal(before, after) {
		t.Errorf("the file was touched: %v", err)
	}
}

// TestConstraintsHoldForReadersToo writes past the constraints of a table what SQLite's
// own check finds only in a file that is opened to be written.
func TestConstraintsHoldForReadersToo(t *testing.T) {
	ctx := context.Background()
	for _, c := range []struct {
		table, set, want string
		isText           bool // which readers refuse
	}{
		{"unit_version", "acres = -5", "integrity: CHECK constraint failed in unit_version", false},
		{"unit_version", "min_interval = 9", "integrity: CHECK constraint failed in unit_version", false},
		{"property_version", "property = 2", "integrity: CHECK constraint failed in property_version", false},
		{"burn_version", "last_on = '9999-99-99'", "integrity: CHECK constraint failed in burn_version", true},
		{"unit_version", "seasons = 'none'", "malformed JSON", true},
	} {
		s := full(t)
		path := s.Path()
		s.Close()
		db := raw(t, path)
		db.SetMaxOpenConns(1)
		execute(t, db, "PRAGMA ignore_check_constraints = ON; DROP TRIGGER "+c.table+"_stays")
		execute(t, db, "UPDATE "+c.table+" SET "+c.set)
		db.Close()
		for _, open := range []func(context.Context, string) (*Store, error){Open, OpenToRead} {
			s, err := open(ctx, path)
			if err != nil {
				t.Fatal(err)
			}
			for isVerify, check := range map[bool]func(context.Context) ([]string, error){true: s.Verify, false: s.Unsealed} {
				if faults, err := check(ctx); (isVerify || !c.isText) && (err != nil || !strings.Contains(strings.Join(faults, "\n"), c.want)) {
					t.Errorf("%s: %v %q, want one with %q", c.set, err, faults, c.want)
				}
			}
			if _, err := s.Snapshot(ctx); c.isText && err == nil {
				t.Errorf("%s: it is read", c.set)
			}
			s.Close()
		}
	}
}

// What a constraint lets pass and cannot be read is named by the value that holds it.
func TestWhatCannotBeReadIsNamed(t *testing.T) {
	for _, c := range []struct{ table, set, want string }{
		{"unit_version", `seasons = '[{"season": 3}]' WHERE unit = 'n1'`, "unit_version of n1: json: "},
		{"shape_version", `geometry = '{"type": "Polygon", "coordinates": "x"}'`, "shape_version of n1: read shape: "},
		{"burn_version", `readings = '[3]'`, "burn_version of 1: json: "},
		{"plan", `assumptions = '[3]'`, "assumptions of plan 1: json: "},
	} {
		s := full(t)
		db := raw(t, s.Path())
		execute(t, db, "DROP TRIGGER "+c.table+"_stays")
		execute(t, db, "UPDATE "+c.table+" SET "+c.set)
		_, err := s.Snapshot(t.Context())
		if err == nil {
			_, err = s.Plan(t.Context(), 1)
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.set, err, c.want)
		}
	}
}

// Every constraint of the schema is found: as many as the statements name, each of which
// SQLite reads, and with a bad row in none.
func TestConstraintsAreAllFound(t *testing.T) {
	made, err := schemaObjects()
	if err != nil {
		t.Fatal(err)
	}
	tables := map[string]string{}
	named, found := 0, 0
	for object, text := range made {
		if table, is := strings.CutPrefix(object, "table "); is {
			tables[table] = text
			for line := range strings.Lines(text) {
				code, _, _ := strings.Cut(line, "--")
				named += strings.Count(strings.ToUpper(code), "CHECK")
			}
		}
	}
	all := constraints(tables, true)
	for _, of := range all {
		found += len(of)
	}
	if found != named || found < 30 {
		t.Errorf("%d of %d constraints are found", found, named)
	}
	if got := constraintsOf("CREATE TABLE t (a CHECK (a <> ')' AND (a) > 1), -- CHECK (none)\n b CHECK (length(b) = 2))"); !slices.Equal(got, []string{"a <> ')' AND (a) > 1", "length(b) = 2"}) {
		t.Errorf("%q", got)
	}
	s := full(t)
	path := s.Path()
	s.Close()
	read, err := OpenToRead(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer read.Close()
	if faults, err := read.Verify(t.Context()); err != nil || len(faults) > 0 {
		t.Errorf("a good file, %v: %v %q", slices.Sorted(maps.Keys(all)), err, faults)
	}
}

// A copy that cannot be made names the file that cannot be read.
func TestABackupOfADamagedFileNamesIt(t *testing.T) {
	s := full(t)
	path := s.Path()
	s.Close()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	isTried := false
	for at := 4096; at+4096 <= len(data); at += 4096 {
		bad := slices.Clone(data)
		for i := range bad[at : at+4096] {
			bad[at+i] = 0x55
		}
		if err := os.WriteFile(path, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		again, err := OpenToRead(t.Context(), path)
		if err != nil {
			continue
		}
		err = again.Backup(t.Context(), filepath.Join(t.TempDir(), "copy.emberquilt"))
		again.Close()
		if err == nil {
			continue // no page of a table
		}
		isTried = true
		if !errors.Is(err, ErrDamaged) || !strings.HasPrefix(err.Error(), path+": ") {
			t.Errorf("page at %d: %v", at, err)
		}
	}
	if !isTried {
		t.Error("no damage kept a copy from being made")
	}
}
