package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/settings"
	"emberquilt/habitat/source"
)

// TypedClosure is a closure as a form has it: texts as they were typed.
type TypedClosure struct {
	Name string `json:"name"`
	// First and Last are MM-DD for days of every year, YYYY-MM-DD for those of one; an
	// empty Last is First.
	First string `json:"first"`
	Last  string `json:"last"`
	// Units names the units that it closes; none means the whole property.
	Units []string `json:"units"`
}

// TypedClosures gives the closures as a form shows them.
func (s *Session) TypedClosures() []TypedClosure {
	all := []TypedClosure{}
	for _, c := range s.Property.Closures {
		one := TypedClosure{Name: c.Name, Units: append([]string{}, c.Units...)}
		one.First, one.Last = c.Ends()
		all = append(all, one)
	}
	return all
}

// acceptsClosed is what the days of a closure may be.
const acceptsClosed = "days of every year as MM-DD, such as 04-15, or dates as YYYY-MM-DD, such as 2028-04-15"

// read makes the closure of typed texts.
func (t *TypedClosure) read(s *Session) (c habitat.Closure, err error) {
	first := strings.TrimSpace(t.First)
	last := first
	if text := strings.TrimSpace(t.Last); text != "" {
		last = text
	}
	c.Name = strings.TrimSpace(t.Name)
	for _, name := range t.Units {
		if slices.ContainsFunc(s.Property.Closures, func(o habitat.Closure) bool { return slices.Contains(o.Units, name) }) {
			c.Units = append(c.Units, name) // it stands so, even where the unit is no more
			continue
		}
		unit, err := FindUnit(s.Snapshot, name)
		if err != nil {
			return c, err
		}
		c.Units = append(c.Units, unit.ID)
	}
	var faults []error
	closed := func(option, text string, err error) {
		if err != nil {
			faults = append(faults, badOption(option, acceptsClosed, "%s %v", source.Quote(text), err))
		}
	}
	if len(first) == len("MM-DD") {
		var span date.AnnualSpan
		span.First, err = date.ParseAnnual(first)
		closed("first", first, err)
		span.Last, err = date.ParseAnnual(last)
		closed("last", last, err)
		c.Yearly = &span
	} else {
		var span date.Span
		span.First, err = date.ParseDay(first)
		closed("first", first, err)
		span.Last, err = date.ParseDay(last)
		closed("last", last, err)
		c.Once = &span
	}
	return c, errors.Join(faults...)
}

// ReplaceClosures puts a list of closures in place of the one that stands, unless it is
// a dry run, and says what is different.
func (s *Session) ReplaceClosures(ctx context.Context, all []TypedClosure, because string, isDry bool) ([]settings.Difference, error) {
	var closures []habitat.Closure
	var faults []error
	for i := range all {
		one, err := all[i].read(s)
		if err == nil {
			// Checked alone first, so that what is wrong is said beside its row.
			alone := s.Property
			alone.Closures = []habitat.Closure{one}
			err = optionFaults(alone.Validate())
		}
		for _, err := range unjoin(err) {
			var fault *OptionError
			if errors.As(err, &fault) {
				fault.Option = fmt.Sprintf("closure %d, %s", i+1, strings.TrimPrefix(strings.TrimPrefix(fault.Option, "closure[0]"), "."))
			}
			if err != nil {
				faults = append(faults, err)
			}
		}
		closures = append(closures, one)
	}
	if err := errors.Join(faults...); err != nil {
		return nil, err
	}
	return s.ChangeSettings(ctx, SettingsChange{Closures: &closures, Because: because, DryRun: isDry})
}
