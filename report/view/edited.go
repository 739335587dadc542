package view

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// FixedBy says who decided what a unit does in a year.
type FixedBy byte

// Who decides: the solver, a lock, an edit that is neither kept nor discarded, or a
// burn on record.
const (
	BySolver FixedBy = '.'
	ByLock   FixedBy = 'l'
	ByEdit   FixedBy = 'e'
	ByRecord FixedBy = 'r'
)

// RestMark stands for a rest where a row has one sign a year; a burn is the sign of
// its season, '0' for the first.
const RestMark = '.'

// Marks of a year beside what is planned: its burn is on record, it was missed. OutsideMark
// is the sign of a burn on record whose day lies in no season.
const (
	DoneMark    = 'd'
	MissedMark  = 'm'
	OutsideMark = '+'
)

// Edited is a plan as it becomes with a user's edits, beside the stored plan that
// they change. Slices over years have one entry for each of Years.
type Edited struct {
	Stamp Stamp `json:"stamp"`
	// Plan is the number of the stored plan.
	Plan    int                `json:"plan"`
	Years   []date.ProgramYear `json:"years"`
	Seasons []SeasonKey        `json:"seasons"`
	Rows    []EditedRow        `json:"rows"`
	// ByYear sums the years, Before those of the stored plan.
	ByYear  []YearRow   `json:"by_year"`
	Before  []YearRow   `json:"before_by_year"`
	Mixes   []MixTable  `json:"mixes"`
	Caps    []CapRow    `json:"caps"`
	Refuges []RefugeRow `json:"refuges"`
	EvenLo  *float64    `json:"even_min_acres"`
	EvenHi  *float64    `json:"even_max_acres"`
	// Changes lists what differs from the stored plan, by year, then by unit.
	Changes []EditedChange `json:"changes"`
	// Own counts those that are edits, Recorded those that are on record; the others
	// follow from them.
	Own      int                `json:"own_changes"`
	Recorded int                `json:"recorded_changes"`
	Parts    []EditedPart       `json:"parts"`
	Total    quantity.AcreYears `json:"difference_acre_years"`
	// Differences say in words, with signs and units, what the edits come to.
	Differences []string `json:"differences"`
	Words       string   `json:"words"`
	Cautions    []string `json:"cautions"`
}

// EditedRow is a unit with one sign a year in each text: what the stored plan does,
// what the edited one does, who decided that, and '!' where it ends overdue.
type EditedRow struct {
	// Gone says what became of a unit that is not there anymore; empty for one that is.
	Gone     string         `json:"gone,omitempty"`
	Unit     string         `json:"unit"`
	Acres    quantity.Acres `json:"acres"`
	Interval string         `json:"interval"`
	Cover    string         `json:"cover,omitempty"`
	Mix      string         `json:"mix,omitempty"`
	Refuge   string         `json:"refuge,omitempty"`
	Before   string         `json:"before"`
	Plan     string         `json:"plan"`
	By       string         `json:"by"`
	Late     string         `json:"late"`
	// Stood is what it does as things stand: a burn that was missed is none, one on
	// record that was not planned is one, OutsideMark where its day lies in no season.
	// Mark is DoneMark or MissedMark, else RestMark.
	Stood string `json:"stood"`
	Mark  string `json:"mark"`
	// Ages holds the stand age at the end of each year, as things stand.
	Ages []int `json:"ages"`
}

// EditedChange is a unit and year that the edited plan decides otherwise; empty
// seasons are rests.
type EditedChange struct {
	Unit string           `json:"unit"`
	Year date.ProgramYear `json:"year"`
	Was  string           `json:"was"`
	Is   string           `json:"is"`
	// Own says that it is an edit itself.
	Own   bool   `json:"own"`
	Words string `json:"words"`
}

// EditedPart is what the edits add to one part of the shortfall.
type EditedPart struct {
	Name       string             `json:"name"`
	Words      string             `json:"words"`
	Difference quantity.AcreYears `json:"difference_acre_years"`
	// Text is Difference with no more decimals than the proofs of the two plans allow.
	Text string `json:"difference_text"`
}

