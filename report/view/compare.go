package view

import (
	"fmt"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/whatif"
)

// Compare sets two plans side by side: by unit, by year and by cost part. Years
// are those that both plans show.
type Compare struct {
	Stamp  Stamp              `json:"stamp"`
	First  Side               `json:"first"`
	Second Side               `json:"second"`
	Years  []date.ProgramYear `json:"years"`
	// Units lists those on which the plans differ.
	Units []UnitDifference `json:"units"`
	// Same counts the units on which they agree.
	Same   int              `json:"units_that_agree"`
	ByYear []YearDifference `json:"by_year"`
	Parts  []PartDifference `json:"parts"`
	// OnlyFirst and OnlySecond name units that the other plan does not have.
	OnlyFirst  []string `json:"only_in_first"`
	OnlySecond []string `json:"only_in_second"`
	// Decisions counts the units and years decided otherwise.
	Decisions int    `json:"decisions_that_differ"`
	Words     string `json:"words"`
	// Least and Most bound the shortfall of the best second plan less that of the best
	// first; Short says it for a column. Decimals is how many the shortfalls bear.
	Least    quantity.AcreYears `json:"difference_least"`
	Most     quantity.AcreYears `json:"difference_most"`
	Short    string             `json:"difference"`
	Decimals int                `json:"shortfall_decimals"`
	// difference is that of the two proofs.
	difference whatif.Range
}

// Side is one of the two plans.
type Side struct {
	Plan     int                `json:"plan"`
	Name     string             `json:"name"`
	Cost     quantity.AcreYears `json:"shortfall"`
	Bound    quantity.AcreYears `json:"bound"`
	GapWords string             `json:"gap_words"`
	// Later is the part of the cost in years that are not compared.
	Later quantity.AcreYears `json:"shortfall_of_other_years"`
}

// UnitDifference is one unit with what both plans do in each year.
type UnitDifference struct {
	Unit  string         `json:"unit"`
	Acres quantity.Acres `json:"acres"`
	Years []BothChoice   `json:"years"`
}

// BothChoice is what the two plans do; empty seasons are rests.
type BothChoice struct {
	First  string `json:"first"`
	Second string `json:"second"`
	Same   bool   `json:"same"`
}

// YearDifference sums one year of both plans.
type YearDifference struct {
	Year          date.ProgramYear   `json:"year"`
	FirstBurned   quantity.Acres     `json:"first_acres_burned"`
	SecondBurned  quantity.Acres     `json:"second_acres_burned"`
	FirstOverdue  quantity.Acres     `json:"first_acres_overdue"`
	SecondOverdue quantity.Acres     `json:"second_acres_overdue"`
	FirstCost     quantity.AcreYears `json:"first_shortfall"`
	SecondCost    quantity.AcreYears `json:"second_shortfall"`
}

// PartDifference is one part of the cost in the years compared.
type PartDifference struct {
	Name   string             `json:"name"`
	First  quantity.AcreYears `json:"first"`
	Second quantity.AcreYears `json:"second"`
}

// NewCompare compares two plans. Became says which unit of the first plan is, or is part
// of, or holds, which of the second under another name: each such pair is compared as
// the smaller of the two. The error says that a plan is not of its problem, or that they
// share no year.
func NewCompare(first, second *Plan, became ...[2]string) (*Compare, error) {
	a, err := newLayout(first)
	if err != nil {
		return nil, err
	}
	b, err := newLayout(second)
	if err != nil {
		return nil, err
	}
	from := max(first.Problem.FirstYear, second.Problem.FirstYear)
	to := min(first.Problem.FirstYear+first.Problem.Years, second.Problem.FirstYear+second.Problem.Years)
	if from >= to {
		return nil, fmt.Errorf("compare plans: plan %d and plan %d share no year", first.Number, second.Number)
	}
	v := &Compare{Stamp: first.Stamp.of(&first.Property), First: side(a, "first"), Second: side(b, "second")}
	for _, name := range partNames {
		v.Parts = append(v.Parts, PartDifference{Name: name})
	}
	for year := from; year < to; year++ {
		v.Years = append(v.Years, date.ProgramYear(year))
		v.ByYear = append(v.ByYear, v.year(a, b, year))
	}
	for _, y := range v.ByYear {
		v.First.Later -= y.FirstCost
		v.Second.Later -= y.SecondCost
	}
	v.First.Later += quantity.AcreYears(total(a))
	v.Second.Later += quantity.AcreYears(total(b))
	v.units(a, b, from, to, became)
	d := DifferenceOf(first.Answer, second.Answer)
	v.difference, v.Least, v.Most, v.Short = d, quantity.AcreYears(d.Least), quantity.AcreYears(d.Most), ShortDifference(d)
	v.Decimals = min(1, Decimals(d.Most-d.Least))
	v.Words = v.words()
	return v, nil
}

