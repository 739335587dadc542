package list

import (
	"strconv"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// pairColumns are the columns of a list of pairs.
var pairColumns = []column[habitat.Pair]{
	textColumn("unit_a", func(p *habitat.Pair) *string { return &p.A }),
	textColumn("unit_b", func(p *habitat.Pair) *string { return &p.B }),
	{
		name: "kind",
		read: func(c *cell, p *habitat.Pair) {
			kind, _ := c.choice(string(habitat.Apart), string(habitat.Neighbors))
			p.Kind = habitat.PairKind(kind)
		},
		copy: func(to, from *habitat.Pair) { to.Kind = from.Kind },
		show: func(p *habitat.Pair) string { return string(p.Kind) },
	},
	{
		name: "shared_feet",
		read: func(c *cell, p *habitat.Pair) {
			const accepts = "feet of common boundary, 0 or more"
			v, ok := c.number(accepts)
			if ok && v < 0 {
				c.bad(accepts, "", "%s is negative", source.Quote(c.text))
			}
			p.SharedFeet = quantity.Feet(v)
		},
		copy: func(to, from *habitat.Pair) { to.SharedFeet = from.SharedFeet },
		show: func(p *habitat.Pair) string { return plainNumber(float64(p.SharedFeet)) },
	},
}

// lockColumns are the columns of a list of locks.
var lockColumns = []column[habitat.Lock]{
	textColumn("unit", func(l *habitat.Lock) *string { return &l.Unit }),
	{
		name: "program_year",
		read: func(c *cell, l *habitat.Lock) { l.Year = c.programYear() },
		copy: func(to, from *habitat.Lock) { to.Year = from.Year },
		show: func(l *habitat.Lock) string { return l.Year.String() },
	},
	{
		name: "what",
		read: func(c *cell, l *habitat.Lock) {
			what, _ := c.choice("burn", "rest")
			l.Burn = what == "burn"
		},
		copy: func(to, from *habitat.Lock) { to.Burn = from.Burn },
		show: func(l *habitat.Lock) string {
			if l.Burn {
				return "burn"
			}
			return "rest"
		},
	},
	textColumn("season", func(l *habitat.Lock) *string { return &l.Season }),
}

// contractRow is one row of a list of contracts: an item, with its contract and
// practice.
type contractRow struct {
	Name, Number, Client string
	FiscalStart          date.FiscalStart
	Practice             habitat.Practice
	Item                 habitat.ContractItem
	acres, feet          *float64
	// saysWhole says that the row named the whole property in so many words.
	saysWhole bool
}

func amountColumn(name string, of func(*contractRow) **float64) column[contractRow] {
	return column[contractRow]{
		name: name,
		read: func(c *cell, r *contractRow) {
			accepts := name + " above 0"
			v, ok := c.number(accepts)
			if ok && !(v > 0) {
				c.bad(accepts, "", "%s is nothing to do", source.Quote(c.text))
			}
			*of(r) = &v
		},
		show: func(r *contractRow) string { return strconv.FormatFloat(r.Item.Planned, 'f', -1, 64) },
	}
}

// placeColumn has the unit of a line of a contract; empty, or "whole property", where it
// is of the whole property.
func placeColumn() column[contractRow] {
	col := textColumn("unit", func(r *contractRow) *string { return &r.Item.Unit })
	col.read = func(c *cell, r *contractRow) {
		if r.Item.Unit = c.word(); habitat.IsWholeProperty(r.Item.Unit) {
			r.Item.Unit, r.saysWhole = "", true
		}
	}
	col.show = func(r *contractRow) string { return r.Item.Place() }
	return col
}

// contractColumns are the columns of a list of contracts.
var contractColumns = []column[contractRow]{
	textColumn("contract", func(r *contractRow) *string { return &r.Name }),
	textColumn("number", func(r *contractRow) *string { return &r.Number }),
	textColumn("client", func(r *contractRow) *string { return &r.Client }),
	{
		name: "fiscal_year_starts",
		read: func(c *cell, r *contractRow) {
			for month := time.January; month <= time.December; month++ {
				if strings.EqualFold(month.String(), c.text) {
					r.FiscalStart = date.FiscalStart(month)
					return
				}
			}
			if c.text != "" {
				c.bad(`the name of a month, such as "july"; empty for October, the federal fiscal year`, "",
					"%s is not a month", source.Quote(c.text))
			}
		},
		show: func(r *contractRow) string { return strings.ToLower(r.FiscalStart.Month().String()) },
	},
	textColumn("practice_code", func(r *contractRow) *string { return &r.Practice.Code }),
	textColumn("practice_name", func(r *contractRow) *string { return &r.Practice.Name }),
	textColumn("standard_date", func(r *contractRow) *string { return &r.Practice.Standard }),
	{
		name: "applied_from",
		read: func(c *cell, r *contractRow) {
			from, _ := c.choice("burns", "completions")
			r.Practice.Burns = from == "burns"
		},
	},
	textColumn("item", func(r *contractRow) *string { return &r.Item.Item }),
	placeColumn(),
	{
		name: "fiscal_year",
		read: func(c *cell, r *contractRow) {
			const accepts = "a fiscal year of four digits, 1990 to 2100, such as 2027"
			year, ok := c.whole(accepts)
			r.Item.FiscalYear = date.FiscalYear(year)
			if ok && !r.Item.FiscalYear.IsUsual() {
				c.bad(accepts, "", "%s is not a fiscal year of a contract", source.Quote(c.text))
			}
		},
		show: func(r *contractRow) string { return r.Item.FiscalYear.String() },
	},
	amountColumn("acres", func(r *contractRow) **float64 { return &r.acres }),
	amountColumn("feet", func(r *contractRow) **float64 { return &r.feet }),
}
