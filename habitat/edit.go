package habitat

import (
	"errors"
	"fmt"
	"slices"

	"emberquilt/habitat/date"
)

// EditedPlan is what a user has changed on a stored plan and has neither kept nor
// discarded. It is not a plan: a plan that holds its edits is found each time.
//
// The JSON keys are those of property files: they do not change.
type EditedPlan struct {
	// Plan is the number of the plan that the edits change.
	Plan int `json:"plan"`
	// IsNewest says that the plan was the newest one when editing began, so that
	// the edits move on to a plan that is made meanwhile.
	IsNewest bool `json:"newest_plan"`
	// Data is the version of the property that the edits were last held against.
	Data string `json:"data"`
	// Steps are the edits, the oldest first; each is undone as one.
	Steps []EditStep `json:"steps"`
	// Undone are steps that were taken back, the last one at the end.
	Undone []EditStep `json:"undone"`
	// Fallen says which edits no longer fit the property and were taken out when it
	// changed.
	Fallen []FallenEdit `json:"fallen"`
}

// EditStep is one action of the user: one cell, or the two of a burn that moves.
type EditStep []CellEdit

// CellEdit is what a unit is to do in a program year.
type CellEdit struct {
	Unit string           `json:"unit"`
	Year date.ProgramYear `json:"year"`
	Do   CellChoice       `json:"do"`
	// Season is that of a burn; empty means that any will do.
	Season string `json:"season,omitempty"`
}

// CellChoice is what a user can choose for a unit and year.
type CellChoice string

// What a unit can be made to do in a year. FreeCell leaves it to the solver, also
// where a lock fixed it.
const (
	BurnCell CellChoice = "burn"
	RestCell CellChoice = "rest"
	FreeCell CellChoice = "free"
)

// FallenEdit is an edit that no longer fits, with the reason.
type FallenEdit struct {
	CellEdit
	Reason string `json:"reason"`
}

// MostEditSteps is how many steps a draft may hold.
const MostEditSteps = 10_000

// Validate checks the draft by itself. The error joins one error for each fault.
func (d *EditedPlan) Validate() error {
	var all []error
	if d.Plan < 1 {
		all = append(all, fieldErrorf("plan", "1 or more", "%d is not the number of a plan", d.Plan))
	}
	if n := len(d.Steps) + len(d.Undone); n > MostEditSteps {
		all = append(all, fieldErrorf("steps", fmt.Sprintf("up to %d", MostEditSteps), "%d are too many", n))
	}
	for _, steps := range [][]EditStep{d.Steps, d.Undone} {
		for _, step := range steps {
			if len(step) == 0 {
				all = append(all, fieldErrorf("steps", "one edit or more", "a step is empty"))
			}
			for i := range step {
				all = append(all, step[i].Validate())
			}
		}
	}
	return errors.Join(all...)
}

// Validate checks the edit by itself. The error joins one *FieldError for each fault.
func (e *CellEdit) Validate() error {
	var all []error
	if err := ValidateName("unit", e.Unit); err != nil {
		all = append(all, err)
	}
	switch {
	case e.Do != BurnCell && e.Do != RestCell && e.Do != FreeCell:
		all = append(all, fieldErrorf("do", "burn, rest or free", "%q is none of these", e.Do))
	case e.Season != "" && e.Do != BurnCell:
		all = append(all, fieldErrorf("season", "no season for "+string(e.Do), "%q is named without a burn", e.Season))
	}
	return errors.Join(all...)
}

// Edits gives what holds of all steps: the last edit of each unit and year, in the
// order in which they were made.
func (d *EditedPlan) Edits() []CellEdit {
	var all []CellEdit
	seen := map[CellKey]bool{}
	for _, step := range slices.Backward(d.Steps) {
		for _, e := range slices.Backward(step) {
			if !seen[e.Key()] {
				seen[e.Key()] = true
				all = append(all, e)
			}
		}
	}
	slices.Reverse(all)
	return all
}

// CellKey names the cell of an edit.
type CellKey struct {
	Unit string
	Year date.ProgramYear
}

// Key gives the cell that the edit is of.
func (e *CellEdit) Key() CellKey { return CellKey{e.Unit, e.Year} }

// Add puts a step after the others; what was undone cannot be done again then.
func (d *EditedPlan) Add(step EditStep) {
	d.Steps, d.Undone, d.Fallen = append(slices.Clone(d.Steps), step), nil, nil
}

// Undo takes back the last step; false where there is none.
func (d *EditedPlan) Undo() bool {
	d.Steps, d.Undone = slices.Clone(d.Steps), slices.Clone(d.Undone)
	return move(&d.Steps, &d.Undone)
}

// Redo does the step again that was taken back last; false where there is none.
func (d *EditedPlan) Redo() bool {
	d.Steps, d.Undone = slices.Clone(d.Steps), slices.Clone(d.Undone)
	return move(&d.Undone, &d.Steps)
}

func move(from, to *[]EditStep) bool {
	last := len(*from) - 1
	if last < 0 {
		return false
	}
	*to = append(*to, (*from)[last])
	*from = (*from)[:last]
	return true
}

// Drop takes the edits of cells out of all steps, also of those that were undone.
func (d *EditedPlan) Drop(cells map[CellKey]bool) {
	drop := func(steps []EditStep) (left []EditStep) {
		for _, step := range steps {
			step = slices.DeleteFunc(slices.Clone(step), func(e CellEdit) bool { return cells[e.Key()] })
			if len(step) > 0 {
				left = append(left, step)
			}
		}
		return left
	}
	d.Steps, d.Undone = drop(d.Steps), drop(d.Undone)
}
