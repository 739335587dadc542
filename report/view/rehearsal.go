package view

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// Rehearsal is what the papers and the terminal show of a rehearsal.
type Rehearsal struct {
	*habitat.Rehearsal
	Stamp Stamp `json:"-"`
	// Headlines say in words what the first rule came to, and how the others
	// differ from it.
	Headlines []string `json:"headlines"`
	// Differences say in short, rule by rule, how it differs from the first.
	Differences []string `json:"differences"`
	// Happened lists what was counted, with a figure of each rule.
	Happened []RehearsedFigure `json:"what_happened"`
	// Method says how the figures came about, and what is left out of them.
	Method   []string `json:"method"`
	Cautions []string `json:"cautions"`
}

// RehearsalCaution stands beside everything that a rehearsal shows.
const RehearsalCaution = "A rehearsal plays past weather in invented futures: it is not a forecast."

// NewRehearsal computes the sentences of a rehearsal.
func NewRehearsal(r *habitat.Rehearsal, stamp Stamp) *Rehearsal {
	v := &Rehearsal{Rehearsal: r, Stamp: stamp, Cautions: append([]string{RehearsalCaution}, Cautions()...)}
	first := &r.Rules[0]
	v.Headlines = append(v.Headlines, v.lateWords(first),
		fmt.Sprintf("Rule %s (%s) falls short by %s over %s.", first.Name, first.Words, spreadWords(first.Shortfall, "acre-years"), quantity.Count(r.Years, "year")))
	if f := first.Foresight; f != nil {
		v.Headlines = append(v.Headlines, fmt.Sprintf("A rule that knew the weather in advance could not do better than %s acre-years on average; this one does %s.",
			quantity.Group(f.Mean, 1), quantity.Group(first.Shortfall.Mean, 1)))
	}
	v.Differences = []string{"the first rule"}
	v.Headlines = append(v.Headlines, r.Always...)
	for i := 1; i < len(r.Rules); i++ {
		v.Headlines = append(v.Headlines, v.DifferenceWords(&r.Rules[i]))
		v.Differences = append(v.Differences, v.ShortDifference(&r.Rules[i]))
	}
	v.Happened = v.happened()
	v.Method = v.methodWords()
	return v
}

// RehearsedFigure is one of the figures that a rehearsal counts, rule by rule.
type RehearsedFigure struct {
	Name   string   `json:"name"`
	ByRule []string `json:"by_rule"`
}

// happened lists the figures; a part of the shortfall that no rule has is left out.
func (v *Rehearsal) happened() (all []RehearsedFigure) {
	add := func(name string, of func(*habitat.RehearsedRule) string) {
		one := RehearsedFigure{Name: name}
		for i := range v.Rules {
			one.ByRule = append(one.ByRule, of(&v.Rules[i]))
		}
		all = append(all, one)
	}
	for k, part := range partNames {
		if slices.ContainsFunc(v.Rules, func(r habitat.RehearsedRule) bool { return r.Parts[part] > 0 }) {
			add("shortfall of "+partShort[k], func(r *habitat.RehearsedRule) string { return quantity.Group(r.Parts[part], 1) })
		}
	}
	add("burns", func(r *habitat.RehearsedRule) string { return quantity.Group(r.Burns.Mean, 1) })
	share := func(name string, of func(*habitat.RehearsedRule) *float64) {
		add(name, func(r *habitat.RehearsedRule) string {
			if share := of(r); share != nil {
				return Percent(*share)
			}
			return "–"
		})
	}
	share("planned burns done in their year", func(r *habitat.RehearsedRule) *float64 { return r.Done })
	share("planned burns done in their season", func(r *habitat.RehearsedRule) *float64 { return r.InSeason })
	share("choices that a new plan changed", func(r *habitat.RehearsedRule) *float64 { return r.Changed })
	for _, mix := range slices.Sorted(maps.Keys(v.Rules[0].InBands)) {
		add("years that end with "+mix+" as wanted", func(r *habitat.RehearsedRule) string { return Percent(r.InBands[mix]) })
	}
	return all
}

