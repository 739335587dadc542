package svgmap

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"emberquilt/habitat/ground"
)

// label is text on a unit.
type label struct {
	X, Y  float64
	Size  float64
	Lines []labelLine
	Light bool // light text on a dark field
}

type labelLine struct {
	Text string
	DY   float64
	Size float64
	Bold bool
}

// letter is the mean width of a letter in parts of its size, for a sans-serif
// face. Source: DejaVu Sans Bold's mean over names is 0.62, narrower faces have
// 0.52 (measured); labels keep a margin.
const letter = 0.6

func textWidth(text string, size float64) float64 {
	return letter * size * float64(len([]rune(text)))
}

// boldWidth is that of bold text, on the safe side.
func boldWidth(text string, size float64) float64 { return textWidth(text, size) * 1.2 }

// labelStyle is what a map's labels may be.
type labelStyle struct{ largest, smallest float64 }

// place is where a unit's name goes.
type place struct {
	at     point
	radius float64
	rings  [][]point
}

func newPlace(f *frame, shape ground.Shape) (place, bool) {
	spot, ok := shape.Label()
	if !ok {
		return place{}, false
	}
	p := place{at: f.at(spot.At), radius: float64(spot.Radius) * f.scale}
	for _, polygon := range shape.Polygons {
		for _, r := range append([]ground.Ring{polygon.Outer}, polygon.Holes...) {
			ring := make([]point, len(r))
			for i, q := range r {
				ring[i] = f.at(q)
			}
			p.rings = append(p.rings, ring)
		}
	}
	return p, true
}

// chord gives how far the unit reaches to the left and right of a place inside
// it, at the height of y.
func (p *place) chord(y float64) (left, right float64) {
	left, right = math.Inf(1), math.Inf(1)
	for _, r := range p.rings {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if (a.y <= y) == (b.y <= y) {
				continue
			}
			x := a.x + (y-a.y)/(b.y-a.y)*(b.x-a.x)
			if x <= p.at.x {
				left = math.Min(left, p.at.x-x)
			} else {
				right = math.Min(right, x-p.at.x)
			}
		}
	}
	if math.IsInf(left, 0) || math.IsInf(right, 0) {
		return 0, 0
	}
	return left, right
}

// room gives the width that is free round a middle for text between two heights.
func (p *place) room(top, bottom float64) (width, middle float64) {
	left, right := math.Inf(1), math.Inf(1)
	for _, y := range []float64{top, (top + bottom) / 2, bottom} {
		l, r := p.chord(y)
		left, right = math.Min(left, l), math.Min(right, r)
	}
	return left + right, p.at.x + (right-left)/2
}

// fit sets lines of text into the unit; ok is false when they would be too small.
func (p *place) fit(lines []string, style labelStyle) (size, middle float64, ok bool) {
	longest := 0
	for _, l := range lines {
		longest = max(longest, len([]rune(l)))
	}
	size = style.largest
	for range 12 {
		half := float64(len(lines)) * size * 1.15 / 2
		width, at := p.room(p.at.y-half, p.at.y+half)
		if letter*size*float64(longest) <= 0.92*width {
			return size, at, true
		}
		if size *= 0.93; size < style.smallest {
			return 0, 0, false
		}
	}
	return 0, 0, false
}

// name sets the unit's name, on one line or two, with the detail below where
// there is room.
func (p *place) name(name, detail string, style labelStyle) (label, bool) {
	candidates := [][]string{{name}}
	if i := middleSpace(name); i > 0 {
		candidates = append(candidates, []string{name[:i], name[i+1:]})
	}
	var best label
	found := false
	for _, lines := range candidates {
		if size, x, ok := p.fit(lines, style); ok && (!found || size > best.Size*1.1) {
			best, found = stacked(point{x, p.at.y}, lines, size), true
			if detail == "" {
				continue
			}
			// The detail counts as a line of its own when it is tried.
			small := math.Max(style.smallest, size*0.82)
			more := append(append([]string(nil), lines...), detail)
			if again, x, ok := p.fit(more, labelStyle{size, size * 0.9}); ok {
				best = stacked(point{x, p.at.y}, more, again)
				last := &best.Lines[len(best.Lines)-1]
				last.Size, last.Bold = math.Min(small, again), false
			}
		}
	}
	return best, found
}

// stacked sets lines around a middle.
func stacked(at point, lines []string, size float64) label {
	l := label{X: at.x, Y: at.y, Size: size}
	for i, text := range lines {
		dy := (float64(i)-float64(len(lines)-1)/2)*size*1.15 + size*0.35
		l.Lines = append(l.Lines, labelLine{text, dy, size, true})
	}
	return l
}

// middleSpace gives the index of the blank nearest to a text's middle; 0 means
// that there is none.
func middleSpace(text string) int {
	best := 0
	for i, c := range text {
		if c == ' ' && i > 0 && i < len(text)-1 && (best == 0 || abs(i-len(text)/2) < abs(best-len(text)/2)) {
			best = i
		}
	}
	return best
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

// longestName is how many letters of a name go on a map; the rest is in the
// title of its unit.
const longestName = 28

// longestDetail is how many letters of what became of a unit go below its name.
const longestDetail = 24

// shortText makes a user's text fit for a map: one line, no marks that turn the
// direction of what follows, cut.
func shortText(text string, most int) string {
	text = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r):
			return -1
		case r&0xfffe == 0xfffe: // XML may not hold U+FFFE and its like
			return -1
		}
		return r
	}, strings.ToValidUTF8(text, ""))
	text = strings.Join(strings.Fields(text), " ")
	if runes := []rune(text); len(runes) > most {
		return strings.TrimSpace(string(runes[:most-1])) + "…"
	}
	return text
}

func appendNumber(out []byte, v float64) []byte {
	if v == 0 {
		v = 0 // no minus zero
	}
	return strconv.AppendFloat(out, math.Round(v*10)/10, 'f', -1, 64)
}
