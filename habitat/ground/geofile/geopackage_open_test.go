package geofile

import (
	"context"
	"database/sql"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// withoutTriggers packs two units in a file without triggers, which call functions that only
// map programs have.
func withoutTriggers(t *testing.T) string {
	t.Helper()
	path, _ := packed(t)
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, number := range []string{"insert", "update2", "update4", "update5", "update6", "update7", "delete"} {
		if _, err := db.ExecContext(context.Background(), "DROP TRIGGER rtree_burn_units_geom_"+number); err != nil {
			t.Fatal(err)
		}
	}
	return path
}

// held opens a GeoPackage as map programs do while they show it, with what they save in a
// log beside it, and runs statements whose changes stay there.
func held(t *testing.T, path string, statements ...string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	db.SetMaxOpenConns(1)
	for _, text := range append([]string{"PRAGMA journal_mode = WAL", "PRAGMA wal_autocheckpoint = 0"}, statements...) {
		if _, err := db.ExecContext(context.Background(), text); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
	}
}

func namesIn(layer *Layer) []string {
	var names []string
	for i := range layer.Features {
		names = append(names, layer.Features[i].Name)
	}
	return names
}

// A map program that has a GeoPackage open saves into a log beside it: what is imported is
// what it saved last, not what the file was before.
func TestGeoPackageThatAnotherProgramHasOpen(t *testing.T) {
	path := withoutTriggers(t)
	held(t, path, `UPDATE burn_units SET name = 'Creek, as saved' WHERE fid = 1`)
	before := listing(t, filepath.Dir(path))
	layer, err := Read(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := namesIn(layer); !slices.Equal(got, []string{"Creek, as saved", "Río; O'Brien"}) {
		t.Errorf("the file that is open holds %q", got)
	}
	if len(layer.Notes) > 0 {
		t.Errorf("notes: %v", layer.Notes)
	}
	if after := listing(t, filepath.Dir(path)); !slices.Equal(before, after) {
		t.Errorf("reading left %q, not %q", after, before)
	}
	// SQLite's own program reads the same from the file and its log.
	if sqlite3, err := exec.LookPath("sqlite3"); err == nil {
		if out, err := exec.Command(sqlite3, "-readonly", path, "SELECT name FROM burn_units WHERE fid = 1").CombinedOutput(); err != nil || strings.TrimSpace(string(out)) != "Creek, as saved" {
			t.Errorf("sqlite3 reads %s, %v", out, err)
		}
	}
}

// A copy of the file alone lacks what the log holds: that is said.
func TestGeoPackageWithoutItsLog(t *testing.T) {
	path := withoutTriggers(t)
	held(t, path, `UPDATE burn_units SET name = 'Creek, as saved' WHERE fid = 1`)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	copied := filepath.Join(t.TempDir(), "copied.gpkg")
	if err := os.WriteFile(copied, data, 0o666); err != nil {
		t.Fatal(err)
	}
	for _, read := range []func() (*Layer, error){
		func() (*Layer, error) { return Read(copied, Options{}) },
		func() (*Layer, error) { return ReadBytes(data, "copied.gpkg", Options{}) },
	} {
		layer, err := read()
		if err != nil {
			t.Fatal(err)
		}
		if len(layer.Notes) != 1 || !strings.Contains(layer.Notes[0].Text, "what it saved last may be missing") {
			t.Errorf("notes: %v", layer.Notes)
		}
	}
}

// A program that was killed while it wrote leaves pages that were never saved, and a
// journal that takes them back.
func TestGeoPackageOfAProgramThatWasKilled(t *testing.T) {
	path := withoutTriggers(t)
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	for _, text := range []string{"PRAGMA cache_size = 1", "PRAGMA cache_spill = 1", "BEGIN", "UPDATE burn_units SET name = 'never saved'",
		"CREATE TABLE many (text)", "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 2000) INSERT INTO many SELECT randomblob(500) FROM n"} {
		if _, err := db.ExecContext(context.Background(), text); err != nil {
			t.Fatal(err)
		}
	}
	killed := filepath.Join(t.TempDir(), "killed.gpkg")
	for _, ending := range []string{"", "-journal"} {
		data, err := os.ReadFile(path + ending)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(killed+ending, data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	layer, err := Read(killed, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := namesIn(layer); !slices.Equal(got, []string{"Creek", "Río; O'Brien"}) {
		t.Errorf("what was never saved is read: %q", got)
	}
}

func listing(t *testing.T, folder string) []string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}
