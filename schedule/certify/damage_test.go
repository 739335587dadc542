package certify

import (
	"bytes"
	"context"
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

// goodCertificate makes a certificate that uses everything a certificate can
// hold and claims all that it proves. Its prices are improved by trial, so that
// they matter.
func goodCertificate(t *testing.T, p *problem.Problem) *problem.Certificate {
	t.Helper()
	row := func(kind problem.RowKind, price float64) problem.RowPrice {
		return problem.RowPrice{Row: problem.Row{Kind: kind, Year: 2027}, PerUnit: price}
	}
	pair := func(kind problem.RowKind, year, i, j int, price float64) problem.RowPrice {
		return problem.RowPrice{Row: problem.Row{Kind: kind, Year: year, Pair: [2]int{i, j}}, PerUnit: price}
	}
	plain := problem.Leaf{Prices: []problem.RowPrice{row(problem.RowAcres, 0.1), row(problem.RowBurns, 1), row(problem.RowCost, 0.01),
		row(problem.RowBurnDays, 2), row(problem.RowRefuge, 0.2), row(problem.RowEvenLow, 0.1), row(problem.RowEvenHigh, 0.3),
		row(problem.RowMixLow, 0.2), row(problem.RowMixHigh, 0.1), pair(problem.RowApart, 2027, 0, 1, 3), pair(problem.RowNeighbors, 2028, 2, 3, 4)}}
	for _, r := range newDrawer(rand.New(rand.NewPCG(1, 1)), p).rows() { // every other row
		if !slices.ContainsFunc(plain.Prices, func(o problem.RowPrice) bool { return o.Row == r.Row }) {
			r.PerUnit = min(r.PerUnit, 0.1)
			plain.Prices = append(plain.Prices, r)
		}
	}
	joint := problem.Leaf{
		Prices: []problem.RowPrice{row(problem.RowEvenHigh, 0.3), row(problem.RowBurnDays, 2), pair(problem.RowApart, 2028, 0, 1, 3)},
		Cuts: []problem.Cut{{Year: 2028, Season: -1, Units: []int{0, 1, 2, 3}, Weight: []int{1, 1, 1, 1}, AtMost: 2, Price: 2},
			{Year: 2027, Season: 1, Units: []int{0, 2}, Weight: []int{1, 1}, AtMost: 1, Price: 1}},
		Blocks: []problem.Block{{Units: []int{0, 1, 2}, Share: []float64{1, 0.5, 1}, Shift: []problem.Shift{{Unit: 1, Year: 2029, Price: 1.5}},
			Ages: []problem.AgePrices{{Unit: 1, Year: 2028, Price: []float64{0.25, -1}}}},
			{Units: []int{1, 3}, Share: []float64{0.5, 1}, Shift: []problem.Shift{{Unit: 1, Year: 2029, Price: -1.5}},
				Ages: []problem.AgePrices{{Unit: 1, Year: 2028, Price: []float64{-0.25, 1}}}}},
	}
	year := func(kind problem.YearKind, year int, cell float64, units []int, prices ...float64) problem.YearBlock {
		return problem.YearBlock{Kind: kind, Year: year, Season: -1, Cell: cell, Units: units, Prices: prices}
	}
	joint.Years = []problem.YearBlock{
		year(problem.YearGraph, 2029, 0, []int{0, 1, 2, 3}, 4, 6, 9, -2),
		year(problem.YearMix, 2029, 10, []int{0, 1, 3}, 5, -3, 6),
		year(problem.YearEvenness, 2029, 10, []int{0, 1, 2, 3}, 5, 10, -4, 10),
		year(problem.YearAcres, 2028, 10, []int{1, 2, 3}, 4, 6, 7),
		year(problem.YearBurns, 2028, 1, []int{0, 1, 2, 3}, 3, 4, 5, 6),
		year(problem.YearCost, 2028, 50, []int{0, 1, 2, 3}, 2, 3, 5, 6),
		year(problem.YearBurnDays, 2028, 0.5, []int{0, 2, 3}, 4, 8, 5),
	}
	joint.Years[6].Season = 1
	c := &problem.Certificate{ProblemSHA256: p.SHA256, Shared: []problem.Leaf{plain},
		Tree: &problem.Node{Unit: 3, Year: 2027, InSeason: true, Season: 1, Burn: &problem.Node{Use: 0},
			Rest: &problem.Node{Unit: 2, Year: 2027, Burn: &problem.Node{Leaf: &joint}, Rest: &problem.Node{Use: 0}}}}
	improve(t, p, c, &c.Shared[0], &joint)
	return c
}

// improve moves prices at random, keeps what proves more, and lets the
// certificate claim all that it proves then.
func improve(t *testing.T, p *problem.Problem, c *problem.Certificate, leaves ...*problem.Leaf) {
	t.Helper()
	r := rand.New(rand.NewPCG(1, 2))
	best := certified(t, p, c).Bound
	for range 6000 {
		leaf := leaves[r.IntN(len(leaves))]
		price := &leaf.Prices[r.IntN(len(leaf.Prices))].PerUnit
		if len(leaf.Cuts) > 0 && r.IntN(3) == 0 {
			price = &leaf.Cuts[r.IntN(len(leaf.Cuts))].Price
		}
		old := *price
		*price = max(0.001, old*(0.4+1.2*r.Float64()))
		if len(leaf.Years) > 0 && r.IntN(2) == 0 {
			*price = old
			b := &leaf.Years[r.IntN(len(leaf.Years))]
			price = &b.Prices[r.IntN(len(b.Prices))]
			old = *price
			*price = old*(0.5+r.Float64()) + r.NormFloat64()
		}
		c.Bound = lowest
		got, err := Bound(context.Background(), p, c)
		if err != nil || got.Bound < best {
			*price = old
			continue
		}
		best = got.Bound
	}
	c.Bound = best
}

// object finds a value of a decoded file by keys and indices.
func at(v any, path ...any) any {
	for _, step := range path {
		switch step := step.(type) {
		case string:
			v = v.(map[string]any)[step]
		case int:
			v = v.([]any)[step]
		}
	}
	return v
}

func set(m any, value any, path ...any) {
	last := len(path) - 1
	switch key := path[last].(type) {
	case string:
		at(m, path[:last]...).(map[string]any)[key] = value
	case int:
		at(m, path[:last]...).([]any)[key] = value
	}
}

func drop(m any, path ...any) {
	delete(at(m, path[:len(path)-1]...).(map[string]any), path[len(path)-1].(string))
}

func push(m any, value any, path ...any) { set(m, append(at(m, path...).([]any), value), path...) }

// TestDamageIsRefused does one kind of damage each to a good certificate's file.
func TestDamageIsRefused(t *testing.T) {
	p := readText(t, strings.Replace(pastures, `"locks": [`, `"weights": {"overdue": 0.2, "evenness": 3, "mix": 4, "neighbours": 2}, "locks": [`, 1))
	best, ok := reference.Optimum(p)
	if !ok {
		t.Fatal("no plan")
	}
	c := goodCertificate(t, p)
	t.Logf("the certificate proves %v of %v", c.Bound, best.Cost)
	var b bytes.Buffer
	if err := problem.WriteCertificate(&b, c, p); err != nil {
		t.Fatal(err)
	}
	good := b.String()
	verify := func(text string) error {
		got, err := problem.ReadCertificate(strings.NewReader(text), "c", p)
		if err != nil {
			return err
		}
		_, err = Bound(context.Background(), p, got)
		return err
	}
	if err := verify(good); err != nil {
		t.Fatal("the undamaged certificate is refused:", err)
	}
	refused := func(name, text, want string) {
		t.Run(name, func(t *testing.T) {
			if text == good {
				t.Fatal("the damage does nothing")
			}
			err := verify(text)
			if err == nil {
				t.Fatal("accepted")
			}
			if !strings.Contains(err.Error(), want) {
				t.Errorf("got %v, want %s", err, want)
			}
		})
	}
	replace := func(old, text string) string {
		if !strings.Contains(good, old) {
			t.Fatalf("the certificate does not hold %s:\n%s", old, good)
		}
		return strings.Replace(good, old, text, 1)
	}
	refused("empty", "", "the file is empty")
	refused("braces only", "{}", "the key format is missing")
	refused("a tenth", good[:len(good)/10], "ends early")
	refused("half", good[:len(good)/2], "ends early")
	refused("all but the last brace", strings.TrimRight(good, "}\n"), "ends early")
	refused("a zero byte", good[:200]+"\x00"+good[201:], "zero byte")
	refused("a byte that is not text", good[:200]+"\xff"+good[201:], "not UTF-8")
	refused("byte-order mark", "\ufeff"+good, "byte-order mark")
	refused("two files", good+good, "after the end")
	refused("NaN", replace(`"price": `, `"price": NaN, "x": `), "not a JSON value")
	refused("infinite price", replace(`"price": `, `"price": 1e309, "x": `), "too large")
	refused("digits for a key", replace(`"price"`, `"prize"`), "unknown key")

	years := func(path ...any) []any { return append([]any{"tree", "rest", "burn", "years"}, path...) }
	const foreign = "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"
	for _, d := range []struct {
		name, want string
		do         func(m any)
	}{
		{"another problem", "the certificate is for the problem", func(m any) { set(m, foreign, "problem_sha256") }},
		{"short hash", "not an SHA-256", func(m any) { set(m, foreign[1:], "problem_sha256") }},
		{"another format", "another format", func(m any) { set(m, "rotation-certificate/2", "format") }},
		{"no bound", "the key bound is missing", func(m any) { drop(m, "bound") }},
		{"bound as text", "not a number", func(m any) { set(m, "12", "bound") }},
		{"a little more", "claims", func(m any) { set(m, c.Bound+1e-9, "bound") }},
		{"far more", "claims", func(m any) { set(m, 1e200, "bound") }},
		{"no tree", "the key tree is missing", func(m any) { drop(m, "tree") }},
		{"tree null", "not an object", func(m any) { set(m, nil, "tree") }},
		{"no burn branch", "other keys than these", func(m any) { drop(m, "tree", "burn") }},
		{"no rest branch", "other keys than these", func(m any) { drop(m, "tree", "rest") }},
		{"unknown unit", "is unknown", func(m any) { set(m, "q", "tree", "unit") }},
		{"year outside", "not one of these", func(m any) { set(m, 2031, "tree", "year") }},
		{"unknown season", "is unknown", func(m any) { set(m, "fall", "tree", "season") }},
		{"no shared leaves", "count of shared leaves", func(m any) { drop(m, "shared") }},
		{"shared leaf that is not there", "uses shared leaf 1", func(m any) { set(m, 1, "tree", "burn", "use") }},
		{"shared leaf −1", "not one of these", func(m any) { set(m, -1, "tree", "burn", "use") }},
		{"leaf and use", "other keys than these", func(m any) { set(m, []any{}, "tree", "burn", "prices") }},
		{"a price doubled", "claims", func(m any) {
			x := at(m, "shared", 0, "prices", 0, "price").(float64)
			set(m, 2*x+10, "shared", 0, "prices", 0, "price")
		}},
		{"negative price", "out of its range", func(m any) { set(m, -1, "shared", 0, "prices", 0, "price") }},
		{"price above the mix weight", "out of its range", func(m any) { set(m, 4.0000001, "shared", 0, "prices", 7, "price") }},
		{"price above the evenness weight", "out of its range", func(m any) { set(m, 3.5, "shared", 0, "prices", 6, "price") }},
		{"price above the neighbors' acres", "out of its range", func(m any) { set(m, 60.001, "shared", 0, "prices", 10, "price") }},
		{"row twice", "is named twice", func(m any) { push(m, at(m, "shared", 0, "prices", 2), "shared", 0, "prices") }},
		{"unknown kind of row", "not a kind of row", func(m any) { set(m, "rain", "shared", 0, "prices", 0, "row") }},
		{"row without its key", "is missing", func(m any) { drop(m, "shared", 0, "prices", 3, "season") }},
		{"row of a pair that is none", "there is no such pair", func(m any) { set(m, []any{"a", "d"}, "shared", 0, "prices", 9, "pair") }},
		{"neighbors for apart", "there is no such pair", func(m any) { set(m, "neighbours", "shared", 0, "prices", 9, "row") }},
		{"row year outside", "not one of these", func(m any) { set(m, 2026, "shared", 0, "prices", 0, "year") }},
		{"row year moved", "is named twice", func(m any) { set(m, 2030, "shared", 0, "prices", 3, "year") }},
		{"unknown class", "is unknown", func(m any) { set(m, "z", "shared", 0, "prices", 7, "class") }},
		{"cut that does not hold", "does not hold", func(m any) { set(m, 1, "tree", "rest", "burn", "cuts", 0, "at_most") }},
		{"cut of less than nothing", "not one of these", func(m any) { set(m, -1, "tree", "rest", "burn", "cuts", 0, "at_most") }},
		{"cut with weight 0", "not one of these", func(m any) { set(m, 0, "tree", "rest", "burn", "cuts", 0, "weight", 0) }},
		{"cut with half a weight", "not one of these", func(m any) { set(m, 1.5, "tree", "rest", "burn", "cuts", 0, "weight", 0) }},
		{"cut with a weight more", "weights for", func(m any) { push(m, 1, "tree", "rest", "burn", "cuts", 0, "weight") }},
		{"cut with a heavy unit", "does not hold", func(m any) { set(m, 3, "tree", "rest", "burn", "cuts", 0, "weight", 3) }},
		{"cut out of order", "ascending order", func(m any) { set(m, []any{"a", "b", "d", "c"}, "tree", "rest", "burn", "cuts", 0, "units") }},
		{"cut with a unit twice", "ascending order", func(m any) { set(m, []any{"a", "b", "c", "c"}, "tree", "rest", "burn", "cuts", 0, "units") }},
		{"cut without season", "does not hold", func(m any) { drop(m, "tree", "rest", "burn", "cuts", 1, "season") }},
		{"cut with negative price", "out of its range", func(m any) { set(m, -0.5, "tree", "rest", "burn", "cuts", 0, "price") }},
		{"block without units", "no units", func(m any) { push(m, map[string]any{"units": []any{}}, "tree", "rest", "burn", "blocks") }},
		{"block out of order", "ascending order", func(m any) { set(m, []any{"b", "a", "c"}, "tree", "rest", "burn", "blocks", 0, "units") }},
		{"block with a unit twice", "ascending order", func(m any) { set(m, []any{"b", "b"}, "tree", "rest", "burn", "blocks", 1, "units") }},
		{"block more", "sum to 2", func(m any) { push(m, map[string]any{"units": []any{"c"}}, "tree", "rest", "burn", "blocks") }},
		{"shares that sum to less", "not to 1", func(m any) { set(m, 0.4999999, "tree", "rest", "burn", "blocks", 0, "share", 1) }},
		{"negative share", "out of its range", func(m any) { set(m, -0.5, "tree", "rest", "burn", "blocks", 0, "share", 1) }},
		{"share missing", "shares for", func(m any) { set(m, []any{1, 0.5}, "tree", "rest", "burn", "blocks", 0, "share") }},
		{"shares for one block only", "not to 1", func(m any) { drop(m, "tree", "rest", "burn", "blocks", 1, "share") }},
		{"shift that is not taken back", "not to 0", func(m any) { set(m, 1.5000001, "tree", "rest", "burn", "blocks", 0, "shift", 0, "price") }},
		{"shift of another year", "not to 0", func(m any) { set(m, 2028, "tree", "rest", "burn", "blocks", 0, "shift", 0, "year") }},
		{"shift of a unit outside", "does not have", func(m any) { set(m, "d", "tree", "rest", "burn", "blocks", 0, "shift", 0, "unit") }},
		{"shift twice", "named twice", func(m any) {
			push(m, at(m, "tree", "rest", "burn", "blocks", 0, "shift", 0), "tree", "rest", "burn", "blocks", 0, "shift")
		}},
		{"price of an age that is not taken back", "at age 1 in 2028 sum to", func(m any) { set(m, -1.000001, "tree", "rest", "burn", "blocks", 0, "ages", 0, "prices", 1) }},
		{"ages of another year", "sum to", func(m any) { set(m, 2029, "tree", "rest", "burn", "blocks", 0, "ages", 0, "year") }},
		{"ages of a unit outside", "does not have", func(m any) { set(m, "d", "tree", "rest", "burn", "blocks", 0, "ages", 0, "unit") }},
		{"ages twice", "priced twice", func(m any) {
			push(m, at(m, "tree", "rest", "burn", "blocks", 0, "ages", 0), "tree", "rest", "burn", "blocks", 0, "ages")
		}},
		{"no price of an age", "prices of ages", func(m any) { set(m, []any{}, "tree", "rest", "burn", "blocks", 0, "ages", 0, "prices") }},
		{"an age of one block only", "at age 2 in 2028 sum to", func(m any) { push(m, 0.75, "tree", "rest", "burn", "blocks", 0, "ages", 0, "prices") }},
		{"ages beyond the last that matters", "accepts 1 to", func(m any) {
			for _, k := range []int{0, 1} {
				for range 20 {
					push(m, 0.0, "tree", "rest", "burn", "blocks", k, "ages", 0, "prices")
				}
			}
		}},
		{"a block taken apart", "not to", func(m any) {
			set(m, []any{at(m, "tree", "rest", "burn", "blocks", 0)}, "tree", "rest", "burn", "blocks")
		}},
		{"mix paid without a unit", "without unit d", func(m any) {
			set(m, []any{"m"}, "tree", "rest", "burn", "blocks", 0, "mixes")
		}},
		{"unknown mix", "is unknown", func(m any) { set(m, []any{"q"}, "tree", "rest", "burn", "blocks", 0, "mixes") }},
		{"mix paid twice", "paid twice", func(m any) {
			set(m, []any{"a", "b", "c", "d"}, "tree", "rest", "burn", "blocks", 0, "units")
			set(m, []any{1, 0.5, 1, 0.5}, "tree", "rest", "burn", "blocks", 0, "share")
			set(m, []any{"m", "m"}, "tree", "rest", "burn", "blocks", 0, "mixes")
			set(m, []any{0.5, 0.5}, "tree", "rest", "burn", "blocks", 1, "share")
		}},
		{"price of a mix that is paid", "pays for the mix", func(m any) {
			set(m, []any{"a", "b", "c", "d"}, "tree", "rest", "burn", "blocks", 0, "units")
			set(m, []any{1, 0.5, 1, 0.5}, "tree", "rest", "burn", "blocks", 0, "share")
			set(m, []any{"m"}, "tree", "rest", "burn", "blocks", 0, "mixes")
			set(m, []any{0.5, 0.5}, "tree", "rest", "burn", "blocks", 1, "share")
			push(m, map[string]any{"row": "mix_low", "mix": "m", "class": "x", "year": 2029, "price": 1}, "tree", "rest", "burn", "prices")
		}},
		{"neighbors paid twice", "which pays for it", func(m any) {
			set(m, []any{"a", "b", "c", "d"}, "tree", "rest", "burn", "blocks", 0, "units")
			set(m, []any{1, 0.5, 1, 0.5}, "tree", "rest", "burn", "blocks", 0, "share")
			set(m, []any{0.5, 0.5}, "tree", "rest", "burn", "blocks", 1, "share")
			push(m, map[string]any{"row": "neighbours", "pair": []any{"c", "d"}, "year": 2029, "price": 1}, "tree", "rest", "burn", "prices")
		}},
		{"year block without kind", "the key kind is missing", func(m any) { drop(m, years(0, "kind")...) }},
		{"unknown kind of year block", "not a kind of year block", func(m any) { set(m, "rain", years(0, "kind")...) }},
		{"graph with cells", "does not have", func(m any) { set(m, 1, years(0, "cell")...) }},
		{"year block of a year outside", "not one of these", func(m any) { set(m, 2031, years(0, "year")...) }},
		{"year block without prices", "the key prices is missing", func(m any) { drop(m, years(1, "prices")...) }},
		{"year block with a price more", "prices for", func(m any) { push(m, 1, years(1, "prices")...) }},
		{"year block out of order", "ascending order", func(m any) { set(m, []any{"b", "a", "d"}, years(1, "units")...) }},
		{"year block with a unit twice", "ascending order", func(m any) { set(m, []any{"a", "a", "d"}, years(1, "units")...) }},
		{"year block with an unknown unit", "is unknown", func(m any) { set(m, []any{"a", "b", "q"}, years(1, "units")...) }},
		{"unit of another mix", "is not of mix", func(m any) { set(m, []any{"a", "b", "c"}, years(1, "units")...) }},
		{"year block of an unknown mix", "is unknown", func(m any) { set(m, "q", years(1, "mix")...) }},
		{"year block of an unknown class", "is unknown", func(m any) { set(m, "z", years(1, "class")...) }},
		{"mix block without class", "is missing", func(m any) { drop(m, years(1, "class")...) }},
		{"class for a text", "is not text", func(m any) { set(m, 1, years(1, "class")...) }},
		{"no cell", "the key cell is missing", func(m any) { drop(m, years(1, "cell")...) }},
		{"cell of nothing", "out of its range", func(m any) { set(m, 0, years(1, "cell")...) }},
		{"negative cell", "out of its range", func(m any) { set(m, -10, years(1, "cell")...) }},
		{"cell too fine", "too many cells", func(m any) { set(m, 1e-9, years(1, "cell")...) }},
		{"class paid twice", "paid twice", func(m any) { push(m, at(m, years(1)...), years()...) }},
		{"evenness paid twice", "paid twice", func(m any) { push(m, at(m, years(2)...), years()...) }},
		{"season of a cap on acres", "does not have", func(m any) { set(m, "late", years(3, "season")...) }},
		{"burn days without season", "is missing", func(m any) { drop(m, years(6, "season")...) }},
		{"burn days of an unknown season", "is unknown", func(m any) { set(m, "fall", years(6, "season")...) }},
		{"price of a year block as text", "not a number", func(m any) { set(m, "4", years(0, "prices", 0)...) }},
		{"price of a year block beyond all numbers", "not a number to add up", func(m any) { set(m, 1e300, years(0, "prices", 0)...) }},
		{"price of a year block changed", "claims", func(m any) { set(m, 1e4, years(0, "prices", 2)...) }},
		{"price of a mix block changed", "claims", func(m any) { set(m, -1e4, years(1, "prices", 2)...) }},
		{"price of a burn-day block changed", "claims", func(m any) { set(m, 1e4, years(6, "prices", 1)...) }},
		{"price of neighbors that a year pays", "a year block pays for it", func(m any) {
			push(m, map[string]any{"row": "neighbours", "pair": []any{"c", "d"}, "year": 2029, "price": 1}, "tree", "rest", "burn", "prices")
		}},
		{"price of a class that a year pays", "a year block pays for it", func(m any) {
			push(m, map[string]any{"row": "mix_high", "mix": "m", "class": "x", "year": 2029, "price": 1}, "tree", "rest", "burn", "prices")
		}},
		{"low price of a class that a year pays", "a year block pays for it", func(m any) {
			push(m, map[string]any{"row": "mix_low", "mix": "m", "class": "x", "year": 2029, "price": 1}, "tree", "rest", "burn", "prices")
		}},
		{"price of evenness that a year pays", "a year block pays for it", func(m any) {
			push(m, map[string]any{"row": "even_high", "year": 2029, "price": 1}, "tree", "rest", "burn", "prices")
		}},
		{"mix of a year block that a block pays", "is paid by a block", func(m any) {
			set(m, []any{"a", "b", "c", "d"}, "tree", "rest", "burn", "blocks", 0, "units")
			set(m, []any{1, 0.5, 1, 0.5}, "tree", "rest", "burn", "blocks", 0, "share")
			set(m, []any{"m"}, "tree", "rest", "burn", "blocks", 0, "mixes")
			set(m, []any{0.5, 0.5}, "tree", "rest", "burn", "blocks", 1, "share")
		}},
		{"years in a split", "other keys than these", func(m any) { set(m, []any{}, "tree", "years") }},
		{"years no list", "not a list", func(m any) { set(m, 7, years()...) }},
	} {
		var m any
		if err := json.Unmarshal([]byte(good), &m); err != nil {
			t.Fatal(err)
		}
		d.do(m)
		text, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		refused(d.name, string(text), d.want)
	}

	t.Run("another problem by one byte", func(t *testing.T) {
		q := readText(t, strings.Replace(pastures, `"acres": 10`, `"acres": 11`, 1))
		got, err := problem.ReadCertificate(strings.NewReader(good), "c", q)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Bound(context.Background(), q, got); err == nil || !strings.Contains(err.Error(), "SHA-256") {
			t.Error(err)
		}
	})
	t.Run("answer above the certificate", func(t *testing.T) {
		a := answerOf(p, best)
		a.Bound = c.Bound + 1e-6
		a.Gap, a.Status = problem.GapOf(a.Cost, a.Bound), problem.Feasible
		r, err := Check(context.Background(), p, a, c)
		if err != nil || len(r.Violations) != 1 || r.Violations[0].Where != "bound" {
			t.Errorf("%v %v", r.Violations, err)
		}
		a.Bound = c.Bound
		a.Gap = problem.GapOf(a.Cost, a.Bound)
		if r, err = Check(context.Background(), p, a, c); err != nil || !r.OK() || !r.HasCertificate {
			t.Errorf("%v %v", r.Violations, err)
		}
	})
}

// TestLessProvesLess takes prices, cuts and blocks away from leaves that prove
// all they can: without most of them they prove less than they claim.
func TestLessProvesLess(t *testing.T) {
	p := readText(t, strings.Replace(pastures, `"locks": [`, `"weights": {"overdue": 0.2, "evenness": 3, "mix": 4, "neighbours": 2}, "locks": [`, 1))
	whole := goodCertificate(t, p)
	refused := 0
	for _, leaf := range []problem.Leaf{whole.Shared[0], *whole.Tree.Rest.Burn.Leaf} {
		full := &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Leaf: &leaf}}
		improve(t, p, full, &leaf)
		claim := full.Bound
		try := func(less problem.Leaf) {
			c := &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Leaf: &less}}
			value := certified(t, p, c).Bound
			c.Bound = claim
			_, err := Bound(context.Background(), p, c)
			if (value < claim) != (err != nil && strings.Contains(err.Error(), "claims")) {
				t.Errorf("claims %v, is worth %v: %v", claim, value, err)
			}
			if err != nil {
				refused++
			}
		}
		for k := range leaf.Prices {
			less := leaf
			less.Prices = slices.Delete(slices.Clone(leaf.Prices), k, k+1)
			try(less)
			less.Prices = slices.Clone(leaf.Prices)
			less.Prices[k].PerUnit *= 0.999999
			try(less)
		}
		for k := range leaf.Cuts {
			less := leaf
			less.Cuts = slices.Delete(slices.Clone(leaf.Cuts), k, k+1)
			try(less)
		}
		for k := range leaf.Years {
			less := leaf
			less.Years = slices.Delete(slices.Clone(leaf.Years), k, k+1)
			try(less)
			for n := range leaf.Years[k].Prices {
				less.Years = slices.Clone(leaf.Years)
				b := &less.Years[k]
				b.Prices = slices.Clone(b.Prices)
				b.Prices[n] += 1e-3
				try(less)
				b.Prices[n] -= 2e-3
				try(less)
			}
			for _, cell := range []float64{0.3, 7, 1000} {
				less.Years = slices.Clone(leaf.Years)
				if less.Years[k].Cell > 0 {
					less.Years[k].Cell = cell
					try(less)
				}
			}
		}
		less := leaf
		less.Blocks = nil
		try(less)
	}
	t.Logf("%d were worth less", refused)
	if refused < 25 {
		t.Errorf("only %d were worth less", refused)
	}
}

