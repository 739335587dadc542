package view

import (
	"emberquilt/habitat"
	"emberquilt/habitat/ground"
)

// Ground is a small map: outlines of units and the places that matter to smoke.
// It says nothing that a table does not say too.
type Ground struct {
	Units  []GroundUnit   `json:"units"`
	Places []ground.Place `json:"-"`
	// Standing are roads and water that hold a fire.
	Standing []ground.Line `json:"-"`
}

// GroundUnit is one outline.
type GroundUnit struct {
	Unit  string       `json:"unit"`
	Shape ground.Shape `json:"-"`
	// Burns marks the units that the paper is about.
	Burns bool `json:"burns"`
	// Number stands for the unit where its name does not fit; 0 for none.
	Number int `json:"number,omitempty"`
}

// newGround draws the units that have a shape, in their order; nil where
// none has.
func newGround(units []habitat.Unit, shapes map[string]ground.Shape, places []ground.Place, burns func(unit string) bool) *Ground {
	g := &Ground{Places: places}
	for i := range units {
		id := units[i].ID
		if shape, ok := shapes[id]; ok && !shape.IsEmpty() {
			g.Units = append(g.Units, GroundUnit{Unit: id, Shape: shape, Burns: burns(id)})
		}
	}
	if g.Units == nil {
		return nil
	}
	return g
}