// NewEdited sets an edited plan beside the stored one. Both are of one problem;
// held is how many of its years the stored plan was solved for. by says who decided
// a unit's year, by index.
//
// What keeping to the stored plan is worth counts in the solver's choice and in no
// difference here.
func NewEdited(stored, edited *Plan, held int, by func(unit, t int) FixedBy) (*Edited, error) {
	a, err := newLayout(stored)
	if err != nil {
		return nil, err
	}
	b, err := edited.layoutBeside(a)
	if err != nil {
		return nil, err
	}
	p := edited.Problem
	v := &Edited{
		Stamp:       edited.Stamp.of(&edited.Property),
		Plan:        stored.Number,
		Seasons:     seasonKeys(p.Seasons, &edited.Property),
		EvenLo:      limit(p.EvenLo),
		EvenHi:      limit(p.EvenHi),
		Rows:        make([]EditedRow, len(p.Units)),
		Mixes:       []MixTable{},
		Changes:     []EditedChange{},
		Differences: []string{},
		Cautions:    Cautions(),
	}
	for t := range p.Years {
		v.Years = append(v.Years, b.year(t))
		v.Before, v.ByYear = append(v.Before, a.yearRow(t)), append(v.ByYear, b.yearRow(t))
	}
	for m := range p.Mixes {
		v.Mixes = append(v.Mixes, b.mixTable(m))
	}
	v.Caps, v.Refuges = append([]CapRow{}, b.capRows(v.ByYear)...), append([]RefugeRow{}, b.refugeRows()...)
	for i := range p.Units {
		v.Rows[i] = editedRow(a, b, i, by)
	}
	for t := range p.Years {
		for i := range p.Units {
			if a.season[i][t] != b.season[i][t] {
				v.change(a, b, i, t, by(i, t))
			}
		}
	}
	v.parts(a, b, min(held, p.T()))
	v.differences(room(stored.Answer) + room(edited.Answer))
	v.Words = v.words()
	return v, nil
}

// layoutBeside lays a plan out of the same problem and units as another that is laid out
// already: a plan that nothing changed yet burns what the other does.
func (p *Plan) layoutBeside(other *layout) (*layout, error) {
	if p.Answer == nil || p.Problem != other.Problem || !isSameSlice(p.Units, other.Units) || !isSameSlice(p.Records, other.Records) ||
		!slices.Equal(p.Answer.Burns, other.Answer.Burns) {
		return newLayout(p)
	}
	same := *other
	same.Plan = p
	return &same, nil
}

// isSameSlice reports whether two slices are one.
func isSameSlice[V any](a, b []V) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0])
}

func editedRow(a, b *layout, i int, by func(unit, t int) FixedBy) EditedRow {
	p := b.Problem
	u := &p.Units[i]
	row := EditedRow{Gone: a.Became[u.ID], Unit: u.ID, Ages: b.stands[i][:p.Years], Acres: quantity.Acres(u.Acres), Interval: b.interval(i).String()}
	if known := b.known[u.ID]; known != nil {
		row.Cover, row.Mix, row.Refuge = known.Cover, known.Mix, known.Refuge
	}
	before, plan, who, late := make([]byte, p.Years), make([]byte, p.Years), make([]byte, p.Years), make([]byte, p.Years)
	stood, marks := make([]byte, p.Years), make([]byte, p.Years)
	mark := func(season int) byte {
		switch {
		case season < 0:
			return RestMark
		case season >= len(p.Seasons):
			return OutsideMark
		}
		return byte('0' + season)
	}
	for t := range p.Years {
		before[t], plan[t], who[t], late[t] = mark(a.season[i][t]), mark(b.season[i][t]), byte(by(i, t)), '.'
		if b.overdue(i, t) {
			late[t] = '!'
		}
		stood[t], marks[t] = mark(b.stood[i][t]), RestMark
		switch state, ok := b.stateIn(i, t); {
		case ok && state.HasBurned():
			marks[t] = DoneMark
		case b.isMissed(i, t):
			marks[t] = MissedMark
		}
	}
	row.Before, row.Plan, row.By, row.Late = string(before), string(plan), string(who), string(late)
	row.Stood, row.Mark = string(stood), string(marks)
	return row
}

func (v *Edited) change(a, b *layout, i, t int, by FixedBy) {
	c := EditedChange{Unit: b.Problem.Units[i].ID, Year: b.year(t), Was: a.seasonName(i, t), Is: b.seasonName(i, t), Own: by == ByEdit}
	switch {
	case c.Is == "":
		c.Words = fmt.Sprintf("%d: %s rests instead", c.Year, c.Unit)
	case c.Was == "":
		c.Words = fmt.Sprintf("%d: %s burns instead, %s", c.Year, c.Unit, habitat.SeasonWords(c.Is, c.Year))
	default:
		c.Words = fmt.Sprintf("%d: %s burns in %s instead of %s", c.Year, c.Unit, c.Is, c.Was)
	}
	switch by {
	case ByEdit:
		v.Own++
		c.Words += " (your edit)"
	case ByRecord:
		v.Recorded++
		c.Words += " (on record)"
	case ByLock:
		c.Words += " (locked)"
	}
	v.Changes = append(v.Changes, c)
}

