package svgmap

import "math"

// Parts are a map as paths, for a page that draws it itself: in its own colors, with
// units that can be pointed at. All numbers are pixels of a drawing of Width.
type Parts struct {
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
	// Units are in the order of the map's; those without a shape have no path.
	Units []UnitPart `json:"units"`
	// Standing are the breaks that are there.
	Standing string      `json:"standing"`
	Places   []PlacePart `json:"places"`
	// Feet is a round length for a scale bar, FeetPixels how long it is drawn.
	Feet       float64 `json:"scale_feet"`
	FeetPixels float64 `json:"scale_pixels"`
}

// UnitPart is a unit's outline and where its name stands; Across is how wide it is
// there, High how high at least.
type UnitPart struct {
	Unit   string  `json:"unit"`
	Path   string  `json:"path"`
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	Across float64 `json:"across"`
	High   float64 `json:"high"`
}

// PlacePart is a sensitive place; those off the map stand at its edge.
type PlacePart struct {
	Name string  `json:"name"`
	Kind string  `json:"kind"`
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
	Path string  `json:"path,omitempty"`
	Off  bool    `json:"off_the_map"`
}

// NewParts lays a sheet's ground out; what its years say is left to the page.
func NewParts(s *Sheet) *Parts {
	f := newFrame(s, s.width())
	p := &Parts{Width: f.width, Height: tenth(f.height), Standing: linesPath(f, s.Standing), Units: []UnitPart{}, Places: []PlacePart{}}
	for _, u := range s.Units {
		one := UnitPart{Unit: u.Unit, Path: f.shapePath(u.Shape)}
		if at, ok := newPlace(f, u.Shape); ok {
			left, right := at.chord(at.at.y)
			one.X, one.Y, one.Across, one.High = tenth(at.at.x), tenth(at.at.y), tenth(2*min(left, right)), tenth(2*at.radius)
		}
		p.Units = append(p.Units, one)
	}
	for _, place := range s.Places {
		center, ok := placeCenter(place)
		if !ok {
			continue
		}
		at := f.at(center)
		one := PlacePart{Name: place.Name, Kind: place.Kind}
		if !f.holds(at) {
			one.Off = true
			at.x, at.y, _ = f.edge(at)
		} else {
			one.Path = f.shapePath(place.Shape) + linesPath(f, place.Lines)
		}
		one.X, one.Y = tenth(at.x), tenth(at.y)
		p.Places = append(p.Places, one)
	}
	most := p.Width / 5 / f.scale // feet
	p.Feet = math.Pow(10, math.Floor(math.Log10(most)))
	for _, times := range []float64{5, 2} {
		if p.Feet*times <= most {
			p.Feet *= times
			break
		}
	}
	p.FeetPixels = tenth(p.Feet * f.scale)
	return p
}

func tenth(v float64) float64 { return math.Round(v*10) / 10 }
