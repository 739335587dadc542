package habitat

import (
	"math/rand/v2"
	"slices"
	"testing"

	"emberquilt/habitat/date"
)

// TestClosedDaysAndClosedSpansAgree asks both questions about every day of two
// years, with closures over the turn of the year and on a leap day.
func TestClosedDaysAndClosedSpansAgree(t *testing.T) {
	const seed = 7
	random := rand.New(rand.NewPCG(seed, 0))
	span := date.Span{First: date.MustDay(2027, 3, 1), Last: date.MustDay(2029, 2, 28)}
	closedDays, openDays := 0, 0
	for range 40 {
		var p Property
		for range 1 + random.IntN(3) {
			c := Closure{Name: "c", Units: [][]string{nil, {"a"}, {"b", "c"}}[random.IntN(3)]}
			if random.IntN(2) == 0 {
				first := span.First.AddDays(random.IntN(700) - 30)
				c.Once = &date.Span{First: first, Last: first.AddDays(random.IntN(200))}
			} else {
				day := func() date.Annual {
					d := date.MustDay(2028, 1, 1).AddDays(random.IntN(366))
					return date.Annual{Month: d.Month, Dom: d.Dom}
				}
				c.Yearly = &date.AnnualSpan{First: day(), Last: day()}
			}
			p.Closures = append(p.Closures, c)
		}
		for _, unit := range []string{"", "a", "b"} {
			spans := p.ClosedIn(unit, span)
			for d := span.First; !d.After(span.Last); d = d.AddDays(1) {
				inSpan := slices.ContainsFunc(spans, func(s date.Span) bool { return s.Has(d) })
				if closed := p.IsClosed(unit, d); closed != inSpan {
					t.Fatalf("seed %d: %s for unit %q: closed is %v, in a closed span %v: %+v", seed, d, unit, closed, inSpan, p.Closures)
				} else if closed {
					closedDays++
				} else {
					openDays++
				}
			}
		}
	}
	if closedDays == 0 || openDays == 0 {
		t.Errorf("%d closed and %d open days: nothing was told apart", closedDays, openDays)
	}
}

func TestClosuresOfOneUnitLeaveTheOthersOpen(t *testing.T) {
	p := Property{Closures: []Closure{{Name: "nesting", Yearly: &date.AnnualSpan{First: date.Annual{Month: 4, Dom: 15}, Last: date.Annual{Month: 7, Dom: 15}}, Units: []string{"a"}}}}
	d := date.MustDay(2027, 5, 1)
	if !p.IsClosed("a", d) || p.IsClosed("b", d) || p.IsClosed("", d) || p.IsClosed("a", date.MustDay(2027, 7, 16)) {
		t.Error("a closure of unit a holds another unit, the whole property or another day")
	}
}