// lateWords say how often all units keep their intervals.
func (v *Rehearsal) lateWords(rule *habitat.RehearsedRule) string {
	count := func(share float64) string {
		n := int(math.Round(share * float64(v.Futures)))
		text := fmt.Sprintf("%s of %s", quantity.Group(float64(n), 0), quantity.Count(v.Futures, "future"))
		if v.Futures > 10 && n > 0 && n < v.Futures {
			text += fmt.Sprintf(" (%s of 10)", tenOf(share))
		}
		return text
	}
	return fmt.Sprintf("In %s no unit is more than one year late, and in %s none is overdue at all.", count(rule.OneLate), count(rule.OnTime))
}

// tenOf gives a share in tenths, in words where it rounds to an end that it is
// not.
func tenOf(share float64) string {
	n := math.Round(10 * share)
	switch {
	case n == 0 && share > 0:
		return "fewer than 1"
	case n == 10 && share < 1:
		return "more than 9"
	}
	return fmt.Sprintf("%.0f", n)
}

func spreadWords(s habitat.Spread, unit string) string {
	return fmt.Sprintf("%s %s on average (95%% interval %s to %s; one future in ten is below %s, one in ten above %s)",
		quantity.Group(s.Mean, 1), unit, quantity.Group(s.Low, 1), quantity.Group(s.High, 1), quantity.Group(s.P10, 1), quantity.Group(s.P90, 1))
}

// Differs reports whether a rule differs from the first one: only where the 95%
// interval of the paired differences leaves out 0.
func (v *Rehearsal) Differs(rule *habitat.RehearsedRule) bool {
	return rule.Difference.Low > 0 || rule.Difference.High < 0
}

// DifferenceWords compare a rule with the first one.
func (v *Rehearsal) DifferenceWords(rule *habitat.RehearsedRule) string {
	first := v.Rules[0].Name
	if !v.Differs(rule) {
		return fmt.Sprintf("Rule %s (%s): no difference from %s seen in %s.", rule.Name, rule.Words, first, quantity.Count(v.Futures, "future"))
	}
	d, what, low, high := rule.Difference.Mean, "more", rule.Difference.Low, rule.Difference.High
	if d < 0 {
		d, what, low, high = -d, "less", -high, -low
	}
	return fmt.Sprintf("Rule %s (%s) falls short by %s acre-years %s than %s, future by future (95%% interval %s to %s).",
		rule.Name, rule.Words, within(d, high-low, 1), what, first, within(low, high-low, 1), within(high, high-low, 1))
}

// ShortDifference gives the difference from the first rule for a column.
func (v *Rehearsal) ShortDifference(rule *habitat.RehearsedRule) string {
	if !v.Differs(rule) {
		return "none seen"
	}
	d := rule.Difference
	slack := d.High - d.Low
	return fmt.Sprintf("%s (%s to %s)", signedWithin(d.Mean, slack), signedWithin(d.Low, slack), signedWithin(d.High, slack))
}

// YearList gives the rehearsed program years.
func (v *Rehearsal) YearList() []date.ProgramYear {
	years := make([]date.ProgramYear, v.Years)
	for k := range years {
		years[k] = v.FirstYear + date.ProgramYear(k)
	}
	return years
}

