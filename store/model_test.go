package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// model is the store as a person would think of it.
type model struct {
	units   []habitat.Unit // removed ones keep their place
	gone    map[string]bool
	pairs   map[[2]string]habitat.Pair
	locks   map[[2]any]habitat.Lock
	burns   map[int64]habitat.BurnRecord
	burnIDs int64
	changes int
}

func (m *model) copy() *model {
	n := &model{units: slices.Clone(m.units), gone: map[string]bool{}, pairs: map[[2]string]habitat.Pair{}, locks: map[[2]any]habitat.Lock{}, burns: map[int64]habitat.BurnRecord{}, burnIDs: m.burnIDs, changes: m.changes}
	for k, v := range m.gone {
		n.gone[k] = v
	}
	for k, v := range m.pairs {
		n.pairs[k] = v
	}
	for k, v := range m.locks {
		n.locks[k] = v
	}
	for k, v := range m.burns {
		n.burns[k] = v
	}
	return n
}

// known reports whether a unit of the name ever was.
func (m *model) known(name string) bool {
	return slices.ContainsFunc(m.units, func(u habitat.Unit) bool { return u.ID == name })
}

// step does one thing to the transaction and to the model alike. It reports
// whether anything changed.
func step(t *rapid.T, tx *Tx, m *model) bool {
	name := rapid.SampledFrom([]string{"a", "b", "c", "d", "Ünit 草"})
	must := func(err error) {
		if err != nil {
			t.Fatalf("%v", err)
		}
	}
	switch rapid.IntRange(0, 6).Draw(t, "what") {
	case 0:
		u := unit(name.Draw(t, "unit"))
		u.Acres = quantity.Acres(rapid.Float64Range(0.001, 1e6).Draw(t, "acres"))
		u.Notes = rapid.SampledFrom([]string{"", "x", "'); DROP TABLE unit; --", "a\nb\x00c"}).Draw(t, "notes")
		must(tx.PutUnit(u))
		i := slices.IndexFunc(m.units, func(o habitat.Unit) bool { return o.ID == u.ID })
		if i < 0 {
			m.units = append(m.units, u)
			return true
		}
		same := !m.gone[u.ID] && cmp.Equal(m.units[i], u)
		m.units[i] = u
		delete(m.gone, u.ID)
		return !same
	case 1:
		n := name.Draw(t, "gone")
		err := tx.RemoveUnit(n)
		if !m.known(n) || m.gone[n] {
			if !errors.Is(err, ErrUnknown) {
				t.Fatalf("removed %s: %v", n, err)
			}
			return false
		}
		must(err)
		m.gone[n] = true
		for k := range m.pairs {
			if k[0] == n || k[1] == n {
				delete(m.pairs, k)
			}
		}
		for k := range m.locks {
			if k[0] == n {
				delete(m.locks, k)
			}
		}
		return true
	case 2:
		a, b := name.Draw(t, "a"), name.Draw(t, "b")
		if a == b || !m.known(a) || !m.known(b) || m.gone[a] || m.gone[b] {
			return false
		}
		p := habitat.NewPair(a, b, rapid.SampledFrom([]habitat.PairKind{habitat.Apart, habitat.Neighbors}).Draw(t, "kind"))
		must(tx.PutPair(habitat.Pair{A: p.B, B: p.A, Kind: p.Kind}))
		same := m.pairs[[2]string{p.A, p.B}] == p
		m.pairs[[2]string{p.A, p.B}] = p
		return !same
	case 3:
		n := name.Draw(t, "locked")
		if !m.known(n) || m.gone[n] {
			return false
		}
		l := habitat.Lock{Unit: n, Year: date.ProgramYear(rapid.IntRange(2027, 2028).Draw(t, "year")), Burn: rapid.Bool().Draw(t, "burn")}
		must(tx.PutLock(l))
		key := [2]any{n, l.Year}
		old, had := m.locks[key]
		m.locks[key] = l
		return !had || old != l
	case 4:
		n := name.Draw(t, "burned")
		if !m.known(n) {
			return false
		}
		d := date.MustDay(2026, 3, rapid.IntRange(1, 3).Draw(t, "day"))
		r := habitat.BurnRecord{Unit: n, On: d, Through: d, Kind: habitat.Prescribed}
		id, err := tx.AddBurn(r)
		for _, o := range m.burns {
			if o.Unit == r.Unit && o.On == r.On {
				if !errors.Is(err, ErrSameBurn) {
					t.Fatalf("a burn was doubled: %v", err)
				}
				return false
			}
		}
		must(err)
		m.burnIDs++
		r.ID = m.burnIDs
		if id != r.ID {
			t.Fatalf("burn %d, want %d", id, r.ID)
		}
		m.burns[id] = r
		return true
	case 5, 6:
		id := rapid.Int64Range(1, 6).Draw(t, "id")
		r, had := m.burns[id]
		if rapid.Bool().Draw(t, "withdraw") {
			err := tx.WithdrawBurn(id)
			if had != (err == nil) {
				t.Fatalf("withdraw %d: %v", id, err)
			}
			delete(m.burns, id)
			return had
		}
		if !had {
			return false
		}
		old := r.Crew
		r.Crew = rapid.SampledFrom([]string{"", "four", "five"}).Draw(t, "crew")
		must(tx.CorrectBurn(r))
		m.burns[id] = r
		return r.Crew != old
	}
	return false
}

