package app

import (
	"context"
	"errors"
	"path/filepath"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/store"
)

func TestCreate(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "oak-hill.emberquilt")
	s, err := Create(ctx, path, ExampleSettings(), on("2026-11-25"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if len(s.Tasks) != len(preparation.Starter()) || len(s.Tasks) == 0 || s.Property.Name != ExampleSettings().Name {
		t.Errorf("%d tasks of %q", len(s.Tasks), s.Property.Name)
	}
	if _, err := Create(ctx, path, ExampleSettings(), on("2026-11-25")); !errors.Is(err, store.ErrExists) {
		t.Errorf("a second time: %v", err)
	}
}

func TestChangeSettings(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	p := s.Property
	keep := p.Keep() + 1
	p.KeepYears = &keep
	stamp := s.Change.Stamp()
	dry, err := s.ChangeSettings(ctx, SettingsChange{To: &p, DryRun: true})
	if err != nil || len(dry) != 1 || s.Change.Stamp() != stamp {
		t.Errorf("dry: %v %v", dry, err)
	}
	changes, err := s.ChangeSettings(ctx, SettingsChange{To: &p})
	if err != nil || len(changes) != 1 || changes[0].String() != dry[0].String() || s.Property.Keep() != p.Keep() {
		t.Errorf("%v %v", changes, err)
	}
	// A season that units burn in cannot go, dry or not.
	p.Seasons = append([]habitat.Season(nil), s.Property.Seasons...)
	p.Seasons[0].Name = "another"
	stamp = s.Change.Stamp()
	for _, dryRun := range []bool{true, false} {
		var option *OptionError
		if _, err := s.ChangeSettings(ctx, SettingsChange{To: &p, DryRun: dryRun}); !errors.As(err, &option) || option.Option != "rename-season" {
			t.Errorf("dry run %v, a season that may be renamed: %v", dryRun, err)
		}
		gone := p
		gone.Seasons = p.Seasons[1:]
		if _, err := s.ChangeSettings(ctx, SettingsChange{To: &gone, DryRun: dryRun}); !source.Is(err) {
			t.Errorf("dry run %v, a season less: %v", dryRun, err)
		}
	}
	if s.Change.Stamp() != stamp {
		t.Error("what was refused changed the file")
	}
}

func TestContactsAndOnSite(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	if usual := s.ContactList(); len(usual) != len(preparation.Contacts()) {
		t.Errorf("without a list of its own: %+v", usual)
	}
	own := []habitat.Contact{{Role: "neighbor", Name: "Ida", Phone: "555-0100"}}
	if err := s.ReplaceContacts(ctx, own); err != nil || len(s.ContactList()) != 1 {
		t.Errorf("%+v %v", s.ContactList(), err)
	}
	unit, few, err := s.OnSite(ctx, OnSiteOptions{Unit: s.Units[0].ID, People: 2})
	if err != nil || unit.ID != s.Units[0].ID || len(few) == 0 {
		t.Fatalf("%+v %v", few, err)
	}
	for option, o := range map[string]OnSiteOptions{"people": {People: 501}, "hours": {Hours: -1}} {
		if _, _, err := s.OnSite(ctx, o); asOption(err) != option {
			t.Errorf("%s: %v", option, err)
		}
	}
}

func TestPlaceRows(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	if all, err := s.PlaceRows("", 0); err != nil || len(all) != 0 {
		t.Errorf("without places: %+v %v", all, err)
	}
	takeIn(t, s, "pennywhistle-place", "places.geojson")
	all, err := s.PlaceRows("", 0)
	if err != nil || len(all) != len(s.Places)*len(s.Units) {
		t.Fatalf("%d rows of %d places and %d units, %v", len(all), len(s.Places), len(s.Units), err)
	}
	// Of the half that lies nearer none lies farther than asked, and none is left out.
	within := all[len(all)/2].Away.Distance
	near, err := s.PlaceRows("", within)
	if err != nil || len(near) < len(all)/2+1 {
		t.Errorf("%d rows within %v, %v", len(near), within, err)
	}
	for _, r := range near {
		if r.Away.Distance > within {
			t.Errorf("%+v is farther than %v", r, within)
		}
	}
	if _, err := s.PlaceRows("", quantity.Feet(-1)); asOption(err) != "within" {
		t.Errorf("a negative distance: %v", err)
	}
	if _, err := s.PlaceRows("nowhere", 0); !source.Is(err) {
		t.Errorf("a unit that is none: %v", err)
	}
	name := s.Places[0].Name
	count := len(s.Places)
	if err := s.RemovePlace(ctx, name, ""); err != nil || len(s.Places) != count-1 {
		t.Errorf("%d places, %v", len(s.Places), err)
	}
	if err := s.RemovePlace(ctx, name, ""); !errors.Is(err, store.ErrUnknown) {
		t.Errorf("taken away twice: %v", err)
	}
}
