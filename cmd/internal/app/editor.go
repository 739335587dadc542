package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/view"
	"emberquilt/schedule/assemble"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/rotation"
	"emberquilt/store"
)

// Editor edits a stored plan of one property and solves it again after each edit.
//
// The edits are a draft in the property file, never a plan: they survive the program
// that made them, and any opening of the file goes on with them. Each change of the
// draft is one transaction. What holds the edits is found beside it, by one solve at
// a time: an edit ends the one under way.
//
// Every method that takes a Session holds the draft against the file first: edits
// that no longer fit what a command changed fall away, with the reason.
type Editor struct {
	// Start runs a solve in place of the one under way, which it ends and waits for;
	// Halt ends it without waiting. nil means the editor's own. Set them before the
	// first call.
	Start func(do func(ctx context.Context))
	Halt  func()
	// Tell, where it is not nil, hears of every change and of how far a solve has
	// come, a few times a second. It is called from goroutines of the editor, and must
	// not ask the editor anything before it returns.
	Tell func(EditNews)
	// Limit is how long a solve goes on by itself; 0 means EditLimit.
	Limit time.Duration

	one     sync.Mutex // one change at a time
	telling sync.Mutex // one telling at a time; taken before mu
	mu      sync.Mutex // of what follows
	now     editing
	// run counts the solves, told is when one was last told of.
	run  int
	told time.Time
	// warm is what the last solve of the draft left, past the results of solves by
	// the edits that they hold, so that undo shows again what was there.
	warm *rotation.Warm
	past map[string]past
	// busy counts the solves that have begun and are not over.
	busy int
	own  slot
}

// past is the result of a solve; isWhole says that nothing ended it early.
type past struct {
	result  *rotation.Result
	isWhole bool
}

// mostPast is how many results are kept.
const mostPast = 24

// EditLimit is how long the solve after an edit goes on by itself, and EditMore how
// long when it is asked to go on.
const (
	EditLimit = 10 * time.Second
	EditMore  = 60 * time.Second
)

// tellEvery is how often a solve tells how far it has come.
const tellEvery = 150 * time.Millisecond

// editing is the state of an editor; version counts its changes.
type editing struct {
	version int64
	frame   *editFrame
	// draft is nil while nothing is edited; serial is that of the file.
	draft  *habitat.EditedPlan
	serial int64
	edits  []habitat.CellEdit
	p      *problem.Problem
	// answer is the best plan known; holds says that it holds the edits.
	answer  *problem.Answer
	holds   bool
	figures view.SolveFigures
	// result is that of the last solve of p, nil while there is none.
	result    *rotation.Result
	isRunning bool
	elapsed   time.Duration
	clashes   []string
	fault     string
}

// EditNews is what an editor tells while it works. The figures are those of the best
// plan known; a reader whose Version is older asks for the state anew.
type EditNews struct {
	Version int64 `json:"version"`
	Serial  int64 `json:"serial"`
	// IsSolving says that a solve is under way, Holds that a plan with the edits is known.
	IsSolving bool              `json:"is_solving"`
	Holds     bool              `json:"holds_the_edits"`
	Seconds   float64           `json:"seconds"`
	Figures   view.SolveFigures `json:"figures"`
	// Clashes says why no plan holds the locks and edits; Fault that a solve failed.
	Clashes []string `json:"clashes"`
	Fault   string   `json:"fault,omitempty"`
}

// EditState is a plan with its edits as a screen shows it.
type EditState struct {
	EditNews
	// IsDraft says that there are edits, or undone ones, in the file.
	IsDraft bool               `json:"is_draft"`
	Edits   []habitat.CellEdit `json:"edits"`
	// Undo and Redo count the steps.
	Undo   int                  `json:"undo_steps"`
	Redo   int                  `json:"redo_steps"`
	Fallen []habitat.FallenEdit `json:"fallen"`
	Edited *view.Edited         `json:"edited"`
}

// State gives the plan with its edits: that of the draft where there is one, else
// the plan of the number, the newest for 0.
func (e *Editor) State(ctx context.Context, s *Session, plan int) (*EditState, error) {
	e.one.Lock()
	defer e.one.Unlock()
	if err := e.follow(ctx, s, plan); err != nil {
		return nil, err
	}
	return e.state()
}

