package habitat

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Interval is a return interval: the program years allowed between two burns
// of one unit.
type Interval struct{ Min, Max int }

// String gives "2–3", or "1" where both ends are the same.
func (i Interval) String() string {
	if i.Min == i.Max {
		return fmt.Sprint(i.Min)
	}
	return fmt.Sprintf("%d–%d", i.Min, i.Max)
}

// Validate checks 1 ≤ Min ≤ Max ≤ MaxInterval.
func (i Interval) Validate() error {
	switch {
	case i.Min < 1 || i.Min > MaxInterval:
		return fieldErrorf("min_interval", fmt.Sprintf("1 to %d years", MaxInterval), "%d is not a number of years", i.Min)
	case i.Max > MaxInterval:
		return fieldErrorf("max_interval", fmt.Sprintf("1 to %d years", MaxInterval), "%d is not a number of years", i.Max)
	case i.Max < i.Min:
		return fieldErrorf("max_interval", fmt.Sprintf("%d or more", i.Min), "%d is below min_interval %d", i.Max, i.Min)
	}
	return nil
}

// MaxInterval is the longest return interval in years that is planned for.
const MaxInterval = 200

// SeasonChoice is a season in which a unit may burn, with its penalty factor:
// 0 is a preferred season, 1 costs half an acre-year an acre at default weights.
type SeasonChoice struct {
	Season  string
	Penalty float64
}

// Unit is one burn unit: the ground inside one set of firebreaks.
type Unit struct {
	ID    string
	Acres quantity.Acres
	// StatedAcres is the figure of a list where Acres came from a shape; 0
	// where there is none.
	StatedAcres quantity.Acres
	Interval    Interval
	// Seasons lists the allowed seasons; none means every season of the
	// property without penalty.
	Seasons  []SeasonChoice
	BurnDays float64
	Cost     quantity.Cents
	// Cover says in the manager's words what grows there.
	Cover string
	// Mix, Refuge and Prescription are names; empty means none. Prescription may
	// name others by season: see PrescriptionIn.
	Mix, Refuge, Prescription string
	// EstimatedAge is the stand age that the manager guesses for the end of
	// the program year EstimatedIn, for a unit without a burn record; nil means
	// that there is no guess.
	EstimatedAge *int
	EstimatedIn  date.ProgramYear
	Notes        string
	// Land holds the numbers in which it differs from the property: see LandOf.
	Land LandNumbers
	// Owned is the time in which the unit is the property's to burn.
	Owned Ownership
}

// Ownership is the time in which a unit is the property's to burn: from its first
// day to its last. The zero day of either means that there is no such end.
type Ownership struct{ From, Until date.Day }

// Has reports whether a day lies in it.
func (o Ownership) Has(d date.Day) bool {
	return (o.From.IsZero() || !d.Before(o.From)) && (o.Until.IsZero() || !d.After(o.Until))
}

// EndedBefore reports whether it was over by a day: the unit was sold or retired.
func (o Ownership) EndedBefore(d date.Day) bool { return !o.Until.IsZero() && o.Until.Before(d) }

// outside gives the days of a span that lie outside.
func (o Ownership) outside(s date.Span) []date.Span {
	var all []date.Span
	if !o.From.IsZero() && s.First.Before(o.From) {
		before := date.Span{First: s.First, Last: o.From.AddDays(-1)}
		if s.Last.Before(before.Last) {
			before.Last = s.Last
		}
		all = append(all, before)
	}
	if !o.Until.IsZero() && s.Last.After(o.Until) {
		after := date.Span{First: o.Until.AddDays(1), Last: s.Last}
		if s.First.After(after.First) {
			after.First = s.First
		}
		all = append(all, after)
	}
	return all
}

// Words gives "from 2028-03-01", "until 2027-06-30", both, or nothing.
func (o Ownership) Words() string {
	var parts []string
	if !o.From.IsZero() {
		parts = append(parts, "from "+o.From.String())
	}
	if !o.Until.IsZero() {
		parts = append(parts, "until "+o.Until.String())
	}
	return strings.Join(parts, " ")
}

