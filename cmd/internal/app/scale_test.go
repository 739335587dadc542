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
// as many take four times as much memory, which is the same on every machine, and no unit
// is looked for among the records of all.
func TestUnitsAndTheirBurnsScale(t *testing.T) {
	session := func(units int) *Session {
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
		return s
	}
	taken := func(units int) uint64 {
		s := session(units)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		rows := s.UnitRows()
		runtime.ReadMemStats(&after)
		if len(rows) != units || rows[units-1].Age.Years != 3 {
			t.Fatalf("%d rows, the last of age %d", len(rows), rows[units-1].Age.Years)
		}
		return after.TotalAlloc - before.TotalAlloc
	}
	if small, large := taken(250), taken(1000); large > 6*small {
		t.Errorf("250 units take %d bytes, 1,000 take %d", small, large)
	}
	// Of a later burn only the list of all records knows: a row that shows it was looked
	// up there.
	s := session(3)
	late := date.MustDay(2025, 2, 1)
	s.Records = append(s.Records, habitat.BurnRecord{ID: 99, Unit: s.Units[1].ID, On: late, Through: late, Kind: habitat.Prescribed})
	if age := s.UnitRows()[1].Age.Years; age != 3 {
		t.Errorf("the age is %d: it was looked for among all records", age)
	}
	s.byUnit = nil // the same question where there is nothing else to look into
	if age := s.UnitRows()[1].Age.Years; age == 3 {
		t.Error("the list of all records is not looked into: the check above sees nothing")
	}
}