// Follow brings the editor up to what the file holds, so that State answers at once.
func (e *Editor) Follow(ctx context.Context, s *Session, plan int) error {
	e.one.Lock()
	defer e.one.Unlock()
	return e.follow(ctx, s, plan)
}

// snapshot is the state of the editor at one moment.
func (e *Editor) snapshot() editing {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.now
}

func (e *Editor) state() (*EditState, error) {
	now := e.snapshot()
	state := &EditState{EditNews: now.news(), Edits: append([]habitat.CellEdit{}, now.edits...), Fallen: []habitat.FallenEdit{}}
	if now.draft != nil {
		state.IsDraft, state.Undo, state.Redo = true, len(now.draft.Steps), len(now.draft.Undone)
		state.Fallen = append(state.Fallen, now.draft.Fallen...)
	}
	var err error
	state.Edited, err = now.view()
	return state, err
}

// view sets the plan with its edits beside the stored one.
func (now *editing) view() (*view.Edited, error) {
	f := now.frame
	stored := f.plan(now.p, &problem.Answer{Status: problem.Feasible, Burns: f.burns})
	stored.Number = f.stored.Number
	by := f.by(now.edits)
	return view.NewEdited(stored, f.plan(now.p, now.answer), f.held(), func(unit, t int) view.FixedBy { return by(unit, f.made.Problem.FirstYear+t) })
}

// plan gathers what the views of an answer are computed from.
func (f *editFrame) plan(p *problem.Problem, a *problem.Answer) *view.Plan {
	s := &f.session
	return &view.Plan{Stamp: s.Stamp(), Property: s.Property, Units: s.Units, Records: s.Records, Pairs: s.Pairs, Problem: p, Answer: a, Assumptions: f.made.Words}
}

func (now *editing) news() EditNews {
	return EditNews{Version: now.version, Serial: now.serial, IsSolving: now.isRunning, Holds: now.holds, Seconds: now.elapsed.Seconds(), Figures: now.figures,
		Clashes: append([]string{}, now.clashes...), Fault: now.fault}
}

// Edit adds a step to the draft, and begins one of the plan where there is none. A
// step that breaks a hard requirement is an *EditRefusal, and changes nothing. What
// is so already is no step.
func (e *Editor) Edit(ctx context.Context, s *Session, plan int, step habitat.EditStep) (*EditState, error) {
	return e.change(ctx, s, plan, func(f *editFrame, d *habitat.EditedPlan) error {
		if len(step) == 0 || len(step) > 2*habitat.MaxYears {
			return badOption("edit", "one cell or more", "%d cells are no edit", len(step))
		}
		checked := slices.Clone(step)
		for i := range checked {
			var err error
			if checked[i].Unit, err = f.name(checked[i].Unit); err != nil {
				return err
			}
			if err := optionFaults(checked[i].Validate()); err != nil {
				return err
			}
		}
		edits := d.Edits()
		checked = slices.DeleteFunc(checked, func(c habitat.CellEdit) bool { return f.isSo(edits, c) })
		if len(checked) == 0 {
			return nil
		}
		if reasons := f.against(edits, checked); len(reasons) > 0 {
			return &EditRefusal{reasons}
		}
		if len(d.Steps) >= habitat.MostEditSteps {
			return badOption("edit", fmt.Sprintf("up to %d steps", habitat.MostEditSteps), "the draft is full: keep or discard it")
		}
		d.Add(checked)
		return nil
	})
}

// isSo reports whether an edit would change nothing in the draft.
func (f *editFrame) isSo(edits []habitat.CellEdit, e habitat.CellEdit) bool {
	for _, other := range edits {
		if other.Key() == e.Key() {
			return other == e
		}
	}
	if f.outside(&e) != 0 || e.Do != habitat.FreeCell {
		return false
	}
	_, isLocked := f.locked[cellAt{f.unit[e.Unit], int(e.Year)}]
	return !isLocked
}

// Undo takes back the last step of the draft.
func (e *Editor) Undo(ctx context.Context, s *Session) (*EditState, error) {
	return e.change(ctx, s, 0, func(f *editFrame, d *habitat.EditedPlan) error {
		if !d.Undo() {
			return badOption("undo", "a draft with a step", "there is nothing to undo")
		}
		return nil
	})
}

