package app

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/list"
	"emberquilt/store"
	"emberquilt/testdata/refdata"
)

// TestKonzaYearsReplayed plays three program years of real units (layer GIS032) with
// their burn history (KFH01 version 22, doi:10.6073/pasta/0db54f512bba21337d0de4b4ec0951e9):
// a plan on each October 1, then what burned. What was missed, and the years past, are
// held against a count from the text of the table by code that shares nothing with the
// readers.
func TestKonzaYearsReplayed(t *testing.T) {
	ctx := context.Background()
	shapes, err := list.ReadFile(ctx, refdata.File(t, "polygons/konza/derived_GIS032_wgs84.geojson"), list.Options{
		Columns: map[string]string{"unit": "NAME_1"}, Set: map[string]string{"min_interval": "1", "max_interval": "4"}, Merge: true, LeaveOut: true})
	if err != nil {
		t.Fatal(err)
	}
	columns, _ := list.ParseColumns("unit=Watershed,date=Date,kind=Type")
	values, _ := list.ParseValues("kind:PP=prescribed,PU=prescribed,WP=wildfire,WU=wildfire", "acres:.=")
	table := refdata.File(t, "polygons/konza/kfh011_burn_history.csv")
	burns, err := list.ReadFile(ctx, table, list.Options{Columns: columns, Values: values, Merge: true, CapAcres: true, LeaveOut: true})
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(table)
	if err != nil {
		t.Fatal(err)
	}
	p := habitat.NewProperty("Konza")
	p.Years, p.Lookahead = 3, 1
	most := 15
	p.Caps.Burns = &most
	p.Seasons = []habitat.Season{{Name: "any", Span: date.AnnualSpan{First: date.Annual{Month: time.October, Dom: 1}, Last: date.Annual{Month: time.September, Dom: 30}}}}
	open := func(name, day string) (*store.Store, *Session) {
		from := on(day)
		file, err := store.Create(ctx, filepath.Join(t.TempDir(), name), store.Making{}, p, from.Moment)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { file.Close() })
		s, err := NewSession(ctx, file, from)
		if err != nil {
			t.Fatal(err)
		}
		return file, s
	}
	// All of the history in one file, from which the other is filled year by year.
	_, all := open("all", "2024-01-01")
	err = all.update(ctx, "import", func(tx *store.Tx) error {
		plan, err := list.MakePlan(all.Current(), []*list.List{shapes, burns}, list.PlanSettings{Today: all.Today, Doubles: list.Add})
		if err != nil {
			return err
		}
		return tx.Apply(plan)
	})
	if err != nil {
		t.Fatal(err)
	}
	file, s := open("replayed", "2019-10-01")
	add := func(after, upTo date.Day) {
		err := s.update(ctx, "burns", func(tx *store.Tx) error {
			for _, r := range all.Written {
				if !r.Through.After(after) || r.Through.After(upTo) {
					continue
				}
				if _, err := tx.AddBurn(r); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	err = s.update(ctx, "units", func(tx *store.Tx) error {
		for _, u := range all.Units {
			if err := tx.PutUnit(u); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	add(date.Day{}, date.MustDay(2019, 9, 30))
	raw := rawBurns(string(text))
	planned := map[int][]string{} // by program year: the plan of its first day
	compared := 0
	for year := 2020; year <= 2022; year++ {
		first := date.MustDay(year-1, 10, 1)
		if s, err = NewSession(ctx, file, on(first.String())); err != nil {
			t.Fatal(err)
		}
		stored, err := s.MakePlan(ctx, PlanOptions{Solver: fewRounds})
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range stored.Burns() {
			if int(b.Year) == year {
				planned[year] = append(planned[year], b.Unit)
			}
		}
		add(first.AddDays(-1), date.MustDay(year, 9, 30))
		if s, err = NewSession(ctx, file, on(date.MustDay(year, 10, 1).String())); err != nil {
			t.Fatal(err)
		}
		resets := func(unit string, year int) bool {
			at := slices.IndexFunc(s.Units, func(u habitat.Unit) bool { return u.ID == unit })
			acres := float64(s.Units[at].Acres)
			return raw.acres(unit, year, acres) >= 0.6*acres*(1-1e-6)
		}
		var want []string
		for _, u := range s.Units {
			for last := year; last >= 2020; last-- {
				if !slices.Contains(planned[last], u.ID) {
					continue
				}
				good := false
				for y := last; y <= year; y++ {
					good = good || resets(u.ID, y)
				}
				if !good {
					want = append(want, fmt.Sprint(u.ID, " ", last))
				}
				break
			}
		}
		missed, err := s.missed(ctx)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, m := range missed {
			got = append(got, fmt.Sprint(m.Unit, " ", m.Year))
		}
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("on October 1, %d, missed: %v; the table says %v", year, got, want)
		}
		c, err := s.Contents(ctx, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, past := range c.Program.History.Years {
			if int(past.Year) < 2020 || int(past.Year) > year {
				continue
			}
			var missed, unplanned []string
			for _, u := range s.Units {
				isPlanned, burned := slices.Contains(planned[int(past.Year)], u.ID), resets(u.ID, int(past.Year))
				if isPlanned && !burned {
					missed = append(missed, u.ID)
				}
				if !isPlanned && burned {
					unplanned = append(unplanned, u.ID)
				}
			}
			if !slices.Equal(past.Missed, missed) || !slices.Equal(past.Unplanned, unplanned) {
				t.Errorf("%d as of %d: missed %v, burned without a plan %v; the table says %v, %v", past.Year, year, past.Missed, past.Unplanned, missed, unplanned)
			}
			compared += len(planned[int(past.Year)])
		}
	}
	if compared < 60 {
		t.Errorf("only %d planned burns were compared", compared)
	}
	t.Logf("%d planned burns of %d units compared", compared, len(s.Units))
}

// rawTable is the burn history as it stands in its file, each row once.
type rawTable [][]string

func rawBurns(text string) (rows rawTable) {
	seen := map[string]bool{}
	for _, line := range strings.Split(text, "\n")[1:] {
		line = strings.ReplaceAll(strings.TrimSpace(line), `"`, "")
		if line != "" && !seen[line] {
			seen[line] = true
			rows = append(rows, strings.Split(line, ","))
		}
	}
	return rows
}

// acres sums what burned of a unit in a program year that begins in October; a row
// without acres burned all of it.
func (t rawTable) acres(unit string, year int, whole float64) (sum float64) {
	for _, f := range t {
		n := len(f)                                            // the former name may hold commas: count from the end
		if !strings.EqualFold(strings.TrimSpace(f[0]), unit) { // the table writes SpB and SPB for one unit
			continue
		}
		in, _ := strconv.Atoi(f[n-3][:4])
		if f[n-3][5:7] >= "10" {
			in++
		}
		if in != year {
			continue
		}
		part, err := strconv.ParseFloat(f[n-4], 64)
		if err != nil {
			part = whole
		}
		sum += min(part, whole)
	}
	return sum
}
