package problem

import "io"

// WriteCertificate writes a certificate for p as a rotation-certificate/1 file.
//
// Beside what the file format began with, a leaf may hold cuts, blocks and a
// sweep, the file shared leaves, and a split may name a season:
//
//	{"format": "rotation-certificate/1", "problem_sha256": "…", "bound": 183.25,
//	 "shared": [{"prices": [{"row": "acres", "year": 2027, "price": 0.4}],
//	             "cuts": [{"year": 2028, "season": "dormant", "units": ["n1", "n4"], "weight": [1, 1], "at_most": 1, "price": 2}],
//	             "blocks": [{"units": ["n1", "n2"], "share": [0.5, 1], "shift": [{"unit": "n1", "year": 2028, "price": -2}]},
//	                        {"units": ["n1", "n3"], "share": [0.5, 1], "shift": [{"unit": "n1", "year": 2028, "price": 2}]}]}],
//	 "tree": {"unit": "n1", "year": 2028, "season": "dormant", "burn": {"use": 0},
//	          "rest": {"prices": [], "sweep": 183.25}}}
//
// A leaf may have year blocks, which each name their kind, their year and what
// they are about:
//
//	"years": [{"kind": "graph", "year": 2027, "units": ["n1", "n2"], "prices": [0.5, -2]},
//	          {"kind": "mix", "year": 2027, "mix": "savanna", "class": "fresh", "cell": 0.5, "units": ["n1"], "prices": [3]},
//	          {"kind": "burn_days", "year": 2027, "season": "dormant", "cell": 0.5, "units": ["n1"], "prices": [1.25]}]
//
// A block that pays mixes has "mixes": ["savanna"] beside its units, and one of units
// whose ages have prices "ages": [{"unit": "n1", "year": 2028, "prices": [0, -1.5, 2]}];
// what it pays of pairs of an earlier block is "parts": [{"pair": ["n1", "n2"], "costs": [2, 0, 1.5]}],
// with one cost a year.
//
// "without_growth": true after the bound says that the leaves are those of the
// problem without overdue growth.
//
// A cut without season is over burns in any season; a block without share
// carries all of its units; {"use": n} is the n-th shared leaf, counted from 0.
func WriteCertificate(w io.Writer, c *Certificate, p *Problem) error {
	out := certificateWriter{newPrinter(w), p, make([]string, len(p.Units))}
	for i := range p.Units {
		out.ids[i] = quoteJSON(p.Units[i].ID)
	}
	out.raw("{\n\"format\": ", quoteJSON(CertificateFormat), ",\n\"problem_sha256\": ", quoteJSON(c.ProblemSHA256), ",\n\"bound\": ")
	out.number(c.Bound)
	if c.WithoutGrowth {
		out.raw(",\n\"without_growth\": true")
	}
	if len(c.Shared) > 0 {
		out.raw(",\n\"shared\": ")
		out.lines(len(c.Shared), func(k int) { out.leaf(&c.Shared[k]) })
	}
	if c.Tree != nil {
		out.raw(",\n\"tree\": ")
		out.node(c.Tree)
	}
	out.raw("\n}\n")
	return out.done()
}

type certificateWriter struct {
	*printer
	p *Problem
	// ids are the ids of the units, quoted once.
	ids []string
}

// node writes a tree; the deepest part of it goes last, so that the depth of
// the calls is that of the tree and no more.
func (out *certificateWriter) node(n *Node) {
	switch {
	case n.Burn != nil && n.Rest != nil:
		out.raw(`{"unit": `, out.ids[n.Unit], `, "year": `)
		out.integer(n.Year)
		if n.InSeason {
			out.raw(`, "season": `, quoteJSON(out.p.Seasons[n.Season]))
		}
		out.raw(",\n\"burn\": ")
		out.node(n.Burn)
		out.raw(",\n\"rest\": ")
		out.node(n.Rest)
		out.raw("}")
	case n.Leaf != nil:
		out.leaf(n.Leaf)
	default:
		out.raw(`{"use": `)
		out.integer(n.Use)
		out.raw("}")
	}
}

func (out *certificateWriter) leaf(l *Leaf) {
	out.raw(`{"prices": `)
	out.lines(len(l.Prices), func(k int) {
		out.object(func(f *fields) {
			f.row(out.p, l.Prices[k].Row)
			f.key("price")
			f.number(l.Prices[k].PerUnit)
		})
	})
	if len(l.Cuts) > 0 {
		out.raw(",\n\"cuts\": ")
		out.lines(len(l.Cuts), func(k int) { out.cut(&l.Cuts[k]) })
	}
	if len(l.Blocks) > 0 {
		out.raw(",\n\"blocks\": ")
		out.lines(len(l.Blocks), func(k int) { out.block(&l.Blocks[k]) })
	}
	if len(l.Years) > 0 {
		out.raw(",\n\"years\": ")
		out.lines(len(l.Years), func(k int) { out.year(&l.Years[k]) })
	}
	if l.Sweep > 0 {
		out.raw(",\n\"sweep\": ")
		out.number(l.Sweep)
	}
	out.raw("}")
}

func (out *certificateWriter) units(units []int) {
	out.list(len(units), ", ", func(k int) { out.raw(out.ids[units[k]]) })
}

func (out *certificateWriter) cut(c *Cut) {
	out.object(func(f *fields) {
		f.key("year")
		f.integer(c.Year)
		if c.Season >= 0 {
			f.key("season")
			f.text(out.p.Seasons[c.Season])
		}
		f.key("units")
		out.units(c.Units)
		f.key("weight")
		f.list(len(c.Weight), ", ", func(k int) { f.integer(c.Weight[k]) })
		f.key("at_most")
		f.integer(c.AtMost)
		f.key("price")
		f.number(c.Price)
	})
}

func (out *certificateWriter) block(b *Block) {
	out.object(func(f *fields) {
		f.key("units")
		out.units(b.Units)
		if b.Share != nil {
			f.key("share")
			f.list(len(b.Share), ", ", func(k int) { f.number(b.Share[k]) })
		}
		if len(b.Mixes) > 0 {
			f.key("mixes")
			f.list(len(b.Mixes), ", ", func(k int) { f.raw(quoteJSON(out.p.Mixes[b.Mixes[k]].Name)) })
		}
		if len(b.Shift) > 0 {
			f.key("shift")
			f.list(len(b.Shift), ", ", func(k int) {
				f.object(func(f *fields) {
					f.key("unit")
					f.raw(out.ids[b.Shift[k].Unit])
					f.key("year")
					f.integer(b.Shift[k].Year)
					f.key("price")
					f.number(b.Shift[k].Price)
				})
			})
		}
		if len(b.Ages) > 0 {
			f.key("ages")
			f.list(len(b.Ages), ", ", func(k int) { out.ages(&b.Ages[k]) })
		}
		if len(b.Parts) > 0 {
			f.key("parts")
			f.list(len(b.Parts), ", ", func(k int) { out.parts(&b.Parts[k]) })
		}
	})
}

func (out *certificateWriter) ages(a *AgePrices) {
	out.object(func(f *fields) {
		f.key("unit")
		f.raw(out.ids[a.Unit])
		f.key("year")
		f.integer(a.Year)
		f.key("prices")
		f.list(len(a.Price), ", ", func(k int) { f.number(a.Price[k]) })
	})
}

func (out *certificateWriter) parts(p *PairParts) {
	out.object(func(f *fields) {
		f.key("pair")
		out.units(p.Pair[:])
		f.key("costs")
		f.list(len(p.Cost), ", ", func(k int) { f.number(p.Cost[k]) })
	})
}
