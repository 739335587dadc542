package store

import (
	"encoding/json"

	"emberquilt/habitat/ground"
)

// placeBody is how a sensitive place or a standing break lies in the file.
type placeBody struct {
	Kind string `json:"kind,omitempty"`
	// Tolerated is absent where smoke must not reach the place.
	Tolerated bool           `json:"tolerated,omitempty"`
	Shape     ground.Shape   `json:"shape"`
	Lines     [][][2]float64 `json:"lines,omitempty"`
	Points    [][2]float64   `json:"points,omitempty"`
}

// PutPlace adds a sensitive place or changes it; places are known by their name.
func (tx *Tx) PutPlace(p ground.Place) error { return tx.putPlace(place, p) }

func (tx *Tx) putPlace(kind DocumentKind, p ground.Place) error {
	body := placeBody{Kind: p.Kind, Tolerated: p.Tolerated, Shape: p.Shape, Points: pairsOf(p.Points)}
	for _, line := range p.Lines {
		body.Lines = append(body.Lines, pairsOf(line))
	}
	return tx.putJSON(kind, p.Name, body)
}

// RemovePlace takes a sensitive place away. The error is ErrUnknown where there
// is none.
func (tx *Tx) RemovePlace(name string) error { return tx.RemoveDocument(place, name) }

// PutStanding adds a standing break or changes it: a road, water, plowed
// ground. Standing breaks are known by their name.
func (tx *Tx) PutStanding(p ground.Place) error { return tx.putPlace(standing, p) }

// RemoveStanding takes a standing break away. The error is ErrUnknown where
// there is none.
func (tx *Tx) RemoveStanding(name string) error { return tx.RemoveDocument(standing, name) }

func placeOf(d Document) (ground.Place, error) {
	var body placeBody
	if err := json.Unmarshal(d.Body, &body); err != nil {
		return ground.Place{}, err
	}
	p := ground.Place{Name: d.Name, Kind: body.Kind, Tolerated: body.Tolerated, Shape: body.Shape, Points: pointsOf(body.Points)}
	for _, line := range body.Lines {
		p.Lines = append(p.Lines, pointsOf(line))
	}
	return p, nil
}

func pairsOf(points []ground.Point) [][2]float64 {
	var all [][2]float64
	for _, p := range points {
		all = append(all, [2]float64{p.Lon, p.Lat})
	}
	return all
}

func pointsOf(pairs [][2]float64) []ground.Point {
	var all []ground.Point
	for _, p := range pairs {
		all = append(all, ground.Point{Lon: p[0], Lat: p[1]})
	}
	return all
}