// Redo does the step again that was undone last. One that no longer fits is an
// *EditRefusal.
func (e *Editor) Redo(ctx context.Context, s *Session) (*EditState, error) {
	return e.change(ctx, s, 0, func(f *editFrame, d *habitat.EditedPlan) error {
		last := len(d.Undone) - 1
		if last < 0 {
			return badOption("redo", "a draft with a step that was undone", "there is nothing to redo")
		}
		if reasons := f.against(d.Edits(), d.Undone[last]); len(reasons) > 0 {
			return &EditRefusal{reasons}
		}
		d.Redo()
		return nil
	})
}

// change changes the draft in one transaction and solves it anew.
func (e *Editor) change(ctx context.Context, s *Session, plan int, do func(*editFrame, *habitat.EditedPlan) error) (*EditState, error) {
	e.one.Lock()
	defer e.one.Unlock()
	if err := e.follow(ctx, s, plan); err != nil {
		return nil, err
	}
	f := e.now.frame // only changed by whoever holds one
	var after *habitat.EditedPlan
	var serial int64
	err := s.Store.UpdateDraft(ctx, func(tx *store.Tx) error {
		d, before, err := tx.Draft()
		if err != nil {
			return err
		}
		if d == nil {
			d = &habitat.EditedPlan{Plan: f.stored.Number, IsNewest: f.stored.Number == s.Adopted(), Data: string(f.data)}
		} else if d.Plan != f.stored.Number {
			return badOption("plan", "the plan of the draft, or a draft that is kept or discarded first", "the draft is one of plan %d by now", d.Plan)
		}
		was := d.Edits()
		steps, undone := len(d.Steps), len(d.Undone)
		if err := do(f, d); err != nil {
			return err
		}
		if serial, after = before, d; len(d.Steps) == steps && len(d.Undone) == undone && slices.Equal(was, d.Edits()) {
			if steps+undone == 0 {
				after = nil
			}
			return nil
		}
		d.Fallen = nil
		serial = before + 1
		return tx.PutDraft(d)
	})
	if err != nil {
		return nil, err
	}
	if err := e.take(f, after, serial); err != nil {
		return nil, err
	}
	return e.state()
}

// Discard forgets the draft.
func (e *Editor) Discard(ctx context.Context, s *Session) error {
	e.one.Lock()
	defer e.one.Unlock()
	if err := s.Store.UpdateDraft(ctx, func(tx *store.Tx) error {
		d, _, err := tx.Draft()
		if d == nil || err != nil {
			return err
		}
		return tx.PutDraft(nil)
	}); err != nil {
		return err
	}
	e.end()
	return e.follow(ctx, s, 0)
}

// Keep stores the draft as a new plan, with its edits as locks, in one transaction,
// and the draft is gone. The solve under way ends with the best plan that it has.
func (e *Editor) Keep(ctx context.Context, s *Session, note string) (*StoredPlan, error) {
	e.one.Lock()
	defer e.one.Unlock()
	if err := e.follow(ctx, s, 0); err != nil {
		return nil, err
	}
	e.end()
	now := e.snapshot()
	if now.draft == nil || len(now.edits) == 0 {
		return nil, badOption("keep", "a draft with an edit", "there is no edit to keep")
	}
	f := now.frame
	result := now.result
	if result == nil {
		found, err := rotation.Solve(ctx, now.p, rotation.Settings{TimeLimit: keepLimit, Threads: runtime.GOMAXPROCS(0), Warm: f.warm})
		if err != nil {
			return nil, err
		}
		result = &found
	}
	if result.Answer.Status == problem.Infeasible {
		return nil, clashError(result.Answer)
	}
	words := fmt.Sprintf("plan %d with %d of its decisions fixed by hand", f.stored.Number, len(now.edits))
	made := &Made{Result: assemble.Result{Problem: now.p}, Words: append([]string{words}, f.made.Words...), Hopes: f.made.Hopes}
	kept, err := s.storePlan(
		ctx,
		made,
		result,
		nil,
		note,
		"keep an edited plan",
		habitat.PlanStanding{Standing: habitat.AdoptedPlan, Why: note, BurnDays: f.burnDays},
		func(tx *store.Tx) error {
			d, serial, err := tx.Draft()
			if err != nil {
				return err
			}
			if d == nil || serial != now.serial {
				return badOption("keep", "the draft as it is shown", "the draft was changed from elsewhere in this moment")
			}
			for _, edit := range now.edits {
				if err := putEdit(tx, f, edit); err != nil {
					return err
				}
			}
			return tx.PutDraft(nil)
		},
	)
	if err != nil {
		return nil, err
	}
	return kept, e.follow(ctx, s, 0)
}

