package view

import (
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/schedule/problem"
)

// Program is the whole plan as a program book and a terminal show it. Slices
// over years have one entry for each of Years; lookahead years are solved and
// priced but not shown.
type Program struct {
	Stamp Stamp `json:"stamp"`
	// Plan is the number of the stored plan, 0 where there is none.
	Plan int `json:"plan"`
	// Standing says what counts on it.
	Standing habitat.PlanStanding `json:"standing"`
	// now is the program year of the stamp's day; 0 where there is none.
	now   date.ProgramYear
	Years []date.ProgramYear `json:"years"`
	// Lookahead counts the years after them that were solved too.
	Lookahead int         `json:"lookahead_years"`
	YearStart string      `json:"program_year_starts"`
	Seasons   []SeasonKey `json:"seasons"`
	Units     []UnitRow   `json:"units"`
	// Acres are those of all units.
	Acres  quantity.Acres `json:"acres"`
	ByYear []YearRow      `json:"by_year"`
	// EvenLo and EvenHi are the wanted range of acres burned a year; nil where
	// a side is absent.
	EvenLo  *float64     `json:"even_min_acres"`
	EvenHi  *float64     `json:"even_max_acres"`
	Mixes   []MixTable   `json:"mixes"`
	Caps    []CapRow     `json:"caps"`
	Refuges []RefugeRow  `json:"refuges"`
	Overdue []OverdueRow `json:"overdue"`

	Status problem.Status `json:"status"`
	// Cost, Bound and Gap are nil when no plan exists.
	Cost  *float64   `json:"shortfall"`
	Bound *float64   `json:"bound"`
	Gap   *float64   `json:"gap"`
	Parts []CostPart `json:"parts"`
	// Decimals is how many decimals the figures of the shortfall bear: no more than
	// the proof tells.
	Decimals int `json:"shortfall_decimals"`
	// CostText and BoundText are the shortfall and its bound with those decimals, the
	// bound rounded down.
	CostText  string `json:"shortfall_text,omitempty"`
	BoundText string `json:"bound_text,omitempty"`
	// GapWords says how good the plan is proven to be.
	GapWords string    `json:"gap_words"`
	CapCosts []CapCost `json:"cap_savings"`

	// Springs says what a year with more or fewer burn days would change.
	Springs []Spring `json:"springs"`

	// Lines are those of contracts of which something remains, with what the plan does
	// for them.
	Lines       []PlannedLine `json:"contract_lines,omitempty"`
	Assumptions []string      `json:"assumptions"`
	Warnings    []string      `json:"warnings"`
	Clashes     []string      `json:"clashes"`
	// Changes says, unit by unit, what differs from the plan before; Changed
	// counts the decisions, nil where there is no plan before.
	Changes []Change `json:"changes"`
	Changed *int     `json:"changed_decisions"`
	History *History `json:"history"`

	Cautions []string `json:"cautions"`
}

// SeasonKey is a season with the letter that stands for it in a grid.
type SeasonKey struct {
	Name   string `json:"name"`
	Letter string `json:"letter"`
	// Dates are its first and last day in words; empty where not known.
	Dates string `json:"dates,omitempty"`
}

// UnitRow is one line of the unit × year grid.
type UnitRow struct {
	// Gone says what became of a unit that is not there anymore; empty for one that is.
	Gone        string         `json:"gone,omitempty"`
	ID          string         `json:"unit"`
	Acres       quantity.Acres `json:"acres"`
	Cost        quantity.Cents `json:"cost_cents"`
	MinInterval int            `json:"min_interval"`
	MaxInterval int            `json:"max_interval"`
	// Interval is "2–3".
	Interval string `json:"interval"`
	Cover    string `json:"cover,omitempty"`
	Mix      string `json:"mix,omitempty"`
	Refuge   string `json:"refuge,omitempty"`
	// AgeBefore is the stand age at the end of the year before the first.
	AgeBefore int `json:"age_before"`
	// LastBurn is the last burn on record that set the age back; zero where there is none.
	LastBurn date.Day `json:"last_burn_on"`
	// Assumed says that the age does not rest on a record.
	Assumed bool       `json:"age_assumed"`
	Cells   []UnitYear `json:"years"`
}

