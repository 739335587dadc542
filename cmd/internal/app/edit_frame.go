package app

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/problem/clash"
	"emberquilt/schedule/rotation"
	"emberquilt/store"
)

// editFrame is a stored plan as it can be edited on one day, with one version of the
// data: the property's problem for the years of the plan that are left, with the
// plan to keep to in all of them. It does not change.
type editFrame struct {
	session Session // of that moment; its store is not used
	data    store.Stamp
	stored  *StoredPlan
	made    *Made
	// burnDays are those that the stored plan was made with.
	burnDays habitat.BurnDays
	// burns are those of the stored plan, by the numbers of the problem.
	burns        []problem.Burn
	unit, season map[string]int
	recorded     map[cellAt]bool
	locked       map[cellAt]problem.Lock
	warm         *rotation.Warm
}

// cellAt is a unit by its index, and a program year.
type cellAt struct{ unit, year int }

// editFrame makes the frame of a plan, the newest for 0.
//
// The plan is kept to in every year, at the weight of the settings, however many
// years they name: whoever moves one burn wants the others to stay where they can.
func (s *Session) editFrame(ctx context.Context, number int) (*editFrame, error) {
	stored, err := s.Plan(ctx, number)
	if err != nil {
		return nil, err
	}
	first := max(stored.FirstYear, s.Property.YearStart.Of(s.Today))
	years := int(stored.LastYear()-first) + 1
	if years < 1 {
		return nil, &source.Error{Position: source.Position{File: s.Store.Path()},
			Found: fmt.Sprintf("plan %d ends in %d, and its years are over", stored.Number, stored.LastYear()), Accepts: "a plan with a year to come"}
	}
	days := s.madeWith(stored.Number)
	made, err := s.problemAfter(ctx, Horizon{From: first, Years: years, BurnDays: days}, stored, years)
	if errors.As(err, new(*OptionError)) { // the weather that they came from is gone
		days = habitat.BurnDays{}
		made, err = s.problemAfter(ctx, Horizon{From: first, Years: years}, stored, years)
	}
	if err != nil {
		return nil, err
	}
	if later := made.Problem.FirstYear - int(first); later > 0 { // what burned leaves the first year nothing to plan
		if years -= later; years < 1 {
			return nil, &source.Error{Position: source.Position{File: s.Store.Path()},
				Found: fmt.Sprintf("what has burned leaves plan %d no year to change", stored.Number), Accepts: "a plan with a year to come"}
		}
		if made, err = s.problemAfter(ctx, Horizon{From: first, Years: years, BurnDays: days}, stored, years); err != nil {
			return nil, err
		}
	}
	f := &editFrame{session: *s, data: s.Change.Stamp(), stored: stored, made: made, burnDays: days, unit: map[string]int{}, season: map[string]int{},
		recorded: map[cellAt]bool{}, locked: map[cellAt]problem.Lock{}}
	f.session.Progress = nil
	p := made.Problem
	for i := range p.Units {
		f.unit[p.Units[i].ID] = i
	}
	for i, name := range p.Seasons {
		f.season[name] = i
	}
	for _, burn := range made.Recorded {
		f.recorded[cellAt{f.unit[burn.Unit], int(burn.Year)}] = true
	}
	for _, l := range p.Locks {
		f.locked[cellAt{l.Unit, l.Year}] = l
	}
	f.translate()
	f.warm = pricesOnly(&rotation.Warm{Problem: stored.Problem, Burns: stored.Answer.Burns, Leaf: f.leaf()})
	return f, nil
}

// madeWith gives the burn days that a plan was made with.
func (s *Session) madeWith(plan int) habitat.BurnDays { return s.Standings.Of(plan).BurnDays }

// translate finds the burns of the stored plan in the problem.
func (f *editFrame) translate() {
	from := f.stored.Problem
	for _, b := range f.stored.Answer.Burns {
		i, isUnit := f.unit[from.Units[b.Unit].ID]
		s, isSeason := f.season[from.Seasons[b.Season]]
		if isUnit && isSeason && b.Year >= f.made.Problem.FirstYear && b.Year < f.made.Problem.FirstYear+f.made.Problem.T() {
			f.burns = append(f.burns, problem.Burn{Unit: i, Year: b.Year, Season: s})
		}
	}
}

