//go:build unix

package store

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// TestKilledUpdatesLeaveOldOrNew kills a program in the middle of long updates a
// hundred times. Afterwards every update that was acknowledged is there, whole,
// and at most one more.
func TestKilledUpdatesLeaveOldOrNew(t *testing.T) {
	kills := 100
	if testing.Short() {
		kills = 10
	}
	s := create(t)
	path := s.Path()
	s.Close()
	random := rand.New(rand.NewPCG(1, 2))
	killedInside := 0
	for kill := range kills {
		cmd, lines := startHelper(t, "update", path, fmt.Sprint(kill))
		lines.Scan() // the first update has begun
		wait := time.Duration(random.IntN(40)) * time.Millisecond
		timer := time.AfterFunc(wait, func() { cmd.Process.Kill() })
		last := lines.Text()
		acknowledged := 0
		for lines.Scan() {
			last = lines.Text()
			if strings.HasPrefix(last, "done") {
				acknowledged++
			}
		}
		cmd.Wait()
		timer.Stop()
		if !strings.HasPrefix(last, "begin") && !strings.HasPrefix(last, "done") {
			t.Fatalf("helper: %s", last)
		}
		if strings.HasPrefix(last, "begin") {
			killedInside++
		}
		checkAfterKill(t, path, kill, acknowledged)
	}
	t.Logf("%d kills, %d inside an update", kills, killedInside)
	if killedInside < kills/2 {
		t.Errorf("only %d of %d kills came in the middle of an update", killedInside, kills)
	}
}

func checkAfterKill(t *testing.T, path string, kill, acknowledged int) {
	t.Helper()
	s, err := Open(context.Background(), path)
	if err != nil {
		t.Fatalf("kill %d: %v", kill, err)
	}
	defer s.Close()
	rounds := map[string]int{}
	for _, u := range snapshot(t, s).Units {
		if rest, ok := strings.CutPrefix(u.ID, fmt.Sprintf("%d-", kill)); ok {
			round, _, _ := strings.Cut(rest, "-")
			rounds[round]++
		}
	}
	for round, count := range rounds {
		if count != 300 {
			t.Errorf("kill %d: update %s has left %d of 300 units", kill, round, count)
		}
	}
	if n := len(rounds); n != acknowledged && n != acknowledged+1 {
		t.Errorf("kill %d: %d updates were acknowledged, %d are there", kill, acknowledged, n)
	}
	if kill%20 == 0 {
		wantWhole(t, s)
	}
}

// TestReadingAfterAKill reads a file whose last update was killed when half of it
// was on the disk: the journal beside the file must be played back first.
func TestReadingAfterAKill(t *testing.T) {
	s := create(t, n1())
	want := snapshot(t, s)
	path := s.Path()
	s.Close()
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	cmd, lines := startHelper(t, "spill", path)
	if lines.Scan(); lines.Text() != "holding" {
		t.Fatalf("helper: %s", lines.Text())
	}
	cmd.Process.Kill()
	cmd.Wait()
	if after, err := os.ReadFile(path); err != nil || string(after) == string(before) {
		t.Fatalf("nothing of the update had reached the disk: %v", err)
	}
	again, err := OpenToRead(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if diff := cmp.Diff(want, snapshot(t, again)); diff != "" {
		t.Error(diff)
	}
	wantWhole(t, again)
}

// TestKilledCopiesAreNotThereOrWhole kills a program while it makes new files and
// copies: under its name a file is intact or not there.
func TestKilledCopiesAreNotThereOrWhole(t *testing.T) {
	s := create(t, manyUnits(200)...)
	random := rand.New(rand.NewPCG(3, 4))
	for kill := range 20 {
		name := filepath.Join(t.TempDir(), "copy")
		task := []string{"backup", s.Path(), name}
		if kill%2 == 0 {
			task = []string{"create", name}
		}
		cmd, lines := startHelper(t, task[0], task[1:]...)
		acknowledged := 0
		for lines.Scan() {
			if !strings.HasPrefix(lines.Text(), "done") {
				t.Fatalf("helper: %s", lines.Text())
			}
			if acknowledged++; acknowledged == 1 {
				time.AfterFunc(time.Duration(random.IntN(60))*time.Millisecond, func() { cmd.Process.Kill() })
			}
		}
		cmd.Wait()
		whole, err := filepath.Glob(name + "-*")
		if err != nil || len(whole) < acknowledged || len(whole) > acknowledged+1 {
			t.Errorf("%d were acknowledged, %v are there (%v)", acknowledged, whole, err)
		}
		again, err := Open(context.Background(), whole[len(whole)-1])
		if err != nil {
			t.Fatal(err)
		}
		wantWhole(t, again)
		again.Close()
	}
}

func TestTheSecondWriterWaitsOrIsTold(t *testing.T) {
	s := create(t)
	cmd := helperCommand(t, "hold", s.Path())
	in, _ := cmd.StdinPipe()
	out, _ := cmd.StdoutPipe()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer cmd.Wait()
	defer in.Close()
	lines := bufio.NewScanner(out)
	if lines.Scan(); lines.Text() != "holding" {
		t.Fatalf("helper: %s", lines.Text())
	}
	// Reading goes on meanwhile, and sees the old state.
	if n := len(snapshot(t, s).Units); n != 0 {
		t.Errorf("%d units", n)
	}
	// A writer that has no time to wait is told. Its own deadline is not ours to
	// explain, but the lock is.
	impatient, err := Open(context.Background(), s.Path())
	if err != nil {
		t.Fatal(err)
	}
	defer impatient.Close()
	impatient.db.SetMaxOpenConns(1)
	execute(t, impatient.db, "PRAGMA busy_timeout = 50")
	err = impatient.Update(context.Background(), noon, "", "test", func(tx *Tx) error { return tx.PutUnit(unit("mine")) })
	if !errors.Is(err, ErrBusy) || !strings.Contains(err.Error(), "is in use by another program\nhint: wait until") {
		t.Errorf("%v", err)
	}
	// One that can wait gets its turn.
	release := time.AfterFunc(200*time.Millisecond, func() { in.Write([]byte("\n")) })
	defer release.Stop()
	update(t, s, func(tx *Tx) error { return tx.PutUnit(unit("mine")) })
	if n := len(snapshot(t, s).Units); n != 2 {
		t.Errorf("%d units", n)
	}
}

func TestManyWritersInOneProcess(t *testing.T) {
	s := create(t)
	const writers, rounds = 8, 4 // a slow disk takes a quarter of a second for each
	failures := make(chan error, writers)
	for w := range writers {
		go func() {
			for r := range rounds {
				err := s.Update(context.Background(), noon, "", "test", func(tx *Tx) error { return tx.PutUnit(unit(fmt.Sprintf("%d-%d", w, r))) })
				if err == nil {
					_, err = s.Snapshot(context.Background())
				}
				if err != nil {
					failures <- err
					return
				}
			}
			failures <- nil
		}()
	}
	for range writers {
		if err := <-failures; err != nil {
			t.Error(err)
		}
	}
	if n := len(snapshot(t, s).Units); n != writers*rounds {
		t.Errorf("%d units", n)
	}
	wantWhole(t, s)
}