// OutsideSeasons stands for the season of a burn on record outside all of them.
const OutsideSeasons = "✓"

// UnitYear is what one unit does in one year.
type UnitYear struct {
	Year   date.ProgramYear `json:"year"`
	Burn   bool             `json:"burn"`
	Season string           `json:"season,omitempty"`
	// Done says that the burn of the year is on record, whatever the plan says.
	Done bool `json:"done"`
	// Missed says that the plan burns it and its season is over without a record.
	Missed bool `json:"missed"`
	// Letter is that of the season, empty for a rest.
	Letter string `json:"-"`
	// Counts is the letter of the season in which it burns as things stand: empty for a
	// burn that was missed, and that of a burn on record that was not planned, which is
	// OutsideSeasons where its day lies in none.
	Counts string `json:"-"`
	// Age is the stand age at the end of the year.
	Age     int  `json:"age"`
	Overdue bool `json:"overdue"`
	// Locked says that the manager has fixed it and that it is not on record yet.
	Locked bool `json:"locked"`
	// Changed says that the plan before decided otherwise.
	Changed bool `json:"changed"`
	// Later counts the years to the next burn for a rest, 0 where none is planned.
	Next date.ProgramYear `json:"next_burn,omitempty"`
}

// YearRow sums one year.
type YearRow struct {
	Year   date.ProgramYear `json:"year"`
	Burned quantity.Acres   `json:"acres_burned"`
	Rested quantity.Acres   `json:"acres_rested"`
	Burns  int              `json:"burns"`
	Cost   quantity.Cents   `json:"cost_cents"`
	// Seasons has one entry a season of the program, in its order.
	Seasons []SeasonSum `json:"seasons"`
	// OverdueAcres end the year at or past their longest interval.
	OverdueUnits int            `json:"overdue_units"`
	OverdueAcres quantity.Acres `json:"overdue_acres"`
	// Short and Over say by how much the burned acres miss the wanted range.
	Short quantity.Acres `json:"acres_below_wanted"`
	Over  quantity.Acres `json:"acres_above_wanted"`
}

// SeasonSum is what burns in one season of one year.
type SeasonSum struct {
	Burns    int            `json:"burns"`
	Acres    quantity.Acres `json:"acres"`
	BurnDays float64        `json:"burn_days"`
}

// MixTable is one mix with its acres by age class and year.
type MixTable struct {
	Name    string         `json:"name"`
	Acres   quantity.Acres `json:"acres"`
	Classes []ClassRow     `json:"classes"`
}

// ClassRow is one age class of a mix against its wanted band.
type ClassRow struct {
	Name string `json:"name"`
	// Ages is "0", "1 to 2", "3 and over".
	Ages string `json:"ages"`
	// Lo and Hi are the wanted band in acres.
	Lo    quantity.Acres `json:"min_acres"`
	Hi    quantity.Acres `json:"max_acres"`
	Years []ClassYear    `json:"years"`
}

// ClassYear is what a class holds at the end of one year.
type ClassYear struct {
	Acres quantity.Acres `json:"acres"`
	// Off is negative below the band, positive above it, 0 within.
	Off quantity.Acres `json:"off_acres"`
}

// CapRow is one limit over the years. Only limits that some plan year has are
// listed.
type CapRow struct {
	Kind problem.RowKind `json:"kind"`
	// Season is that of a burn-day limit.
	Season string   `json:"season,omitempty"`
	Name   string   `json:"name"`
	Unit   string   `json:"unit"`
	Years  []CapUse `json:"years"`
}

// CapUse is a limit and what the plan takes of it; Limit and Left are nil in a
// year without that limit.
type CapUse struct {
	Limit *float64 `json:"limit"`
	Used  float64  `json:"used"`
	Left  *float64 `json:"left"`
}

// RefugeRow is one refuge group over the years.
type RefugeRow struct {
	Name  string         `json:"name"`
	Acres quantity.Acres `json:"acres"`
	// Limit is the most that may burn in a year.
	Limit  quantity.Acres   `json:"limit_acres"`
	Burned []quantity.Acres `json:"burned_acres"`
}