// TestMemoryDamage does what no file can: nodes and numbers that a reader would
// not give.
func TestMemoryDamage(t *testing.T) {
	p := readText(t, pastures)
	leaf := func() *problem.Node { return &problem.Node{Leaf: &problem.Leaf{}} }
	for _, d := range []struct {
		name, want string
		c          *problem.Certificate
	}{
		{"nothing", "the certificate is empty", nil},
		{"no tree", "the certificate is empty", &problem.Certificate{ProblemSHA256: p.SHA256}},
		{"no hash", "the certificate is for", &problem.Certificate{Tree: leaf()}},
		{"one branch", "one branch only", &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Year: 2027, Burn: leaf()}}},
		{"split and leaf", "a split and a leaf", &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Year: 2027, Burn: leaf(), Rest: leaf(), Leaf: &problem.Leaf{}}}},
		{"use of nothing", "uses shared leaf 0 of 0", &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{}}},
		{"no such year", "does not have", &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Year: 1, Burn: leaf(), Rest: leaf()}}},
		{"price no number", "out of its range", &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Leaf: &problem.Leaf{
			Prices: []problem.RowPrice{{Row: problem.Row{Kind: problem.RowAcres, Year: 2027}, PerUnit: nan}}}}}},
		{"prices beyond all numbers", "too large to add up", &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Leaf: &problem.Leaf{
			Prices: []problem.RowPrice{{Row: problem.Row{Kind: problem.RowAcres, Year: 2027}, PerUnit: 1e308}}}}}},
		{"share no number", "out of its range", &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Leaf: &problem.Leaf{
			Blocks: []problem.Block{{Units: []int{0}, Share: []float64{nan}}}}}}},
		{"bound no number", "which is not a bound", &problem.Certificate{ProblemSHA256: p.SHA256, Bound: nan, Tree: leaf()}},
		{"kind of row", "no such kind of row", &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Leaf: &problem.Leaf{
			Prices: []problem.RowPrice{{Row: problem.Row{Kind: "rain", Year: 2027}}}}}}},
		{"no such class", "no such age class", &problem.Certificate{ProblemSHA256: p.SHA256, Tree: &problem.Node{Leaf: &problem.Leaf{
			Prices: []problem.RowPrice{{Row: problem.Row{Kind: problem.RowMixLow, Year: 2027, Class: 7}}}}}}},
	} {
		t.Run(d.name, func(t *testing.T) {
			if _, err := Bound(context.Background(), p, d.c); err == nil || !strings.Contains(err.Error(), d.want) {
				t.Errorf("got %v, want %s", err, d.want)
			}
		})
	}
	if _, err := Bound(context.Background(), p, &problem.Certificate{ProblemSHA256: p.SHA256, Tree: leaf()}); err != nil {
		t.Error("an honest 0 is refused:", err)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Bound(ctx, p, &problem.Certificate{ProblemSHA256: p.SHA256, Tree: leaf()}); err == nil {
		t.Error("a check that was stopped says that all is well")
	}
}
