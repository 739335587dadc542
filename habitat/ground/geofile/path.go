package geofile

import (
	"math"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/repair"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// Form says what a feature is drawn as.
type Form string

// The forms.
const (
	Area       Form = "polygon"
	ClosedPath Form = "closed path"
	OpenPath   Form = "line"
	Pin        Form = "pin"
	// Formless is a feature without geometry.
	Formless Form = "nothing"
)

// narrowest is the mean width below which a path that comes back to its start was
// walked there and back, and goes round no ground: twice the 16 ft within which a
// phone knows its place under open sky (GPS.gov, from memory).
const narrowest = quantity.Feet(32)

// Form gives what the feature is drawn as. A path is closed where it ends near its
// start, within repair.LargestGap of its length, and goes round ground.
func (f *Feature) Form() Form {
	switch {
	case !f.Shape.IsEmpty():
		return Area
	case len(f.Lines) > 0:
		if isClosed(f.Lines) {
			return ClosedPath
		}
		return OpenPath
	case len(f.Points) > 0:
		return Pin
	}
	return Formless
}

// isClosed reports whether the runs of a path, together or each, go round ground.
func isClosed(runs []ground.Line) bool {
	for _, ring := range ringsOf(runs) {
		length, gap := lengthOf(ring), gapOf(ring)
		if len(ring) < 3 || length == 0 || gap > repair.LargestGap*length {
			return false
		}
		if meanWidth(ring) < narrowest {
			return false
		}
	}
	return true
}

// ringsOf gives the runs of a path as rings: each of them where all come back to
// their own starts, else all as one walk that was interrupted.
func ringsOf(runs []ground.Line) []ground.Line {
	if len(runs) < 2 {
		return runs
	}
	var whole ground.Line
	areRings := true
	for _, run := range runs {
		areRings = areRings && len(run) >= 3 && gapOf(run) <= repair.LargestGap*lengthOf(run)
		whole = append(whole, run...)
	}
	if areRings {
		return runs
	}
	return []ground.Line{whole}
}

// lengthOf and gapOf give meters along a path, and from its end to its start.
func lengthOf(path ground.Line) (length float64) {
	for i := 1; i < len(path); i++ {
		length += ground.MetersBetween(path[i-1], path[i])
	}
	return length
}

func gapOf(path ground.Line) float64 {
	if len(path) == 0 {
		return 0
	}
	return ground.MetersBetween(path[len(path)-1], path[0])
}

// meanWidth gives the ground that a closed path goes round by half its length. It is
// meant to tell yards from acres: the earth is flat here.
func meanWidth(path ground.Line) quantity.Feet {
	length := lengthOf(path) + gapOf(path)
	if length == 0 {
		return 0
	}
	o := path[0]
	east := ground.MetersBetween(o, ground.Point{Lon: o.Lon + 0.001, Lat: o.Lat}) * 1000
	north := ground.MetersBetween(o, ground.Point{Lon: o.Lon, Lat: o.Lat + 0.001}) * 1000
	var twice float64
	for i, p := range path {
		q := path[(i+1)%len(path)]
		twice += ground.WrapDegrees(p.Lon-o.Lon)*(q.Lat-o.Lat) - ground.WrapDegrees(q.Lon-o.Lon)*(p.Lat-o.Lat)
	}
	return quantity.FeetFromMeters(math.Abs(twice) / 2 * east * north / (length / 2))
}

// PathGap gives the feet from the end of an open path to its start.
func (f *Feature) PathGap() quantity.Feet {
	var gap float64
	for _, ring := range ringsOf(f.Lines) {
		gap = max(gap, gapOf(ring))
	}
	return quantity.FeetFromMeters(gap)
}

// Close makes the feature's path the boundary of its shape, over whatever gap is
// left between its end and its start, and notes that. The error says why the path
// goes round no ground; the feature is as before then.
func (f *Feature) Close() *source.Error {
	c := &repair.Cleaner{At: f.Position, AnyWinding: true, Closing: true}
	rings := ringsOf(f.Lines)
	polygons := make([][][]ground.Point, len(rings))
	for i, ring := range rings {
		polygons[i] = [][]ground.Point{ring}
	}
	if len(f.Lines) > 1 && len(rings) == 1 {
		c.Note(ground.Assumed, 0, "the path is in %d pieces, which were joined in their order", len(f.Lines))
	}
	shape, err := c.Polygons(polygons)
	if err != nil {
		return err
	}
	f.Shape, f.Lines = shape, nil
	f.Notes = append(f.Notes, c.Notes...)
	return nil
}

// ClosePaths closes the paths of a file that holds outlines, such as the edge of what
// burned: those that come back to their start, and one that stands alone over any gap.
// The error names the paths that go round no ground; they stay.
func (l *Layer) ClosePaths() error {
	var faults source.List
	for i := range l.Features {
		f := &l.Features[i]
		if form := f.Form(); form != ClosedPath && (form != OpenPath || len(l.Features) > 1) {
			continue
		}
		if err := f.Close(); err != nil {
			faults.Add(err)
		}
	}
	return faults.Err()
}
