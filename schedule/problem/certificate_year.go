package problem

import (
	"slices"

	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

// YearKind says what a year block is about.
type YearKind string

// The kinds of year blocks. All but YearGraph hold one sum of a year.
const (
	// YearGraph is about which units may burn together.
	YearGraph YearKind = "graph"
	// YearMix is about the acres that end the year in one class of a mix.
	YearMix YearKind = "mix"
	// YearEvenness is about the acres burned, cap and evenness band.
	YearEvenness YearKind = "evenness"
	// YearAcres, YearBurns, YearCost and YearBurnDays are about one cap.
	YearAcres    YearKind = "acres"
	YearBurns    YearKind = "burns"
	YearCost     YearKind = "cost"
	YearBurnDays YearKind = "burn_days"
)

// YearKinds lists all kinds.
var YearKinds = []YearKind{YearGraph, YearMix, YearEvenness, YearAcres, YearBurns, YearCost, YearBurnDays}

// MaxYearGroup is up to how many units a refuge group may have for graph blocks
// to keep its share.
const MaxYearGroup = 12

// YearBlock is one program year of many units, as a small program of its own. It
// chooses a set of units, and its value is the least of what the set costs less
// the prices of its units. Each unit pays its price in return wherever it does
// what the block chooses about: a burn in the year (in Season, for burn days), or,
// for a mix, to end the year in the class. In a plan the two cancel, so that any
// prices are valid. A unit that is not named has price 0.
//
//	kind        sets                                       cost
//	graph       no apart pair, no refuge group above its   each neighbor pair of named
//	            share, by the named units alone            units that no block pays
//	mix         any of the units of the mix                w_mix · (lo A − acres, or acres − hi A)
//	evenness    any whose acres are within the cap         w_evenness · (lo − acres, or acres − hi)
//	acres …     any whose sum is within the cap            0
//
// Of a group with more than MaxYearGroup units a graph block does not keep the
// share. A pair inside a unit block may be split; see Split. What a year block pays may not be paid again: no price may be named for
// neighbor pairs of that year that a graph block pays, for the evenness rows of
// a year with an evenness block, nor for the rows of a class and year with a mix
// block; a mix that a unit block pays has no mix blocks; and a class and year, a
// year's evenness, and a neighbor pair and year belong to one year block at most.
//
// A sum is searched over counts of cells: a unit takes the whole number k of cells
// next to its amount a. A set of K cells comes to cell·K and the sum of a − cell·k
// over its units, which is counted exactly where it adds to cost, and allowed for
// where it decides on a cap: any Cell above 0 is valid.
type YearBlock struct {
	Kind YearKind
	Year int
	// Season is that of burn days, else −1; Mix and Class are those of a mix.
	Season, Mix, Class int
	// Cell is how much of a sum a cell is; 0 for a graph.
	Cell float64
	// Units holds unit indices, ascending, Prices one price each.
	Units  []int
	Prices []float64
	// Split names neighbor pairs of named units that are inside a block, and what a
	// graph block pays of their cost in the year: the block pays so much less.
	Split []PairCost
}

// PairCost is a pair of units, the lower first, and a part of what it costs.
type PairCost struct {
	Pair [2]int
	Cost float64
}

// keys gives the bits of yearKeys that a kind of year block has.
func (kind YearKind) keys() uint {
	bits := uint(1<<0 | 1<<1 | 1<<6 | 1<<7)
	if kind != YearGraph {
		bits |= 1 << 5
	}
	switch kind {
	case YearMix:
		bits |= 1<<2 | 1<<3
	case YearBurnDays:
		bits |= 1 << 4
	}
	return bits
}

var (
	yearKeys  = []string{"kind", "year", "mix", "class", "season", "cell", "units", "prices", "split"}
	splitKeys = []string{"pair", "cost"}
)

const splitKey = 1 << 8

func (out *certificateWriter) year(b *YearBlock) {
	out.object(func(f *fields) {
		f.key("kind")
		f.text(string(b.Kind))
		f.key("year")
		f.integer(b.Year)
		switch b.Kind {
		case YearMix:
			f.key("mix")
			f.text(out.p.Mixes[b.Mix].Name)
			f.key("class")
			f.text(out.p.Mixes[b.Mix].Classes[b.Class].Name)
		case YearBurnDays:
			f.key("season")
			f.text(out.p.Seasons[b.Season])
		}
		if b.Kind != YearGraph {
			f.key("cell")
			f.number(b.Cell)
		}
		f.key("units")
		out.units(b.Units)
		f.key("prices")
		f.list(len(b.Prices), ", ", func(k int) { f.number(b.Prices[k]) })
		if len(b.Split) > 0 {
			f.key("split")
			f.list(len(b.Split), ", ", func(k int) {
				f.object(func(f *fields) {
					f.key("pair")
					out.units(b.Split[k].Pair[:])
					f.key("cost")
					f.number(b.Split[k].Cost)
				})
			})
		}
	})
}

func (rd *certificateReader) yearBlock(open jsonscan.Token, leaf *Leaf) error {
	b := YearBlock{Season: -1}
	var class jsonscan.Token
	seen, err := rd.object(open, yearKeys, func(key int, t jsonscan.Token) error {
		switch yearKeys[key] {
		case "kind":
			k := slices.Index(YearKinds, YearKind(t.Text))
			if t.Kind != jsonscan.String || k < 0 {
				return rd.bad(t, "graph, mix, evenness, acres, burns, cost or burn_days", "%s is not a kind of year block", rd.saw(t))
			}
			b.Kind = YearKinds[k]
		case "year":
			return rd.year(t, &b.Year)
		case "mix":
			return rd.named(t, "a mix", rd.mixes, &b.Mix)
		case "class":
			if class = t; t.Kind != jsonscan.String {
				return rd.bad(t, "the name of an age class", "%s is not text", rd.saw(t))
			}
		case "season":
			return rd.named(t, "a season", rd.seasons, &b.Season)
		case "cell":
			return rd.number(t, &b.Cell)
		case "units":
			return rd.unitList(t, &b.Units)
		case "prices":
			return rd.list(t, func(t jsonscan.Token) error {
				var x float64
				err := rd.number(t, &x)
				b.Prices = append(b.Prices, x)
				return err
			})
		case "split":
			return rd.list(t, func(t jsonscan.Token) error {
				var part PairCost
				seen, err := rd.object(t, splitKeys, func(key int, t jsonscan.Token) error {
					if splitKeys[key] == "pair" {
						return rd.pair(t, &part.Pair)
					}
					return rd.number(t, &part.Cost)
				})
				if err == nil {
					err = rd.need(t, seen, 1<<0|1<<1, splitKeys)
				}
				b.Split = append(b.Split, part)
				return err
			})
		}
		return nil
	})
	if err != nil {
		return err
	}
	if err := rd.need(open, seen, b.Kind.keys(), yearKeys); err != nil {
		return err
	}
	if b.Kind == YearGraph {
		seen &^= splitKey
	}
	if seen != b.Kind.keys() {
		return rd.bad(open, "the keys of the kind and no others", "a key that a year block of kind %s does not have", b.Kind)
	}
	if b.Kind == YearMix {
		if b.Class = rd.class(b.Mix, class.Text); b.Class < 0 {
			return rd.bad(class, "the name of an age class of the mix", "%s is unknown", source.Quote(class.Text))
		}
	}
	if len(b.Units) != len(b.Prices) {
		return rd.bad(open, "one price a unit", "%d prices for %d units", len(b.Prices), len(b.Units))
	}
	leaf.Years = append(leaf.Years, b)
	return nil
}
