package habitat

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

func dayOf(year, month, dom int) date.Day {
	return date.Day{Year: year, Month: time.Month(month), Dom: dom}
}

func burned(id int64, unit string, on date.Day, acres quantity.Acres) BurnRecord {
	return BurnRecord{ID: id, Unit: unit, On: on, Through: on, Kind: Prescribed, Acres: acres, HasAcres: acres > 0}
}

// TestPartsHaveTheAgeOfTheWhole splits a unit with records of whole, enough and too
// few acres: each part must have the age that the whole has.
func TestPartsHaveTheAgeOfTheWhole(t *testing.T) {
	p := NewProperty("here")
	whole := Unit{ID: "whole", Acres: 40, Interval: Interval{2, 3}}
	written := []BurnRecord{burned(1, "whole", dayOf(2022, 2, 1), 0), burned(2, "whole", dayOf(2024, 2, 1), 30), burned(3, "whole", dayOf(2025, 2, 1), 10)}
	l := Lineage{{Kind: Split, Change: 5, From: []UnitPart{{"whole", 40}}, To: []UnitPart{{"a", 15}, {"b", 25}}}}
	records := l.Records(written)
	sum := quantity.Acres(0)
	for _, r := range records {
		if r.HasAcres {
			sum += r.Acres
		}
	}
	if sum != 40 {
		t.Errorf("the shares have %v acres, the records 40", sum)
	}
	for year := date.ProgramYear(2020); year <= 2027; year++ {
		want := p.AgeAtEnd(&whole, written, year, dayOf(2027, 1, 1))
		for _, part := range l[0].To {
			u := whole
			u.ID, u.Acres = part.Unit, part.Acres
			if got := p.AgeAtEnd(&u, records, year, dayOf(2027, 1, 1)); got != want {
				t.Errorf("%s at the end of %d: %+v, the whole %+v", u.ID, year, got, want)
			}
		}
	}
	if written[0].Of != nil || len(written) != 3 {
		t.Error("the records as they were written were changed")
	}
}

// TestMergedAge: a merged unit is as old as the year since which the share of its
// ground has burned.
func TestMergedAge(t *testing.T) {
	p := NewProperty("here") // share 0.6
	l := Lineage{{Kind: Merged, Change: 5, From: []UnitPart{{"a", 20}, {"b", 20}}, To: []UnitPart{{"m", 40}}}}
	m := Unit{ID: "m", Acres: 40, Interval: Interval{1, 9}}
	for _, c := range []struct {
		name    string
		written []BurnRecord
		want    date.ProgramYear // 0: no reset
	}{
		{"other years: the older, since half is too little", []BurnRecord{burned(1, "a", dayOf(2025, 2, 1), 20), burned(2, "b", dayOf(2026, 2, 1), 0)}, 2025},
		{"one year", []BurnRecord{burned(1, "a", dayOf(2026, 2, 1), 20), burned(2, "b", dayOf(2026, 3, 1), 0)}, 2026},
		{"one of them never", []BurnRecord{burned(1, "a", dayOf(2026, 2, 1), 20)}, 0},
		{"parts that set neither back", []BurnRecord{burned(1, "a", dayOf(2026, 2, 1), 10), burned(2, "b", dayOf(2025, 2, 1), 10)}, 0},
		{"after the merge", []BurnRecord{burned(1, "a", dayOf(2024, 2, 1), 20), burned(2, "b", dayOf(2025, 2, 1), 20), burned(3, "m", dayOf(2026, 2, 1), 24)}, 2026},
		{"the rest of the year after the merge", []BurnRecord{burned(1, "a", dayOf(2026, 2, 1), 20), burned(3, "m", dayOf(2026, 4, 1), 4)}, 2026},
	} {
		reset, ok := p.LastReset(&m, l.Records(c.written), 2027, dayOf(2027, 6, 1))
		if ok != (c.want != 0) || ok && reset.Year != c.want {
			t.Errorf("%s: reset in %d (%v), want %d", c.name, reset.Year, ok, c.want)
		}
	}
	// A merge of a merge keeps the ground of each.
	l = append(l, UnitChange{Kind: Merged, Change: 6, From: []UnitPart{{"m", 40}, {"c", 20}}, To: []UnitPart{{"n", 60}}})
	n := Unit{ID: "n", Acres: 60, Interval: Interval{1, 9}}
	written := []BurnRecord{burned(1, "a", dayOf(2023, 2, 1), 20), burned(2, "b", dayOf(2024, 2, 1), 20), burned(3, "c", dayOf(2026, 2, 1), 0)}
	if reset, ok := p.LastReset(&n, l.Records(written), 2027, dayOf(2027, 6, 1)); !ok || reset.Year != 2023 {
		// m, two thirds of the ground, is as old as 2023, since half of it is too little
		t.Errorf("merged twice: %v %v, want 2023", reset, ok)
	}
}