// keepLimit is how long a draft is solved that is kept before it was solved.
const keepLimit = 3 * time.Second

// putEdit makes a lock of an edit, or lifts the one in its place.
func putEdit(tx *store.Tx, f *editFrame, edit habitat.CellEdit) error {
	if edit.Do != habitat.FreeCell {
		return tx.PutLock(habitat.Lock{Unit: edit.Unit, Year: edit.Year, Burn: edit.Do == habitat.BurnCell, Season: edit.Season})
	}
	if _, isLocked := f.locked[cellAt{f.unit[edit.Unit], int(edit.Year)}]; isLocked {
		return tx.RemoveLock(edit.Unit, edit.Year)
	}
	return nil
}

// Choices says for a unit and year what a plan could hold there.
func (e *Editor) Choices(ctx context.Context, s *Session, plan int, unit string, year date.ProgramYear) (*CellChoices, error) {
	e.one.Lock()
	defer e.one.Unlock()
	if err := e.follow(ctx, s, plan); err != nil {
		return nil, err
	}
	now := e.snapshot()
	name, err := now.frame.name(unit)
	if err != nil {
		return nil, err
	}
	c := now.frame.choices(now.edits, name, year)
	return &c, nil
}

// Targets says for a burn of a unit to which years it could move.
func (e *Editor) Targets(ctx context.Context, s *Session, plan int, unit string, from date.ProgramYear) ([]MoveTarget, error) {
	e.one.Lock()
	defer e.one.Unlock()
	if err := e.follow(ctx, s, plan); err != nil {
		return nil, err
	}
	now := e.snapshot()
	name, err := now.frame.name(unit)
	if err != nil {
		return nil, err
	}
	return now.frame.targets(now.edits, now.answer.Burns, name, from), nil
}

// Compare sets the plan with its edits beside a stored one.
func (e *Editor) Compare(ctx context.Context, s *Session, plan, other int) (*view.Compare, error) {
	e.one.Lock()
	defer e.one.Unlock()
	if err := e.follow(ctx, s, plan); err != nil {
		return nil, err
	}
	now := e.snapshot()
	stored, err := s.Plan(ctx, other)
	if err != nil {
		return nil, err
	}
	first, err := s.PlanView(ctx, stored)
	if err != nil {
		return nil, err
	}
	second := now.frame.plan(now.p, now.answer)
	second.Name = "the draft"
	if len(now.edits) == 0 {
		second.Name = fmt.Sprintf("plan %d", now.frame.stored.Number)
	}
	return view.NewCompare(first, second)
}

// GoOn lets the solve go on for longer.
func (e *Editor) GoOn(ctx context.Context, s *Session) error {
	e.one.Lock()
	defer e.one.Unlock()
	if err := e.follow(ctx, s, 0); err != nil {
		return err
	}
	if len(e.now.edits) > 0 {
		e.solve(EditMore)
	}
	return nil
}

// Stop ends the solve under way; the best plan so far stays.
func (e *Editor) Stop() {
	if e.Halt != nil {
		e.Halt()
		return
	}
	e.own.halt()
}

// follow brings the editor up to what the file holds: another opening may have
// edited, a command may have changed the property. plan is what is shown where there
// is no draft.
func (e *Editor) follow(ctx context.Context, s *Session, plan int) error {
	stamp, err := s.Store.Stamp(ctx)
	if err != nil {
		return err
	}
	if stamp != s.Change.Stamp() {
		if err := s.refresh(ctx); err != nil {
			return err
		}
	}
	d, serial, err := s.Store.Draft(ctx)
	if err != nil {
		return err
	}
	want := plan
	switch {
	case d != nil && d.IsNewest:
		want = s.Adopted()
	case d != nil:
		want = d.Plan
	case want == 0:
		want = s.Adopted()
	}
	f := e.now.frame
	isNew := f == nil || f.data != s.Change.Stamp() || f.session.Today != s.Today || f.stored.Number != want
	if !isNew && serial == e.now.serial && (d == nil) == (e.now.draft == nil) {
		return nil
	}
	if isNew {
		if f, err = s.editFrame(ctx, want); err != nil {
			return err
		}
	}
	if d != nil && (d.Data != string(f.data) || d.Plan != f.stored.Number) {
		if d, serial, err = e.rebase(ctx, s, f); err != nil {
			return err
		}
	}
	return e.take(f, d, serial)
}

