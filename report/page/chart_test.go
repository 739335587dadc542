package page

import "testing"

// TestLegendRows: the names of four seasons and of what rests stand in four rows where a
// chart is narrow, and leave the bars alone.
func TestLegendRows(t *testing.T) {
	for _, c := range []struct {
		names []string
		want  int
	}{
		{nil, 1},
		{[]string{"burned, dormant"}, 1},
		{[]string{"a name that is longer than any chart is wide by itself"}, 1},
		{[]string{"burned, dormant", "burned, early-growing", "rested"}, 2},
		{[]string{"burned, dormant", "burned, early-growing", "burned, summer", "burned, fall", "rested"}, 4},
	} {
		var all []series
		for _, name := range c.names {
			all = append(all, series{name: name})
		}
		if got := legendRows(all); got != c.want {
			t.Errorf("%q: %d rows, want %d", c.names, got, c.want)
		}
	}
}
