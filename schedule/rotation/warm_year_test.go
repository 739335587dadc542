package rotation

import (
	"context"
	"testing"

	"emberquilt/schedule/bench/family"
)

// TestWarmKeepsYearBlocks goes on from a solve whose bound year blocks made: the
// bound is there again at once.
func TestWarmKeepsYearBlocks(t *testing.T) {
	p := family.Property(3, 36, 4, 2)
	cold, err := Solve(context.Background(), p, Settings{Rounds: 45, TimeLimit: -1, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	if cold.Warm.Leaf == nil || len(cold.Warm.Leaf.Years) == 0 {
		t.Fatal("no year blocks in the leaf: the test says nothing")
	}
	warm, err := Solve(context.Background(), p, Settings{Rounds: 2, TimeLimit: -1, Seed: 1, Warm: cold.Warm})
	if err != nil {
		t.Fatal(err)
	}
	without := *cold.Warm
	leaf := *without.Leaf
	leaf.Years, without.Leaf = nil, &leaf
	bare, err := Solve(context.Background(), p, Settings{Rounds: 2, TimeLimit: -1, Seed: 1, Warm: &without})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("bound %.2f cold after %d rounds, %.2f warm after 2, %.2f without year blocks", cold.Answer.Bound, cold.Stats.Rounds, warm.Answer.Bound, bare.Answer.Bound)
	if warm.Answer.Bound < 0.995*cold.Answer.Bound || bare.Answer.Bound > warm.Answer.Bound {
		t.Errorf("bound %v cold, %v warm, %v without year blocks", cold.Answer.Bound, warm.Answer.Bound, bare.Answer.Bound)
	}
}
