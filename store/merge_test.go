package store

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// fork copies a property file, as one that was sent.
func fork(t testing.TB, s *Store) *Store {
	t.Helper()
	path := filepath.Join(t.TempDir(), "sent.emberquilt")
	if err := s.Backup(context.Background(), path); err != nil {
		t.Fatal(err)
	}
	copied, err := Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { copied.Close() })
	return copied
}

// receive merges and gives the error.
func receive(t testing.TB, s, theirs *Store, choose func(*Contradiction) Side) (*Received, error) {
	t.Helper()
	return s.Receive(context.Background(), theirs, noon, "receiver", choose)
}

func never(t testing.TB) func(*Contradiction) Side {
	return func(c *Contradiction) Side {
		t.Errorf("asked about %s %s: %v", c.Kind, c.Name, c.Fields)
		return Ours
	}
}

// A file that stood still takes over the other's journal, seals and all.
func TestReceiveFollows(t *testing.T) {
	ours := full(t)
	theirs := fork(t, ours)
	update(t, theirs, func(tx *Tx) error { return tx.PutUnit(unit("new")) })
	if err := theirs.Update(context.Background(), noon, "R. Agent", "a burn", func(tx *Tx) error {
		burn := fullBurn()
		burn.On, burn.Through = date.MustDay(2027, 2, 1), date.MustDay(2027, 2, 1)
		_, err := tx.AddBurn(burn)
		return errors.Join(err, tx.PutLock(habitat.Lock{Unit: "new", Year: 2029}))
	}); err != nil {
		t.Fatal(err)
	}
	got, err := receive(t, ours, theirs, never(t))
	if err != nil || !got.Follows || got.Changes != 2 {
		t.Fatalf("%+v, %v", got, err)
	}
	wantWhole(t, ours)
	if diff := gocmp.Diff(snapshot(t, theirs), snapshot(t, ours)); diff != "" {
		t.Error(diff)
	}
	if again, err := receive(t, ours, theirs, never(t)); err != nil || again.Changes != 0 {
		t.Errorf("received twice: %+v, %v", again, err)
	}
	if back, err := receive(t, theirs, ours, never(t)); err != nil || back.Changes != 0 {
		t.Errorf("received back: %+v, %v", back, err)
	}
	if _, err := receive(t, ours, create(t, n1()), never(t)); !errors.Is(err, ErrOtherProperty) {
		t.Errorf("another property: %v", err)
	}
}

// What both changed to two things is asked; with nobody to answer nothing changes; what
// is not chosen stays readable.
func TestReceiveAsks(t *testing.T) {
	ours := full(t)
	theirs := fork(t, ours)
	set := func(s *Store, notes string) {
		update(t, s, func(tx *Tx) error {
			u := unit("a")
			u.Notes = notes
			return tx.PutUnit(u)
		})
	}
	set(ours, "ours")
	set(theirs, "theirs")
	before := snapshot(t, ours)
	_, err := receive(t, ours, theirs, func(*Contradiction) Side { return Undecided })
	var asked *ContradictionError
	if !errors.As(err, &asked) || len(asked.All) != 1 || asked.All[0].Kind != "unit" || asked.All[0].Name != "a" {
		t.Fatalf("%v", err)
	}
	if diff := gocmp.Diff([]FieldChange{{"notes", "ours", "theirs"}}, asked.All[0].Fields); diff != "" {
		t.Error(diff)
	}
	if diff := gocmp.Diff(before, snapshot(t, ours)); diff != "" {
		t.Errorf("nobody chose and it changed: %s", diff)
	}
	if _, err := receive(t, ours, theirs, func(*Contradiction) Side { return Ours }); err != nil {
		t.Fatal(err)
	}
	wantWhole(t, ours)
	if u := snapshot(t, ours).Units; !slices.ContainsFunc(u, func(u habitat.Unit) bool { return u.ID == "a" && u.Notes == "ours" }) {
		t.Errorf("%+v", u)
	}
	var notes []string
	if err := ours.View(context.Background(), func(tx *Tx) error {
		all, err := units.history(tx, "a")
		for _, v := range all {
			notes = append(notes, v.Value.Notes+" by "+v.Change.By)
		}
		return err
	}); err != nil || !slices.Equal(notes[len(notes)-3:], []string{"ours by ", "theirs by ", "ours by receiver"}) {
		t.Errorf("%v, %q", err, notes)
	}
}

