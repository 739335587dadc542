package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

// TestAsOfIsWhatWasThen keeps what a file held after each of its changes, and reads it
// back when all of them are made.
func TestAsOfIsWhatWasThen(t *testing.T) {
	ctx := context.Background()
	s := full(t)
	var was []*Snapshot
	keep := func() {
		snap, err := s.Snapshot(ctx)
		if err != nil {
			t.Fatal(err)
		}
		was = append(was, snap)
	}
	for range 3 {
		was = append(was, nil) // full made the first three in one go
	}
	keep()
	for n, do := range []func(tx *Tx) error{
		func(tx *Tx) error { u := n1(); u.Acres = 40; return tx.PutUnit(u) },
		func(tx *Tx) error { r := fullBurn(); r.ID, r.Acres = 1, 12; return tx.CorrectBurn(r) },
		func(tx *Tx) error { return tx.WithdrawBurn(1) },
		func(tx *Tx) error { c := fullContract(); c.Items[0].Planned = 20; return tx.PutContract(c) },
		func(tx *Tx) error { return tx.RemoveUnit("a") },
		func(tx *Tx) error { return tx.PutUnit(unit("b")) },
		func(tx *Tx) error { return tx.PutLock(habitat.Lock{Unit: "b", Year: 2029, Burn: true}) },
		func(tx *Tx) error {
			_, err := tx.AddPlan(Plan{PlanHead: PlanHead{MadeFor: date.MustDay(2027, 2, 1), FirstYear: 2027, Years: 2, Status: "optimal"}})
			return err
		},
	} {
		update(t, s, do)
		keep()
		if was[len(was)-1].Change.Number != n+5 {
			t.Fatalf("change %d", was[len(was)-1].Change.Number)
		}
	}
	for i, want := range was {
		if want == nil {
			continue
		}
		old, err := OpenAsOf(ctx, s.Path(), i+1)
		if err != nil {
			t.Fatal(err)
		}
		got, err := old.Snapshot(ctx)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("change %d: %v, %+v, want %+v", i+1, err, got, want)
		}
		versions, err := old.RecordVersions(ctx)
		if want := min(max(i-3, 1), 3); err != nil || len(versions[1]) != want {
			t.Errorf("change %d: %d versions of a record, want %d; %v", i+1, len(versions[1]), want, err)
		}
		if err := old.Update(ctx, want.Change.At, "", "write", func(tx *Tx) error { return tx.PutUnit(unit("c")) }); err == nil {
			t.Errorf("change %d can be written over", i+1)
		}
		if err := old.Close(); err != nil {
			t.Fatal(err)
		}
	}
	for _, number := range []int{-1, 0, len(was) + 1} {
		if _, err := OpenAsOf(ctx, s.Path(), number); !errors.Is(err, ErrUnknown) {
			t.Errorf("change %d: %v", number, err)
		}
	}
	wantWhole(t, s)
}

// TestAsOfInOddFolders opens a file whose path holds what the address of a database
// uses itself.
func TestAsOfInOddFolders(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "a&b?c=1#%20 _emberquilt_as_of=1")
	if err := os.Mkdir(folder, 0o777); err != nil {
		t.Fatal(err)
	}
	s := create(t, n1())
	path := filepath.Join(folder, "x.emberquilt")
	if err := s.Backup(context.Background(), path); err != nil {
		t.Fatal(err)
	}
	for change := 1; change <= 2; change++ {
		old, err := OpenAsOf(context.Background(), path, change)
		if err != nil {
			t.Fatal(err)
		}
		defer old.Close()
		if snap, err := old.Snapshot(context.Background()); err != nil || len(snap.Units) != change-1 {
			t.Errorf("change %d: %v, %+v", change, err, snap)
		}
	}
}

// TestJournalTellsEveryVersion holds the journal against the tables: each row of a
// version is told once, under its change.
func TestJournalTellsEveryVersion(t *testing.T) {
	s := full(t)
	update(t, s, func(tx *Tx) error { u := n1(); u.Acres, u.Notes = 40, "measured"; return tx.PutUnit(u) })
	update(t, s, func(tx *Tx) error { c := fullContract(); c.Items[0].Planned = 20; return tx.PutContract(c) })
	journal, err := s.Journal(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	db := raw(t, s.Path())
	for _, entry := range journal {
		rows := 0
		for _, table := range sealed {
			var n int
			if err := db.QueryRow(fmt.Sprintf("SELECT count(*) FROM %s WHERE change = ?", table), entry.Number).Scan(&n); err != nil {
				t.Fatal(err)
			}
			rows += n
		}
		if rows == 0 || rows != len(entry.Touched) {
			t.Errorf("change %d wrote %d rows and tells %d", entry.Number, rows, len(entry.Touched))
		}
	}
	got := journal[len(journal)-2].Touched[0]
	want := Touched{Kind: "unit", Name: "n1", Version: 2, Units: []string{"n1"}, Fields: []FieldChange{{"acres", "38.5", "40"}, {"notes", n1().Notes, "measured"}}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
	got = journal[len(journal)-1].Touched[0]
	want = Touched{Kind: "contract", Name: "grass", Version: 2, Units: []string{"n1"}, Fields: []FieldChange{{"items 1 planned", "38.5", "20"}}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
}
