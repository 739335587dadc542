package app

import (
	"errors"
	"fmt"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/source"
	"emberquilt/schedule/problem"
)

// OptionError refuses an option that the caller chose.
type OptionError struct {
	// Option is the option's name, in small letters with hyphens.
	Option string
	// Found says what is wrong with it, Accepts what would be right.
	Found, Accepts string
	// Hint asks whether the nearest names were meant; often empty.
	Hint string
	// Advice is what helps; often 0.
	Advice Advice
	// IsUnknown says that the option is in order but names what the property does
	// not hold.
	IsUnknown bool
}

// Error gives "option: what was found; accepts what would be right".
func (e *OptionError) Error() string {
	return e.Option + ": " + e.Found + "; accepts " + e.Accepts
}

// badOption makes an OptionError.
func badOption(option, accepts, format string, args ...any) error {
	return &OptionError{Option: option, Found: fmt.Sprintf(format, args...), Accepts: accepts}
}

// unknownName is an OptionError about a name that is none of those that there are; it
// asks whether the nearest were meant.
func unknownName(option, accepts, name string, names []string, format string, args ...any) error {
	return &OptionError{Option: option, Found: fmt.Sprintf(format, args...), Accepts: accepts, Hint: source.DidYouMean(name, names)}
}

// optionFaults turns what Validate says of values that came from options into
// OptionErrors, named after the fields.
func optionFaults(err error) error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []error
		for _, one := range joined.Unwrap() {
			all = append(all, optionFaults(one))
		}
		return errors.Join(all...)
	}
	var fault *habitat.FieldError
	if errors.As(err, &fault) {
		return &OptionError{Option: strings.ReplaceAll(fault.Field, "_", "-"), Found: fault.Found, Accepts: fault.Accepts}
	}
	return err
}

// Advice is what helps after an error; whoever faces people says how to ask for it.
type Advice int

// What helps.
const (
	ListUnits Advice = iota + 1
	ListTasks
	ListPlans
	ShowPlan
	MakeFirstPlan
	AdoptPlan
	MakeNewPlan
	LoadWeather
	ListWeather
	LoadPrescriptions
	NamePrescriptions
	StateAdjustment
	ListPreparation
	ListBurns
	RecordBurn
	ImportContracts
	RetireUnit
	TakeElsewhere
	TakeAnyAge
	SayWhyAltered
	StateAcres
)

// AdvisedError is bad input, with what helps. errors.As finds the *source.Error in it.
type AdvisedError struct {
	Fault  *source.Error
	Advice Advice
	// Plan is the number of the plan that ShowPlan means, Unit that of StateAdjustment.
	Plan int
	Unit string
}

// Error gives the fault without the advice.
func (e *AdvisedError) Error() string { return e.Fault.Error() }

// Unwrap gives the fault.
func (e *AdvisedError) Unwrap() error { return e.Fault }

// NoDepthError is a unit whose depth along the wind is not known: it has no shape,
// and nobody stated one.
type NoDepthError struct{ Unit string }

// Error names the unit.
func (e *NoDepthError) Error() string { return e.Unit + " has no shape, and no depth is stated" }

// ErrNothing says that a paper has nothing to hold for this property.
var ErrNothing = errors.New("there is nothing to write")

// Interrupted is work that its context ended. What was done by then is said;
// some functions give their result beside it.
type Interrupted struct{ Done string }

// Error says what was done.
func (e *Interrupted) Error() string { return "interrupted; " + e.Done }

// clashError says which locked burns cannot stand together, a line each; it is a
// problem.ErrInfeasible.
func clashError(answer *problem.Answer) error {
	text := make([]string, len(answer.Clashes))
	for i, clash := range answer.Clashes {
		text[i] = "\n- " + clash.Text
	}
	return fmt.Errorf("%w: the locked burns cannot stand together%s", problem.ErrInfeasible, strings.Join(text, ""))
}
