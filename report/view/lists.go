package view

import (
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
)

// PlaceRow is a sensitive place and how far it lies from a unit.
type PlaceRow struct {
	Name, Kind string
	// Unit is empty and Away nil where nothing was measured.
	Unit string
	Away *ground.Away
}

// AgedUnit is a unit with what the records say of it on a day.
type AgedUnit struct {
	Unit habitat.Unit
	// Age is the stand age at the end of the last program year that is over; 0,
	// counted from that burn, where it has burned since.
	Age habitat.StandAge
	// State is what Age comes from; Words says what burned since, empty for nothing.
	State habitat.UnitState
	Words string
	// LastBurn is the last burn that set the age back; zero where there is none. Words
	// names a treatment other than fire that did so since.
	LastBurn date.Day
}

// NewAgedUnit puts the state of a unit beside it.
func NewAgedUnit(u *habitat.Unit, state habitat.UnitState) AgedUnit {
	row := AgedUnit{Unit: *u, Age: state.Before, State: state, Words: BurnedWords(&state), LastBurn: state.LastBurn}
	if state.Done {
		row.Age = state.Now
	}
	if by := row.Age.From.By; by != "" && row.Words == "" {
		row.Words = fmt.Sprintf("%s on %s set its age back", by, row.Age.From.On.Words())
	}
	if state.Done {
		return row
	}
	if row.Words == "" && len(state.Partial) > 0 {
		last := state.Partial[len(state.Partial)-1]
		row.Words = fmt.Sprintf("%s acres of it burned by %s", last.Acres, last.On.Words())
	}
	return row
}
