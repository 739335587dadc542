package problem

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

const (
	// MaxCertificateBytes is the largest certificate file that is read: that of 10,000
	// units after ten minutes has 29 MB.
	MaxCertificateBytes = 512 << 20
	// MaxCertificateDepth is how many decisions may lie on the way to a leaf.
	MaxCertificateDepth = 20_000
)

// ReadCertificate reads a rotation-certificate/1 file about p. The names in it
// must be those of p; whether rows exist, prices are in range and the bound
// holds is for the checker to say.
//
// The file is read in one pass without a tree of its text, and reading stops at
// the first error, a *source.Error with line and path: nobody writes these
// files by hand.
func ReadCertificate(r io.Reader, name string, p *Problem) (*Certificate, error) {
	data, err := readAll(r, name, MaxCertificateBytes)
	if err != nil {
		return nil, err
	}
	s, err := jsonscan.NewScanner(data)
	if err != nil {
		return nil, syntax(name, data, err)
	}
	rd := certificateReader{names: newNames(p), name: name, data: data, scan: s}
	c, err := rd.certificate()
	if err != nil {
		return nil, syntax(name, data, err)
	}
	return c, nil
}

type certificateReader struct {
	*names
	name string
	data []byte
	scan *jsonscan.Scanner
	// way holds the keys and the indices that lead to the current value; an
	// index stands as a key "" and a number.
	way   []step
	depth int
}

type step struct {
	key   string
	index int
}

// bad makes the error of a place.
func (rd *certificateReader) bad(at jsonscan.Token, accepts, format string, args ...any) error {
	var path strings.Builder
	for _, s := range rd.way {
		switch {
		case s.key == "":
			fmt.Fprintf(&path, "[%d]", s.index)
		case path.Len() > 0:
			path.WriteString("." + s.key)
		default:
			path.WriteString(s.key)
		}
	}
	field := path.String()
	if len(field) > 200 {
		field = field[:60] + "…" + field[len(field)-100:]
	}
	lines := jsonscan.Lines{Data: rd.data}
	return &source.Error{
		Position: source.Position{File: rd.name, Line: lines.At(at.Offset), Field: field},
		Found:    fmt.Sprintf(format, args...), Accepts: accepts,
	}
}

func (rd *certificateReader) saw(t jsonscan.Token) string {
	return describe(&jsonscan.Value{Kind: t.Kind, Text: t.Text})
}

// object reads an object whose first token is open. It calls field for each key
// with the first token of its value, and gives a bit for each known key seen.
func (rd *certificateReader) object(open jsonscan.Token, known []string, field func(key int, t jsonscan.Token) error) (seen uint, err error) {
	if open.Kind != jsonscan.Object {
		return 0, rd.bad(open, "an object with the keys "+strings.Join(known, ", "), "%s is not an object", rd.saw(open))
	}
	for {
		t, err := rd.scan.Next()
		if err != nil || t.Kind == jsonscan.ObjectEnd {
			return seen, err
		}
		key := slices.Index(known, t.Text)
		if key < 0 {
			return 0, rd.bad(t, strings.Join(known, ", "), "unknown key %s", source.Quote(t.Text))
		}
		if seen&(1<<key) != 0 {
			return 0, rd.bad(t, "each key once", "key %s is named twice", source.Quote(t.Text))
		}
		seen |= 1 << key
		if t, err = rd.scan.Next(); err != nil {
			return 0, err
		}
		rd.way = append(rd.way, step{key: known[key]})
		if err := field(key, t); err != nil {
			return 0, err
		}
		rd.way = rd.way[:len(rd.way)-1]
	}
}

// need reports the first of the keys that was not seen.
func (rd *certificateReader) need(open jsonscan.Token, seen, required uint, known []string) error {
	for key, name := range known {
		if required&^seen&(1<<key) != 0 {
			return rd.bad(open, "an object with "+name, "the key %s is missing", name)
		}
	}
	return nil
}

// list reads a list whose first token is open.
func (rd *certificateReader) list(open jsonscan.Token, item func(t jsonscan.Token) error) error {
	if open.Kind != jsonscan.Array {
		return rd.bad(open, "a list", "%s is not a list", rd.saw(open))
	}
	for i := 0; ; i++ {
		t, err := rd.scan.Next()
		if err != nil || t.Kind == jsonscan.ArrayEnd {
			return err
		}
		rd.way = append(rd.way, step{index: i})
		if err := item(t); err != nil {
			return err
		}
		rd.way = rd.way[:len(rd.way)-1]
	}
}

func (rd *certificateReader) number(t jsonscan.Token, to *float64) error {
	if t.Kind != jsonscan.Number {
		return rd.bad(t, "a number", "%s is not a number", rd.saw(t))
	}
	x, err := strconv.ParseFloat(t.Text, 64)
	if err != nil {
		return rd.bad(t, "a finite number", "%s is too large", shorten(t.Text))
	}
	*to = x
	return nil
}

func (rd *certificateReader) whole(t jsonscan.Token, lo, hi int, to *int) error {
	var x float64
	if err := rd.number(t, &x); err != nil {
		return err
	}
	if x != math.Trunc(x) || x < float64(lo) || x > float64(hi) {
		return rd.bad(t, fmt.Sprintf("a whole number from %d to %d", lo, hi), "%s is not one of these", shorten(t.Text))
	}
	*to = int(x)
	return nil
}

func (rd *certificateReader) named(t jsonscan.Token, what string, names *nameSet, to *int) error {
	if t.Kind != jsonscan.String {
		return rd.bad(t, "the name of "+what, "%s is not text", rd.saw(t))
	}
	i, ok := names.index[t.Text]
	if !ok {
		return rd.bad(t, "the name of "+what+" of the problem", "%s is unknown", source.Quote(t.Text))
	}
	*to = i
	return nil
}

