package app

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/settings"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
)

// What a what-if may close and cap, as errors say it.
const (
	acceptsClose = `a season ("dormant"), one of a program year ("dormant 2028"), a program year ("2028") or days ("2028-03-01..2028-03-31"), for one unit after its name and a colon ("Creek Patch: dormant")`
	acceptsCap   = `acres, burns, dollars or a season for its burn days, with a number ("acres=120"), of one program year ("dormant 2028=3"), or none ("acres=none")`
)

// acceptsTrial is what a what-if may be called.
const acceptsTrial = `a name of the what-if, such as "a poor spring"`

// CheckTrialName refuses a what-if without a name.
func CheckTrialName(name string) error {
	if strings.TrimSpace(name) == "" {
		return badOption("try", acceptsTrial, "a name is missing")
	}
	return nil
}

// CheckTrial refuses a what-if that cannot be made, before anything is solved.
func (s *Session) CheckTrial(o *PlanOptions) error {
	if err := CheckTrialName(o.Trial); err != nil {
		return err
	}
	if err := o.Horizon.validate(); err != nil {
		return err
	}
	_, _, err := s.tried(o)
	return err
}

// tried gives the session as it would be with what a what-if closes and caps, and
// says a line each what that is; the session itself where nothing is tried.
func (s *Session) tried(o *PlanOptions) (trial *Session, changed []string, err error) {
	if strings.TrimSpace(o.Trial) == "" && len(o.Close)+len(o.Caps) > 0 {
		return nil, nil, badOption("try", `a name of the what-if, such as "a wet spring", beside what it closes or caps`, "a name is missing")
	}
	if o.Trial != "" && o.BurnDays.From != habitat.DefaultDays {
		changed = append(changed, view.TriedDays(o.BurnDays))
	}
	if len(o.Close)+len(o.Caps) == 0 {
		return s, changed, nil
	}
	property := s.Property
	property.Closures = slices.Clone(property.Closures)
	property.Seasons = slices.Clone(property.Seasons)
	property.CapsIn = slices.Clone(property.CapsIn)
	for i := range property.CapsIn {
		property.CapsIn[i].BurnDays = maps.Clone(property.CapsIn[i].BurnDays)
	}
	for _, text := range o.Caps {
		if err := capTried(&property, text); err != nil {
			return nil, nil, err
		}
	}
	for _, d := range settings.Diff(&s.Property, &property) {
		changed = append(changed, d.String())
	}
	for _, text := range o.Close {
		closures, words, err := s.closeTried(text)
		if err != nil {
			return nil, nil, err
		}
		property.Closures = append(property.Closures, closures...)
		changed = append(changed, words)
	}
	snapshot := *s.Snapshot
	snapshot.Property = property
	return &Session{Snapshot: &snapshot, Environment: s.Environment, Store: s.Store, ID: s.ID}, changed, nil
}

// closeTried reads what a what-if closes.
func (s *Session) closeTried(text string) (closures []habitat.Closure, words string, err error) {
	what, units, closed := strings.TrimSpace(text), []string(nil), view.TriedClosure{}
	if at := strings.LastIndex(what, ": "); at >= 0 {
		unit, err := FindUnit(s.Snapshot, strings.TrimSpace(what[:at]))
		if err != nil {
			return nil, "", err
		}
		what, units, closed.Unit = strings.TrimSpace(what[at+1:]), []string{unit.ID}, unit.ID
	}
	once := func(span date.Span) habitat.Closure {
		return habitat.Closure{Name: "tried: " + what, Once: &span, Units: units}
	}
	p := &s.Property
	if first, last, isSpan := strings.Cut(what, ".."); isSpan {
		from, err := date.ParseDay(strings.TrimSpace(first))
		through, err2 := date.ParseDay(strings.TrimSpace(last))
		if err != nil || err2 != nil || through.Before(from) {
			return nil, "", badOption("close", acceptsClose, "%s is not a span of days", source.Quote(text))
		}
		closed.Days = date.Span{First: from, Last: through}
		return []habitat.Closure{once(closed.Days)}, closed.Words(), nil
	}
	if year, ok := tryYear(what); ok {
		closed.Year = year
		return []habitat.Closure{once(p.YearStart.Span(year))}, closed.Words(), nil
	}
	season, year := s.seasonTried(what)
	if season < 0 {
		return nil, "", badOption("close", acceptsClose, "%s is none of these", source.Quote(text))
	}
	closed.Season, closed.Year = p.Seasons[season].Name, year
	if year != 0 {
		return []habitat.Closure{once(p.SeasonSpan(season, year))}, closed.Words(), nil
	}
	span := p.Seasons[season].Span
	return []habitat.Closure{{Name: "tried: " + what, Yearly: &span, Units: units}}, closed.Words(), nil
}

// seasonTried reads the name of a season, with or without a program year; −1 for none.
func (s *Session) seasonTried(text string) (season int, year date.ProgramYear) {
	find := func(name string) int {
		return slices.IndexFunc(s.Property.Seasons, func(q habitat.Season) bool { return strings.EqualFold(q.Name, name) })
	}
	if at := find(text); at >= 0 {
		return at, 0
	}
	words := strings.Fields(text)
	if len(words) < 2 {
		return -1, 0
	}
	if year, ok := tryYear(words[len(words)-1]); ok {
		return find(strings.Join(words[:len(words)-1], " ")), year
	}
	return -1, 0
}

func tryYear(text string) (date.ProgramYear, bool) {
	year, err := strconv.Atoi(text)
	return date.ProgramYear(year), err == nil && len(text) == 4 && year >= 1900 && year <= 2200
}

