package search

import (
	"context"
	"testing"
)

// warmed gives a walk in the middle of a cycle.
func warmed(b *testing.B, name string) *walk {
	x := New(load(b, name), 1, 0)
	x.Run(context.Background(), int64(x.in.N)*130, 1)
	return x.walks[0]
}

func BenchmarkStep(b *testing.B) {
	for _, name := range []string{"small-105", "medium-101", "large-101"} {
		b.Run(name, func(b *testing.B) {
			x := warmed(b, name)
			b.ReportAllocs()
			b.ResetTimer()
			for k := range b.N {
				i := k % x.N
				x.take(i)
				x.prepare(i)
				x.respond(i, x.burnAt)
				x.put(i, x.path)
			}
		})
	}
}

func BenchmarkParts(b *testing.B) {
	x := warmed(b, "medium-101")
	b.Run("prepare", func(b *testing.B) {
		b.ReportAllocs()
		for k := range b.N {
			x.prepare(k % x.N)
		}
	})
	b.Run("respond", func(b *testing.B) {
		for range b.N {
			x.respond(3, x.burnAt)
		}
	})
	b.Run("shift", func(b *testing.B) {
		for k := range b.N {
			i := k % x.N
			x.take(i)
			x.put(i, x.pathOf(i))
		}
	})
}