func (rd *certificateReader) year(t jsonscan.Token, to *int) error {
	return rd.whole(t, rd.p.FirstYear, rd.p.FirstYear+rd.p.T()-1, to)
}

func (rd *certificateReader) unit(t jsonscan.Token, to *int) error {
	return rd.named(t, "a unit", rd.units, to)
}

func (rd *certificateReader) unitList(t jsonscan.Token, to *[]int) error {
	*to = []int{}
	return rd.list(t, func(t jsonscan.Token) error {
		var i int
		err := rd.unit(t, &i)
		*to = append(*to, i)
		return err
	})
}

var certificateKeys = []string{"format", "problem_sha256", "bound", "shared", "tree", "without_growth"}

func (rd *certificateReader) certificate() (*Certificate, error) {
	c := &Certificate{}
	open, err := rd.scan.Next()
	if err != nil {
		return nil, err
	}
	seen, err := rd.object(open, certificateKeys, func(key int, t jsonscan.Token) error {
		switch certificateKeys[key] {
		case "format":
			if t.Kind != jsonscan.String || t.Text != CertificateFormat {
				return rd.bad(t, source.Quote(CertificateFormat), "%s is another format", rd.saw(t))
			}
		case "problem_sha256":
			if t.Kind != jsonscan.String || !isHex(t.Text) {
				return rd.bad(t, "64 hex digits", "%s is not an SHA-256", rd.saw(t))
			}
			c.ProblemSHA256 = t.Text
		case "bound":
			return rd.number(t, &c.Bound)
		case "shared":
			return rd.list(t, func(t jsonscan.Token) error {
				n, err := rd.node(t)
				if err == nil && n.Leaf == nil {
					err = rd.bad(t, "a leaf with prices", "a node that is not a leaf")
				}
				if err == nil {
					c.Shared = append(c.Shared, *n.Leaf)
				}
				return err
			})
		case "tree":
			c.Tree, err = rd.node(t)
			return err
		case "without_growth":
			if t.Kind != jsonscan.True {
				return rd.bad(t, "true, or no such key", "%s is not a statement about growth", rd.saw(t))
			}
			c.WithoutGrowth = true
		}
		return nil
	})
	if err == nil {
		err = rd.need(open, seen, 1<<0|1<<1|1<<2|1<<4, certificateKeys)
	}
	if err == nil {
		err = rd.uses(open, c)
	}
	if err == nil {
		_, err = rd.scan.Next()
	}
	return c, err
}

func isHex(text string) bool {
	return len(text) == 64 && strings.Trim(text, "0123456789abcdef") == ""
}

// uses checks that each {"use": n} names a shared leaf.
func (rd *certificateReader) uses(open jsonscan.Token, c *Certificate) error {
	rest := []*Node{c.Tree}
	for len(rest) > 0 {
		n := rest[len(rest)-1]
		rest = rest[:len(rest)-1]
		switch {
		case n.Burn != nil:
			rest = append(rest, n.Burn, n.Rest)
		case n.Leaf == nil && n.Use >= len(c.Shared):
			return rd.bad(open, fmt.Sprintf("a number below %d, the count of shared leaves", len(c.Shared)), "a node uses shared leaf %d", n.Use)
		}
	}
	return nil
}

var nodeKeys = []string{"unit", "year", "burn", "rest", "use", "prices", "cuts", "blocks", "season", "sweep", "years"}

// The kinds of node by the keys that they must have and may have.
const (
	splitNode    = 1<<0 | 1<<1 | 1<<2 | 1<<3
	useNode      = 1 << 4
	leafNode     = 1 << 5
	leafNodeMore = 1<<6 | 1<<7 | 1<<9 | 1<<10
	seasonSplit  = splitNode | 1<<8
)

func (rd *certificateReader) node(open jsonscan.Token) (*Node, error) {
	if rd.depth++; rd.depth > MaxCertificateDepth {
		return nil, rd.bad(open, "a tree of less depth", "the tree is deeper than %d", MaxCertificateDepth)
	}
	n := &Node{}
	leaf := &Leaf{}
	seen, err := rd.object(open, nodeKeys, func(key int, t jsonscan.Token) (err error) {
		switch nodeKeys[key] {
		case "unit":
			return rd.unit(t, &n.Unit)
		case "year":
			return rd.year(t, &n.Year)
		case "season":
			n.InSeason = true
			return rd.named(t, "a season", rd.seasons, &n.Season)
		case "burn":
			n.Burn, err = rd.node(t)
		case "rest":
			n.Rest, err = rd.node(t)
		case "use":
			return rd.whole(t, 0, math.MaxInt32, &n.Use)
		case "prices":
			return rd.list(t, func(t jsonscan.Token) error { return rd.price(t, leaf) })
		case "cuts":
			return rd.list(t, func(t jsonscan.Token) error { return rd.cut(t, leaf) })
		case "blocks":
			return rd.list(t, func(t jsonscan.Token) error { return rd.block(t, leaf) })
		case "years":
			return rd.list(t, func(t jsonscan.Token) error { return rd.yearBlock(t, leaf) })
		case "sweep":
			return rd.number(t, &leaf.Sweep)
		}
		return err
	})
	rd.depth--
	if err != nil {
		return nil, err
	}
	switch {
	case seen == splitNode, seen == seasonSplit, seen == useNode:
	case seen&^leafNodeMore == leafNode:
		n.Leaf = leaf
	default:
		return nil, rd.bad(open, "unit, year, burn and rest, or prices with or without cuts, blocks, years and sweep, or use", "a node with other keys than these")
	}
	return n, nil
}
