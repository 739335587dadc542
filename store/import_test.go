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

// An import of many units and burns writes the rows that putting them one by one writes,
// to the bit: the seals are the same. Some units were there before, some texts are alike
// in all rows, and some are such as SQL could misread.
func TestManyAtOnceAreAsOneByOne(t *testing.T) {
	texts := []string{"same", "it's", `a ? b " c \ d`, "déjà\u00a0vu", "x); DROP TABLE unit; --", ""}
	var units, burns strings.Builder
	units.WriteString("unit,acres,min_interval,max_interval,seasons,cover,notes,estimated_age\n")
	burns.WriteString("unit,date,kind,acres,notes\n")
	for i := range 3*mostWaiting + 7 {
		cell := func(text string) string { return `"` + strings.ReplaceAll(text, `"`, `""`) + `"` }
		age := ""
		if i%50 == 49 {
			age = "3"
		}
		name := fmt.Sprintf("u'%d", i)
		if i == 150 {
			name = "n1" // which was there and went
		}
		fmt.Fprintf(&units, "%s,%d,2,3,dormant:0,%s,%s,%s\n", name, 10+i%2, "tall grass", cell(texts[i/60%len(texts)]), age)
		fmt.Fprintf(&burns, "%s,2020-01-%02d,prescribed,,%s\n", name, 1+i%28, cell(texts[i/70%len(texts)]))
	}
	var lists []*list.List
	for name, text := range map[string]string{"units.csv": units.String(), "burns.csv": burns.String()} {
		l, err := list.Read(context.Background(), []byte(text), name, list.Options{})
		if err != nil {
			t.Fatal(err)
		}
		lists = append(lists, l)
	}
	stores := [2]*Store{create(t, n1()), create(t, n1())}
	var snaps [2]*Snapshot
	var plan *list.Plan
	for i, s := range stores {
		update(t, s, func(tx *Tx) error { return tx.RemoveUnit("n1") })
		if i == 0 {
			plan = importAll(t, s, lists...)
		} else {
			update(t, s, func(tx *Tx) error {
				for i := range plan.Changes {
					if err := tx.apply(&plan.Changes[i]); err != nil {
						return err
					}
				}
				return nil
			})
		}
		wantWhole(t, s)
		snaps[i] = snapshot(t, s)
	}
	if diff := cmp.Diff(snaps[1], snaps[0]); diff != "" || len(snaps[0].Units) != 3*mostWaiting+7 || len(snaps[0].Records) != len(snaps[0].Units) {
		t.Errorf("%d units, %d records: %s", len(snaps[0].Units), len(snaps[0].Records), diff)
	}
	if snaps[0].Change.SHA256 != snaps[1].Change.SHA256 {
		t.Error("the seals differ")
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
