package pdftest

import (
	"fmt"
	"math"
)

// pen follows what a page's operators draw, as far as the papers use them: no scales and no
// curves but within their points.
type pen struct {
	path, clip []float64
	isClip     bool
	clips      [][]float64
}

// around gives the least box around two; nil is none.
func around(a, b []float64) []float64 {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	return []float64{min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3])}
}

// shared gives what two boxes share, nil for nothing; nil in place of the second is no bound.
func shared(a, bound []float64) []float64 {
	if a == nil || bound == nil {
		return a
	}
	box := []float64{max(a[0], bound[0]), max(a[1], bound[1]), min(a[2], bound[2]), min(a[3], bound[3])}
	if box[0] > box[2] || box[1] > box[3] {
		return nil
	}
	return box
}

// does takes an operator and gives the box that it draws in: of a path the points, of a text
// where it begins.
func (p *pen) does(op Operator, operands []any) (drawn []float64) {
	n := make([]float64, len(operands))
	for i, v := range operands {
		n[i], _ = v.(float64)
	}
	switch op {
	case "q":
		p.clips = append(p.clips, p.clip)
	case "Q":
		if last := len(p.clips) - 1; last >= 0 {
			p.clip, p.clips = p.clips[last], p.clips[:last]
		}
	case "m", "l", "c", "v", "y":
		for i := 0; i+1 < len(n); i += 2 {
			p.path = around(p.path, []float64{n[i], n[i+1], n[i], n[i+1]})
		}
	case "re":
		x, y := n[0]+n[2], n[1]+n[3]
		p.path = around(p.path, []float64{min(n[0], x), min(n[1], y), max(n[0], x), max(n[1], y)})
	case "Td":
		p.path = []float64{n[0], n[1], n[0], n[1]}
	case "W", "W*":
		p.isClip = true
	}
	if painting[op] || op == "n" {
		drawn = shared(p.path, p.clip)
		if p.isClip {
			if p.clip = shared(p.path, p.clip); p.clip == nil {
				p.clip = make([]float64, 4)
			}
		}
		p.path, p.isClip = nil, false
	}
	return drawn
}

// extent is where the content of an element lies, and whether on one page.
func (n *Node) extent() (box []float64, page int, isOne bool) {
	page, isOne = -1, true
	for _, kid := range n.Kids {
		inner, on := kid.Box, kid.Page
		if on < 0 {
			var one bool
			inner, on, one = kid.extent()
			isOne = isOne && one
		}
		if on >= 0 {
			isOne = isOne && (page < 0 || page == on)
			page, box = on, around(box, inner)
		}
	}
	return box, page, isOne
}

// boxFaults says what is wrong with the place that a table or a figure names. In a table may
// be more room than content, for writing in.
func (n *Node) boxFaults() (all []string) {
	const tolerance, widest = 1.0, 75.0 // points; a text that is the last on its side, whole
	box, _, isOne := n.extent()
	switch {
	case box == nil:
	case !isOne:
		if n.Box != nil {
			all = append(all, fmt.Sprintf("a %s on several pages says that it lies in %v", n.Role, n.Box))
		}
	case len(n.Box) != 4:
		all = append(all, fmt.Sprintf("a %s does not say where it lies", n.Role))
	default:
		for i, edge := range n.Box {
			out := edge - box[i]
			if i < 2 {
				out = -out
			}
			if out < -tolerance || math.Abs(out) > widest && n.Role == "Figure" {
				all = append(all, fmt.Sprintf("a %s says that it lies in %v, but does in %v", n.Role, n.Box, box))
				break
			}
		}
	}
	return all
}