// methodWords say how the figures came about.
func (v *Rehearsal) methodWords() []string {
	r := v.Rehearsal
	all := []string{fmt.Sprintf(
		"%s of %d to %d were played%s, each program year with the weather of one program year of the record, drawn with replacement (seed %d%s): %s, %s.",
		quantity.Count(
			r.Futures,
			"future",
		),
		r.FirstYear,
		int(r.FirstYear)+r.Years-1,
		askedWords(r),
		r.Seed,
		blockWords(r.Blocks),
		r.Basis,
		quantity.Count(len(r.RecordYears), "usable program year"),
	)}
	if !r.MadeOn.IsZero() {
		all = append(all, "Rehearsed on "+r.MadeOn.Words()+", with the units, records and prescriptions of that day.")
	}
	if r.LeftOut != "" {
		all = append(all, "Left out, because too few of their days are known: "+r.LeftOut+".")
	}
	all = append(
		all,
		"On each usable day the crew takes the planned units in the order of what resting them would cost the plan, where it is a candidate day for them; a unit of several burn days whose days do not all come stays unburned, and the days it took are spent. Days that the record does not know give no burn.",
		"The shortfall counts acre-years by which acres are overdue, off their mix, burned in a season that is not preferred, uneven over the years, or burned beside a neighbor, each by its weight.",
		"Intervals say how far more futures from the same record could move a mean. They do not say how well so many years of weather stand for those to come.",
	)
	if r.Plans > 0 {
		all = append(
			all,
			fmt.Sprintf(
				"Each plan stops when no plan can be better by more than %s of its shortfall, after %s of the solver's work, or after %s; work or time stopped %s of %s.",
				Percent(
					r.Gap,
				),
				quantity.Count(r.Rounds, "round"),
				quantity.Count(int(math.Ceil(r.Seconds)), "second"),
				quantity.Group(float64(r.Cut), 0),
				quantity.Count(r.Plans, "plan"),
			),
		)
	}
	for _, rule := range r.Rules {
		if rule.Foresight != nil && r.Foresight != nil && rule.Foresight.Mean != r.Foresight.Mean {
			all = append(all, "Rules with more crew have a bound of their own.")
			break
		}
	}
	if r.Wildfire > 0 {
		all = append(all, fmt.Sprintf("A wildfire burns a unit with a chance of %s a year; no bound is shown with it.", Percent(r.Wildfire)))
	}
	for _, season := range slices.Sorted(maps.Keys(r.Lost)) {
		all = append(all, fmt.Sprintf("%s of the days of the %s season are lost to bans and other causes.", Percent(r.Lost[season]), season))
	}
	for _, note := range r.Notes {
		all = append(all, "Taken as it is: "+note+".")
	}
	return all
}

func askedWords(r *habitat.Rehearsal) string {
	if r.Futures < r.Asked {
		return fmt.Sprintf(" (of %d asked for; the rest was stopped)", r.Asked)
	}
	return ""
}

func blockWords(blocks int) string {
	if blocks > 1 {
		return fmt.Sprintf(", in runs of %d years", blocks)
	}
	return ""
}

// ByChance orders units by how often they are overdue, the most often first.
func ByChance(units []habitat.RehearsedUnit) []habitat.RehearsedUnit {
	sorted := slices.Clone(units)
	slices.SortStableFunc(sorted, func(a, b habitat.RehearsedUnit) int { return cmp.Compare(b.Ever, a.Ever) })
	return sorted
}

// SomeOf lists the first few of many names.
func SomeOf(names []string) string {
	const most = 5
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %s more", strings.Join(names[:most], ", "), quantity.Group(float64(len(names)-most), 0))
}

// NoWindNote names units and seasons that no wind suits.
func NoWindNote(all []string) string { return "no wind suits, and so no day: " + SomeOf(all) }

// RecordNote says what is odd about the record.
func RecordNote(warning string) string { return "the weather record: " + warning }

// BeginsNote says that a plan does not begin with the first rehearsed year.
func BeginsNote(plan int, first date.ProgramYear) string {
	return fmt.Sprintf("plan %d begins with %d: the first year is planned again", plan, first)
}

// AlwaysOverdueWords say that a unit ends a year overdue in every future: what the plan
// does with it then, and what stands against another choice.
func AlwaysOverdueWords(plan *Plan, unit string, year date.ProgramYear) (string, error) {
	why, err := NewWhy(plan, unit, year, nil)
	if err != nil {
		return "", err
	}
	words := fmt.Sprintf("%s ends %d overdue in every future", unit, year)
	if why.Burn {
		return words + fmt.Sprintf(": plan %d burns it then, and no future that was played gave it the days.", plan.Number), nil
	}
	if !why.Overdue {
		return words + fmt.Sprintf(", though not in plan %d as it stands.", plan.Number), nil
	}
	words += fmt.Sprintf(", whatever the weather: plan %d rests it then.", plan.Number)
	// That it burns soon after is no reason by itself.
	others := slices.DeleteFunc(slices.Clone(why.Obstacles), func(o Obstacle) bool { return o.Requirement == problem.RequireRest })
	for _, o := range others {
		words += " " + o.Words
	}
	if len(others) == 0 && why.OtherChoice.Words != "" {
		words += " " + why.OtherChoice.Words
	}
	if why.Next != 0 {
		words += fmt.Sprintf(" Its next burn is planned for %d.", why.Next)
	}
	return words, nil
}

// GaveWayNote says how often locked burns gave way under a rule.
func GaveWayNote(rule string, times int) string {
	return fmt.Sprintf("%s: locked burns gave way %s, because what burned before did not let them stand", rule, quantity.Count(times, "time"))
}
