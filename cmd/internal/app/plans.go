package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/store"
)

// StoredPlan is a plan that was read back from the property file.
type StoredPlan struct {
	store.PlanHead
	// Assumptions says in plain words what was taken for granted.
	Assumptions []string
	Problem     *problem.Problem
	Answer      *problem.Answer
	// Files are those that the plan was kept as.
	Files PlanFiles
	// lineage is that of the units now, known the last change before the plan.
	lineage habitat.Lineage
	known   int
}

// PlanFiles are the bytes of the files that a plan is kept as.
type PlanFiles struct {
	Problem, Answer []byte
	// Certificate is empty where the plan has none.
	Certificate []byte
}

// Plan reads a stored plan, the adopted one for 0.
func (s *Session) Plan(ctx context.Context, number int) (*StoredPlan, error) {
	if number == 0 && len(s.Plans) > 0 {
		if number = s.Adopted(); number == 0 {
			fault := &source.Error{
				Position: source.Position{File: s.Store.Path()},
				Found:    fmt.Sprintf("none of its %s is adopted", quantity.Count(len(s.Plans), "plan")),
				Accepts:  "an adopted plan, which is the one that counts",
			}
			return nil, &AdvisedError{Fault: fault, Advice: AdoptPlan, Plan: s.Plans[len(s.Plans)-1].Number}
		}
	}
	kept, err := s.Store.Plan(ctx, number)
	if errors.Is(err, store.ErrUnknown) {
		file := source.Position{File: s.Store.Path()}
		if len(s.Plans) == 0 {
			return nil, &AdvisedError{Fault: &source.Error{Position: file, Found: "there is no plan yet"}, Advice: MakeFirstPlan}
		}
		return nil, &AdvisedError{
			Fault:  &source.Error{Position: file, Found: fmt.Sprintf("there is no plan %d", number), Accepts: fmt.Sprintf("1 to %d", len(s.Plans))},
			Advice: ListPlans,
		}
	}
	if err != nil {
		return nil, err
	}
	name := fmt.Sprintf("%s: plan %d", s.Store.Path(), kept.Number)
	files := PlanFiles{kept.Problem, kept.Answer, kept.Certificate}
	p, answer, err := s.shelf.readPlan(files, name)
	if err != nil {
		return nil, err
	}
	if said := headOf(p, answer); said != headWords(kept.FirstYear, kept.Years, kept.Status) {
		return nil, &source.Error{
			Position: source.Position{File: name},
			Found:    fmt.Sprintf("the file says that it is %s, and its problem and answer are of one that is %s", headWords(kept.FirstYear, kept.Years, kept.Status), said),
			Accepts:  acceptsOwn,
		}
	}
	known := kept.Data.Number()
	for i := range p.Units { // what was only renamed is read under its present name
		p.Units[i].ID = s.Lineage.RenamedTo(p.Units[i].ID, known)
	}
	for i := range p.Seasons {
		p.Seasons[i] = s.SeasonNow(p.Seasons[i], known)
	}
	return &StoredPlan{PlanHead: kept.PlanHead, Assumptions: kept.Assumptions, Problem: p, Answer: answer,
		Files: files, lineage: s.Lineage, known: known}, nil
}

// headOf gives of a plan's own files what lists of plans show.
func headOf(p *problem.Problem, answer *problem.Answer) string {
	return headWords(yearOf(p), p.Years, answer.Status)
}

func headWords(first date.ProgramYear, years int, status problem.Status) string {
	return fmt.Sprintf("%s, from %d on for %s", source.Quote(string(status)), first, quantity.Count(years, "year"))
}

// became says of the units that the plan knows and that are not there anymore what
// became of them.
func (s *Session) became(kept *StoredPlan) map[string]string {
	there := map[string]bool{}
	for i := range s.Units {
		there[s.Units[i].ID] = true
	}
	gone := map[string]string{}
	for i := range kept.Problem.Units {
		id := kept.Problem.Units[i].ID
		if there[id] {
			continue
		}
		gone[id] = id + " is not a unit of the property anymore"
		if c := s.Lineage.Last(id); c != nil {
			gone[id] = fmt.Sprintf("%s on %s", c.Words(), c.On.Words())
		}
		if at := slices.IndexFunc(s.Retired, func(u habitat.Unit) bool { return u.ID == id }); at >= 0 {
			gone[id] = fmt.Sprintf("%s was retired; its last day was %s", id, s.Retired[at].Owned.Until.Words())
		}
	}
	return gone
}

