package app

import (
	"context"
	"io/fs"
	"reflect"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/window"
	"emberquilt/testdata/demo"
)

// TestFillDemo fills each property of the demo and looks for what it shows: counts
// are those of the files in testdata/demo.
func TestFillDemo(t *testing.T) {
	ctx := context.Background()
	sky, err := DemoWeather(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if len(sky) != 2 || len(sky[0].Text) < 1<<20 || sky[0].File == sky[1].File {
		t.Fatalf("%d records", len(sky))
	}
	for i, want := range []struct{ units, stations, contracts int }{{24, 2, 0}, {5, 1, 0}, {4, 1, 1}} {
		p := DemoProperties()[i]
		s := bare(t, p.Name)
		files, err := fs.Sub(demo.Files, p.Name)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.FillDemo(ctx, p, files, sky); err != nil {
			t.Fatalf("%s: %v", p.Name, err)
		}
		o, err := s.Outlook(ctx)
		if err != nil {
			t.Fatal(err)
		}
		stations, err := s.LoadedStations()
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Units) != want.units || len(stations) != want.stations || len(s.Contracts) != want.contracts || o.Series == nil {
			t.Errorf("%s: %d units, %d stations, %d contracts; want %+v", p.Name, len(s.Units), len(stations), len(s.Contracts), want)
		}
		for k := range s.Units {
			for _, choice := range s.Units[k].Choices(&s.Property) {
				if terms := o.Terms(&s.Units[k], choice.Season); terms.Limits == nil {
					t.Errorf("%s: %s has no prescription for %s", p.Name, s.Units[k].ID, choice.Season)
				}
			}
		}
		if lines := s.Firings.Of[demoOwnLines].Lines; (lines != nil) != (i == 0) {
			t.Errorf("%s: lines of %s: %v", p.Name, demoOwnLines, lines)
		}
	}
}

// Units that ask the record for the same share one evaluation; each has what it would have
// alone.
func TestUnitsShareEvaluations(t *testing.T) {
	ctx := context.Background()
	sky, err := DemoWeather(ctx)
	if err != nil {
		t.Fatal(err)
	}
	p := DemoProperties()[0]
	s := bare(t, p.Name)
	files, err := fs.Sub(demo.Files, p.Name)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.FillDemo(ctx, p, files, sky); err != nil {
		t.Fatal(err)
	}
	o, err := s.Outlook(ctx)
	if err != nil {
		t.Fatal(err)
	}
	asked, made := 0, map[*window.Days]bool{}
	for i := range s.Units {
		own := habitat.Firing{Rate: 1 + quantity.ChainsPerHour(i%4)} // other hours in a row
		o.Firings.Of = map[string]habitat.Firing{s.Units[i].ID: own}
		for _, choice := range s.Units[i].Choices(&s.Property) {
			days, err := o.UnitDays(&s.Units[i], choice.Season)
			if err != nil {
				t.Fatal(err)
			}
			terms := o.Terms(&s.Units[i], choice.Season)
			alone, err := o.Series.Evaluate(terms.Limits, terms.Options)
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(days, alone) {
				t.Errorf("%s in %s is given the days of another one", s.Units[i].ID, choice.Season)
			}
			asked++
			made[days] = true
		}
	}
	if len(made) >= asked || len(made) < 3 {
		t.Errorf("%d evaluations for %d units and seasons", len(made), asked)
	}
	s.ForgetWeather()
	if again, err := s.Outlook(ctx); err != nil || again == o || again.Series == nil {
		t.Errorf("after forgetting: %v", err)
	}
}
