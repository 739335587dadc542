package search

import (
	"context"
	"slices"
	"testing"
)

// Vector instructions find what plain Go finds, to the last bit: an answer must not
// depend on the machine.
func TestVectorIsPlain(t *testing.T) {
	if !hasVector {
		t.Skip("no vector instructions")
	}
	fits, tried := 0, map[int]int{}
	for _, name := range []string{"tiny-101", "tiny-107", "small-105", "medium-101", "medium-103", "medium-104", "real-102"} {
		x := New(load(t, name), 1, 0)
		if !x.in.fitsVector {
			continue
		}
		fits++
		x.Run(context.Background(), int64(30*x.in.N), 1)
		w := x.walks[0]
		for k := range 300 + 3*w.N {
			i := w.rng.IntN(w.N)
			w.take(i)
			tried[w.ages[i].wide]++
			bits := w.rng.Uint64()
			type found struct {
				burnAt, classAt []float64
				burnIn          []int64
				cost            float64
				path            []int8
			}
			find := func(isVector bool) (f found) {
				w.isVector = isVector
				w.prepare(i)
				f.burnAt, f.burnIn = slices.Clone(w.burnAt[:w.T]), slices.Clone(w.burnIn[:w.T])
				for t := range w.T {
					for c := range w.ages[i].class[:w.lastAge[i]+1] {
						f.classAt = append(f.classAt, w.classAt[t*w.classWide+int(w.ages[i].class[c])])
					}
				}
				w.noise.add(w.noisy[:w.T], w.burnAt[:w.T], 20, bits)
				f.cost = w.respond(i, w.noisy)
				f.path = slices.Clone(w.path)
				return f
			}
			a, b := find(true), find(false)
			if !slices.Equal(a.burnAt, b.burnAt) || !slices.Equal(a.burnIn, b.burnIn) || !slices.Equal(a.classAt, b.classAt) {
				t.Fatalf("%s, unit %d, trial %d: prepared %v and plain %v", name, i, k, a, b)
			}
			if a.cost != b.cost || !slices.Equal(a.path, b.path) {
				t.Fatalf("%s, unit %d, trial %d: %v by %v and plain %v by %v", name, i, k, a.cost, a.path, b.cost, b.path)
			}
			w.put(i, w.path)
		}
	}
	if fits < 5 || tried[vectorAges/2] < 1000 || tried[vectorAges] < 100 {
		t.Errorf("%d problems fit vector instructions, units of so many ages %v", fits, tried)
	}
}