// PlanList lists the plans that were made, the oldest first.
func (s *Session) PlanList() []view.PlanLine {
	all := make([]view.PlanLine, len(s.Plans))
	for i, h := range s.Plans {
		all[i] = view.NewPlanLine(view.PlanLine{Number: h.Number, MadeFor: h.MadeFor, First: h.FirstYear, Last: h.FirstYear + date.ProgramYear(h.Years-1),
			Status: h.Status, Cost: h.Cost, Bound: h.Bound, Data: string(h.Data), Note: h.Note, Standing: s.Standings.Of(h.Number)})
	}
	return all
}

// yearOf gives the first program year of a problem.
func yearOf(p *problem.Problem) date.ProgramYear { return date.ProgramYear(p.FirstYear) }

// LastYear is the last year that the plan shows.
func (s *StoredPlan) LastYear() date.ProgramYear { return s.FirstYear + date.ProgramYear(s.Years-1) }

// BurnsNow gives the plan's burns to what its units have become since.
func (s *StoredPlan) BurnsNow() []habitat.PlannedBurn { return s.lineage.Planned(s.Burns(), s.known) }

// Burns names the burns of the years that the plan shows, of its own units.
func (s *StoredPlan) Burns() []habitat.PlannedBurn {
	all := []habitat.PlannedBurn{} // not nil: a plan of rests is a plan
	for _, b := range s.Answer.Burns {
		if year := date.ProgramYear(b.Year); year <= s.LastYear() {
			all = append(all, habitat.PlannedBurn{Unit: s.Problem.Units[b.Unit].ID, Year: year, Season: s.Problem.Seasons[b.Season]})
		}
	}
	return all
}

// Program computes what the papers and the terminal show of a stored plan.
func (s *Session) Program(ctx context.Context, kept *StoredPlan) (*view.Program, error) {
	plan, err := s.PlanView(ctx, kept)
	if err != nil {
		return nil, err
	}
	return view.NewProgram(plan)
}

// PlanView gathers what the views of a plan are computed from.
func (s *Session) PlanView(ctx context.Context, kept *StoredPlan) (*view.Plan, error) {
	plan := &view.Plan{
		Stamp: s.Stamp(), Known: s.known(), Number: kept.Number, Property: s.Property, Units: s.Units, Retired: s.Retired, Records: s.Records, Pairs: s.Pairs,
		Problem: kept.Problem, Answer: kept.Answer, Assumptions: kept.Assumptions, Became: s.became(kept), Lineage: s.Lineage, Now: map[string][]string{},
	}
	for gone := range plan.Became {
		plan.Now[gone] = s.Lineage.Now(gone, kept.known)
	}
	var err error
	plan.Standing = s.Standings.Of(kept.Number)
	if plan.Stamp.Overtaken, err = s.Overtaken(ctx, kept); err != nil {
		return nil, err
	}
	if before := s.before(kept); before != 0 {
		stored, err := s.Plan(ctx, before)
		if err != nil {
			return nil, err
		}
		// What the units of the plan before were when this one was made, under the names
		// that this one's bear now.
		between := slices.DeleteFunc(slices.Clone(s.Lineage), func(c habitat.UnitChange) bool { return c.Change > kept.known && c.Kind != habitat.Renamed })
		plan.Before = &view.EarlierPlan{Number: stored.Number, First: stored.FirstYear, Last: stored.LastYear(), Burns: between.Planned(stored.Burns(), stored.known)}
		for i := range stored.Problem.Units {
			plan.Before.Units = append(plan.Before.Units, between.Now(stored.Problem.Units[i].ID, stored.known)...)
		}
	}
	for _, scenario := range s.Scenarios[kept.Number] {
		scenario.Days = slices.Clone(scenario.Days)
		for i := range scenario.Days {
			scenario.Days[i].Season = s.SeasonNow(scenario.Days[i].Season, kept.known)
		}
		plan.Scenarios = append(plan.Scenarios, scenario)
	}
	units := s.unitsByName()
	for _, lock := range s.Locks {
		unit := units[lock.Unit]
		isOver := lock.Season != "" && view.BurnSpan(&s.Property, lock.Season, lock.Year).Last.Before(s.Today)
		if lock.Burn && isOver && unit != nil && !s.hasBurned(unit, lock.Year) {
			plan.PastLocks = append(plan.PastLocks, lock)
		}
	}
	plan.Lines = s.PlannedLines(kept)
	plan.Stamp.Lines = strings.Join(view.LineTroubles(plan.Lines), "\n")
	plan.Planned, err = s.judged(ctx)
	return plan, err
}

// before gives the number of the plan that a plan was made to follow: the one that
// was adopted then; 0 where there was none.
func (s *Session) before(plan *StoredPlan) int {
	before := 0
	for _, standing := range s.Standings {
		if standing.Standing == habitat.AdoptedPlan && standing.Change < plan.Change {
			before = standing.Plan
		}
	}
	return before
}
