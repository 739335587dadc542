package rotation

import (
	"context"
	"testing"
	"time"

	"emberquilt/schedule/bench/family"
	"emberquilt/schedule/rotation/internal/model"
)

// A small problem whose gap is wide after all its levels goes on as large ones do: a
// tree would only make its certificate large.
func TestSmallProblemsWithAWideGapGetNoTree(t *testing.T) {
	for _, c := range []struct {
		bound  float64
		isTree bool
	}{{60, false}, {95, true}} {
		p := family.Property(1, 20, 6, 2)
		m, err := model.New(p)
		if err != nil {
			t.Fatal(err)
		}
		set := Settings{TimeLimit: -1, Threads: 1}.filled()
		s := newSolver(context.Background(), m, set, time.Now())
		s.cost, s.bound = 100, c.bound
		s.level, s.now = len(smallLevels)-1, smallLevels[len(smallLevels)-1]
		s.nextLevel()
		if got := s.tree != nil; got != c.isTree {
			t.Errorf("bound %v of 100: a tree %v, want %v", c.bound, got, c.isTree)
		}
		if !c.isTree && (s.now.states != blockSizes[len(blockSizes)-1] || s.now.layers != 3 || s.isRootDone) {
			t.Errorf("it goes on with %+v", s.now)
		}
	}
}
