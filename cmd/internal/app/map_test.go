package app

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"emberquilt/report/view"
	"emberquilt/store"
)

// TestMap holds the map to the table of units and years: both say the same of each
// unit in each year.
func TestMap(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	c, err := s.Contents(ctx, 0)
	if err != nil {
		t.Fatal(err)
	}
	all, err := s.Map(ctx, MapOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if len(all.Units) != 5 || len(all.Years) != len(c.Program.Years) {
		t.Fatalf("%d units and %d years are drawn, want 5 and %d", len(all.Units), len(all.Years), len(c.Program.Years))
	}
	burns := 0
	for t1, year := range all.Years {
		if year.Title != c.Program.Years[t1].String() || len(year.Planned) > 0 {
			t.Errorf("map %d is titled %s and has %d breaks to make; want the year alone", t1, year.Title, len(year.Planned))
		}
		for i, state := range year.States {
			cell := c.Program.Units[i].Cells[t1]
			switch {
			case all.Units[i].Unit != c.Program.Units[i].ID || state.Burns != cell.Burn:
				t.Errorf("%s in %s: burns %t, want %t", all.Units[i].Unit, year.Title, state.Burns, cell.Burn)
			case cell.Burn && all.Seasons[state.Season] != cell.Season:
				t.Errorf("%s in %s burns in %s, want %s", all.Units[i].Unit, year.Title, all.Seasons[state.Season], cell.Season)
			case !cell.Burn && !ageFits(all.Classes[state.Class], cell.Age):
				t.Errorf("%s in %s is %d years old and drawn as %s", all.Units[i].Unit, year.Title, cell.Age, all.Classes[state.Class])
			}
			if state.Burns {
				burns++
			}
		}
	}
	if burns != len(c.Stored.Burns()) || burns == 0 {
		t.Errorf("%d burns are drawn, the plan has %d", burns, len(c.Stored.Burns()))
	}
	one, err := s.Map(ctx, MapOptions{Year: c.Stored.FirstYear})
	if err != nil {
		t.Fatal(err)
	}
	if len(one.Years) != 1 || len(one.Years[0].Planned) == 0 || !strings.Contains(one.Years[0].Note, "ft of break to make") {
		t.Errorf("one year alone shows %+v", one.Years)
	}
	if maps := c.Maps(); len(maps) != 2 || maps[0].Caption != "Program year "+c.Stored.FirstYear.String() || len(maps[1].Years) != len(all.Years) {
		t.Error("a page shows other maps than the first year and all years")
	}
}

// ageFits reads the ages of a class, such as "stand age 3 to 4".
func ageFits(class string, age int) bool {
	return slices.Contains(map[string][]int{"stand age 1": {0, 1}, "stand age 2": {2}, "stand age 3 to 4": {3, 4}}[class], age) ||
		class == "stand age 5 and over" && age >= 5
}

func TestMapRefuses(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	var option *OptionError
	if _, err := s.Map(ctx, MapOptions{Year: 2099}); !errors.As(err, &option) || option.Option != "year" {
		t.Errorf("a year that is not the plan's: %v", err)
	}
	err := s.update(ctx, "take the shapes away", func(tx *store.Tx) error {
		for _, u := range s.Units {
			if err := tx.RemoveShape(u.ID); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	var unshaped *NoShapesError
	if _, err := s.Map(ctx, MapOptions{}); !errors.As(err, &unshaped) {
		t.Errorf("a property without shapes: %v", err)
	}
	c, err := s.Contents(ctx, 0)
	if err != nil {
		t.Fatal(err)
	}
	if maps := c.Maps(); len(maps) != 0 {
		t.Errorf("%d maps without shapes", len(maps))
	}
	if sheet, err := c.Sheet(); err != nil || sheet == (*view.Sheet)(nil) {
		t.Errorf("a sheet without shapes: %v", err)
	}
}
