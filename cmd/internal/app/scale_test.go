package app

import (
	"fmt"
	"runtime"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/store"
)

// TestUnitsAndTheirBurnsScale asks for the ages of units with five burns each: four times
// as many take four times as much, not sixteen times. What is counted is memory taken,
// which is the same on every machine.
func TestUnitsAndTheirBurnsScale(t *testing.T) {
	taken := func(units int, isByUnit bool) uint64 {
		s := &Session{Snapshot: &store.Snapshot{Property: habitat.NewProperty("Big")}}
		s.Today = date.MustDay(2026, 11, 25)
		s.byUnit = map[string][]habitat.BurnRecord{}
		for i := range units {
			u := habitat.Unit{ID: fmt.Sprintf("u%05d", i), Acres: 10, BurnDays: 1, Interval: habitat.Interval{Min: 1, Max: 3}}
			s.Units = append(s.Units, u)
			for year := range 5 {
				on := date.MustDay(2015+2*year, 2, 1)
				r := habitat.BurnRecord{ID: int64(5*i + year + 1), Unit: u.ID, On: on, Through: on, Kind: habitat.Prescribed}
				s.Records = append(s.Records, r)
				s.byUnit[u.ID] = append(s.byUnit[u.ID], r)
			}
		}
		if !isByUnit {
			s.byUnit = nil
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		rows := s.UnitRows()
		runtime.ReadMemStats(&after)
		if len(rows) != units || rows[units-1].Age.Years != 3 {
			t.Fatalf("%d rows, the last of age %d", len(rows), rows[units-1].Age.Years)
		}
		return after.TotalAlloc - before.TotalAlloc
	}
	small, large := taken(250, true), taken(1000, true)
	if large > 6*small {
		t.Errorf("250 units take %d bytes, 1,000 take %d", small, large)
	}
	// Its own check: looking through all records for each unit is seen.
	if small, large := taken(100, false), taken(400, false); large <= 6*small {
		t.Errorf("through all records, 100 units take %d bytes, 400 take %d: the measure sees nothing", small, large)
	}
}
