package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/source"
	"emberquilt/schedule/problem"
	"emberquilt/store"
)

// Exit statuses of every command.
const (
	statusDone        = 0
	statusFailed      = 1
	statusUsage       = 2
	statusBadInput    = 3
	statusNoPlan      = 4
	statusInterrupted = 130
)

// usageError is a command line that cannot be carried out as it stands.
type usageError struct{ err error }

func (e *usageError) Error() string { return e.err.Error() }
func (e *usageError) Unwrap() error { return e.err }

// usagef makes a usage error.
func usagef(format string, args ...any) error { return &usageError{fmt.Errorf(format, args...)} }

// notAccepted words the value of a flag that cannot be used.
func notAccepted(text, fault, accepts string) error {
	return fmt.Errorf("%s %s; accepts %s", source.Quote(text), fault, accepts)
}

// flagError refuses the value of a flag, in the form of every other error.
func flagError(flag, accepts, format string, args ...any) error {
	return usagef("--%s: %s; accepts %s", flag, fmt.Sprintf(format, args...), accepts)
}

// namedFlag turns the options that the layer below refuses into the flags of those
// names.
func namedFlag(err error) error {
	var option *app.OptionError
	if !errors.As(err, &option) {
		return err
	}
	if option.IsUnknown {
		return &source.Error{
			Position: source.Position{File: "--" + option.Option},
			Found:    option.Found,
			Accepts:  option.Accepts,
			Hint:     joinHints(option.Hint, advice(&app.AdvisedError{Advice: option.Advice})),
		}
	}
	var all []error
	for _, one := range unjoin(err) {
		if errors.As(one, &option) {
			one = fmt.Errorf("--%w%s", option, hintOf(option))
		}
		all = append(all, one)
	}
	return &usageError{errors.Join(all...)}
}

// hintOf gives the hint of an option that was refused, as the line below its error.
func hintOf(o *app.OptionError) string {
	if o.Hint == "" {
		return ""
	}
	return "\nhint: " + o.Hint
}

// hinted names the command that helps where the layer below only says what is wrong.
func hinted(err error) error {
	var unshaped *app.NoShapesError
	if errors.As(err, &unshaped) {
		return fmt.Errorf("%w; emberquilt import reads them from a file", err)
	}
	var unsealed *app.UnsealedError
	if errors.As(err, &unsealed) {
		return fmt.Errorf("%w\nhint: emberquilt verify lists all that was found", err)
	}
	if errors.Is(err, store.ErrSettings) {
		return fmt.Errorf("%w\nhint: emberquilt settings --load FILE puts others in their place", err)
	}
	var advised *app.AdvisedError
	if errors.As(err, &advised) {
		fault := *advised.Fault
		fault.Hint = joinHints(fault.Hint, advice(advised))
		return &fault
	}
	return err
}

// joinHints puts two hints into one line, the second behind a question or a semicolon.
func joinHints(a, b string) string {
	if strings.HasSuffix(a, "?") {
		return strings.TrimSpace(a + " " + b)
	}
	return strings.Trim(a+"; "+b, "; ")
}

// advice says which command helps.
func advice(e *app.AdvisedError) string {
	switch e.Advice {
	case app.ListUnits:
		return "emberquilt units lists them"
	case app.ListTasks:
		return "emberquilt tasks list shows them"
	case app.ListPlans:
		return "emberquilt plans lists them"
	case app.ShowPlan:
		return fmt.Sprintf("emberquilt show %d shows what it burns", e.Plan)
	case app.MakeFirstPlan:
		return "emberquilt plan makes one"
	case app.AdoptPlan:
		return fmt.Sprintf("emberquilt adopt %d adopts it", e.Plan)
	case app.MakeNewPlan:
		return "emberquilt plan makes a new plan"
	case app.LoadWeather:
		return "emberquilt weather FILE… loads one"
	case app.ListWeather:
		return "emberquilt weather lists those that are loaded"
	case app.LoadPrescriptions:
		return "emberquilt prescription loads them"
	case app.NamePrescriptions:
		return "emberquilt prescription loads them, with --starters some to begin from; the column prescription of a list of units names them"
	case app.StateAdjustment:
		return fmt.Sprintf("emberquilt card %s --adjustment 0.4 --save says it for the unit, without the unit for all of them; 0.4 is only an example", quote(e.Unit))
	case app.ListPreparation:
		return "emberquilt tasks lists what must be done before, and by when"
	case app.ListBurns:
		return "emberquilt burns lists them"
	case app.RecordBurn:
		return "emberquilt record puts a burn on record"
	case app.RetireUnit:
		return "emberquilt retire takes a unit out of what is to come and keeps its history"
	case app.TakeElsewhere:
		return "--elsewhere takes it all the same"
	case app.TakeAnyAge:
		return "--any-age takes it all the same"
	case app.SayWhyAltered:
		return "--because with a reason puts the altered one in its place"
	case app.StateAcres:
		return "--acres says how many burned, without an outline"
	case app.ImportContracts:
		return "emberquilt import reads contracts from a file"
	}
	return ""
}

