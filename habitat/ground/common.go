package ground

import (
	"emberquilt/habitat/quantity"
)

// CommonAcres gives the ground that two shapes share, such as a burned outline
// and its unit. ok is false where the shapes are too wild to be measured.
func CommonAcres(a, b Shape) (acres quantity.Acres, ok bool) {
	if a.IsEmpty() || b.IsEmpty() {
		return 0, true
	}
	pl := NewPlane(Center(a, b))
	squareMeters, ok := overlapOf(newOutline(a, pl), newOutline(b, pl))
	return quantity.AcresFromSquareMeters(squareMeters), ok
}