// OverdueRow is a unit that ends a plan year at or past its longest interval.
type OverdueRow struct {
	Unit        string             `json:"unit"`
	Acres       quantity.Acres     `json:"acres"`
	MaxInterval int                `json:"max_interval"`
	AgeBefore   int                `json:"age_before"`
	Years       []date.ProgramYear `json:"years"`
	// OldestAge is the highest stand age that it reaches in them.
	OldestAge int `json:"oldest_age"`
	// Burns is the year of its first planned burn; 0 where none is planned in
	// the years shown.
	Burns date.ProgramYear `json:"first_burn,omitempty"`
}

// UnderWay is the row of the program year under way, or of the first where none of the
// program is; nil without a plan.
func (v *Program) UnderWay() *YearRow {
	if len(v.ByYear) == 0 {
		return nil
	}
	for i := range v.ByYear {
		if v.ByYear[i].Year == v.now {
			return &v.ByYear[i]
		}
	}
	return &v.ByYear[0]
}

// Past reports whether records, or burns that were missed, stand in the grid.
func (v *Program) Past() bool {
	for i := range v.Units {
		for _, c := range v.Units[i].Cells {
			if c.Done || c.Missed {
				return true
			}
		}
	}
	return false
}

// NewProgram computes the program of a plan. An infeasible answer gives
// its clashes and no grid.
func NewProgram(plan *Plan) (*Program, error) {
	l, err := newLayout(plan)
	if err != nil {
		return nil, err
	}
	p, a := plan.Problem, plan.Answer
	v := &Program{
		Stamp: plan.Stamp.of(&plan.Property), Plan: plan.Number, Standing: plan.Standing, Lookahead: p.Lookahead,
		YearStart: yearStartWords(&plan.Property), Seasons: seasonKeys(p.Seasons, &plan.Property),
		EvenLo: limit(p.EvenLo), EvenHi: limit(p.EvenHi),
		Status: a.Status, GapWords: plan.proofWords(), Assumptions: append(templateWords(&plan.Property), plan.Assumptions...), Springs: []Spring{}, Cautions: Cautions(),
		Warnings: mergeWarnings(p.Warnings, a.Warnings),
	}
	if plan.Property.YearStart != 0 && !plan.Stamp.On.IsZero() {
		v.now = plan.Property.YearStart.Of(plan.Stamp.On)
	}
	for i := range plan.Scenarios {
		v.Springs = append(v.Springs, newSpring(&plan.Scenarios[i], a))
	}
	for t := range p.Years {
		v.Years = append(v.Years, l.year(t))
	}
	for i := range p.Units {
		v.Acres += quantity.Acres(p.Units[i].Acres)
	}
	for _, c := range a.Clashes {
		v.Clashes = append(v.Clashes, c.Text)
	}
	v.Lines = plan.Lines
	v.History = newHistory(plan)
	if a.Status == problem.Infeasible {
		return v, nil
	}
	v.Cost, v.Bound, v.Gap = limit(a.Cost), limit(a.Bound), limit(a.Gap)
	v.Decimals = min(1, Decimals(room(a)))
	v.CostText, v.BoundText = provenTexts(a)
	v.Parts, v.CapCosts = l.costParts(), l.capCosts()
	v.Units = l.unitRows(v.Seasons)
	for t := range p.Years {
		v.ByYear = append(v.ByYear, l.yearRow(t))
	}
	for m := range p.Mixes {
		v.Mixes = append(v.Mixes, l.mixTable(m))
	}
	v.Warnings = append(v.Warnings, l.unasked(v.Acres)...)
	v.Caps, v.Refuges, v.Overdue = l.capRows(v.ByYear), l.refugeRows(), l.overdueRows()
	v.Changes, v.Changed = l.changes()
	for _, c := range v.Changes {
		v.Units[c.unit].Cells[c.year].Changed = true
	}
	return v, nil
}

// mergeWarnings puts the warnings of problem and answer together, each once.
func mergeWarnings(lists ...[]string) []string {
	var all []string
	seen := map[string]bool{}
	for _, list := range lists {
		for _, text := range list {
			if !seen[text] {
				seen[text] = true
				all = append(all, text)
			}
		}
	}
	return all
}

func yearStartWords(p *habitat.Property) string {
	if p.YearStart < 1 || p.YearStart > 12 {
		return ""
	}
	return date.Annual{Month: timeMonth(p.YearStart), Dom: 1}.Words()
}
