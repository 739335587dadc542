package app

import (
	"context"
	"fmt"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/schedule/assemble"
)

// Horizon says which program years a plan is for.
type Horizon struct {
	// Years is how many; 0 means those of the settings.
	Years int
	// From is the first; 0 means the one under way.
	From date.ProgramYear
	// BurnDays say how many burn days its seasons have.
	BurnDays habitat.BurnDays
}

func (h *Horizon) validate() error {
	if h.Years < 0 || h.Years > habitat.MaxYears {
		return badOption("years", fmt.Sprintf("1 to %d", habitat.MaxYears), "%d years cannot be planned", h.Years)
	}
	if h.From != 0 && (h.From < 1900 || h.From > 2200) {
		return badOption("from", "the program year that comes first, such as 2027", "%d is not a program year", h.From)
	}
	return nil
}

// Made is a rotation problem of a property with what is said of it.
type Made struct {
	assemble.Result
	// Words says in plain words what was taken for granted.
	Words []string
	// Hopes holds burns for which the weather record has no candidate day, where they may be
	// planned all the same since the user said the burn days.
	Hopes []habitat.PlannedBurn
}

// Problem makes the rotation problem of the property as it stands.
func (s *Session) Problem(ctx context.Context, over Horizon) (*Made, error) {
	var before *StoredPlan
	if number := s.Adopted(); number > 0 {
		var err error
		if before, err = s.Plan(ctx, number); err != nil {
			return nil, err
		}
	}
	made, err := s.problemAfter(ctx, over, before, s.Property.Keep())
	if err == nil && before != nil {
		made.Words = append(made.Words, view.KeepWords(&s.Property, before.Number)...)
	}
	return made, err
}

// problemAfter makes the problem with a plan to keep to in the first years; nil for
// none.
func (s *Session) problemAfter(ctx context.Context, over Horizon, before *StoredPlan, keepYears int) (*Made, error) {
	if err := over.validate(); err != nil {
		return nil, err
	}
	in := assemble.Input{
		Property: s.Property, Units: s.Units, Pairs: s.Pairs, Records: s.Records, Locks: s.Locks, Today: s.Today,
		FirstYear: over.From, Years: over.Years,
	}
	in.Property.KeepYears = &keepYears
	in.BreakFeet = s.breakFeet()
	if before != nil {
		in.Previous, in.PreviousFrom, in.PreviousThrough = before.BurnsNow(), before.FirstYear, before.LastYear()
	}
	words, hopes, err := s.capBurnDays(ctx, &in, over.BurnDays)
	if err != nil {
		return nil, err
	}
	words = append(s.StrayNames(), words...)
	made, err := assemble.New(in)
	if err != nil {
		return nil, err
	}
	held, said, err := assemble.Hold(made.Problem, s.heldLines(made.Problem))
	if err != nil {
		return nil, err
	}
	made.Problem, made.Assumptions = held, append(made.Assumptions, said...)
	return &Made{Result: *made, Words: append(words, view.AssumptionWords(made.Assumptions)...), Hopes: hopes}, nil
}
