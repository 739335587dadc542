package store

import (
	"context"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

// What calendars have said is kept by event and is part of no change: the version of the
// data stays, and the file is whole.
func TestPublishedEvents(t *testing.T) {
	ctx := context.Background()
	s := full(t)
	stamp := snapshot(t, s).Change.Stamp()
	at := time.Date(2026, 11, 25, 8, 30, 0, 0, time.UTC)
	one := habitat.PublishedEvent{Unit: "North", Year: 2027, Kind: "burn window", Name: "1", First: date.MustDay(2026, 11, 16), Last: date.MustDay(2026, 11, 20), Summary: "a window", At: at, Digest: "1"}
	two := one
	two.Name = "2"
	publish := func(all ...habitat.PublishedEvent) error {
		return s.Publish(ctx, func(tx *Tx) error {
			for _, e := range all {
				if err := tx.PutPublished(e); err != nil {
					return err
				}
			}
			return nil
		})
	}
	if err := publish(two, one); err != nil {
		t.Fatal(err)
	}
	one.Sequence, one.At, one.Canceled, one.Digest = 4, at.Add(time.Hour), true, "2"
	if err := publish(one); err != nil {
		t.Fatal(err)
	}
	got, err := s.Published(ctx)
	if diff := cmp.Diff([]habitat.PublishedEvent{one, two}, got); err != nil || diff != "" {
		t.Errorf("%v %s", err, diff)
	}
	if now := snapshot(t, s).Change.Stamp(); now != stamp {
		t.Errorf("a calendar changed the version of the data from %s to %s", stamp, now)
	}
	wantWhole(t, s)
	bad := two
	bad.Last = bad.First.AddDays(-1)
	if publish(bad) == nil {
		t.Error("an event that ends before it begins was kept")
	}
	if err := s.View(ctx, func(tx *Tx) error { return tx.PutPublished(two) }); err == nil {
		t.Error("an event was kept in a view")
	}
}
