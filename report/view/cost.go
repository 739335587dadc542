package view

import (
	"fmt"
	"math"
	"sort"
	"strconv"

	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/whatif"
)

// CostPart is one of the six parts of a plan's shortfall.
type CostPart struct {
	Name string `json:"name"`
	// Words say what the part counts, Short says it for a narrow column.
	Words string `json:"words"`
	Short string `json:"-"`
	// Total covers every year that was solved, lookahead included.
	Total quantity.AcreYears `json:"acre_years"`
	// ByYear covers the plan years; Later is what falls in the lookahead.
	ByYear []quantity.AcreYears `json:"by_year"`
	Later  quantity.AcreYears   `json:"later"`
	Weight float64              `json:"weight"`
}

var partNames = [6]string{"overdue", "mix", "season", "evenness", "neighbors", "keep"}

var partWords = [6]string{
	"acres that end a year at or past the unit's longest interval",
	"acres missing from, or too many in, a wanted age class",
	"acres burned in a season that is not the unit's preferred one",
	"acres burned in a year below or above the wanted range",
	"the smaller unit's acres where two neighbors burn in one year",
	"acres decided otherwise than in the plan before",
}

var partShort = [6]string{"acres past their longest interval", "acres off their wanted class", "acres in a season not preferred",
	"acres off the wanted yearly range", "neighbors in one year", "acres decided anew"}

// list puts the parts in their fixed order.
func list(p problem.Parts) [6]float64 {
	return [6]float64{p.Overdue, p.Mix, p.Season, p.Evenness, p.Neighbors, p.Keep}
}

// costParts splits the cost by part and year. It counts anew from the plan;
// tests hold its sums against those of the solver.
func (l *layout) costParts() []CostPart {
	p := l.Problem
	weights := list(problem.Parts(p.Weights))
	yearly := make([][6]float64, p.T())
	for t := range yearly {
		yearly[t] = l.costIn(t)
	}
	words := partWords
	if p.OverdueGrowth > 0 && p.OverdueGrowthYears > 0 {
		words[0] += fmt.Sprintf("; each further year in a row adds %s times as many, for up to %s", short(p.OverdueGrowth), quantity.Count(p.OverdueGrowthYears, "year"))
	}
	parts := make([]CostPart, len(partNames))
	for k := range parts {
		parts[k] = CostPart{Name: partNames[k], Words: words[k], Short: partShort[k], Weight: weights[k], ByYear: make([]quantity.AcreYears, p.Years)}
		for t := range yearly {
			amount := quantity.AcreYears(weights[k] * yearly[t][k])
			parts[k].Total += amount
			if t < p.Years {
				parts[k].ByYear[t] = amount
			} else {
				parts[k].Later += amount
			}
		}
	}
	return parts
}

// costIn gives the six parts of one year before their weights.
func (l *layout) costIn(t int) [6]float64 {
	p := l.Problem
	var overdue, mix, season, even, near, keep, burned float64
	for i := range p.Units {
		u := &p.Units[i]
		overdue += p.OverdueFactor(l.age[i][t], u.MaxInterval) * u.Acres
		if s := l.season[i][t]; s >= 0 {
			season += u.Penalty[s] * u.Acres
			burned += u.Acres
		}
	}
	for m := range p.Mixes {
		for c := range p.Mixes[m].Classes {
			mix += l.offClass(m, c, l.held[t][m][c])
		}
	}
	even = l.offEven(burned)
	for _, pair := range p.Neighbors {
		if l.burns(pair[0], t) && l.burns(pair[1], t) {
			near += math.Min(p.Units[pair[0]].Acres, p.Units[pair[1]].Acres)
		}
	}
	if t < p.KeepYears {
		was := l.previousIn(t)
		for i := range p.Units {
			if l.burns(i, t) != was[i] {
				keep += p.Units[i].Acres
			}
		}
	}
	return [6]float64{overdue, mix, season, even, near, keep}
}

// previousIn tells which units the plan before burns in a year.
func (l *layout) previousIn(t int) map[int]bool {
	was := map[int]bool{}
	for _, b := range l.Problem.Previous {
		if b.Year == l.Problem.FirstYear+t {
			was[b.Unit] = true
		}
	}
	return was
}

// offClass gives the acres by which a class misses its wanted band.
func (l *layout) offClass(mix, class int, acres float64) float64 {
	c, all := &l.Problem.Mixes[mix].Classes[class], l.mixAcres[mix]
	return math.Max(0, c.MinShare*all-acres) + math.Max(0, acres-c.MaxShare*all)
}

// offEven gives the acres by which a year misses the wanted range.
func (l *layout) offEven(burned float64) float64 {
	off := 0.0
	if !math.IsInf(l.Problem.EvenLo, 0) {
		off += math.Max(0, l.Problem.EvenLo-burned)
	}
	if !math.IsInf(l.Problem.EvenHi, 0) {
		off += math.Max(0, burned-l.Problem.EvenHi)
	}
	return off
}