// Plans of both stand side by side; of two adopted ones one must be chosen; the unit
// that both divided cannot be merged.
func TestReceivePlansAndUnitChanges(t *testing.T) {
	ours := full(t)
	theirs := fork(t, ours)
	adopt := func(s *Store, note string) {
		update(t, s, func(tx *Tx) error {
			number, err := tx.AddPlan(Plan{PlanHead: PlanHead{MadeFor: fullBurn().On, FirstYear: 2027, Years: 1, Status: "optimal", Note: note}})
			return errors.Join(err, tx.Adopt(habitat.PlanStanding{Plan: number, On: fullBurn().On, Why: note}))
		})
	}
	adopt(ours, "ours")
	adopt(theirs, "theirs")
	for _, want := range []Side{Ours, Theirs} {
		into := fork(t, ours)
		got, err := receive(t, into, theirs, func(c *Contradiction) Side { return want })
		if err != nil || len(got.Contradictions) != 1 || got.Contradictions[0].Kind != "adopted plan" {
			t.Fatalf("%+v, %v", got, err)
		}
		wantWhole(t, into)
		snap := snapshot(t, into)
		note := snap.Plans[snap.Standings.Adopted()-1].Note
		if word := map[Side]string{Ours: "ours", Theirs: "theirs"}[want]; len(snap.Plans) != 3 || note != word {
			t.Errorf("%d plans, adopted %q, want %q", len(snap.Plans), note, word)
		}
	}
	divide := func(s *Store) {
		update(t, s, func(tx *Tx) error {
			return tx.PutUnitChange(habitat.UnitChange{Kind: habitat.Split, On: fullBurn().On, From: []habitat.UnitPart{{Unit: "a", Acres: 10}}, To: []habitat.UnitPart{{Unit: "a", Acres: 10}}})
		})
	}
	divide(ours)
	divide(theirs)
	var unfit *UnfitError
	if _, err := receive(t, ours, theirs, func(*Contradiction) Side { return Ours }); !errors.As(err, &unfit) {
		t.Errorf("one unit divided on both sides: %v", err)
	}
}