// TestLineageAgainstGround holds ages after random splits, merges and renames
// against a model that knows nothing of records: ground in cells of one acre, each
// with the year in which it last burned whole with its unit. All records are of
// whole units, so that a unit's age is that of the share of its cells.
func TestLineageAgainstGround(t *testing.T) {
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 1))
		p := NewProperty("here")
		cells := map[string][]int{} // last burned year of each cell, by unit
		var lineage Lineage
		var written []BurnRecord
		names, id := 0, int64(0)
		name := func() string { names++; return string(rune('A'+names%26)) + string(rune('a'+names/26)) }
		for range 3 {
			cells[name()] = make([]int, 10+10*r.IntN(3))
		}
		sorted := func() []string {
			var all []string
			for u := range cells {
				all = append(all, u)
			}
			slices.Sort(all)
			return all
		}
		for year := 2000; year < 2016; year++ {
			all := sorted()
			u := all[r.IntN(len(all))]
			switch r.IntN(5) {
			case 0, 1:
				id++
				written = append(written, burned(id, u, dayOf(year, 2, 1), 0))
				for i := range cells[u] {
					cells[u][i] = year
				}
			case 2:
				if len(cells[u]) < 2 {
					continue
				}
				// A split takes its cells at random: records say nothing of where.
				// Of a unit whose cells differ it would be another ground, so only
				// units of one age are split.
				if slices.Min(cells[u]) != slices.Max(cells[u]) {
					continue
				}
				k := 1 + r.IntN(len(cells[u])-1)
				a, b := name(), name()
				lineage = append(lineage, UnitChange{Kind: Split, From: []UnitPart{{u, quantity.Acres(len(cells[u]))}}, To: []UnitPart{{a, quantity.Acres(k)}, {b, quantity.Acres(len(cells[u]) - k)}}})
				cells[a], cells[b] = cells[u][:k:k], cells[u][k:]
				delete(cells, u)
			case 3:
				v := all[r.IntN(len(all))]
				if u == v {
					continue
				}
				m := name()
				lineage = append(lineage, UnitChange{Kind: Merged, From: []UnitPart{{u, quantity.Acres(len(cells[u]))}, {v, quantity.Acres(len(cells[v]))}}, To: []UnitPart{{m, quantity.Acres(len(cells[u]) + len(cells[v]))}}})
				// A part counts as a whole: it is as old as its own share says.
				joined := slices.Concat(flat(cells[u], p.ResetShare), flat(cells[v], p.ResetShare))
				delete(cells, u)
				delete(cells, v)
				cells[m] = joined
			case 4:
				m := name()
				n := quantity.Acres(len(cells[u]))
				lineage = append(lineage, UnitChange{Kind: Renamed, From: []UnitPart{{u, n}}, To: []UnitPart{{m, n}}})
				cells[m] = cells[u]
				delete(cells, u)
			}
		}
		records := lineage.Records(written)
		for u, of := range cells {
			want := shareYear(of, p.ResetShare)
			unit := Unit{ID: u, Acres: quantity.Acres(len(of)), Interval: Interval{1, 9}}
			reset, ok := p.LastReset(&unit, records, 2030, dayOf(2030, 1, 1))
			if ok != (want > 0) || ok && int(reset.Year) != want {
				t.Fatalf("seed %d: %s was set back in %d (%v), the ground says %d\n%+v", seed, u, reset.Year, ok, want, lineage)
			}
		}
	}
}

// shareYear is the newest year since which the share of the cells has burned.
func shareYear(cells []int, share quantity.Share) int {
	years := slices.Sorted(slices.Values(cells))
	return years[len(years)-int(math.Ceil(float64(share)*float64(len(cells))-1e-9))]
}

func flat(cells []int, share quantity.Share) []int {
	all := make([]int, len(cells))
	for i := range all {
		all[i] = shareYear(cells, share)
	}
	return all
}

func TestPlannedAndNames(t *testing.T) {
	l := Lineage{
		{Kind: Renamed, Change: 4, From: []UnitPart{{"x", 1}}, To: []UnitPart{{"y", 1}}},
		{Kind: Split, Change: 5, From: []UnitPart{{"y", 1}}, To: []UnitPart{{"y1", 1}, {"y2", 1}}},
		{Kind: Merged, Change: 6, From: []UnitPart{{"p", 1}, {"q", 1}}, To: []UnitPart{{"pq", 2}}},
	}
	plan := []PlannedBurn{{"x", 2027, "s"}, {"p", 2027, "s"}, {"p", 2028, "s"}, {"q", 2028, "s"}}
	want := []PlannedBurn{{"y1", 2027, "s"}, {"y2", 2027, "s"}, {"pq", 2028, "s"}}
	if got := l.Planned(plan, 3); !slices.Equal(got, want) {
		t.Errorf("planned %v, want %v", got, want)
	}
	if got := l.Planned(plan, 6); !slices.Equal(got, plan) {
		t.Errorf("a plan after the changes became %v", got)
	}
	if got := l.Now("x", 0); !slices.Equal(got, []string{"y1", "y2"}) {
		t.Errorf("x became %v", got)
	}
}

// TestNamesOfAUnit: the names that one ground has borne, through renames and no further.
func TestNamesOfAUnit(t *testing.T) {
	rename := func(from, to string) UnitChange {
		return UnitChange{Kind: Renamed, From: []UnitPart{{from, 1}}, To: []UnitPart{{to, 1}}}
	}
	l := Lineage{
		rename("x", "y"), rename("other", "its"), rename("y", "x"), rename("x", "z"),
		{Kind: Split, From: []UnitPart{{"z", 2}}, To: []UnitPart{{"z1", 1}, {"z2", 1}}},
		rename("z1", "east"),
		{Kind: Merged, From: []UnitPart{{"p", 1}, {"q", 1}}, To: []UnitPart{{"pq", 2}}},
		rename("pq", "p"),
	}
	for _, c := range []struct {
		after int
		unit  string
		want  []string
	}{
		{len(l), "east", []string{"east", "z1"}}, {len(l), "z2", []string{"z2"}}, {len(l), "p", []string{"p", "pq"}},
		{len(l), "its", []string{"its", "other"}}, {len(l), "new", []string{"new"}},
		{4, "z", []string{"z", "x", "y", "x"}},
	} {
		if got := l[:c.after].Names(c.unit); !slices.Equal(got, c.want) {
			t.Errorf("%s bore %v, want %v", c.unit, got, c.want)
		}
	}
}
