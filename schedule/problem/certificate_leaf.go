package problem

import (
	"fmt"
	"math"
	"slices"

	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

var priceKeys = []string{"row", "year", "price", "season", "refuge", "mix", "class", "pair"}

// priceKeysOf gives the bits of the keys that a price on a kind of row has.
func priceKeysOf(kind RowKind) uint {
	bits := uint(1<<0 | 1<<1 | 1<<2)
	for _, key := range rowKeys(kind) {
		bits |= 1 << slices.Index(priceKeys, key)
	}
	return bits
}

func (rd *certificateReader) price(open jsonscan.Token, leaf *Leaf) error {
	var r RowPrice
	var class jsonscan.Token
	seen, err := rd.object(open, priceKeys, func(key int, t jsonscan.Token) error {
		switch priceKeys[key] {
		case "row":
			k := slices.Index(rowKinds, RowKind(t.Text))
			if t.Kind != jsonscan.String || k < 0 {
				return rd.bad(t, kindList(), "%s is not a kind of row", rd.saw(t))
			}
			r.Kind = rowKinds[k]
		case "year":
			return rd.year(t, &r.Year)
		case "price":
			return rd.number(t, &r.PerUnit)
		case "season":
			return rd.named(t, "a season", rd.seasons, &r.Season)
		case "refuge":
			return rd.named(t, "a refuge", rd.refuges, &r.Refuge)
		case "mix":
			return rd.named(t, "a mix", rd.mixes, &r.Mix)
		case "class":
			if class = t; t.Kind != jsonscan.String {
				return rd.bad(t, "the name of an age class", "%s is not text", rd.saw(t))
			}
		case "pair":
			return rd.pair(t, &r.Pair)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if err := rd.need(open, seen, priceKeysOf(r.Kind), priceKeys); err != nil {
		return err
	}
	if seen != priceKeysOf(r.Kind) {
		return rd.bad(open, "the keys that name the row and no others", "a key that a row of kind %s does not have", r.Kind)
	}
	if r.Kind == RowMixLow || r.Kind == RowMixHigh {
		if r.Class = rd.class(r.Mix, class.Text); r.Class < 0 {
			return rd.bad(class, "the name of an age class of the mix", "%s is unknown", source.Quote(class.Text))
		}
	}
	leaf.Prices = append(leaf.Prices, r)
	return nil
}

func (rd *certificateReader) pair(open jsonscan.Token, to *[2]int) error {
	n := 0
	err := rd.list(open, func(t jsonscan.Token) error {
		if n++; n > 2 {
			return rd.bad(t, "a list of two units", "a third unit")
		}
		return rd.unit(t, &to[n-1])
	})
	if err == nil && (n != 2 || to[0] == to[1]) {
		return rd.bad(open, "a list of two units", "no pair of units")
	}
	*to = [2]int{min(to[0], to[1]), max(to[0], to[1])}
	return err
}

var cutKeys = []string{"year", "units", "weight", "at_most", "price", "season"}

func (rd *certificateReader) cut(open jsonscan.Token, leaf *Leaf) error {
	c := Cut{Season: -1}
	seen, err := rd.object(open, cutKeys, func(key int, t jsonscan.Token) error {
		switch cutKeys[key] {
		case "year":
			return rd.year(t, &c.Year)
		case "units":
			return rd.unitList(t, &c.Units)
		case "weight":
			return rd.list(t, func(t jsonscan.Token) error {
				var a int
				err := rd.whole(t, 1, math.MaxInt32, &a)
				c.Weight = append(c.Weight, a)
				return err
			})
		case "at_most":
			return rd.whole(t, 0, math.MaxInt32, &c.AtMost)
		case "price":
			return rd.number(t, &c.Price)
		case "season":
			return rd.named(t, "a season", rd.seasons, &c.Season)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if err := rd.need(open, seen, 1<<5-1, cutKeys); err != nil {
		return err
	}
	if len(c.Units) != len(c.Weight) || len(c.Units) > MaxCutUnits {
		return rd.bad(open, fmt.Sprintf("one weight a unit, for at most %d units", MaxCutUnits), "%d weights for %d units", len(c.Weight), len(c.Units))
	}
	leaf.Cuts = append(leaf.Cuts, c)
	return nil
}

var (
	blockKeys = []string{"units", "share", "shift", "mixes", "ages", "parts"}
	shiftKeys = []string{"unit", "year", "price"}
	agesKeys  = []string{"unit", "year", "prices"}
	partsKeys = []string{"pair", "costs"}
)

func (rd *certificateReader) block(open jsonscan.Token, leaf *Leaf) error {
	var b Block
	seen, err := rd.object(open, blockKeys, func(key int, t jsonscan.Token) error {
		switch blockKeys[key] {
		case "units":
			return rd.unitList(t, &b.Units)
		case "share":
			b.Share = []float64{}
			return rd.numbers(t, &b.Share)
		case "shift":
			return rd.list(t, func(t jsonscan.Token) error { return rd.shift(t, &b) })
		case "mixes":
			return rd.list(t, func(t jsonscan.Token) error {
				var x int
				err := rd.named(t, "a mix", rd.mixes, &x)
				b.Mixes = append(b.Mixes, x)
				return err
			})
		case "parts":
			return rd.list(t, func(t jsonscan.Token) error { return rd.parts(t, &b) })
		case "ages":
			return rd.list(t, func(t jsonscan.Token) error { return rd.ages(t, &b) })
		}
		return nil
	})
	if err != nil {
		return err
	}
	if err := rd.need(open, seen, 1<<0, blockKeys); err != nil {
		return err
	}
	if b.Share != nil && len(b.Share) != len(b.Units) {
		return rd.bad(open, "one share a unit, or no share", "%d shares for %d units", len(b.Share), len(b.Units))
	}
	leaf.Blocks = append(leaf.Blocks, b)
	return nil
}

func (rd *certificateReader) shift(open jsonscan.Token, b *Block) error {
	var s Shift
	seen, err := rd.object(open, shiftKeys, func(key int, t jsonscan.Token) error {
		switch shiftKeys[key] {
		case "unit":
			return rd.unit(t, &s.Unit)
		case "year":
			return rd.year(t, &s.Year)
		default:
			return rd.number(t, &s.Price)
		}
	})
	if err == nil {
		err = rd.need(open, seen, 1<<3-1, shiftKeys)
	}
	b.Shift = append(b.Shift, s)
	return err
}

func (rd *certificateReader) ages(open jsonscan.Token, b *Block) error {
	var a AgePrices
	seen, err := rd.object(open, agesKeys, func(key int, t jsonscan.Token) error {
		switch agesKeys[key] {
		case "unit":
			return rd.unit(t, &a.Unit)
		case "year":
			return rd.year(t, &a.Year)
		default:
			return rd.numbers(t, &a.Price)
		}
	})
	if err == nil {
		err = rd.need(open, seen, 1<<3-1, agesKeys)
	}
	b.Ages = append(b.Ages, a)
	return err
}

func (rd *certificateReader) parts(open jsonscan.Token, b *Block) error {
	var p PairParts
	seen, err := rd.object(open, partsKeys, func(key int, t jsonscan.Token) error {
		if partsKeys[key] == "pair" {
			return rd.pair(t, &p.Pair)
		}
		return rd.numbers(t, &p.Cost)
	})
	if err == nil {
		err = rd.need(open, seen, 1<<2-1, partsKeys)
	}
	b.Parts = append(b.Parts, p)
	return err
}

func (rd *certificateReader) numbers(open jsonscan.Token, to *[]float64) error {
	return rd.list(open, func(t jsonscan.Token) error {
		var x float64
		err := rd.number(t, &x)
		*to = append(*to, x)
		return err
	})
}