// answered is an error whose text stands in the command's result already: only
// the status is left to say.
type answered struct{ status int }

func (answered) Error() string { return "see the result" }

// unmade is an error of a command that throws everything away: what an interrupted part
// of it says that it kept is gone as well.
func unmade(err error, done string) error {
	var stopped *app.Interrupted
	if errors.As(err, &stopped) {
		return &app.Interrupted{Done: done}
	}
	return err
}

// exitStatus is the one place that turns an error into an exit status.
func exitStatus(ctx context.Context, err error) int {
	var said answered
	var usage *usageError
	var stopped *app.Interrupted
	switch {
	case err == nil:
		return statusDone
	case errors.As(err, &said):
		return said.status
	case errors.As(err, &stopped), ctx.Err() != nil && errors.Is(err, context.Canceled):
		return statusInterrupted
	case errors.As(err, &usage):
		return statusUsage
	case errors.Is(err, problem.ErrInfeasible):
		return statusNoPlan
	case isFailure(err):
		return statusFailed
	case source.Is(err), errors.Is(err, store.ErrUnknown), errors.Is(err, store.ErrSameBurn):
		return statusBadInput
	}
	return statusFailed
}

// isFailure finds troubles of the machine, not of the input, among the errors
// that name a file.
func isFailure(err error) bool {
	for _, trouble := range []error{store.ErrFull, store.ErrReadOnly, store.ErrBusy, store.ErrExists} {
		if errors.Is(err, trouble) {
			return true
		}
	}
	return false
}

// printError prints an error once, on standard error: a line of text each, or
// a JSON document where the user asked for JSON.
func (a *terminal) printError(command *cobra.Command, err error, status int) {
	var said answered
	if err == nil || errors.As(err, &said) {
		return
	}
	if a.wantsJSON() {
		a.printJSONError(err, status)
		return
	}
	text := err.Error()
	if status == statusInterrupted && errors.Is(err, context.Canceled) {
		text = "interrupted; nothing was changed"
	}
	// Bad input says by itself where it stands; anything else is said by a
	// command, or by the program where it was started without one.
	path := "emberquilt"
	if command != nil {
		path = command.CommandPath()
	}
	if !source.Is(err) {
		text = path + ": " + text
	}
	if status == statusUsage && !strings.Contains(text, "\nhint: ") {
		text += "\nhint: " + path + " --help shows what it accepts"
	}
	fmt.Fprintln(a.Err, text)
}

// wantsJSON reports whether errors are to be JSON: the flag counts even where
// the command line failed before it was read.
func (a *terminal) wantsJSON() bool {
	if a.json {
		return true
	}
	for _, arg := range a.Args {
		switch arg {
		case "--":
			return false
		case "--json", "--json=true":
			return true
		}
	}
	return false
}

// jsonError is the document that stands on standard error with --json.
type jsonError struct {
	Status int           `json:"status"`
	Errors []source.Line `json:"errors"`
	More   int           `json:"more,omitempty"`
}

func (a *terminal) printJSONError(err error, status int) {
	doc := jsonError{Status: status}
	var list *source.List
	var one *source.Error
	add := func(e *source.Error) {
		doc.Errors = append(doc.Errors, e.Listed())
	}
	switch {
	case errors.As(err, &list):
		for _, e := range list.Errors {
			add(e)
		}
		doc.More = list.More
	case errors.As(err, &one):
		add(one)
	default:
		doc.Errors = []source.Line{{Found: err.Error()}}
	}
	// A value of plain fields always encodes.
	text, _ := json.Marshal(map[string]jsonError{"error": doc})
	fmt.Fprintf(a.Err, "%s\n", text)
}
