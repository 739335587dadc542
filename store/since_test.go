package store

import (
	"context"
	"errors"
	"testing"

	"emberquilt/habitat"
)

func TestSinceCountsWhatAPlanDependsOn(t *testing.T) {
	s := create(t, n1())
	before := snapshot(t, s).Change.Stamp().Number()
	want := func(what string, want Later) {
		t.Helper()
		got, err := s.Since(context.Background(), before, 0)
		if err != nil || got != want {
			t.Errorf("%s: %+v %v, want %+v", what, got, err, want)
		}
	}
	want("nothing", Later{})
	record := fullBurn()
	update(t, s, func(tx *Tx) (err error) {
		record.ID, err = tx.AddBurn(record)
		return err
	})
	want("a record", Later{Burns: 1})
	corrected := record
	corrected.Acres = 28
	update(t, s, func(tx *Tx) error { return tx.CorrectBurn(corrected) })
	want("a record that was corrected is one", Later{Burns: 1})
	update(t, s, func(tx *Tx) error { return tx.WithdrawBurn(record.ID) })
	want("a record that came and went is none", Later{})
	update(t, s, func(tx *Tx) error { return tx.PutLock(habitat.Lock{Unit: "n1", Year: 2027, Burn: true}) })
	want("a lock", Later{Locks: 1})
	changed := n1()
	changed.Acres++
	update(t, s, func(tx *Tx) error { return tx.PutUnit(changed) })
	want("a unit", Later{Locks: 1, Units: 1})
	update(t, s, func(tx *Tx) error { return tx.PutDocument(Document{Kind: Weather, Name: "tower", Body: []byte(`{}`)}) })
	want("a station", Later{Locks: 1, Units: 1, Weather: true})
	update(t, s, func(tx *Tx) error { return tx.PutContacts([]habitat.Contact{{Role: "dispatch"}}) })
	want("whom to call changes no plan", Later{Locks: 1, Units: 1, Weather: true})
	update(t, s, func(tx *Tx) error { return tx.PutLock(habitat.Lock{Unit: "n1", Year: 2027}) })
	want("a lock that changed twice is one", Later{Locks: 1, Units: 1, Weather: true})
	changed.Acres++
	update(t, s, func(tx *Tx) error {
		_, err := tx.AddBurn(corrected)
		return errors.Join(err, tx.PutLock(habitat.Lock{Unit: "n1", Year: 2028, Burn: true}), tx.PutUnit(changed), tx.UseStation("tower"))
	})
	before = snapshot(t, s).Change.Stamp().Number()
	want("the change itself", Later{})
	mowed := fullBurn()
	mowed.Kind, mowed.On, mowed.Through = habitat.Mowing, mowed.On.AddDays(90), mowed.Through.AddDays(90)
	update(t, s, func(tx *Tx) (err error) {
		mowed.ID, err = tx.AddBurn(mowed)
		return err
	})
	want("a treatment is no burn", Later{Treatments: 1})
	mowed.Kind = habitat.Prescribed
	update(t, s, func(tx *Tx) error { return tx.CorrectBurn(mowed) })
	want("a record that was a treatment at first", Later{Burns: 1})
}