// keepPart is the place of the part that counts differences from the plan before.
const keepPart = 5

// parts sums the parts of the years for which both plans were solved.
func (v *Edited) parts(a, b *layout, held int) {
	var sum [6]float64
	for t := range held {
		was, is := a.costOf(t), b.costOf(t)
		for k := range sum {
			sum[k] += is[k] - was[k]
		}
	}
	for k, name := range partNames {
		if k != keepPart {
			v.Parts = append(v.Parts, EditedPart{Name: name, Words: partWords[k], Difference: quantity.AcreYears(sum[k])})
			v.Total += quantity.AcreYears(sum[k])
		}
	}
}

// Signed prints a difference with its sign: "+12.5", "−3", "0".
func Signed(v float64) string {
	text := short(math.Abs(v))
	switch {
	case text == "0":
		return "0"
	case v < 0:
		return "−" + text
	}
	return "+" + text
}

func (v *Edited) differences(slack float64) {
	for i := range v.Parts {
		v.Parts[i].Text = signedWithin(float64(v.Parts[i].Difference), slack)
	}
	if len(v.Changes) == 0 {
		return
	}
	var parts []string
	for _, part := range v.Parts {
		if by := signedWithin(float64(part.Difference), slack); by != "0" {
			parts = append(parts, part.Name+" "+by)
		}
	}
	words := fmt.Sprintf("Shortfall %s acre-years against plan %d", signedWithin(float64(v.Total), slack), v.Plan)
	if len(parts) > 0 {
		words += " (" + strings.Join(parts, ", ") + ")"
	}
	v.Differences = append(v.Differences, words+".")
	for t, year := range v.Years {
		was, is := &v.Before[t], &v.ByYear[t]
		var in []string
		for _, d := range []struct {
			by   float64
			unit string
		}{
			{float64(is.Burned - was.Burned), "acres burned"}, {float64(is.Burns - was.Burns), "burns"}, {float64(is.OverdueAcres - was.OverdueAcres), "acres overdue"},
		} {
			switch text := Signed(d.by); text {
			case "0":
			case "+1", "−1":
				in = append(in, text+" "+strings.Replace(strings.Replace(d.unit, "acres", "acre", 1), "burns", "burn", 1))
			default:
				in = append(in, text+" "+d.unit)
			}
		}
		if dollars := is.Cost - was.Cost; dollars > 0 {
			in = append(in, "+"+dollars.String())
		} else if dollars < 0 {
			in = append(in, "−"+(-dollars).String())
		}
		if len(in) > 0 {
			v.Differences = append(v.Differences, fmt.Sprintf("%d: %s.", year, strings.Join(in, ", ")))
		}
	}
}

func (v *Edited) words() string {
	if len(v.Changes) == 0 {
		return fmt.Sprintf("The same as plan %d in every year.", v.Plan)
	}
	var why []string
	add := func(n int, words string) {
		if n > 0 {
			why = append(why, quantity.Group(float64(n), 0)+" "+words)
		}
	}
	add(v.Own, quantity.Plural(v.Own, "by your edit", "by your edits"))
	add(v.Recorded, "on record")
	add(len(v.Changes)-v.Own-v.Recorded, "because of that")
	return fmt.Sprintf("%s %s from plan %d: %s.", quantity.Count(len(v.Changes), "decision"), quantity.Plural(len(v.Changes), "differs", "differ"), v.Plan, strings.Join(why, ", "))
}

// SolveFigures say how good a plan under way is proven to be; nil where it is not
// known yet.
type SolveFigures struct {
	Shortfall *float64 `json:"shortfall_acre_years"`
	Bound     *float64 `json:"bound_acre_years"`
	Gap       *float64 `json:"gap"`
	// Keep is the part of the shortfall that counts what is decided otherwise than
	// in the plan before.
	Keep *float64 `json:"keep_acre_years"`
	// ShortfallText and BoundText bear no more decimals than the proof tells.
	ShortfallText string `json:"shortfall_text,omitempty"`
	BoundText     string `json:"bound_text,omitempty"`
	Words         string `json:"words"`
}

// NewSolveFigures reads the figures of an answer, nil for none.
func NewSolveFigures(a *problem.Answer) SolveFigures {
	if a == nil {
		return SolveFigures{Words: "No plan has been found yet."}
	}
	if a.Status == problem.Infeasible {
		return SolveFigures{Words: gapWords(a)}
	}
	cost, bound := provenTexts(a)
	return SolveFigures{limit(a.Cost), limit(a.Bound), limit(a.Gap), limit(a.Parts.Keep), cost, bound, gapWords(a)}
}