// leaf gives prices that proved the stored plan; nil where none are kept.
func (f *editFrame) leaf() *problem.Leaf {
	if len(f.stored.Files.Certificate) == 0 {
		return nil
	}
	c, err := problem.ReadCertificate(bytes.NewReader(f.stored.Files.Certificate), "certificate", f.stored.Problem)
	if err != nil {
		return nil // the solver begins without prices
	}
	node := c.Tree
	for node != nil && node.Rest != nil {
		node = node.Rest
	}
	switch {
	case node == nil:
		return nil
	case node.Leaf != nil:
		return node.Leaf
	case node.Use >= 0 && node.Use < len(c.Shared):
		return &c.Shared[node.Use]
	}
	return nil
}

// pricesOnly leaves out the blocks of units that a bound was proven with: within the
// seconds of an edit their steps are too long. At 100 units × 10 years the bound stood
// after a second at 7,549, 7,639, 7,674 and 7,809 without them and at 7,199, 7,418,
// 7,580 and 7,730 with them; the plans were the same.
func pricesOnly(w *rotation.Warm) *rotation.Warm {
	if w == nil || w.Leaf == nil {
		return w
	}
	return &rotation.Warm{Problem: w.Problem, Burns: w.Burns, Leaf: &problem.Leaf{Prices: w.Leaf.Prices}}
}

// held counts the years of the problem for which the stored plan was solved.
func (f *editFrame) held() int {
	from := f.stored.Problem
	return from.FirstYear + from.T() - f.made.Problem.FirstYear
}

// lastYear is the last that can be edited.
func (f *editFrame) lastYear() int { return f.made.Problem.FirstYear + f.made.Problem.Years - 1 }

// locks gives the locks of the problem with edits: an edit replaces the lock of its
// unit and year.
func (f *editFrame) locks(edits []habitat.CellEdit) []problem.Lock {
	edited := make(map[cellAt]bool, len(edits))
	var own []problem.Lock
	for _, e := range edits {
		at := cellAt{f.unit[e.Unit], int(e.Year)}
		edited[at] = true
		if e.Do == habitat.FreeCell {
			continue
		}
		l := problem.Lock{Unit: at.unit, Year: at.year, Burn: e.Do == habitat.BurnCell, Season: -1}
		if e.Season != "" {
			l.Season = f.season[e.Season]
		}
		own = append(own, l)
	}
	var all []problem.Lock
	for _, l := range f.made.Problem.Locks {
		if !edited[cellAt{l.Unit, l.Year}] {
			all = append(all, l)
		}
	}
	return append(all, own...)
}

// problem gives the problem with edits: that of the frame where there are none.
func (f *editFrame) problem(edits []habitat.CellEdit) (*problem.Problem, error) {
	if len(edits) == 0 {
		return f.made.Problem, nil
	}
	p := *f.made.Problem
	p.Locks = f.locks(edits)
	return problem.Canonical(&p)
}

// name finds a unit by the name that the user gives.
func (f *editFrame) name(unit string) (string, error) {
	if _, ok := f.unit[unit]; ok {
		return unit, nil
	}
	u, err := FindUnit(f.session.Snapshot, unit)
	if err != nil {
		return "", err
	}
	return u.ID, nil
}

// outside says why a cell cannot be edited at all; 0 where it can.
func (f *editFrame) outside(e *habitat.CellEdit) view.CellFault {
	i, known := f.unit[e.Unit]
	_, isSeason := f.season[e.Season]
	switch {
	case !known:
		return view.CellOfNoUnit
	case int(e.Year) < f.made.Problem.FirstYear:
		return view.CellOver
	case int(e.Year) > f.lastYear():
		return view.CellBeyondPlan
	case f.recorded[cellAt{i, int(e.Year)}]:
		return view.CellOnRecord
	case e.Season != "" && !isSeason:
		return view.CellOfNoSeason
	}
	return 0
}

