package ground

import "math"

// box is an axis-aligned box in whatever plane its user works in.
type box struct{ minX, minY, maxX, maxY float64 }

// newBox gives the box that holds nothing.
func newBox() box {
	return box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
}

func (b *box) add(x, y float64) {
	b.minX, b.maxX = min(b.minX, x), max(b.maxX, x)
	b.minY, b.maxY = min(b.minY, y), max(b.maxY, y)
}

func (b *box) join(o box) {
	b.minX, b.maxX = min(b.minX, o.minX), max(b.maxX, o.maxX)
	b.minY, b.maxY = min(b.minY, o.minY), max(b.maxY, o.maxY)
}

func (b box) grown(by float64) box {
	return box{b.minX - by, b.minY - by, b.maxX + by, b.maxY + by}
}

func (b box) meets(o box) bool {
	return b.minX <= o.maxX && o.minX <= b.maxX && b.minY <= o.maxY && o.minY <= b.maxY
}
