//go:build unix

package store

import (
	"context"
	"errors"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

func edited(steps int) *habitat.EditedPlan {
	d := &habitat.EditedPlan{Plan: 1, IsNewest: true, Data: "3-abc", Undone: []habitat.EditStep{{{Unit: "n1", Year: 2029, Do: habitat.FreeCell}}},
		Fallen: []habitat.FallenEdit{{CellEdit: habitat.CellEdit{Unit: "gone", Year: 2028, Do: habitat.RestCell}, Reason: "there is no such unit"}}}
	for n := range steps {
		d.Steps = append(d.Steps, habitat.EditStep{{Unit: "n1", Year: date.ProgramYear(2027 + n), Do: habitat.BurnCell, Season: "dormant"}})
	}
	return d
}

func draftOf(t *testing.T, s *Store) (*habitat.EditedPlan, int64) {
	t.Helper()
	d, serial, err := s.Draft(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return d, serial
}

func putDraft(t *testing.T, s *Store, d *habitat.EditedPlan) {
	t.Helper()
	if err := s.UpdateDraft(context.Background(), func(tx *Tx) error { return tx.PutDraft(d) }); err != nil {
		t.Fatal(err)
	}
}

// TestDraftsAreNoChange edits, forgets and edits again: the journal and the version
// of the data stay as they were, and the file is intact.
func TestDraftsAreNoChange(t *testing.T) {
	s := full(t)
	ctx := context.Background()
	before := snapshot(t, s)
	if d, serial := draftOf(t, s); d != nil || serial != 0 {
		t.Errorf("%+v, %d before the first edit", d, serial)
	}
	for n := range 3 {
		putDraft(t, s, edited(n+1))
		again, err := Open(ctx, s.Path())
		if err != nil {
			t.Fatal(err)
		}
		d, serial := draftOf(t, again)
		if diff := cmp.Diff(edited(n+1), d); diff != "" || serial != int64(n+1) {
			t.Errorf("%d: %s", serial, diff)
		}
		again.Close()
	}
	if diff := cmp.Diff(before, snapshot(t, s)); diff != "" {
		t.Errorf("a draft changed the property: %s", diff)
	}
	wantWhole(t, s)
	putDraft(t, s, nil)
	if d, serial := draftOf(t, s); d != nil || serial != 4 {
		t.Errorf("%+v, %d after it was forgotten", d, serial)
	}
	// Within a change it is forgotten with it, or not at all.
	putDraft(t, s, edited(1))
	refused := errors.New("no")
	err := s.Update(ctx, noon, "", "keep", func(tx *Tx) error { return errors.Join(tx.PutDraft(nil), refused) })
	if d, _ := draftOf(t, s); d == nil || !errors.Is(err, refused) {
		t.Errorf("%v: %+v", err, d)
	}
	err = s.View(ctx, func(tx *Tx) error { return tx.PutDraft(nil) })
	if !errors.Is(err, errView) {
		t.Errorf("a view writes: %v", err)
	}
	bad := edited(1)
	bad.Steps[0][0].Do = "mow"
	if err := s.UpdateDraft(ctx, func(tx *Tx) error { return tx.PutDraft(bad) }); err == nil || !strings.Contains(err.Error(), `draft: do: "mow"`) {
		t.Errorf("%v", err)
	}
}

func TestVerifyReadsTheDraft(t *testing.T) {
	for body, want := range map[string]string{
		`{"plan": 1}`:  "",
		`{"plan": 99}`: "a draft is kept of plan 99, which is not there",
		`{"plan": 0}`:  "draft: plan: 0 is not the number of a plan; accepts 1 or more",
		`[]`:           "draft: json: cannot unmarshal",
	} {
		s := full(t)
		execute(t, s.db, "INSERT INTO draft (id, serial, body) VALUES (1, 1, '"+body+"')")
		faults, err := s.Verify(context.Background())
		if err != nil || (want == "") != (len(faults) == 0) || want != "" && !strings.HasPrefix(faults[0], want) {
			t.Errorf("%s: %q, %v", body, faults, err)
		}
	}
}

// TestTwoOpeningsEditOneDraft lets two openings of a file add steps at once: none
// is lost.
func TestTwoOpeningsEditOneDraft(t *testing.T) {
	s := create(t, unit("n1"))
	other, err := Open(context.Background(), s.Path())
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	const each = 25
	var both sync.WaitGroup
	for _, one := range []*Store{s, other} {
		both.Go(func() {
			for range each {
				err := one.UpdateDraft(context.Background(), func(tx *Tx) error {
					d, _, err := tx.Draft()
					if err != nil {
						return err
					}
					if d == nil {
						d = &habitat.EditedPlan{Plan: 1}
					}
					d.Add(habitat.EditStep{{Unit: "n1", Year: 2027, Do: habitat.RestCell}})
					return tx.PutDraft(d)
				})
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	both.Wait()
	if d, serial := draftOf(t, s); len(d.Steps) != 2*each || serial != 2*each {
		t.Errorf("%d steps, written %d times", len(d.Steps), serial)
	}
}

// TestKilledEditsLeaveTheLastOrTheOneBefore kills a program between and within
// edits: every edit that was acknowledged is there, and at most one more.
func TestKilledEditsLeaveTheLastOrTheOneBefore(t *testing.T) {
	kills := 60
	if testing.Short() {
		kills = 10
	}
	s := create(t, unit("n1"))
	path := s.Path()
	s.Close()
	random := rand.New(rand.NewPCG(5, 6))
	done := 0
	for kill := range kills {
		cmd, lines := startHelper(t, "draft", path)
		acknowledged := 0
		for lines.Scan() {
			if !strings.HasPrefix(lines.Text(), "done") {
				t.Fatalf("helper: %s", lines.Text())
			}
			if acknowledged++; acknowledged == 1 {
				time.AfterFunc(time.Duration(random.IntN(15_000))*time.Microsecond, func() { cmd.Process.Kill() })
			}
		}
		cmd.Wait()
		again, err := Open(context.Background(), path)
		if err != nil {
			t.Fatalf("kill %d: %v", kill, err)
		}
		d, serial := draftOf(t, again)
		if n := len(d.Steps); n != done+acknowledged && n != done+acknowledged+1 || serial != int64(n) {
			t.Fatalf("kill %d: %d edits were acknowledged after %d, %d are there", kill, acknowledged, done, n)
		}
		done = len(d.Steps)
		if kill%20 == 0 {
			// The draft names a plan that this property does not have; all else is whole.
			if faults, err := again.Verify(context.Background()); err != nil || len(faults) != 1 {
				t.Errorf("kill %d: %q, %v", kill, faults, err)
			}
		}
		again.Close()
	}
	t.Logf("%d kills, %d edits", kills, done)
}
