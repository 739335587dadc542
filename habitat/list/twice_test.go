package list

import (
	"maps"
	"slices"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
)

// after gives the property as the plan leaves it.
func after(cur *Current, p *Plan) *Current {
	next := *cur
	next.Units, next.Pairs, next.Locks = slices.Clone(cur.Units), slices.Clone(cur.Pairs), slices.Clone(cur.Locks)
	next.Records, next.Contracts, next.Places = slices.Clone(cur.Records), slices.Clone(cur.Contracts), slices.Clone(cur.Places)
	next.Shapes = maps.Clone(cur.Shapes)
	for i := range p.Changes {
		c := &p.Changes[i]
		if c.Action != Added && c.Action != Changed {
			continue
		}
		switch {
		case c.Unit != nil:
			next.Units = put(next.Units, *c.Unit, func(u habitat.Unit) string { return u.ID })
			if c.Shape != nil {
				next.Shapes[c.Unit.ID] = *c.Shape
			}
		case c.Pair != nil:
			next.Pairs = put(next.Pairs, *c.Pair, func(p habitat.Pair) [2]string { return [2]string{p.A, p.B} })
		case c.Burn != nil:
			b := *c.Burn
			if b.ID == 0 {
				b.ID = int64(len(next.Records) + 1)
			}
			next.Records = put(next.Records, b, func(b habitat.BurnRecord) int64 { return b.ID })
		case c.Lock != nil:
			next.Locks = put(next.Locks, *c.Lock, func(l habitat.Lock) [2]any { return [2]any{l.Unit, l.Year} })
		case c.Contract != nil:
			next.Contracts = put(next.Contracts, *c.Contract, func(c habitat.Contract) string { return c.Name })
		case c.Place != nil:
			next.Places = put(next.Places, *c.Place, func(p ground.Place) string { return p.Name })
		}
	}
	return &next
}

func put[V any, K comparable](all []V, v V, key func(V) K) []V {
	if i := slices.IndexFunc(all, func(o V) bool { return key(o) == key(v) }); i >= 0 {
		all[i] = v
		return all
	}
	return append(all, v)
}

func TestTheSameListTwiceChangesNothing(t *testing.T) {
	for _, text := range []string{
		"unit,acres,min_interval,max_interval,estimated_age,seasons\nn1,41,2,4,5,dormant\nn9,5,1,1,,\n",
		"unit,date,acres,through,temp_f,reading_at,notified\nn1,2026-03-01,30,2026-03-02,61,11:00,fire department at 08:00;clinic\n",
		"unit_a,unit_b,kind,shared_feet\nn2,n1,apart,120.5\n", "unit,program_year,what\nn1,2028,rest\n",
		"contract,practice_code,practice_name,standard_date,unit,fiscal_year,acres,feet\nc,338,Burning,2020-09,n1,2028,40,\nc,394,Firebreak,2020-09,n1,2028,,500\n",
	} {
		cur := property(t)
		l := read(t, text, Options{})
		first := plan(t, cur, l)
		if first.IsIdle() {
			t.Errorf("%q changes nothing at all", text)
		}
		if second := plan(t, after(cur, first), l); !second.IsIdle() {
			t.Errorf("%q again: %+v", text, second.Changes)
		}
	}
}
