package habitat

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

func TestStateOf(t *testing.T) {
	p := NewProperty("Oak Hill") // the year begins in October, 60 percent resets
	u := Unit{ID: "n1", Acres: 50, Interval: Interval{2, 3}}
	number := int64(0)
	burn := func(year int, month time.Month, day int, acres quantity.Acres) BurnRecord {
		number++
		on := date.MustDay(year, month, day)
		return BurnRecord{ID: number, Unit: "n1", On: on, Through: on, Kind: Prescribed, Acres: acres, HasAcres: acres >= 0}
	}
	const whole = -1 // no acres on record: the whole unit
	attempt := burn(2026, 11, 25, 0)
	attempt.Kind = Attempt
	other := burn(2026, 11, 20, 50)
	other.Unit = "n2"
	on := date.MustDay(2026, 11, 30) // program year 2027
	for _, c := range []struct {
		name         string
		records      []BurnRecord
		done         bool
		last         date.ProgramYear // 0: none
		burned, left quantity.Acres
		before, now  int
		partial      []PartialBurn
	}{
		{"nothing on record", nil, false, 0, 0, 50, 3, 3, nil},
		{"of another unit, and an attempt", []BurnRecord{other, attempt}, false, 0, 0, 50, 3, 3, nil},
		{"burned last year", []BurnRecord{burn(2026, 3, 1, whole)}, false, 2026, 0, 50, 0, 1, nil},
		{"burned this fall", []BurnRecord{burn(2024, 3, 1, 50), burn(2026, 11, 21, 50)}, true, 2027, 50, 0, 2, 0, nil},
		{"burned on the day", []BurnRecord{burn(2026, 11, 30, 50)}, true, 2027, 50, 0, 3, 0, nil},
		{"burns tomorrow", []BurnRecord{burn(2026, 12, 1, 50)}, false, 0, 0, 50, 3, 3, nil},
		{"on the first day of the year", []BurnRecord{burn(2026, 10, 1, 30)}, true, 2027, 30, 20, 3, 0, nil},
		{"just below the share", []BurnRecord{burn(2025, 3, 1, 50), burn(2026, 11, 21, 29.9)}, false, 2025, 29.9, 20.1, 1, 2,
			[]PartialBurn{{2027, date.MustDay(2026, 11, 21), 29.9, []int64{10}}}},
		{"two parts together", []BurnRecord{burn(2026, 11, 21, 20), burn(2026, 11, 22, 15)}, true, 2027, 35, 15, 3, 0, nil},
		{"parts of two years", []BurnRecord{burn(2025, 3, 1, 10), burn(2025, 3, 9, 5), burn(2026, 11, 22, 15)}, false, 0, 15, 35, 3, 3,
			[]PartialBurn{{2025, date.MustDay(2025, 3, 9), 15, []int64{13, 14}}, {2027, date.MustDay(2026, 11, 22), 15, []int64{15}}}},
		{"a part before the burn that counts", []BurnRecord{burn(2024, 3, 1, 10), burn(2026, 3, 1, 50)}, false, 2026, 0, 50, 0, 1, nil},
		{"burned twice", []BurnRecord{burn(2026, 10, 9, 40), burn(2026, 11, 9, 40)}, true, 2027, 50, 0, 3, 0, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := p.StateOf(&u, c.records, on)
			if s.Done != c.done || s.HasLast != (c.last > 0) || s.Last.Year != c.last || s.Before.Years != c.before || s.Now.Years != c.now || s.Year != 2027 {
				t.Errorf("got %+v", s)
			}
			if near := func(a, b quantity.Acres) bool { return a-b < 1e-9 && b-a < 1e-9 }; !near(s.Burned, c.burned) || !near(s.Left, c.left) {
				t.Errorf("%v acres burned and %v left, want %v and %v", s.Burned, s.Left, c.burned, c.left)
			}
			if diff := cmp.Diff(c.partial, s.Partial); diff != "" {
				t.Error(diff)
			}
			if s.PartBurned() != (!c.done && c.burned > 0) {
				t.Error("part burned: wrong")
			}
		})
	}
}

// TestLastBurnBesideTreatments: what sets the age back since a burn is no burn, and a burn
// of the year stays one, whatever else is done in that year.
func TestLastBurnBesideTreatments(t *testing.T) {
	p := NewProperty("Oak Hill")
	p.TreatmentsReset = []RecordKind{Mowing}
	u := Unit{ID: "n1", Acres: 50, Interval: Interval{2, 3}}
	record := func(kind RecordKind, day date.Day, acres quantity.Acres) BurnRecord {
		return BurnRecord{Unit: "n1", On: day, Through: day, Kind: kind, Acres: acres, HasAcres: true}
	}
	old, fall, late, summer := date.MustDay(2024, 3, 1), date.MustDay(2026, 11, 20), date.MustDay(2026, 11, 25), date.MustDay(2026, 8, 1)
	for _, c := range []struct {
		name     string
		records  []BurnRecord
		last     Reset
		lastBurn date.Day
	}{
		{"nothing", nil, Reset{}, date.Day{}},
		{"mowed since", []BurnRecord{record(Prescribed, old, 50), record(Mowing, summer, 50)}, Reset{2026, summer, Mowing}, old},
		{"mowed alone", []BurnRecord{record(Mowing, summer, 50)}, Reset{2026, summer, Mowing}, date.Day{}},
		{"mowed after the burn of the year", []BurnRecord{record(Prescribed, fall, 40), record(Mowing, late, 50)}, Reset{2027, fall, ""}, fall},
		{"burned after it was mowed", []BurnRecord{record(Mowing, fall, 50), record(Wildfire, late, 40)}, Reset{2027, late, ""}, late},
		{"half mowed, then half burned", []BurnRecord{record(Mowing, fall, 25), record(Wildfire, late, 25)}, Reset{2027, late, ""}, date.Day{}},
		{"half burned, then half mowed", []BurnRecord{record(Wildfire, fall, 25), record(Mowing, late, 25)}, Reset{2027, late, Mowing}, date.Day{}},
		{"a part burned, then all was mowed", []BurnRecord{record(Prescribed, old, 50), record(Prescribed, fall, 10), record(Mowing, late, 50)}, Reset{2027, late, Mowing}, old},
	} {
		s := p.StateOf(&u, c.records, date.MustDay(2026, 11, 30))
		if s.Last != c.last || s.LastBurn != c.lastBurn {
			t.Errorf("%s: last %+v, last burn %s; want %+v, %s", c.name, s.Last, s.LastBurn, c.last, c.lastBurn)
		}
	}
}
