package store

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/list"
	"emberquilt/habitat/settings"
)

// importAll reads, plans and carries out an import in one transaction, as a
// command does.
func importAll(t testing.TB, s *Store, lists ...*list.List) *list.Plan {
	t.Helper()
	var plan *list.Plan
	update(t, s, func(tx *Tx) error {
		snap, err := tx.Snapshot()
		if err != nil {
			return err
		}
		plan, err = list.MakePlan(snap.Current(), lists, list.PlanSettings{Today: date.DayOf(noon)})
		if err != nil {
			return err
		}
		return tx.Apply(plan)
	})
	return plan
}

func TestDemoIsImportedAndTheSecondTimeChangesNothing(t *testing.T) {
	for _, folder := range []string{"tamsel-bend", "pennywhistle-place", "nine-gate"} {
		root := filepath.Join("..", "testdata", "demo", folder)
		text, err := os.ReadFile(filepath.Join(root, "settings.toml"))
		if err != nil {
			t.Fatal(err)
		}
		p, err := settings.Parse(text, "settings.toml")
		if err != nil {
			t.Fatal(err)
		}
		s, err := Create(context.Background(), filepath.Join(t.TempDir(), folder), Making{}, p, noon)
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		var lists []*list.List
		for _, name := range []string{"burns.csv", "units.geojson", "pairs.csv", "places.geojson", "locks.csv", "contract.csv"} {
			l, err := list.ReadFile(context.Background(), filepath.Join(root, name), list.Options{})
			if os.IsNotExist(err) {
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			lists = append(lists, l)
		}
		first := importAll(t, s, lists...)
		snap := snapshot(t, s)
		if len(snap.Units) != first.Count(list.Units, list.Added) || len(snap.Records) != first.Count(list.Burns, list.Added) || len(snap.Shapes) != len(snap.Units) ||
			len(snap.Pairs) != first.Count(list.Pairs, list.Added) || len(snap.Places) != first.Count(list.Places, list.Added) || len(snap.Units) == 0 {
			t.Errorf("%s: %v", folder, first.Summary())
		}
		if second := importAll(t, s, lists...); !second.IsIdle() {
			t.Errorf("%s again: %v", folder, second.Summary())
		}
		after := snapshot(t, s)
		if diff := cmp.Diff(snap, after); diff != "" {
			t.Errorf("%s again: %s", folder, diff)
		}
		wantWhole(t, s)
	}
}

func TestAnImportedCorrectionIsANewVersion(t *testing.T) {
	s := create(t, n1())
	read := func(text string) *list.List {
		l, err := list.Read(context.Background(), []byte(text), "burns.csv", list.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	importAll(t, s, read("unit,date,acres\nn1,2026-03-01,30\n"))
	importAll(t, s, read("unit,date,acres\nn1,2026-03-01,31\n"))
	h, err := s.BurnHistory(context.Background(), 1)
	if err != nil || len(h) != 2 || h[0].Value.Acres != 30 || h[1].Value.Acres != 31 {
		t.Errorf("%+v %v", h, err)
	}
}

func unitsTable(count int) string {
	var b strings.Builder
	b.WriteString("unit,acres,min_interval,max_interval,seasons,cost,mix,refuge,cover,notes\n")
	for i := range count {
		fmt.Fprintf(&b, "unit %d,%d.5,2,3,dormant:0;early-growing:1,%d,savanna,meadow,old field,\"row, %d\"\n", i, 10+i%90, 500+i%700, i)
	}
	return b.String()
}

// BenchmarkImport10000Units reads a table, plans the import, carries it out and
// commits, as "import units.csv" does.
func BenchmarkImport10000Units(b *testing.B) {
	text := []byte(unitsTable(10000))
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		s := create(b)
		b.StartTimer()
		l, err := list.Read(context.Background(), text, "units.csv", list.Options{})
		if err != nil {
			b.Fatal(err)
		}
		importAll(b, s, l)
	}
}

// BenchmarkImportAgain finds that nothing has changed.
func BenchmarkImportAgain(b *testing.B) {
	s := create(b)
	l, err := list.Read(context.Background(), []byte(unitsTable(10000)), "units.csv", list.Options{})
	if err != nil {
		b.Fatal(err)
	}
	importAll(b, s, l)
	b.ReportAllocs()
	for b.Loop() {
		if !importAll(b, s, l).IsIdle() {
			b.Fatal("something changed")
		}
	}
}

// BenchmarkSnapshot reads 10,000 units and 20,000 burns.
func BenchmarkSnapshot(b *testing.B) {
	s := create(b)
	update(b, s, func(tx *Tx) error {
		for i, u := range manyUnits(10000) {
			if err := tx.PutUnit(u); err != nil {
				return err
			}
			for year := 2024; year < 2026; year++ {
				d := date.MustDay(year, 3, 1+i%28)
				if _, err := tx.AddBurn(habitat.BurnRecord{Unit: u.ID, On: d, Through: d, Kind: habitat.Prescribed}); err != nil {
					return err
				}
			}
		}
		return nil
	})
	b.ReportAllocs()
	for b.Loop() {
		snapshot(b, s)
	}
}

// BenchmarkSmallSnapshot reads a property of the usual size: what every command
// pays before it begins.
func BenchmarkSmallSnapshot(b *testing.B) {
	s := create(b, manyUnits(24)...)
	b.ReportAllocs()
	for b.Loop() {
		snapshot(b, s)
	}
}

// BenchmarkVerify computes every seal of a file of 10,000 units.
func BenchmarkVerify(b *testing.B) {
	s := create(b, manyUnits(10000)...)
	for b.Loop() {
		wantWhole(b, s)
	}
}