// clashes finds what cannot stand together among the locks that touch some cells.
// Locks of other units in other years have no part in it: no requirement joins two
// units over two years.
func (f *editFrame) clashes(locks []problem.Lock, cells []cellAt) []problem.Clash {
	p := *f.made.Problem
	touches := func(unit, year int) bool {
		return slices.ContainsFunc(cells, func(c cellAt) bool { return c.unit == unit || c.year == year })
	}
	p.Locks = nil
	for _, l := range locks {
		if touches(l.Unit, l.Year) {
			p.Locks = append(p.Locks, l)
		}
	}
	p.Closed = nil
	for _, c := range f.made.Problem.Closed {
		if touches(c.Unit, c.Year) {
			p.Closed = append(p.Closed, c)
		}
	}
	return clash.Find(&p)
}

// without gives the edits but for those of some cells.
func without(edits []habitat.CellEdit, step []habitat.CellEdit) []habitat.CellEdit {
	return slices.DeleteFunc(slices.Clone(edits), func(e habitat.CellEdit) bool {
		return slices.ContainsFunc(step, func(other habitat.CellEdit) bool { return e.Key() == other.Key() })
	})
}

// against says which hard requirements a step would break after other edits, each
// once; what is broken without the step is not its doing.
func (f *editFrame) against(edits []habitat.CellEdit, step habitat.EditStep) []string {
	for i := range step {
		if fault := f.outside(&step[i]); fault != 0 {
			return []string{fault.Words(&step[i], f.stored.Number)}
		}
	}
	cells := make([]cellAt, len(step))
	for i := range step {
		cells[i] = cellAt{f.unit[step[i].Unit], int(step[i].Year)}
	}
	after := append(without(edits, step), step...)
	found := f.clashes(f.locks(after), cells)
	if len(found) == 0 {
		return nil
	}
	before := map[string]bool{}
	for _, c := range f.clashes(f.locks(edits), cells) {
		before[c.Text] = true
	}
	var all []string
	for i := range found {
		if words := f.reason(&found[i], cells, after); !before[found[i].Text] && !slices.Contains(all, words) {
			all = append(all, words)
		}
	}
	return all
}

// reason words a clash for whoever is about to make one of its locks.
func (f *editFrame) reason(c *problem.Clash, cells []cellAt, edits []habitat.CellEdit) string {
	mine := c.Locks[0]
	for _, l := range c.Locks {
		if slices.Contains(cells, cellAt{l.Unit, l.Year}) && l.Burn {
			mine = l
		}
	}
	e := view.EditClash{Problem: f.made.Problem, Clash: c, Mine: mine, By: f.by(edits), IsOver: f.isOver}
	return e.Words()
}

// isOver reports whether a season of a program year is over.
func (f *editFrame) isOver(season string, year date.ProgramYear) bool {
	at := f.session.Property.SeasonIndex(season)
	return at >= 0 && f.session.Property.SeasonSpan(at, year).Last.Before(f.session.Today)
}

// by gives what says who decides a unit's year under some edits.
func (f *editFrame) by(edits []habitat.CellEdit) func(unit, year int) view.FixedBy {
	own := make(map[cellAt]view.FixedBy, len(edits))
	for _, e := range edits {
		own[cellAt{f.unit[e.Unit], int(e.Year)}] = view.ByEdit
		if e.Do == habitat.FreeCell {
			own[cellAt{f.unit[e.Unit], int(e.Year)}] = view.BySolver
		}
	}
	return func(unit, year int) view.FixedBy {
		at := cellAt{unit, year}
		if f.recorded[at] {
			return view.ByRecord
		}
		if by, ok := own[at]; ok {
			return by
		}
		if _, ok := f.locked[at]; ok {
			return view.ByLock
		}
		return view.BySolver
	}
}

// refit takes out the edits that no longer fit, in the order in which they were
// made, and says why.
func (f *editFrame) refit(d *habitat.EditedPlan) {
	var good []habitat.CellEdit
	gone := map[habitat.CellKey]bool{}
	for _, e := range d.Edits() {
		reasons := f.against(good, habitat.EditStep{e})
		if len(reasons) == 0 {
			good = append(good, e)
			continue
		}
		gone[e.Key()] = true
		d.Fallen = append(d.Fallen, habitat.FallenEdit{CellEdit: e, Reason: strings.Join(reasons, "; ")})
	}
	d.Drop(gone)
	d.Plan, d.Data = f.stored.Number, string(f.data)
}