// edit makes one random change, as a command would.
func edit(t testing.TB, s *Store, r *rand.Rand, who string) {
	t.Helper()
	names := []string{"n1", "a", "b", "c"}
	name := names[r.IntN(len(names))]
	err := s.Update(context.Background(), noon, who, "edit", func(tx *Tx) error {
		snap, err := tx.Snapshot()
		if err != nil {
			return err
		}
		there := slices.ContainsFunc(snap.Units, func(u habitat.Unit) bool { return u.ID == name })
		on := date.MustDay(2027, 1, 1).AddDays(r.IntN(40))
		switch r.IntN(12) {
		case 10, 11:
			return tx.PutContract(editedContract(snap, r, who))
		case 0, 1:
			u := unit(name)
			u.Acres, u.Notes = quantity.Acres(10+r.IntN(3)), strconv.Itoa(r.IntN(4))
			return tx.PutUnit(u)
		case 2:
			if there {
				return tx.PutLock(habitat.Lock{Unit: name, Year: date.ProgramYear(2028 + r.IntN(2)), Burn: r.IntN(2) == 0})
			}
		case 3:
			if len(snap.Locks) > 0 {
				l := snap.Locks[r.IntN(len(snap.Locks))]
				return tx.RemoveLock(l.Unit, l.Year)
			}
		case 4, 5:
			if there {
				_, err := tx.AddBurn(habitat.BurnRecord{Unit: name, On: on, Through: on, Kind: habitat.Prescribed, Notes: strconv.Itoa(r.IntN(3))})
				if errors.Is(err, ErrSameBurn) {
					return nil
				}
				return err
			}
		case 6:
			if len(snap.Written) > 0 {
				b := snap.Written[r.IntN(len(snap.Written))]
				b.Notes, b.Crew = strconv.Itoa(r.IntN(3)), who
				return tx.CorrectBurn(b)
			}
		case 7:
			if len(snap.Written) > 0 {
				return tx.WithdrawBurn(snap.Written[r.IntN(len(snap.Written))].ID)
			}
		case 8:
			return tx.PutTask(habitat.Task{Name: "task " + strconv.Itoa(r.IntN(3)), Earliest: 9, Latest: r.IntN(4)})
		case 9:
			if there && name != "n1" {
				return tx.RemoveUnit(name)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// editedContract makes a random change of the contract "grass": a line amended, moved,
// canceled or added, work noted, a client named.
func editedContract(snap *Snapshot, r *rand.Rand, who string) habitat.Contract {
	c := habitat.Contract{Name: "grass", Practices: []habitat.Practice{{Code: "338", Name: "Prescribed Burning", Measure: habitat.InAcres, Burns: true}, {Code: "394", Name: "Firebreak", Measure: habitat.InFeet}},
		Items: []habitat.ContractItem{{Unit: "n1", Practice: "338", FiscalYear: 2027, Planned: 5}, {Unit: "n1", Practice: "338", FiscalYear: 2028, Planned: 6}}}
	if len(snap.Contracts) > 0 {
		c = snap.Contracts[0]
		c.Items, c.Completions = slices.Clone(c.Items), slices.Clone(c.Completions)
	}
	c.NumberLines()
	line := 1 + r.IntN(len(c.Items))
	m := habitat.Modification{Number: strconv.Itoa(r.IntN(3)), On: date.MustDay(2026, 11, 1+r.IntN(3)), Line: line, Reason: who}
	to := habitat.LineChange{}
	switch r.IntN(7) {
	case 0, 1:
		m.Kind, to.Planned = habitat.Amend, float64(1+r.IntN(4))
	case 2:
		m.Kind, to.Year = habitat.Move, date.FiscalYear(2040+r.IntN(40))
	case 3:
		m.Kind = habitat.CancelLine
	case 4:
		c.Items = append(c.Items, habitat.ContractItem{Unit: "n1", Practice: "394", FiscalYear: date.FiscalYear(2027 + r.IntN(60)), Planned: float64(100 + r.IntN(3))})
		c.NumberLines()
	case 5:
		c.Completions = append(c.Completions, habitat.Completion{Unit: "n1", Practice: "394", On: date.MustDay(2026, 10, 1+r.IntN(28)), Applied: float64(1 + r.IntN(3))})
	case 6:
		c.Client = strconv.Itoa(r.IntN(3))
	}
	was := c
	if m.Kind != "" {
		c.Modify(m, to)
	}
	if c.Validate() != nil { // what a command refuses
		return was
	}
	return c
}

// current is what a file holds, without the numbers that the two sides give.
func current(t testing.TB, s *Store) *Snapshot {
	snap := *snapshot(t, s)
	snap.Change, snap.Standings = Change{}, nil
	for _, records := range []*[]habitat.BurnRecord{&snap.Records, &snap.Written, &snap.Former} {
		*records = slices.Clone(*records)
		for i := range *records {
			b := &(*records)[i]
			b.ID = 0
			if !b.HasAcres { // the acres that it means
				b.Acres, b.HasAcres, b.UnitAcres = b.UnitAcres, true, 0
			}
		}
		slices.SortStableFunc(*records, func(a, b habitat.BurnRecord) int {
			return cmp.Or(a.Through.Compare(b.Through), cmp.Compare(a.Unit, b.Unit), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Notes, b.Notes))
		})
	}
	snap.Units = slices.Clone(snap.Units)
	slices.SortFunc(snap.Units, func(a, b habitat.Unit) int { return cmp.Compare(a.ID, b.ID) })
	return &snap
}

// said lists every version of a file, without the numbers that the two sides give.
func said(t testing.TB, s *Store) map[string]int {
	all := map[string]int{}
	err := s.View(context.Background(), func(tx *Tx) error {
		for _, table := range mergeTables() {
			rows, err := table.rows(tx, table.from, "true")
			if err != nil {
				return err
			}
			for _, r := range rows {
				if table.name == burns.name { // and acres are written out where the unit has others here
					r.keys, r.other[slices.Index(table.columns, "acres")] = nil, nil
				}
				all[fmt.Sprint(table.name, r.keys, r.other, r.removed)]++
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// Random histories of two sides: from either side the same comes out, or it is refused
// from either side; and no version that either side had acknowledged is missing.
// EMBERQUILT_PAIRS is how many are tried.
func TestReceiveRandomHistories(t *testing.T) {
	pairs := 25
	if n, err := strconv.Atoi(os.Getenv("EMBERQUILT_PAIRS")); err == nil {
		pairs = n
	}
	refused, asked, merged, joined := 0, 0, 0, 0
	for seed := range pairs {
		r := rand.New(rand.NewPCG(uint64(seed), 16))
		base := create(t, n1(), unit("a"), unit("b"))
		for range r.IntN(4) {
			edit(t, base, r, "before")
		}
		a, b := fork(t, base), fork(t, base)
		for range 1 + r.IntN(6) {
			edit(t, a, r, "a")
		}
		for range 1 + r.IntN(6) {
			edit(t, b, r, "b")
		}
		likesA := map[string]bool{}
		for _, kind := range []string{"unit", "lock", "burn", "task", "contract", "settings"} {
			likesA[kind] = r.IntN(2) == 0
		}
		for _, l := range layouts {
			if _, ok := likesA[l.kind]; !ok {
				likesA[l.kind] = true
			}
		}
		side := func(isA bool) func(*Contradiction) Side {
			return func(c *Contradiction) Side {
				asked++
				if likesA[c.Kind] == isA {
					return Ours
				}
				return Theirs
			}
		}
		wasA, wasB := said(t, a), said(t, b)
		atA, atB := fork(t, a), fork(t, b)
		gotA, errA := receive(t, atA, b, side(true))
		_, errB := receive(t, atB, a, side(false))
		if (errA == nil) != (errB == nil) {
			t.Fatalf("seed %d: %v from one side, %v from the other", seed, errA, errB)
		}
		wantWhole(t, atA)
		wantWhole(t, atB)
		if errA != nil {
			var unfit *UnfitError
			if !errors.As(errA, &unfit) {
				t.Fatalf("seed %d: %v", seed, errA)
			}
			refused++
			continue
		}
		merged++
		joined += len(gotA.Joined)
		if diff := gocmp.Diff(current(t, atA), current(t, atB)); diff != "" {
			t.Fatalf("seed %d: the two sides hold other values\n%s", seed, diff)
		}
		for _, at := range []*Store{atA, atB} {
			now := said(t, at)
			for _, was := range []map[string]int{wasA, wasB} {
				for version := range was {
					if now[version] == 0 {
						t.Fatalf("seed %d: lost: %s", seed, version)
					}
				}
			}
		}
	}
	t.Logf("%d pairs: %d merged, %d refused as unfit, %d contradictions answered, %d contracts joined part by part", pairs, merged, refused, asked, joined)
	if merged < pairs/2 || asked == 0 || joined == 0 {
		t.Errorf("%d of %d merged, %d asked, %d contracts joined: too few to say anything", merged, pairs, asked, joined)
	}
}

// Contacts of a file of schema 1 are a document of another kind that is told apart by
// its name: what the other file wrote of them since follows on it.
func TestReceiveFollowsOnDocumentsOfSchema1(t *testing.T) {
	ours := openCopy(t, "bend-schema-1.emberquilt")
	theirs := fork(t, ours)
	update(t, ours, func(tx *Tx) error { return tx.PutTask(habitat.Task{Name: "call", Earliest: 9}) })
	changed := []habitat.Contact{{Role: "county dispatch", Phone: "555-0199", When: "before lighting"}}
	update(t, theirs, func(tx *Tx) error { return tx.PutContacts(changed) })
	if _, err := receive(t, ours, theirs, never(t)); err != nil {
		t.Fatal(err)
	}
	wantWhole(t, ours)
	if diff := gocmp.Diff(changed, snapshot(t, ours).Contacts); diff != "" {
		t.Error(diff)
	}
}