// CapCost says what a limit costs the plan.
type CapCost struct {
	// Limit names the limit in words: "burn days in dormant, 2028".
	Limit string `json:"limit"`
	Year  int    `json:"year"`
	// Step is by how much the limit was moved, in Unit.
	Step float64 `json:"step"`
	Unit string  `json:"unit"`
	// Saves is by how much the plan's cost would fall.
	Saves quantity.AcreYears `json:"saves_acre_years"`
	// Solved is true where a second plan was made with the limit moved; false
	// marks an estimate from the bound's prices.
	Solved bool   `json:"solved"`
	Words  string `json:"words"`
}

// shownCaps is how many limits are named.
const shownCaps = 3

// capCosts names the limits that cost most: from second solves where there are
// any, else from the prices, which are estimates.
func (l *layout) capCosts() []CapCost {
	var all []CapCost
	for _, s := range l.Answer.More {
		if s.Saves <= 0 {
			continue
		}
		name, unit := l.rowWords(s.Row)
		d := whatif.Range{AtHand: -s.Saves, Least: math.Min(s.Bound, s.Cost) - l.Answer.Cost, Most: math.Min(0, s.Cost-l.Answer.Cost+room(l.Answer))}
		words := fmt.Sprintf("Limit on %s: planned again with %s more, the shortfall is %s.", name, amount(s.Step, unit), DifferenceWords(d))
		if ApartOf(d) == NotTold {
			slack, most := d.Most-d.Least, shownDecimals(d.Least)
			words = fmt.Sprintf(
				"Limit on %s: planned again with %s more, a plan was found whose shortfall is %s smaller; by the proofs the best ones may have the same, or up to %s less.",
				name,
				amount(s.Step, unit),
				acreYears(within(s.Saves, slack, most)),
				above(-d.Least, slack, most),
			)
		}
		all = append(all, CapCost{name, s.Year, s.Step, quantity.Plural(2, unit), quantity.AcreYears(s.Saves), true, words})
	}
	if len(l.Answer.More) == 0 {
		for _, price := range l.Answer.Prices {
			if price.PerUnit <= 0 || price.Year >= l.Problem.FirstYear+l.Problem.Years || !isCap(price.Kind) {
				continue
			}
			name, unit := l.rowWords(price.Row)
			step := usualStep(unit)
			saves := price.PerUnit * step
			words := fmt.Sprintf(
				"Limit on %s: %s more would take about %s off the shortfall (an estimate from the bound; no second plan was made).",
				name,
				amount(step, unit),
				acreYears(within(saves, room(l.Answer), shownDecimals(saves))),
			)
			all = append(all, CapCost{name, price.Year, step, quantity.Plural(2, unit), quantity.AcreYears(saves), false, words})
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].Saves > all[j].Saves })
	return all[:min(len(all), shownCaps)]
}

// usualStep is what a manager would think of adding: rates of acres and of
// dollars differ a thousandfold and say little side by side.
func usualStep(unit string) float64 {
	switch unit {
	case "acre":
		return 25
	case "dollar":
		return 1000
	}
	return 1
}

func isCap(k problem.RowKind) bool {
	switch k {
	case problem.RowAcres, problem.RowBurns, problem.RowCost, problem.RowBurnDays, problem.RowRefuge:
		return true
	}
	return false
}

// rowWords names a coupling row and one of the unit in which it is counted. A row of
// year 0 stands for every year.
func (l *layout) rowWords(r problem.Row) (name, unit string) {
	p := l.Problem
	when := "every year"
	if r.Year != 0 {
		when = strconv.Itoa(r.Year)
	}
	pair := func() string { return p.Units[r.Pair[0]].ID + " and " + p.Units[r.Pair[1]].ID }
	class := func() string { return p.Mixes[r.Mix].Classes[r.Class].Name + " in " + p.Mixes[r.Mix].Name }
	switch r.Kind {
	case problem.RowAcres:
		name, unit = "acres burned", "acre"
	case problem.RowBurns:
		name, unit = "number of burns", "burn"
	case problem.RowCost:
		name, unit = "cost", "dollar"
	case problem.RowBurnDays:
		name, unit = "burn days of "+p.Seasons[r.Season], "burn day"
	case problem.RowRefuge:
		name, unit = "acres of refuge "+p.Refuges[r.Refuge].Name, "acre"
	case problem.RowMixLow:
		name, unit = "least acres of "+class(), "acre"
	case problem.RowMixHigh:
		name, unit = "most acres of "+class(), "acre"
	case problem.RowEvenLow:
		name, unit = "least acres wanted burned", "acre"
	case problem.RowEvenHigh:
		name, unit = "most acres wanted burned", "acre"
	case problem.RowApart:
		name, unit = pair()+" kept apart", "burn"
	case problem.RowNeighbors:
		name, unit = "neighbors "+pair(), "burn"
	default:
		name, unit = string(r.Kind), "unit"
	}
	return name + ", " + when, unit
}