// Validate checks the unit against its property's seasons and groups. The
// error joins one *FieldError for each fault.
func (u *Unit) Validate(p *Property) error {
	var all []error
	add := func(err error) {
		if err != nil {
			all = append(all, err)
		}
	}
	add(ValidateUnitName("unit", u.ID))
	if !(u.Acres > 0 && u.Acres <= MaxAcres) {
		add(fieldErrorf("acres", "an area above 0, up to 1e9 acres", "%v acres cannot burn", float64(u.Acres)))
	}
	add(u.Interval.Validate())
	if !isAmount(u.BurnDays, MaxBurnDays) {
		add(fieldErrorf("burn_days", "0 to 366 days", "%v is not a number of days", u.BurnDays))
	}
	if u.Cost < 0 {
		add(fieldErrorf("cost", "0 or more dollars", "%s is negative", u.Cost))
	}
	for i, c := range u.Seasons {
		if p.SeasonIndex(c.Season) < 0 {
			add(fieldErrorf("seasons", "seasons of the property: "+p.seasonNames(), "%q is not a season of this property", c.Season))
		}
		if slices.ContainsFunc(u.Seasons[:i], func(o SeasonChoice) bool { return o.Season == c.Season }) {
			add(fieldErrorf("seasons", "each season once", "%q is named twice", c.Season))
		}
		if !isAmount(c.Penalty, MaxWeight) {
			add(fieldErrorf("seasons", "a penalty of 0 to 1e9", "%v is not a penalty", c.Penalty))
		}
	}
	u.validatePrescriptions(p, add)
	if u.Mix != "" && !slices.ContainsFunc(p.Mixes, func(m Mix) bool { return m.Name == u.Mix }) {
		add(fieldErrorf("mix", "a mix of the property's settings", "%q is not a mix of this property", u.Mix))
	}
	if u.Refuge != "" && !slices.ContainsFunc(p.Refuges, func(r Refuge) bool { return r.Name == u.Refuge }) {
		add(fieldErrorf("refuge", "a refuge group of the property's settings", "%q is not a refuge group of this property", u.Refuge))
	}
	if u.EstimatedAge != nil && (*u.EstimatedAge < 0 || *u.EstimatedAge > 1000) {
		add(fieldErrorf("estimated_age", "0 to 1000 program years", "%d is not a stand age", *u.EstimatedAge))
	}
	if o := u.Owned; !o.From.IsZero() && !o.Until.IsZero() && o.Until.Before(o.From) {
		add(fieldErrorf("owned_until", "a date on or after owned_from, "+o.From.String(), "%s is before it", o.Until))
	}
	return errors.Join(all...)
}

// Choices gives the unit's allowed seasons, every season of the property
// without penalty where it names none.
func (u *Unit) Choices(p *Property) []SeasonChoice {
	if len(u.Seasons) > 0 {
		return u.Seasons
	}
	all := make([]SeasonChoice, len(p.Seasons))
	for i, s := range p.Seasons {
		all[i] = SeasonChoice{Season: s.Name}
	}
	return all
}

// PairKind tells hard pairs from soft ones.
type PairKind string

const (
	// Apart units must not burn in one program year.
	Apart PairKind = "apart"
	// Neighbors should rather not.
	Neighbors PairKind = "neighbors"
)

// Pair is two units that border each other or must be kept apart, the lower
// name first.
type Pair struct {
	A, B string
	Kind PairKind
	// SharedFeet is the length of the common boundary, 0 where it is not known.
	SharedFeet quantity.Feet
}

// NewPair puts the lower name first.
func NewPair(a, b string, kind PairKind) Pair {
	if b < a {
		a, b = b, a
	}
	return Pair{A: a, B: b, Kind: kind}
}
