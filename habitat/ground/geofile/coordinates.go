package geofile

import (
	"fmt"
	"strconv"
	"strings"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
)

// coordinates reads nested arrays of positions from JSON whose syntax is good.
// It is written out because encoding/json takes ten times as long and as much
// memory for them.
type coordinates struct {
	raw    []byte
	at     int
	raised int
	// points counts those of the file, arrays those of this geometry.
	points *int
	arrays int
}

// array is a nest of arrays: either points or arrays below.
type array struct {
	points []ground.Point
	below  []array
}

func (a *array) rings() [][]ground.Point {
	rings := make([][]ground.Point, 0, len(a.below))
	for _, r := range a.below {
		rings = append(rings, r.points)
	}
	return rings
}

func (c *coordinates) blank() {
	for c.at < len(c.raw) && strings.IndexByte(" \t\r\n", c.raw[c.at]) >= 0 {
		c.at++
	}
}

// is steps over one character when it stands there.
func (c *coordinates) is(char byte) bool {
	c.blank()
	if c.at < len(c.raw) && c.raw[c.at] == char {
		c.at++
		return true
	}
	return false
}

// array reads a position at depth 0, positions at depth 1, arrays above.
func (c *coordinates) array(depth int) (a array, err string) {
	if depth == 0 {
		p, err := c.position()
		return array{points: []ground.Point{p}}, err
	}
	if !c.is('[') {
		return a, "an array is missing"
	}
	if c.arrays++; c.arrays > maxRings {
		return a, "more than " + grouped(maxRings) + " rings in one feature"
	}
	if depth == 1 {
		a.points = make([]ground.Point, 0, c.positions())
	}
	for !c.is(']') {
		if depth == 1 {
			p, err := c.position()
			if err != "" {
				return a, err
			}
			a.points = append(a.points, p)
		} else {
			b, err := c.array(depth - 1)
			if err != "" {
				return a, err
			}
			a.below = append(a.below, b)
		}
		c.is(',')
	}
	return a, ""
}

// positions counts the arrays up to the end of the one that has begun, so that
// a long ring is not copied again and again as it grows.
func (c *coordinates) positions() int {
	n, depth := 0, 1
	for _, char := range c.raw[c.at:] {
		switch char {
		case '[':
			n++
			depth++
		case ']':
			if depth--; depth == 0 {
				return min(n, maxPoints)
			}
		}
	}
	return 0
}

func (c *coordinates) position() (p ground.Point, err string) {
	if !c.is('[') {
		return p, "a position is not an array of numbers"
	}
	n := 0
	for ; !c.is(']'); n++ {
		c.blank()
		from := c.at
		for c.at < len(c.raw) && strings.IndexByte("+-.eE0123456789", c.raw[c.at]) >= 0 {
			c.at++
		}
		v, bad := strconv.ParseFloat(string(c.raw[from:c.at]), 64)
		if bad != nil {
			end := min(from+20, len(c.raw))
			return p, "a coordinate is not a number: " + source.Quote(string(c.raw[from:end]))
		}
		switch n {
		case 0:
			p.Lon = v
		case 1:
			p.Lat = v
		}
		c.is(',')
	}
	if n < 2 {
		return p, fmt.Sprintf("a position of %d numbers", n)
	}
	if *c.points++; *c.points > maxPoints {
		return p, "more than " + grouped(maxPoints) + " points in the file"
	}
	if n > 2 {
		c.raised++
	}
	return p, ""
}