// capTried puts a cap of a what-if into the property; one of all years takes the
// place of those of single years.
func capTried(p *habitat.Property, text string) error {
	bad := func(fault string) error { return badOption("cap", acceptsCap, "%s %s", source.Quote(text), fault) }
	at := strings.LastIndex(text, "=")
	if at < 0 {
		return bad("has no =")
	}
	what, year := strings.TrimSpace(text[:at]), date.ProgramYear(0)
	if words := strings.Fields(what); len(words) > 1 {
		if y, ok := tryYear(words[len(words)-1]); ok {
			year, what = y, strings.Join(words[:len(words)-1], " ")
		}
	}
	var amount *float64 // nil lifts the cap
	if number := strings.TrimSpace(text[at+1:]); !strings.EqualFold(number, "none") {
		v, err := quantity.Parse(number)
		if err != nil || v < 0 || v > float64(habitat.MaxAcres) {
			return bad("holds no number of 0 or more")
		}
		amount = &v
	} else if year != 0 {
		return bad("lifts a cap in one year, where it can only be lifted in all")
	}
	season := -1
	var put func(c *habitat.Caps, amount *float64)
	switch strings.ToLower(what) {
	case "acres":
		put = func(c *habitat.Caps, amount *float64) {
			c.Acres = as(amount, func(v float64) quantity.Acres { return quantity.Acres(v) })
		}
	case "burns":
		if amount != nil && *amount != math.Trunc(*amount) {
			return bad("is not a whole number of burns")
		}
		put = func(c *habitat.Caps, amount *float64) { c.Burns = as(amount, func(v float64) int { return int(v) }) }
	case "dollars", "cost":
		put = func(c *habitat.Caps, amount *float64) {
			c.Cost = as(amount, func(v float64) quantity.Cents { return quantity.Cents(math.Round(100 * v)) })
		}
	default:
		season = slices.IndexFunc(p.Seasons, func(q habitat.Season) bool { return strings.EqualFold(q.Name, what) })
		if season < 0 {
			return bad("names no cap")
		}
		if amount != nil && *amount > habitat.MaxBurnDays {
			return bad(fmt.Sprintf("is above %d burn days", habitat.MaxBurnDays))
		}
		name := p.Seasons[season].Name
		put = func(c *habitat.Caps, amount *float64) {
			if amount == nil {
				delete(c.BurnDays, name)
				return
			}
			if c.BurnDays == nil {
				c.BurnDays = map[string]float64{}
			}
			c.BurnDays[name] = *amount
		}
		if year == 0 {
			p.Seasons[season].BurnDays = amount
		}
	}
	if year == 0 {
		if season < 0 {
			put(&p.Caps, amount)
		}
		for i := range p.CapsIn {
			put(&p.CapsIn[i].Caps, nil)
		}
		return nil
	}
	i := slices.IndexFunc(p.CapsIn, func(c habitat.CapsIn) bool { return c.Year == year })
	if i < 0 {
		p.CapsIn = append(p.CapsIn, habitat.CapsIn{Year: year})
		i = len(p.CapsIn) - 1
	}
	put(&p.CapsIn[i].Caps, amount)
	return nil
}

// as turns a number into a quantity; nil stays nil.
func as[Q any](amount *float64, of func(float64) Q) *Q {
	if amount == nil {
		return nil
	}
	q := of(*amount)
	return &q
}

// Beside sets plans side by side: those that are named, or, where none is, the adopted
// one and every draft.
func (s *Session) Beside(ctx context.Context, numbers []int) (*view.Beside, error) {
	if len(numbers) == 0 {
		if adopted := s.Adopted(); adopted != 0 {
			numbers = append(numbers, adopted)
		}
		for _, head := range s.Plans {
			if s.Standings.Of(head.Number).Standing == habitat.DraftPlan {
				numbers = append(numbers, head.Number)
			}
		}
		if len(numbers) == 0 {
			_, err := s.Plan(ctx, 0) // which says that there is no plan
			return nil, err
		}
	}
	var plans []view.BesideInput
	for i, number := range numbers {
		if slices.Contains(numbers[:i], number) {
			return nil, badOption("plan", "each plan once", "plan %d is named twice", number)
		}
		stored, err := s.namedPlan(ctx, number)
		if err != nil {
			return nil, err
		}
		plan, err := s.PlanView(ctx, stored)
		if err != nil {
			return nil, err
		}
		later, err := s.later(ctx, stored)
		if err != nil {
			return nil, err
		}
		plans = append(plans, view.BesideInput{Plan: plan, Later: later, Note: stored.Note})
	}
	return view.NewBeside(plans)
}

// shownTries is how many what-ifs the program book sets beside the plan, the newest.
const shownTries = 8

// Tries sets the newest what-ifs that are drafts beside the adopted plan; nil where there
// are none that share a year with it, or where the plan is another.
func (s *Session) Tries(ctx context.Context, plan *StoredPlan) (*view.Beside, error) {
	if plan.Number != s.Adopted() {
		return nil, nil
	}
	var tries []int
	for _, head := range s.Plans {
		if standing := s.Standings.Of(head.Number); standing.Standing == habitat.DraftPlan && standing.Trial != "" &&
			head.FirstYear <= plan.LastYear() && head.FirstYear+date.ProgramYear(head.Years) > plan.FirstYear {
			tries = append(tries, head.Number)
		}
	}
	if len(tries) == 0 {
		return nil, nil
	}
	tries = tries[max(0, len(tries)-shownTries):]
	return s.Beside(ctx, append([]int{plan.Number}, tries...))
}