func side(l *layout, fallback string) Side {
	s := Side{Plan: l.Number, Name: fallback, Cost: quantity.AcreYears(l.Answer.Cost), Bound: quantity.AcreYears(l.Answer.Bound), GapWords: gapWords(l.Answer)}
	if l.Name != "" {
		s.Name = l.Name
	}
	if l.Number > 0 {
		s.Name = fmt.Sprintf("plan %d", l.Number)
	}
	return s
}

// costOf gives the weighted parts of one year.
func (l *layout) costOf(t int) [6]float64 {
	parts := l.costIn(t)
	for k, w := range list(problem.Parts(l.Problem.Weights)) {
		parts[k] *= w
	}
	return parts
}

func total(l *layout) float64 {
	sum := 0.0
	for t := range l.Problem.T() {
		for _, part := range l.costOf(t) {
			sum += part
		}
	}
	return sum
}

func (v *Compare) year(a, b *layout, year int) YearDifference {
	one, two := a.yearRow(year-a.Problem.FirstYear), b.yearRow(year-b.Problem.FirstYear)
	out := YearDifference{Year: date.ProgramYear(year), FirstBurned: one.Burned, SecondBurned: two.Burned,
		FirstOverdue: one.OverdueAcres, SecondOverdue: two.OverdueAcres}
	for k, part := range a.costOf(year - a.Problem.FirstYear) {
		v.Parts[k].First += quantity.AcreYears(part)
		out.FirstCost += quantity.AcreYears(part)
	}
	for k, part := range b.costOf(year - b.Problem.FirstYear) {
		v.Parts[k].Second += quantity.AcreYears(part)
		out.SecondCost += quantity.AcreYears(part)
	}
	return out
}

func (v *Compare) units(a, b *layout, from, to int, became [][2]string) {
	at, left := map[string]int{}, map[string]bool{}
	for i := range b.Problem.Units {
		at[b.Problem.Units[i].ID], left[b.Problem.Units[i].ID] = i, true
	}
	compare := func(i, j int) {
		one, two := &a.Problem.Units[i], &b.Problem.Units[j]
		delete(left, two.ID)
		if two.Acres < one.Acres {
			one = two
		}
		row := UnitDifference{Unit: one.ID, Acres: quantity.Acres(one.Acres)}
		differs := 0
		for year := from; year < to; year++ {
			c := BothChoice{First: a.seasonName(i, year-a.Problem.FirstYear), Second: b.seasonName(j, year-b.Problem.FirstYear)}
			if c.Same = c.First == c.Second; !c.Same {
				differs++
			}
			row.Years = append(row.Years, c)
		}
		if differs == 0 {
			v.Same++
			return
		}
		v.Decisions += differs
		v.Units = append(v.Units, row)
	}
	for i := range a.Problem.Units {
		id := a.Problem.Units[i].ID
		if j, ok := at[id]; ok {
			compare(i, j)
			continue
		}
		isPaired := false
		for _, pair := range became {
			if j, ok := at[pair[1]]; ok && pair[0] == id {
				compare(i, j)
				isPaired = true
			}
		}
		if !isPaired {
			v.OnlyFirst = append(v.OnlyFirst, id)
		}
	}
	for i := range b.Problem.Units {
		if left[b.Problem.Units[i].ID] {
			v.OnlySecond = append(v.OnlySecond, b.Problem.Units[i].ID)
		}
	}
}

func (l *layout) seasonName(unit, t int) string {
	if s := l.season[unit][t]; s >= 0 {
		return l.Problem.Seasons[s]
	}
	return ""
}

func (v *Compare) words() string {
	words := fmt.Sprintf("%s and %s differ in %s on %s, in %d to %d.", v.First.Name, v.Second.Name, quantity.Count(v.Decisions, "decision"),
		quantity.Count(len(v.Units), "unit"), v.Years[0], v.Years[len(v.Years)-1])
	words += fmt.Sprintf(" Over all years solved, the shortfall of %s is %s.", v.Second.Name, DifferenceWords(v.difference))
	return words
}