// TestTheStoreIsWhatOneThinksItIs makes random changes, some of which are taken
// back or change nothing, with the file opened anew in between.
func TestTheStoreIsWhatOneThinksItIs(t *testing.T) {
	dir := t.TempDir()
	count := 0
	rapid.Check(t, func(t *rapid.T) {
		count++
		path := filepath.Join(dir, fmt.Sprint(count))
		s, err := Create(context.Background(), path, Making{}, oakHill(), noon)
		if err != nil {
			t.Fatal(err)
		}
		defer os.Remove(path)
		defer func() { s.Close() }()
		m := (&model{changes: 1}).copy()
		for range rapid.IntRange(1, 6).Draw(t, "updates") {
			next := m.copy()
			undo := errors.New("taken back")
			takeBack := rapid.IntRange(0, 4).Draw(t, "take back") == 0
			changed := false
			err := s.Update(context.Background(), noon, "", "test", func(tx *Tx) error {
				for range rapid.IntRange(1, 5).Draw(t, "steps") {
					if step(t, tx, next) {
						changed = true
					}
				}
				if takeBack {
					return undo
				}
				return nil
			})
			switch {
			case takeBack && !errors.Is(err, undo), !takeBack && err != nil:
				t.Fatalf("%v", err)
			case !takeBack:
				m = next
				if changed {
					m.changes++
				}
			}
			if rapid.IntRange(0, 3).Draw(t, "open anew") == 0 {
				s.Close()
				if s, err = Open(context.Background(), path); err != nil {
					t.Fatal(err)
				}
			}
			compare(t, s, m)
		}
		if faults, err := s.Verify(context.Background()); err != nil || len(faults) > 0 {
			t.Fatalf("%v %v", faults, err)
		}
	})
}

func compare(t *rapid.T, s *Store, m *model) {
	snap, err := s.Snapshot(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var want Snapshot
	for _, u := range m.units {
		if !m.gone[u.ID] {
			want.Units = append(want.Units, u)
		}
	}
	for _, p := range m.pairs {
		want.Pairs = append(want.Pairs, p)
	}
	for _, l := range m.locks {
		want.Locks = append(want.Locks, l)
	}
	for _, r := range m.burns {
		if m.known(r.Unit) && !m.gone[r.Unit] {
			want.Records = append(want.Records, r)
		} else {
			want.Former = append(want.Former, r)
		}
	}
	diff := cmp.Diff(&want, &Snapshot{Units: snap.Units, Pairs: snap.Pairs, Locks: snap.Locks, Records: snap.Records, Former: snap.Former},
		cmpopts.SortSlices(func(a, b habitat.Pair) bool { return fmt.Sprint(a) < fmt.Sprint(b) }),
		cmpopts.SortSlices(func(a, b habitat.Lock) bool { return fmt.Sprint(a) < fmt.Sprint(b) }),
		cmpopts.SortSlices(func(a, b habitat.BurnRecord) bool { return a.ID < b.ID }),
		cmpopts.IgnoreFields(habitat.BurnRecord{}, "UnitAcres")) // see TestAcresOfTheUnitOnTheDay
	if diff != "" {
		t.Fatalf("-want +got\n%s", diff)
	}
	if snap.Change.Number != m.changes {
		t.Fatalf("%d changes, want %d", snap.Change.Number, m.changes)
	}
}
