package view

import (
	"slices"
	"testing"

	"emberquilt/schedule/problem"
)

// A plan that burns almost everything in one year says so, unless somebody set the share
// that may: a warning follows from what burns, not from how good the plan is.
func TestYearsThatLeaveNothingUnburned(t *testing.T) {
	units := func(refuge int, acres ...float64) *layout {
		p := &problem.Problem{FirstYear: 2027, Years: 2, Refuges: []problem.Refuge{{Name: "all", MaxShare: 1}}}
		l := &layout{Plan: &Plan{Problem: p}}
		for i, a := range acres {
			p.Units = append(p.Units, problem.Unit{Acres: a, Refuge: refuge})
			l.season = append(l.season, []int{0, -1}) // all burn in 2027
			if i == 0 {
				l.season[0][1] = 0 // and the first again in 2028
			}
		}
		return l
	}
	const all = "2027 burns 100.0 of 100.0 acres at once, which leaves little or nothing unburned for what lives there; a refuge group (max_share in the settings, the column refuge of the units) keeps a share of the ground unburned each year"
	const both = "2027 burns 100.0 of 100.0 acres and 2028 burns 76.0 of 100.0 acres at once, which leaves little or nothing unburned for what lives there; a refuge group (max_share in the settings, the column refuge of the units) keeps a share of the ground unburned each year"
	for _, c := range []struct {
		name string
		l    *layout
		want []string
	}{
		{"all in 2027", units(-1, 75, 25), []string{all}}, // 25 acres are left in 2028: a quarter
		{"two years", units(-1, 76, 24), []string{both}},
		{"asked for", units(0, 76, 24), nil},
		{"one unit", units(-1, 100), nil},
	} {
		if got := c.l.unasked(100); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q", c.name, got)
		}
	}
}
