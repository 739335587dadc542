package store

import (
	"context"
	"errors"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

func TestCorrectionsAreNewVersions(t *testing.T) {
	s := create(t, n1())
	ctx := context.Background()
	record := fullBurn()
	update(t, s, func(tx *Tx) (err error) {
		record.ID, err = tx.AddBurn(record)
		return err
	})
	corrected := record
	corrected.Acres = 28
	if err := s.Update(ctx, noon.AddDate(0, 0, 1), "", "acres measured anew", func(tx *Tx) error { return tx.CorrectBurn(corrected) }); err != nil {
		t.Fatal(err)
	}
	history, err := s.BurnHistory(ctx, record.ID)
	if err != nil || len(history) != 2 {
		t.Fatalf("%v %v", history, err)
	}
	if v := history[0]; v.Number != 1 || v.Value.Acres != 30.1 || v.Change.Reason != "test" {
		t.Errorf("%+v", v)
	}
	if v := history[1]; v.Number != 2 || v.Value.Acres != 28 || v.Change.Reason != "acres measured anew" || !v.Change.At.Equal(noon.AddDate(0, 0, 1)) || v.Removed {
		t.Errorf("%+v", v)
	}
	update(t, s, func(tx *Tx) error { return tx.WithdrawBurn(record.ID) })
	if snap := snapshot(t, s); len(snap.Records) != 0 {
		t.Errorf("%v", snap.Records)
	}
	history, err = s.BurnHistory(ctx, record.ID)
	if err != nil || len(history) != 3 || !history[2].Removed || history[2].Value.Acres != 28 {
		t.Errorf("%+v %v", history, err)
	}
	// What is withdrawn cannot be corrected, and its id is not used again.
	err = s.Update(ctx, noon, "", "test", func(tx *Tx) error { return tx.CorrectBurn(corrected) })
	if !errors.Is(err, ErrUnknown) {
		t.Errorf("%v", err)
	}
	update(t, s, func(tx *Tx) error {
		id, err := tx.AddBurn(record)
		if id != record.ID+1 {
			t.Errorf("id %d again", id)
		}
		return err
	})
	wantWhole(t, s)
}

func TestOneBurnIsNotRecordedTwice(t *testing.T) {
	s := create(t, n1())
	ctx := context.Background()
	var first int64
	update(t, s, func(tx *Tx) (err error) {
		first, err = tx.AddBurn(fullBurn())
		return err
	})
	before := snapshot(t, s)
	other := fullBurn()
	other.Notes = "typed again"
	err := s.Update(ctx, noon, "", "test", func(tx *Tx) error {
		_, err := tx.AddBurn(other)
		return err
	})
	var same *SameBurn
	if !errors.Is(err, ErrSameBurn) || !errors.As(err, &same) || same.Old.ID != first {
		t.Errorf("%v", err)
	}
	if after := snapshot(t, s); after.Change != before.Change {
		t.Error("a refused update left a change")
	}
	// Another day, another kind, are other burns; a correction cannot make two one.
	update(t, s, func(tx *Tx) error {
		other.On, other.Through = date.MustDay(2026, 3, 9), date.MustDay(2026, 3, 9)
		second, err := tx.AddBurn(other)
		if err != nil {
			return err
		}
		again := fullBurn()
		again.ID = second
		if err := tx.CorrectBurn(again); !errors.Is(err, ErrSameBurn) {
			t.Errorf("%v", err)
		}
		again.ID = first
		return tx.CorrectBurn(again)
	})
}

func TestARemovedUnitLeavesItsRecords(t *testing.T) {
	s := create(t, n1(), unit("a"), unit("b"))
	update(t, s, func(tx *Tx) error {
		_, err := tx.AddBurn(fullBurn())
		return errors.Join(err, tx.PutPair(habitat.Pair{A: "a", B: "n1", Kind: habitat.Apart}), tx.PutPair(habitat.Pair{A: "a", B: "b", Kind: habitat.Neighbors}),
			tx.PutLock(habitat.Lock{Unit: "n1", Year: 2028}), tx.PutShape(UnitShape{Unit: "n1", Shape: square()}))
	})
	update(t, s, func(tx *Tx) error { return tx.RemoveUnit("n1") })
	snap := snapshot(t, s)
	if len(snap.Units) != 2 || len(snap.Pairs) != 1 || len(snap.Locks) != 0 || len(snap.Shapes) != 0 || len(snap.Records) != 0 || len(snap.Former) != 1 {
		t.Errorf("%+v", snap)
	}
	wantWhole(t, s)
	// A unit that comes again keeps its place and finds its records.
	update(t, s, func(tx *Tx) error { return tx.PutUnit(n1()) })
	if snap := snapshot(t, s); snap.Units[0].ID != "n1" || len(snap.Records) != 1 {
		t.Errorf("%+v", snap)
	}
	for what, do := range map[string]func(tx *Tx) error{
		"unit":     func(tx *Tx) error { return tx.RemoveUnit("x") },
		"pair":     func(tx *Tx) error { return tx.RemovePair("a", "x") },
		"lock":     func(tx *Tx) error { return tx.RemoveLock("a", 2028) },
		"shape":    func(tx *Tx) error { return tx.RemoveShape("a") },
		"burn":     func(tx *Tx) error { return tx.WithdrawBurn(99) },
		"document": func(tx *Tx) error { return tx.RemoveDocument(Prescription, "x") },
		"task":     func(tx *Tx) error { return tx.RemoveTask("x") },
		"done":     func(tx *Tx) error { return tx.RemoveTaskDone(habitat.TaskDone{Task: "x"}) },
		"place":    func(tx *Tx) error { return tx.RemovePlace("x") },
		"plan":     func(tx *Tx) error { _, err := tx.Plan(9); return err },
	} {
		if err := s.Update(context.Background(), noon, "", "test", do); !errors.Is(err, ErrUnknown) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

func TestWhatSpeaksOfNoUnitIsRefused(t *testing.T) {
	s := create(t, unit("a"))
	for what, do := range map[string]func(tx *Tx) error{
		"pair":  func(tx *Tx) error { return tx.PutPair(habitat.Pair{A: "a", B: "x", Kind: habitat.Apart}) },
		"lock":  func(tx *Tx) error { return tx.PutLock(habitat.Lock{Unit: "x", Year: 2028}) },
		"shape": func(tx *Tx) error { return tx.PutShape(UnitShape{Unit: "x", Shape: square()}) },
		"burn":  func(tx *Tx) error { _, err := tx.AddBurn(fullBurn()); return err },
	} {
		if err := s.Update(context.Background(), noon, "", "test", do); err == nil {
			t.Errorf("%s of a unit that is not there was taken", what)
		}
	}
	if n := len(mustChanges(t, s)); n != 2 {
		t.Errorf("%d changes", n)
	}
}

func TestAViewCannotWrite(t *testing.T) {
	s := create(t)
	err := s.View(context.Background(), func(tx *Tx) error { return tx.PutUnit(n1()) })
	if err == nil || len(snapshot(t, s).Units) != 0 {
		t.Errorf("%v", err)
	}
	err = s.View(context.Background(), func(tx *Tx) error { return tx.PutLock(habitat.Lock{Unit: "a", Year: 1}) })
	if err == nil {
		t.Error("a View wrote")
	}
}

func TestAFailedUpdateLeavesNothing(t *testing.T) {
	s := create(t, unit("a"))
	before := snapshot(t, s)
	failed := errors.New("changed my mind")
	err := s.Update(context.Background(), noon, "", "test", func(tx *Tx) error {
		if err := tx.PutUnit(unit("b")); err != nil {
			return err
		}
		return failed
	})
	if !errors.Is(err, failed) {
		t.Errorf("%v", err)
	}
	func() {
		defer func() {
			if recover() == nil {
				t.Error("the panic was swallowed")
			}
		}()
		s.Update(context.Background(), noon, "", "test", func(tx *Tx) error {
			tx.PutUnit(unit("b"))
			panic("bug")
		})
	}()
	ctx, cancel := context.WithCancel(context.Background())
	err = s.Update(ctx, noon, "", "test", func(tx *Tx) error {
		cancel()
		return tx.PutUnit(unit("c"))
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	after := snapshot(t, s)
	if len(after.Units) != 1 || after.Change != before.Change {
		t.Errorf("%+v", after.Units)
	}
	update(t, s, func(tx *Tx) error { return tx.PutUnit(unit("d")) })
	wantWhole(t, s)
}

func TestPlansAreNumberedAndKept(t *testing.T) {
	s := create(t)
	plan := Plan{PlanHead: PlanHead{MadeFor: date.MustDay(2027, 1, 20), FirstYear: 2027, Years: 5, Status: "infeasible", Cost: 3}, Problem: []byte("p"), Answer: []byte("a")}
	for want := 1; want <= 3; want++ {
		if want == 3 {
			plan.Data = "1-made from this"
		}
		update(t, s, func(tx *Tx) error {
			number, err := tx.AddPlan(plan)
			if number != want {
				t.Errorf("number %d, want %d", number, want)
			}
			return err
		})
	}
	if plans := snapshot(t, s).Plans; len(plans) != 3 || plans[2].Number != 3 || plans[0].Cost != 0 || plans[1].Data != mustChanges(t, s)[1].Stamp() || plans[2].Data != "1-made from this" {
		t.Errorf("%+v", plans)
	}
	if p, err := s.Plan(context.Background(), 2); err != nil || p.Number != 2 || p.Certificate != nil || string(p.Answer) != "a" {
		t.Errorf("%+v %v", p, err)
	}
	plan.Status = "guessed"
	if err := s.Update(context.Background(), noon, "", "test", func(tx *Tx) error { _, err := tx.AddPlan(plan); return err }); err == nil {
		t.Error("a status that is none was taken")
	}
}

// TestAcresOfTheUnitOnTheDay measures a unit anew after its burn was recorded, and
// corrects the record's notes: what the record means stays.
func TestAcresOfTheUnitOnTheDay(t *testing.T) {
	s := create(t, unit("a"))
	was := unit("a").Acres
	var id int64
	r := habitat.BurnRecord{Unit: "a", On: fullBurn().On, Through: fullBurn().On, Kind: habitat.Prescribed}
	update(t, s, func(tx *Tx) (err error) { id, err = tx.AddBurn(r); return err })
	update(t, s, func(tx *Tx) error { u := unit("a"); u.Acres = was + 7; return tx.PutUnit(u) })
	r.ID, r.Notes = id, "corrected"
	update(t, s, func(tx *Tx) error { return tx.CorrectBurn(r) })
	got := snapshot(t, s).Records[0]
	now := unit("a")
	now.Acres = was + 7
	if got.UnitAcres != was || got.Burned(&now) != was || got.Notes != "corrected" {
		t.Errorf("the record means %v acres, want %v: %+v", got.UnitAcres, was, got)
	}
	r.UnitAcres = 0
	if r.Burned(&now) != was+7 {
		t.Error("the control: without its own acres the record means the unit's of now")
	}
}

// Many burns that are added at once are held against those on record and each other as
// single ones are, also under the name that a unit bore before, and their numbers go on.
func TestManyBurnsAtOnce(t *testing.T) {
	s := create(t, n1())
	burn := func(day int) habitat.BurnRecord {
		on := date.MustDay(2020, 1, 1).AddDays(day)
		return habitat.BurnRecord{Unit: "n1", On: on, Through: on, Kind: habitat.Prescribed}
	}
	update(t, s, func(tx *Tx) error {
		_, err := tx.AddBurn(burn(0))
		return err
	})
	update(t, s, func(tx *Tx) error {
		if err := tx.addMany(); err != nil {
			return err
		}
		for day := 1; day <= 300; day++ {
			id, err := tx.AddBurn(burn(day))
			if err != nil || id != int64(day+1) {
				t.Fatalf("day %d: burn %d, %v", day, id, err)
			}
		}
		for _, day := range []int{0, 7, 300} {
			if _, err := tx.AddBurn(burn(day)); !errors.Is(err, ErrSameBurn) {
				t.Errorf("day %d again: %v", day, err)
			}
		}
		// A correction moves a burn: its old day is free, its new one is not.
		moved := burn(400)
		moved.ID = 8
		if err := tx.CorrectBurn(moved); err != nil {
			return err
		}
		if _, err := tx.AddBurn(burn(400)); !errors.Is(err, ErrSameBurn) {
			t.Errorf("the corrected day: %v", err)
		}
		id, err := tx.AddBurn(burn(7))
		if err != nil || id != 302 {
			t.Errorf("the day that is free again: burn %d, %v", id, err)
		}
		return nil
	})
	wantWhole(t, s)
	if n := len(snapshot(t, s).Records); n != 302 {
		t.Errorf("%d records", n)
	}
}

// Burns that wait to be written together are refused together: one of a unit that is not
// there undoes all, at the latest at the end of the change.
func TestManyBurnsAreAllOrNone(t *testing.T) {
	s := create(t, n1())
	before := snapshot(t, s).Change
	for _, bad := range []int{0, mostWaiting, 2*mostWaiting + 1} {
		err := s.Update(t.Context(), time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC), "", "import", func(tx *Tx) error {
			if err := tx.addMany(); err != nil {
				return err
			}
			for i := range 2*mostWaiting + 2 {
				on := date.MustDay(2020, 1, 1).AddDays(i)
				r := habitat.BurnRecord{Unit: "n1", On: on, Through: on, Kind: habitat.Prescribed}
				if i == bad {
					r.Unit = "nobody"
				}
				if _, err := tx.AddBurn(r); err != nil {
					return err
				}
			}
			return nil
		})
		if got := snapshot(t, s); err == nil || len(got.Records) > 0 || got.Change != before {
			t.Errorf("burn %d of no unit: %v, %d records, change %d", bad, err, len(got.Records), got.Change.Number)
		}
	}
}
