package ground

import "emberquilt/habitat/quantity"

// CommonAcres gives the ground that two shapes share, such as a burned outline
// and its unit. ok is false where the shapes are too wild to be measured.
func CommonAcres(a, b Shape) (acres quantity.Acres, ok bool) { return overlapOfShapes(a, b) }
