package bound

import (
	"math/rand/v2"
	"slices"
	"testing"

	"emberquilt/schedule/reference"
	"emberquilt/schedule/rotation/internal/model"
)

// A processor without vector instructions comes to the same bound, prices and
// paths.
func TestEngineWithoutVector(t *testing.T) {
	if !hasVector {
		t.Skip("this processor has no vector instructions that are used here")
	}
	defer func() { hasVector = true }()
	blocks := 0
	for seed := range uint64(40) {
		m, err := model.New(reference.Random(rand.New(rand.NewPCG(seed, 8)), reference.Size{MinUnits: 4, MaxUnits: 9, MaxYears: 9, MinYears: 3}))
		if err != nil {
			t.Fatal(err)
		}
		run := func(vector bool) (float64, []float64, []int16) {
			hasVector = vector
			e := New(m, 1)
			e.SetBlocks(Cover(m, 300, 900))
			for _, b := range e.blocks {
				if b.shape != nil {
					blocks++
				}
			}
			a := NewAscent(e)
			return a.Run(20, model.Inf), e.Price, e.State
		}
		value, price, state := run(true)
		plainValue, plainPrice, plainState := run(false)
		if value != plainValue || !slices.Equal(price, plainPrice) || !slices.Equal(state, plainState) {
			t.Errorf("seed %d: %v with vector instructions, %v without", seed, value, plainValue)
		}
	}
	if blocks < 40 {
		t.Errorf("only %d blocks were compared", blocks)
	}
}

func setVector(on bool) { hasVector = on }