// rebase holds the draft of the file against a changed property.
func (e *Editor) rebase(ctx context.Context, s *Session, f *editFrame) (d *habitat.EditedPlan, serial int64, err error) {
	err = s.Store.UpdateDraft(ctx, func(tx *store.Tx) error {
		if d, serial, err = tx.Draft(); err != nil || d == nil {
			return err
		}
		f.refit(d)
		serial++
		return tx.PutDraft(d)
	})
	if errors.Is(err, store.ErrReadOnly) && d != nil {
		err, serial = nil, serial-1
	}
	return d, serial, err
}

// take makes the state that of a draft, and solves it where it is another.
func (e *Editor) take(f *editFrame, d *habitat.EditedPlan, serial int64) error {
	var edits []habitat.CellEdit
	if d != nil {
		edits = d.Edits()
	}
	e.mu.Lock()
	before := e.now
	e.mu.Unlock()
	isSame := before.frame == f && slices.Equal(before.edits, edits)
	next := before
	next.frame, next.draft, next.serial, next.edits = f, d, serial, edits
	if !isSame {
		var err error
		if next.p, err = f.problem(edits); err != nil {
			return err
		}
		next.result, next.clashes, next.fault, next.holds, next.isRunning, next.elapsed = nil, nil, "", false, false, 0
		if before.frame != f {
			next.answer, next.figures = f.asStored(), view.NewSolveFigures(nil)
		}
		if len(edits) == 0 {
			next.answer, next.holds, next.figures = f.asStored(), true, view.NewSolveFigures(f.stored.Answer)
		}
	}
	e.mu.Lock()
	if before.frame != f {
		e.past = map[string]past{}
	}
	if before.frame != f || len(edits) == 0 {
		e.warm = nil
	}
	known, isKnown := e.past[pastKey(edits)]
	if !isSame && isKnown {
		next.answer, next.holds, next.result = known.result.Answer, true, known.result
		next.figures, e.warm = view.NewSolveFigures(known.result.Answer), pricesOnly(known.result.Warm)
	}
	next.version = e.now.version + 1
	if isSame { // a solve may have found something meanwhile
		next.answer, next.holds, next.figures, next.result, next.isRunning, next.elapsed, next.clashes, next.fault =
			e.now.answer, e.now.holds, e.now.figures, e.now.result, e.now.isRunning, e.now.elapsed, e.now.clashes, e.now.fault
	} else {
		e.run++
	}
	e.now = next
	e.mu.Unlock()
	switch {
	case isSame:
	case len(edits) > 0 && !known.isWhole:
		e.solve(e.limit())
	default:
		e.end()
	}
	if !isSame || before.serial != serial {
		e.tell()
	}
	return nil
}

func (e *Editor) limit() time.Duration {
	if e.Limit > 0 {
		return e.Limit
	}
	return EditLimit
}

// tell tells what is so now. Those who tell take turns and look then, so that nothing
// old is told after something newer, whoever noticed it first.
func (e *Editor) tell() {
	if e.Tell == nil {
		return
	}
	e.telling.Lock()
	defer e.telling.Unlock()
	now := e.snapshot()
	e.Tell(now.news())
}

// solve looks for the best plan that holds the edits, from the plan at hand.
func (e *Editor) solve(limit time.Duration) {
	e.mu.Lock()
	e.run++
	run, p, f, edits := e.run, e.now.p, e.now.frame, e.now.edits
	e.now.isRunning, e.now.elapsed, e.now.fault = true, 0, ""
	e.busy++
	e.mu.Unlock()
	e.start(func(ctx context.Context) {
		e.mu.Lock()
		warm := e.warm
		if warm == nil {
			warm = f.warm
		}
		e.mu.Unlock()
		result, err := rotation.Solve(ctx, p, rotation.Settings{TimeLimit: limit, Threads: runtime.GOMAXPROCS(0), Warm: warm,
			Progress: func(now rotation.Progress) { e.progress(run, now) }})
		e.finish(run, f, pastKey(edits), result, err, ctx.Err() == nil)
	})
}

