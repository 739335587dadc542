package app

import (
	"bytes"
	"context"
	"errors"
	"path"
	"path/filepath"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/list"
	"emberquilt/habitat/settings"
	"emberquilt/schedule/rotation"
	"emberquilt/store"
	"emberquilt/testdata/demo"
)

// quick is a solver that gives the same answer on every machine.
var quick = rotation.Settings{TimeLimit: -1, Rounds: 20, Threads: 1}

// on is the environment of a day, which tells nobody how far work has come.
func on(text string) Environment {
	day, err := date.ParseDay(text)
	if err != nil {
		panic(err)
	}
	return Environment{Today: day, Moment: day.Time().Add(12 * time.Hour), Version: "test"}
}

// demoFile reads a file of a demo property.
func demoFile(t *testing.T, name, file string) []byte {
	t.Helper()
	data, err := demo.Files.ReadFile(path.Join(name, file))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// bare opens a demo property as it is before anything is imported.
func bare(t *testing.T, name string) *Session {
	t.Helper()
	ctx := context.Background()
	p, err := settings.Parse(demoFile(t, name, "settings.toml"), "settings.toml")
	if err != nil {
		t.Fatal(err)
	}
	from := on("2026-11-25")
	file, err := store.Create(ctx, filepath.Join(t.TempDir(), name+".emberquilt"), store.Making{}, p, from.Moment)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { file.Close() })
	s, err := NewSession(ctx, file, from)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// property opens a demo property, without weather, as it is on 25 November 2026.
func property(t *testing.T, name string) *Session {
	t.Helper()
	ctx := context.Background()
	s := bare(t, name)
	var lists []*list.List
	for _, file := range []string{"units.geojson", "burns.csv", "pairs.csv"} {
		one, err := list.Read(ctx, demoFile(t, name, file), file, list.Options{})
		if err != nil {
			t.Fatal(err)
		}
		lists = append(lists, one)
	}
	err := s.update(ctx, "import", func(tx *store.Tx) error {
		plan, err := list.MakePlan(s.Current(), lists, list.PlanSettings{Today: s.Today})
		if err != nil {
			return err
		}
		return tx.Apply(plan)
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// later is the same property on another day.
func later(s *Session, day string) *Session {
	other := *s
	other.Environment = on(day)
	return &other
}

// planned is a property with its first plan.
func planned(t *testing.T, name string) *Session {
	t.Helper()
	s := property(t, name)
	if _, err := s.MakePlan(context.Background(), PlanOptions{Solver: quick}); err != nil {
		t.Fatal(err)
	}
	return s
}

func TestOpenReadsWhatWasChanged(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	again, err := Open(ctx, s.Store.Path(), ToRead, s.Environment)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if len(again.Plans) != 1 || again.Change.Stamp() != s.Change.Stamp() {
		t.Errorf("%d plans at %s, want 1 at %s", len(again.Plans), again.Change.Stamp(), s.Change.Stamp())
	}
	stored, err := again.Plan(ctx, 0)
	if err != nil {
		t.Fatal(err)
	}
	if stored.Number != 1 || stored.FirstYear != 2027 || stored.MadeFor != s.Today || !bytes.Contains(stored.Files.Problem, []byte("rotation-problem/1")) {
		t.Errorf("%+v", stored.PlanHead)
	}
	changed := again.Property
	keep := changed.Keep() + 1
	changed.KeepYears = &keep
	if err := again.update(ctx, "write", func(tx *store.Tx) error { return tx.SetProperty(changed) }); !errors.Is(err, store.ErrReadOnly) {
		t.Errorf("a session that is open to read changes the file: %v", err)
	}
	if _, err := Open(ctx, filepath.Join(t.TempDir(), "missing.emberquilt"), ToChange, s.Environment); err == nil {
		t.Error("a file that is not there opens")
	}
}
