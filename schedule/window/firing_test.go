package window

import (
	"math"
	"strings"
	"testing"

	"emberquilt/habitat/quantity"

	"pgregory.net/rapid"
)

// A unit of one depth, in chains.
func deep(chains float64) *Card {
	return NewCard(CardInput{Depths: SameDepths(quantity.Chains(chains).Feet())}, nil, nil)
}

func linesOf(n int) *int { return &n }

func TestNeed(t *testing.T) {
	threeHours := limits(t, grass(""))
	threeHours.MinHours = 3
	for _, c := range []struct {
		name   string
		chains float64
		firing Firing
		hours  int
		lines  int
		basis  NeedBasis
		says   string
		warns  string
	}{
		{"exact: 10 acres, 10 chains, backed through whole", 10, Firing{}, 5, 0, FromDepth, "no interior line", ""},
		{"common practice, no source: 9 acres in two pieces, about three hours", math.Sqrt(90), Firing{Lines: linesOf(1)}, 3, 1, OwnLines, "your own 1 interior line", "closer than"},
		{"exact: 40 acres, 20 chains: one line every 10", 20, Firing{}, 5, 1, FromDepth, "planning default that the written plan replaces", ""},
		{"42 chains: five pieces of 8.4", 42, Firing{}, 5, 4, FromDepth, "8.4 chains from one to the next", ""},
		{"shallow: the prescription asks for more", 3, Firing{}, 3, 0, Prescribed, "the prescription asks", ""},
		{"own spacing", 42, Firing{Spacing: 6}, 3, 6, FromDepth, "your own figure", ""},
		{"own hours", 42, Firing{Hours: 4}, 4, 5, OwnHours, "your own number; at 2 chains an hour it takes 5 interior lines", ""},
		{"own hours, very few", 42, Firing{Hours: 1}, 1, 20, OwnHours, "20 interior lines", "closer than the usual"},
		{"no line wanted: 21 hours are said, not hidden", 42, Firing{Lines: linesOf(0)}, 21, 0, OwnLines, "no interior line", "do not fit into the burn hours"},
		{"own lines, the prescription asks for more hours", 11, Firing{Lines: linesOf(1)}, 3, 1, OwnLines, "your own 1 interior line", ""},
		{"own lines in a small unit: the prescription asks for more", 8, Firing{Lines: linesOf(1)}, 3, 1, Prescribed, "the lines are your own number", "closer than"},
		{"wide apart", 40, Firing{Lines: linesOf(1)}, 10, 1, OwnLines, "", "do not fit"},
	} {
		t.Run(c.name, func(t *testing.T) {
			n, ok := deep(c.chains).Need(c.firing, threeHours)
			if !ok || n.Hours != c.hours || n.Lines != c.lines || n.Basis != c.basis || !strings.Contains(n.Words, c.says) {
				t.Errorf("%+v", n)
			}
			if (c.warns == "") != (n.Warning == "") || !strings.Contains(n.Warning, c.warns) {
				t.Errorf("warns %q, want %q", n.Warning, c.warns)
			}
		})
	}
	if n := NeedWithoutDepth(Firing{}, threeHours); n.Hours != 3 || !strings.Contains(n.Words, "no depth is known") {
		t.Errorf("without a depth: %+v", n)
	}
	if n := NeedWithoutDepth(Firing{Hours: 6}, nil); n.Hours != 6 || n.Basis != OwnHours {
		t.Errorf("own hours without a depth: %+v", n)
	}
}

// The hours are enough to back from line to line, one hour fewer is not, and no
// piece is longer than the spacing.
func TestNeedIsTight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := CardInput{BackingRate: quantity.ChainsPerHour(rapid.Float64Range(0.5, 4).Draw(t, "rate"))}
		for i := range in.Depths {
			in.Depths[i] = quantity.Feet(rapid.Float64Range(1, 9000).Draw(t, "depth"))
		}
		f := Firing{Spacing: quantity.Chains(rapid.Float64Range(1, 20).Draw(t, "spacing"))}
		n, ok := NewCard(in, nil, nil).Need(f, nil)
		if !ok || n.Hours < 1 || n.Lines < 0 {
			t.Fatalf("%+v", n)
		}
		longest := 0.0
		for _, depth := range in.Depths {
			lines, between, hours := f.Lay(depth, n.Rate)
			longest = max(longest, float64(hours))
			if float64(between) > float64(f.Spacing.Feet())*(1+1e-9) || math.Abs(float64(between)*float64(lines+1)-float64(depth)) > 1e-6 {
				t.Fatalf("%d lines, %v ft between, in %v ft", lines, between, depth)
			}
			if lines > 0 && float64(depth)/float64(lines) <= float64(f.Spacing.Feet())*(1-1e-9) {
				t.Fatalf("%d lines are one too many for %v ft", lines, depth)
			}
		}
		if float64(n.Hours) < longest-1e-6 || n.Hours > 1 && float64(n.Hours-1) >= longest {
			t.Fatalf("%d hours for %v", n.Hours, longest)
		}
	})
}