// progress takes a better plan, and tells of it.
func (e *Editor) progress(run int, p rotation.Progress) {
	e.mu.Lock()
	if run != e.run {
		e.mu.Unlock()
		return
	}
	isFirst := !e.now.holds
	if a := p.Answer(); a != nil && !math.IsInf(p.Cost, 1) {
		if isFirst || e.now.answer == nil || a.Cost < e.now.answer.Cost {
			e.now.answer, e.now.holds = a, true
			e.now.version++
		}
		e.now.figures = view.NewSolveFigures(a)
	}
	e.now.elapsed = p.Elapsed
	at := time.Now()
	isDue := isFirst && e.now.holds || at.Sub(e.told) >= tellEvery
	if isDue {
		e.told = at
	}
	e.mu.Unlock()
	if isDue {
		e.tell()
	}
}

// finish takes what a solve has come to.
func (e *Editor) finish(run int, f *editFrame, key string, result rotation.Result, err error, isWhole bool) {
	e.mu.Lock()
	e.busy--
	// A solve that was ended before it had a plan gives the locked burns alone.
	isPlan := err == nil && result.Answer.Status != problem.Infeasible && result.Stats.FirstPlan > 0
	if isPlan && e.now.frame == f && len(e.now.edits) > 0 {
		e.warm = pricesOnly(result.Warm)
		if len(e.past) >= mostPast {
			clear(e.past)
		}
		e.past[key] = past{&result, isWhole}
	}
	if run != e.run {
		e.mu.Unlock()
		return
	}
	e.now.isRunning = false
	e.now.version++
	switch {
	case err != nil:
		e.now.fault = err.Error()
	case isPlan:
		e.now.answer, e.now.result, e.now.holds = result.Answer, &result, true
		e.now.elapsed = time.Duration(result.Answer.Seconds * float64(time.Second))
		e.now.figures = view.NewSolveFigures(result.Answer)
	case result.Answer.Status == problem.Infeasible:
		e.now.result, e.now.figures = &result, view.NewSolveFigures(result.Answer)
		for _, c := range result.Answer.Clashes {
			e.now.clashes = append(e.now.clashes, c.Text)
		}
	}
	e.mu.Unlock()
	e.tell()
}

// end ends the solve under way and waits for it. Where the place to solve in is
// shared, work of others goes on.
func (e *Editor) end() {
	e.mu.Lock()
	isBusy := e.busy > 0
	e.mu.Unlock()
	if isBusy {
		e.start(func(context.Context) {})
	}
}

func (e *Editor) start(do func(context.Context)) {
	if e.Start != nil {
		e.Start(do)
		return
	}
	e.own.start(do)
}

// pastKey tells lists of edits apart.
func pastKey(edits []habitat.CellEdit) string { return fmt.Sprintf("%q", edits) }

// asStored gives the stored plan with what has burned since on record.
func (f *editFrame) asStored() *problem.Answer {
	a := &problem.Answer{Status: problem.Feasible}
	for _, b := range f.burns {
		if !f.recorded[cellAt{b.Unit, b.Year}] {
			a.Burns = append(a.Burns, b)
		}
	}
	for at := range f.recorded {
		season := 0
		if l := f.locked[at]; l.Season >= 0 {
			season = l.Season
		}
		a.Burns = append(a.Burns, problem.Burn{Unit: at.unit, Year: at.year, Season: season})
	}
	slices.SortFunc(a.Burns, func(x, y problem.Burn) int { return cmp.Or(x.Year-y.Year, x.Unit-y.Unit) })
	return a
}

// slot is the place of one piece of work at a time.
type slot struct {
	mu   sync.Mutex
	stop context.CancelFunc
	over chan struct{}
}

// start ends the work under way, waits for it, and begins another.
func (s *slot) start(do func(context.Context)) {
	ctx, stop := context.WithCancel(context.Background())
	over := make(chan struct{})
	s.mu.Lock()
	before, ended := s.stop, s.over
	s.stop, s.over = stop, over
	s.mu.Unlock()
	if before != nil {
		before()
		<-ended
	}
	go func() {
		defer close(over)
		defer stop()
		do(ctx)
	}()
}

func (s *slot) halt() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.stop != nil {
		s.stop()
	}
}
