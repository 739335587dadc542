package view

import (
	"emberquilt/habitat"
	"emberquilt/habitat/ground"
)

// PlaceRow is a sensitive place and how far it lies from a unit.
type PlaceRow struct {
	Name, Kind string
	// Unit is empty and Away nil where nothing was measured.
	Unit string
	Away *ground.Away
}

// AgedUnit is a unit and its stand age at the end of a program year.
type AgedUnit struct {
	Unit habitat.Unit
	Age  habitat.StandAge
}
