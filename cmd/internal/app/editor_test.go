package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	gocmp "github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/schedule/bench/family"
	"emberquilt/schedule/certify"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/problem/clash"
	"emberquilt/schedule/rotation"
	"emberquilt/store"
)

// landOf makes a property file of a problem of the measured families, with a plan
// that has had so long.
func landOf(tb testing.TB, units, years int, solver rotation.Settings) *Session {
	tb.Helper()
	ctx := context.Background()
	p := family.Property(3, units, years, 0)
	prop := habitat.NewProperty("measured land")
	prop.Years, prop.Lookahead, prop.YearStart = years, 0, 10
	for i, name := range p.Seasons {
		first, _ := date.ParseAnnual([]string{"01-05", "04-01", "08-01"}[i])
		last, _ := date.ParseAnnual([]string{"03-25", "06-20", "09-25"}[i])
		season := habitat.Season{Name: name, Span: date.AnnualSpan{First: first, Last: last}}
		if days := p.Caps[0].BurnDays[i]; days < problem.NoLimit {
			season.BurnDays = &days
		}
		prop.Seasons = append(prop.Seasons, season)
	}
	caps := &p.Caps[0]
	if caps.Acres < problem.NoLimit {
		acres := quantity.Acres(caps.Acres)
		prop.Caps.Acres = &acres
	}
	if caps.Burns < problem.NoLimit {
		burns := int(caps.Burns)
		prop.Caps.Burns = &burns
	}
	if caps.Cost < problem.NoLimit {
		cents := quantity.Cents(caps.Cost * 100)
		prop.Caps.Cost = &cents
	}
	for _, m := range p.Mixes {
		mix := habitat.Mix{Name: m.Name}
		for _, c := range m.Classes {
			mix.Classes = append(mix.Classes, habitat.AgeClass{Name: c.Name, From: c.From, To: c.To, MinShare: quantity.Share(c.MinShare), MaxShare: quantity.Share(c.MaxShare)})
		}
		prop.Mixes = append(prop.Mixes, mix)
	}
	for _, r := range p.Refuges {
		prop.Refuges = append(prop.Refuges, habitat.Refuge{Name: r.Name, MaxShare: quantity.Share(r.MaxShare)})
	}
	from := on("2026-11-25")
	file, err := store.Create(ctx, filepath.Join(tb.TempDir(), "land.emberquilt"), store.Making{}, prop, from.Moment)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { file.Close() })
	err = file.Update(ctx, from.Moment, "", "units", func(tx *store.Tx) error {
		for i := range p.Units {
			u := &p.Units[i]
			age := u.Age
			unit := habitat.Unit{ID: u.ID, Acres: quantity.Acres(u.Acres), Interval: habitat.Interval{Min: u.MinInterval, Max: u.MaxInterval},
				BurnDays: u.BurnDays, Cost: quantity.Cents(u.Cost * 100), EstimatedAge: &age, EstimatedIn: 2026}
			for s, penalty := range u.Penalty {
				if penalty >= 0 {
					unit.Seasons = append(unit.Seasons, habitat.SeasonChoice{Season: p.Seasons[s], Penalty: penalty})
				}
			}
			if u.Mix >= 0 {
				unit.Mix = p.Mixes[u.Mix].Name
			}
			if u.Refuge >= 0 {
				unit.Refuge = p.Refuges[u.Refuge].Name
			}
			if err := tx.PutUnit(unit); err != nil {
				return err
			}
		}
		for _, pairs := range []struct {
			list [][2]int
			kind habitat.PairKind
		}{{p.Apart, habitat.Apart}, {p.Neighbors, habitat.Neighbors}} {
			for _, pair := range pairs.list {
				if err := tx.PutPair(habitat.NewPair(p.Units[pair[0]].ID, p.Units[pair[1]].ID, pairs.kind)); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		tb.Fatal(err)
	}
	s, err := NewSession(ctx, file, from)
	if err != nil {
		tb.Fatal(err)
	}
	if _, err := s.MakePlan(ctx, PlanOptions{Solver: solver}); err != nil {
		tb.Fatal(err)
	}
	return s
}

// editorOf is an editor that solves for a short while; it stops with the test.
func editorOf(tb testing.TB) *Editor {
	e := &Editor{Limit: 150 * time.Millisecond}
	tb.Cleanup(func() { e.end() })
	return e
}

// settled waits until the solve is over.
func settled(tb testing.TB, e *Editor, s *Session) *EditState {
	tb.Helper()
	for range 3000 {
		state, err := e.State(context.Background(), s, 0)
		if err != nil {
			tb.Fatal(err)
		}
		if !state.IsSolving {
			return state
		}
		time.Sleep(10 * time.Millisecond)
	}
	tb.Fatal("the solve does not end")
	return nil
}

// anyEdit draws a cell and what it does not do now.
func anyEdit(r *rand.Rand, state *EditState) habitat.CellEdit {
	row := state.Edited.Rows[r.IntN(len(state.Edited.Rows))]
	t := r.IntN(len(state.Edited.Years))
	edit := habitat.CellEdit{Unit: row.Unit, Year: state.Edited.Years[t], Do: habitat.RestCell}
	if row.Plan[t] == view.RestMark {
		edit.Do = habitat.BurnCell
		if r.IntN(2) == 0 {
			edit.Season = state.Edited.Seasons[r.IntN(len(state.Edited.Seasons))].Name
		}
	}
	return edit
}

// holdsEdit reports whether a row does what an edit says.
func holdsEdit(state *EditState, edit habitat.CellEdit) bool {
	for _, row := range state.Edited.Rows {
		if row.Unit != edit.Unit {
			continue
		}
		mark := row.Plan[slices.Index(state.Edited.Years, edit.Year)]
		if edit.Do == habitat.RestCell || mark == view.RestMark {
			return (edit.Do == habitat.RestCell) == (mark == view.RestMark)
		}
		return edit.Season == "" || state.Edited.Seasons[mark-'0'].Name == edit.Season
	}
	return false
}

// TestRandomEditsAgainstFullSolves edits at random. What is refused clashes in the
// whole problem; what is taken has a plan that holds all edits and that the checker
// accepts with its bound, and that bound is not above what a solve of the same
// problem from nothing finds.
func TestRandomEditsAgainstFullSolves(t *testing.T) {
	ctx := context.Background()
	s := landOf(t, 24, 5, quick)
	e := editorOf(t)
	r := rand.New(rand.NewPCG(17, 1))
	taken, refused := 0, 0
	for n := range 40 {
		state := settled(t, e, s)
		edit := anyEdit(r, state)
		_, err := e.Edit(ctx, s, 0, habitat.EditStep{edit})
		p, makeErr := e.now.frame.problem(append(without(state.Edits, habitat.EditStep{edit}), edit))
		if makeErr != nil {
			t.Fatal(makeErr)
		}
		var refusal *EditRefusal
		if errors.As(err, &refusal) {
			if len(clash.Find(p)) == 0 || len(refusal.Reasons) == 0 || !errors.Is(err, problem.ErrInfeasible) {
				t.Fatalf("%+v is refused without need: %v", edit, err)
			}
			refused++
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		state = settled(t, e, s)
		e.mu.Lock()
		result := e.now.result
		e.mu.Unlock()
		for _, edit := range state.Edits {
			if !holdsEdit(state, edit) {
				t.Fatalf("%+v is not in the plan", edit)
			}
		}
		if report, err := certify.Check(ctx, e.now.p, result.Answer, result.Certificate); err != nil || len(report.Violations) > 0 {
			t.Fatalf("%v, %v", err, report)
		}
		if taken++; n%8 == 0 {
			full, err := rotation.Solve(ctx, p, rotation.Settings{TimeLimit: -1, Rounds: 8, Threads: 2})
			if err != nil || result.Answer.Bound > full.Answer.Cost*(1+1e-9) {
				t.Fatalf("a bound of %v is above a plan of %v (%v)", result.Answer.Bound, full.Answer.Cost, err)
			}
		}
		if len(state.Edits) > 6 {
			if err := e.Discard(ctx, s); err != nil {
				t.Fatal(err)
			}
		}
	}
	t.Logf("%d edits taken, %d refused", taken, refused)
	if taken < 10 || refused < 5 {
		t.Errorf("the draw is one-sided: %d taken, %d refused", taken, refused)
	}
}

// TestChoicesAreExact asks for every cell and holds the answer against the whole
// problem.
func TestChoicesAreExact(t *testing.T) {
	ctx := context.Background()
	s := landOf(t, 24, 5, quick)
	e := editorOf(t)
	r := rand.New(rand.NewPCG(18, 1))
	for tries := 0; len(settled(t, e, s).Edits) < 6 && tries < 80; tries++ {
		e.Edit(ctx, s, 0, habitat.EditStep{anyEdit(r, settled(t, e, s))})
	}
	state := settled(t, e, s)
	open, shut := 0, map[string]int{}
	for _, row := range state.Edited.Rows {
		for _, year := range state.Edited.Years {
			c, err := e.Choices(ctx, s, 0, row.Unit, year)
			if err != nil || len(c.Choices) != 3+len(state.Edited.Seasons) {
				t.Fatalf("%+v, %v", c, err)
			}
			for _, choice := range c.Choices {
				edit := habitat.CellEdit{Unit: row.Unit, Year: year, Do: choice.Do, Season: choice.Season}
				p := *e.now.frame.made.Problem
				p.Locks = e.now.frame.locks(append(without(state.Edits, habitat.EditStep{edit}), edit))
				if found := clash.Find(&p); (len(found) == 0) != (len(choice.Reasons) == 0) {
					t.Fatalf("%+v: %q, the whole problem says %+v", edit, choice.Reasons, found)
				}
				if len(choice.Reasons) == 0 {
					open++
				}
				for _, reason := range choice.Reasons {
					shut[strings.Join(strings.Fields(reason)[1:3], " ")]++
				}
			}
			if row.Plan[slices.Index(state.Edited.Years, year)] == view.RestMark {
				continue
			}
			targets, err := e.Targets(ctx, s, 0, row.Unit, year)
			if err != nil || len(targets) != len(state.Edited.Years)-1 {
				t.Fatalf("%d targets, %v", len(targets), err)
			}
			for _, target := range targets {
				if (target.Season == "") != (len(target.Reasons) > 0) || (target.Season == "") != (len(target.Step) == 0) {
					t.Errorf("%s %d: %+v", row.Unit, year, target)
				}
			}
		}
	}
	t.Logf("%d choices are open; reasons: %v", open, shut)
	if open < 100 || len(shut) < 4 {
		t.Errorf("%d choices are open; reasons: %v", open, shut)
	}
}

// storedDraft reads the draft of the file.
func storedDraft(t *testing.T, s *Session) *habitat.EditedPlan {
	t.Helper()
	d, _, err := s.Store.Draft(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// burnOf gives a burn of the newest plan that could move to another year, and where.
func burnOf(t *testing.T, e *Editor, s *Session) (habitat.EditStep, habitat.PlannedBurn) {
	t.Helper()
	kept, err := s.Plan(context.Background(), 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, burn := range kept.Burns() {
		targets, err := e.Targets(context.Background(), s, 0, burn.Unit, burn.Year)
		if err != nil {
			t.Fatal(err)
		}
		for _, target := range targets {
			if len(target.Step) > 0 {
				return target.Step, burn
			}
		}
	}
	t.Fatal("no burn can move")
	return nil, habitat.PlannedBurn{}
}

// TestEditKeepUndo is a manager's way through a draft: move a burn, look, undo, redo,
// keep; and what plans, due, why and verify say of the new plan.
func TestEditKeepUndo(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	changes := s.Change.Number
	e := editorOf(t)
	first, err := e.State(ctx, s, 0)
	if err != nil || first.IsDraft || !first.Holds || first.IsSolving || len(first.Edited.Changes) != 0 || *first.Figures.Shortfall != s.Plans[0].Cost {
		t.Fatalf("before an edit: %+v, %v", first, err)
	}
	step, moved := burnOf(t, e, s)
	if _, err := e.Edit(ctx, s, 0, step); err != nil {
		t.Fatal(err)
	}
	after := settled(t, e, s)
	if !after.IsDraft || !after.Holds || after.Undo != 1 || len(after.Edits) != 2 || !holdsEdit(after, step[0]) || !holdsEdit(after, step[1]) {
		t.Fatalf("after an edit: %+v", after)
	}
	said := fmt.Sprintf("%d: %s rests instead (your edit)", moved.Year, moved.Unit)
	if !slices.ContainsFunc(after.Edited.Changes, func(c view.EditedChange) bool { return c.Own && c.Words == said }) ||
		len(after.Edited.Differences) == 0 || !strings.HasPrefix(after.Edited.Differences[0], "Shortfall ") || !strings.Contains(after.Edited.Differences[0], "acre-years against plan 1") {
		t.Errorf("%+v\n%q", after.Edited.Changes, after.Edited.Differences)
	}
	draft := storedDraft(t, s)
	if s.Change.Number != changes || len(s.Plans) != 1 {
		t.Errorf("an edit is a change of the property: %d changes, %d plans", s.Change.Number, len(s.Plans))
	}
	// What is so already is no step.
	if same, err := e.Edit(ctx, s, 0, step[1:]); err != nil || same.Undo != 1 {
		t.Errorf("%+v, %v", same, err)
	}
	back, err := e.Undo(ctx, s)
	if err != nil || back.Undo != 0 || back.Redo != 1 || len(back.Edited.Changes) != 0 {
		t.Errorf("undone: %+v, %v", back, err)
	}
	if _, err := e.Undo(ctx, s); err == nil {
		t.Error("nothing is left to undo")
	}
	again, err := e.Redo(ctx, s)
	if err != nil || gocmp.Diff(draft, storedDraft(t, s), cmpopts.EquateEmpty()) != "" || gocmp.Diff(after.Edited.Rows, again.Edited.Rows) != "" {
		t.Errorf("redone: %v; %s", err, gocmp.Diff(draft, storedDraft(t, s)))
	}
	// Another editor, as after a restart, goes on with it.
	other := editorOf(t)
	if resumed := settled(t, other, s); !resumed.Holds || !slices.Equal(resumed.Edits, after.Edits) {
		t.Errorf("after a restart: %+v", resumed)
	}
	compared, err := e.Compare(ctx, s, 0, 1)
	if err != nil || compared.Second.Name != "the draft" || compared.Decisions != len(after.Edited.Changes) {
		t.Errorf("%+v, %v", compared, err)
	}
	kept, err := e.Keep(ctx, s, "for the meeting")
	if err != nil {
		t.Fatal(err)
	}
	if kept.Number != 2 || kept.Note != "for the meeting" || storedDraft(t, s) != nil || s.Change.Number != changes+1 || len(s.Locks) != 2 {
		t.Errorf("%+v; %d changes, %d locks", kept.PlanHead, s.Change.Number, len(s.Locks))
	}
	if report, err := certify.Check(ctx, kept.Problem, kept.Answer, certificateOf(t, kept)); err != nil || len(report.Violations) > 0 {
		t.Errorf("%v, %v", err, report)
	}
	if list := s.PlanList(); len(list) != 2 || list[1].Note != "for the meeting" {
		t.Errorf("%+v", list)
	}
	// The locks that came with it do not make it old; plan 1 is older than they are.
	for number, want := range map[int]string{1: "Plan 1 is superseded; plan 2 is in force. Plan 1 is older than 2 locks", 2: ""} {
		plan, err := s.Plan(ctx, number)
		if err != nil {
			t.Fatal(err)
		}
		if words, err := s.Overtaken(ctx, plan); err != nil || (words == "") != (want == "") || !strings.HasPrefix(words, want) {
			t.Errorf("plan %d: %q, %v", number, words, err)
		}
	}
	why, err := s.Why(ctx, WhyOptions{Unit: moved.Unit, Year: step[1].Year, Solver: quick})
	if err != nil || !why.Burn {
		t.Errorf("%+v, %v", why, err)
	}
	due, err := s.Due(ctx, DueOptions{})
	if err != nil {
		t.Fatal(err)
	}
	want := slices.ContainsFunc(kept.Burns(), func(b habitat.PlannedBurn) bool {
		return b.Unit == moved.Unit && b.Year == due.Year && b.Season == due.Season
	})
	if got := slices.ContainsFunc(due.Units, func(u view.DueUnit) bool { return u.Unit == moved.Unit }); got != want {
		t.Errorf("due names %s: %v, plan 2: %v", moved.Unit, got, want)
	}
	if faults, err := s.Store.Verify(ctx); err != nil || len(faults) > 0 {
		t.Errorf("%q, %v", faults, err)
	}
	if end, err := e.State(ctx, s, 0); err != nil || end.IsDraft || end.Edited.Plan != 2 {
		t.Errorf("after it was kept: %+v, %v", end, err)
	}
	if _, err := e.Keep(ctx, s, ""); err == nil {
		t.Error("there is no draft to keep")
	}
	// A lock that was kept can be freed, and goes when that is kept.
	if _, err := e.Edit(ctx, s, 0, habitat.EditStep{{Unit: step[1].Unit, Year: step[1].Year, Do: habitat.FreeCell}}); err != nil {
		t.Fatal(err)
	}
	if _, err := e.Keep(ctx, s, ""); err != nil || len(s.Locks) != 1 || len(s.Plans) != 3 {
		t.Errorf("%d locks, %v", len(s.Locks), err)
	}
}

func certificateOf(t *testing.T, kept *StoredPlan) *problem.Certificate {
	t.Helper()
	c, err := problem.ReadCertificate(strings.NewReader(string(kept.Files.Certificate)), "certificate", kept.Problem)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestUndoComesBackToTheSameDraft(t *testing.T) {
	ctx := context.Background()
	s := landOf(t, 24, 5, quick)
	e := editorOf(t)
	r := rand.New(rand.NewPCG(19, 1))
	var was []*habitat.EditedPlan
	for tries := 0; len(was) < 8 && tries < 100; tries++ {
		state, err := e.State(ctx, s, 0)
		if err != nil {
			t.Fatal(err)
		}
		before := storedDraft(t, s)
		if after, err := e.Edit(ctx, s, 0, habitat.EditStep{anyEdit(r, state)}); err == nil && after.Undo > state.Undo {
			was = append(was, before)
		}
	}
	last := storedDraft(t, s)
	for n := len(was) - 1; n > 0; n-- {
		if _, err := e.Undo(ctx, s); err != nil {
			t.Fatal(err)
		}
		d := storedDraft(t, s)
		if diff := gocmp.Diff(was[n].Steps, d.Steps); diff != "" || len(d.Undone) != len(was)-n {
			t.Fatalf("undo to %d steps: %s", n, diff)
		}
	}
	for range len(was) - 1 {
		if _, err := e.Redo(ctx, s); err != nil {
			t.Fatal(err)
		}
	}
	if diff := gocmp.Diff(last, storedDraft(t, s), cmpopts.EquateEmpty()); diff != "" || len(was) < 8 {
		t.Errorf("%d steps: %s", len(was), diff)
	}
}

// TestACommandChangesTheFileMeanwhile burns a unit, takes one away and makes a plan
// while a draft is open.
func TestACommandChangesTheFileMeanwhile(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	e := editorOf(t)
	step, moved := burnOf(t, e, s)
	if _, err := e.Edit(ctx, s, 0, step); err != nil {
		t.Fatal(err)
	}
	var other string
	for _, u := range s.Units {
		if u.ID != moved.Unit {
			other = u.ID
		}
	}
	if _, err := e.Edit(ctx, s, 0, habitat.EditStep{{Unit: other, Year: 2029, Do: habitat.RestCell}}); err != nil {
		t.Fatal(err)
	}
	command, err := Open(ctx, s.Store.Path(), ToChange, s.Environment)
	if err != nil {
		t.Fatal(err)
	}
	defer command.Close()
	err = command.update(ctx, "remove", func(tx *store.Tx) error { return tx.RemoveUnit(other) })
	if err != nil {
		t.Fatal(err)
	}
	state := settled(t, e, s)
	if len(state.Fallen) != 1 || state.Fallen[0].Unit != other || state.Fallen[0].Reason != other+" is not a unit of this property any more" ||
		len(state.Edits) != 2 || !state.Holds || !holdsEdit(state, step[1]) {
		t.Fatalf("%+v, %+v", state.Fallen, state.Edits)
	}
	// A plan that is made meanwhile is the one that is edited from then on.
	if _, err := command.MakePlan(ctx, PlanOptions{Solver: quick}); err != nil {
		t.Fatal(err)
	}
	if state = settled(t, e, s); state.Edited.Plan != 2 || len(state.Edits) != 2 || !state.Holds || !holdsEdit(state, step[1]) {
		t.Errorf("of plan %d: %+v", state.Edited.Plan, state.Edits)
	}
	// A lock of a command next to the edit: the burn would follow too soon.
	u, err := FindUnit(s.Snapshot, moved.Unit)
	if err != nil {
		t.Fatal(err)
	}
	near := step[1].Year + 1
	if near > date.ProgramYear(e.now.frame.lastYear()) {
		near = step[1].Year - 1
	}
	if u.Interval.Min < 2 || near == moved.Year {
		t.Skipf("%s may burn every year, or %d is the year that it rests in", u.ID, near)
	}
	if _, err := command.Lock(ctx, habitat.Lock{Unit: u.ID, Year: near, Burn: true}, ""); err != nil {
		t.Fatal(err)
	}
	state = settled(t, e, s)
	if len(state.Fallen) != 2 || !strings.Contains(state.Fallen[1].Reason, fmt.Sprintf("its burn of %d (locked) is only 1 year", near)) || len(state.Edits) != 1 {
		t.Errorf("%+v, %+v", state.Fallen, state.Edits)
	}
	if _, err := e.Keep(ctx, s, "after all"); err != nil || len(s.Plans) != 3 {
		t.Errorf("%d plans, %v", len(s.Plans), err)
	}
	if faults, err := s.Store.Verify(ctx); err != nil || len(faults) > 0 {
		t.Errorf("%q, %v", faults, err)
	}
}

// TestTwoEditorsShareADraft edits from two openings of a file: the later edit wins,
// and both show it.
func TestTwoEditorsShareADraft(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	second, err := Open(ctx, s.Store.Path(), ToChange, s.Environment)
	if err != nil {
		t.Fatal(err)
	}
	defer second.Close()
	a, b := editorOf(t), editorOf(t)
	step, moved := burnOf(t, a, s)
	if _, err := a.Edit(ctx, s, 0, step); err != nil {
		t.Fatal(err)
	}
	back := habitat.EditStep{{Unit: moved.Unit, Year: moved.Year, Do: habitat.FreeCell}, {Unit: moved.Unit, Year: step[1].Year, Do: habitat.RestCell}}
	if state, err := b.Edit(ctx, second, 0, back); err != nil || state.Undo != 2 {
		t.Fatalf("%+v, %v", state, err)
	}
	one, two := settled(t, a, s), settled(t, b, second)
	if one.Serial != two.Serial || !slices.Equal(one.Edits, two.Edits) || !slices.Equal(one.Edits, []habitat.CellEdit(back)) {
		t.Errorf("%+v and %+v", one.Edits, two.Edits)
	}
	if err := b.Discard(ctx, second); err != nil {
		t.Fatal(err)
	}
	if one = settled(t, a, s); one.IsDraft || len(one.Edited.Changes) != 0 {
		t.Errorf("after the other discarded it: %+v", one.Edits)
	}
}

// TestEditsAreRefused holds what an edit must not be.
func TestEditsAreRefused(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	e := editorOf(t)
	unit := s.Units[0].ID
	for _, test := range []struct {
		step habitat.EditStep
		want string
	}{
		{nil, "0 cells are no edit"},
		{habitat.EditStep{{Unit: "Nowhere", Year: 2027, Do: habitat.RestCell}}, `"Nowhere" is not a unit`},
		{habitat.EditStep{{Unit: unit, Year: 2020, Do: habitat.RestCell}}, "2020 is over"},
		{habitat.EditStep{{Unit: unit, Year: 2099, Do: habitat.RestCell}}, "2099 is not a year of plan 1"},
		{habitat.EditStep{{Unit: unit, Year: 2027, Do: "mow"}}, `"mow" is none of these`},
		{habitat.EditStep{{Unit: unit, Year: 2027, Do: habitat.BurnCell, Season: "monsoon"}}, `"monsoon" is not a season of this property`},
	} {
		if _, err := e.Edit(ctx, s, 0, test.step); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%+v: %v, want %q", test.step, err, test.want)
		}
	}
	if d := storedDraft(t, s); d != nil {
		t.Errorf("%+v", d)
	}
	if _, err := e.State(ctx, property(t, "pennywhistle-place"), 0); err == nil {
		t.Error("a property without a plan is edited")
	}
}

// TestSolvesTellHowFarTheyAre edits again and again: one solve at a time, each ended
// by the next edit, and the last one tells of its plan and of its end.
func TestSolvesTellHowFarTheyAre(t *testing.T) {
	ctx := context.Background()
	s := landOf(t, 24, 5, quick)
	e := editorOf(t)
	e.Limit = 0
	var mu sync.Mutex
	var all []EditNews
	running, most := 0, 0
	e.Start = func(do func(context.Context)) {
		e.own.start(func(ctx context.Context) {
			mu.Lock()
			running++
			most = max(most, running)
			mu.Unlock()
			do(ctx)
			mu.Lock()
			running--
			mu.Unlock()
		})
	}
	e.Tell = func(news EditNews) {
		mu.Lock()
		defer mu.Unlock()
		all = append(all, news)
	}
	r := rand.New(rand.NewPCG(20, 1))
	for range 30 {
		state, err := e.State(ctx, s, 0)
		if err != nil {
			t.Fatal(err)
		}
		e.Edit(ctx, s, 0, habitat.EditStep{anyEdit(r, state)})
	}
	e.own.halt()
	end := settled(t, e, s)
	mu.Lock()
	defer mu.Unlock()
	last := all[len(all)-1]
	if most != 1 || last.IsSolving || last.Serial != end.Serial {
		t.Errorf("%d solves at once; the last news are %+v", most, last)
	}
	if !slices.IsSortedFunc(all, func(a, b EditNews) int { return cmp.Compare(a.Version, b.Version) }) {
		t.Error("news come out of order")
	}
	if !slices.ContainsFunc(all, func(n EditNews) bool {
		return n.IsSolving && n.Holds && n.Figures.Shortfall != nil && n.Figures.Bound != nil
	}) {
		t.Error("nothing was told of a plan under way")
	}
}

// An edit of a plan that was made with burn days of its own keeps to them, and so does
// the plan that is kept.
func TestAnEditKeepsTheBurnDaysOfItsPlan(t *testing.T) {
	ctx := t.Context()
	s := landOf(t, 12, 4, rotation.Settings{TimeLimit: time.Second})
	days := habitat.BurnDays{From: habitat.StatedDays, Days: 1}
	trial, err := s.MakePlan(ctx, PlanOptions{Horizon: Horizon{BurnDays: days}, Solver: rotation.Settings{TimeLimit: time.Second}, Trial: "one day"})
	if err != nil {
		t.Fatal(err)
	}
	e := editorOf(t)
	most := func(p *problem.Problem) (most float64) {
		for _, year := range p.Caps[:p.Years] {
			for _, d := range year.BurnDays {
				most = max(most, d)
			}
		}
		return most
	}
	state, err := e.State(ctx, s, trial.Number)
	if err != nil {
		t.Fatal(err)
	}
	if got := most(e.now.frame.made.Problem); got != 1 {
		t.Errorf("the edited plan has up to %v burn days a season", got)
	}
	r := rand.New(rand.NewPCG(4, 2))
	for range 50 {
		if after, err := e.Edit(ctx, s, trial.Number, habitat.EditStep{anyEdit(r, state)}); err == nil && after.Undo > 0 {
			break
		}
	}
	settled(t, e, s)
	kept, err := e.Keep(ctx, s, "kept")
	if err != nil {
		t.Fatal(err)
	}
	if got := most(kept.Problem); got != 1 || s.madeWith(kept.Number) != days {
		t.Errorf("the kept plan has up to %v burn days, made with %+v", got, s.madeWith(kept.Number))
	}
}
