package app

import (
	"context"
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/store"
)

func TestPlanDueWhy(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	var told []string
	s.Progress = func(p Progress) {
		if p.Solve == nil {
			told = append(told, p.Doing)
		}
	}
	stored, err := s.MakePlan(ctx, PlanOptions{Solver: quick, Note: "first", AskCaps: true})
	if err != nil {
		t.Fatal(err)
	}
	if stored.Number != 1 || stored.Note != "first" || len(s.Plans) != 1 {
		t.Errorf("%+v", stored.PlanHead)
	}
	if got := strings.Join(told, "|"); got != "solving||asking what the tightest caps cost|" {
		t.Errorf("progress: %q", got)
	}
	due, err := s.Due(ctx, DueOptions{AskWaiting: true, Solver: quick})
	if err != nil {
		t.Fatal(err)
	}
	if due.Season != "spring" || due.Year != 2027 || len(due.Units) == 0 {
		t.Fatalf("%s %d: %d units", due.Season, due.Year, len(due.Units))
	}
	for _, u := range due.Units {
		if !u.Locked && !u.Done && u.Waiting.Second == nil && !u.Waiting.Impossible {
			t.Errorf("%s: what waiting costs was asked and is not known", u.Unit)
		}
	}
	// A later season, by a day of it; the session stays on its own day.
	next, err := s.Due(ctx, DueOptions{On: on("2028-03-01").Today})
	if err != nil || next.Year != 2028 || s.Today != on("2026-11-25").Today {
		t.Errorf("on a day of 2028: %v, %v; today is %v", next, err, s.Today)
	}
	// The sheet of that day says what the list of that day says: what was planned until
	// then is ahead, not missed.
	_, sheet, err := s.Sheet(ctx, SheetOptions{On: on("2028-03-01").Today})
	if err != nil {
		t.Fatal(err)
	}
	if again, err := s.Due(ctx, DueOptions{On: on("2028-03-01").Today}); err != nil || !reflect.DeepEqual(sheet.Due, again) {
		t.Errorf("on a day of 2028 the sheet says\n%+v\nand the list\n%+v, %v", sheet.Due, again, err)
	}
	burns := due.Units[0].Unit
	why, err := s.Why(ctx, WhyOptions{Unit: strings.ToUpper(burns), Solver: quick})
	if err != nil {
		t.Fatal(err)
	}
	if why.Unit != burns || why.Year != 2027 || !why.Burn {
		t.Errorf("%s in %d burns: %v", why.Unit, why.Year, why.Burn)
	}
	if _, err := s.Why(ctx, WhyOptions{Unit: "Nowhere", Solver: quick}); !source.Is(err) {
		t.Errorf("a unit that is not there: %v", err)
	}
	if _, err := s.Why(ctx, WhyOptions{Unit: burns, Year: 2099, Solver: quick}); err == nil {
		t.Error("a year that no plan shows is explained")
	}
}

func TestWithoutAPlan(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	for name, ask := range map[string]func() error{
		"due":     func() error { _, err := s.Due(ctx, DueOptions{}); return err },
		"why":     func() error { _, err := s.Why(ctx, WhyOptions{Unit: "Barn Patch"}); return err },
		"compare": func() error { _, err := s.Compare(ctx, 1, 2); return err },
		"alternatives": func() error {
			_, err := s.Alternatives(ctx, AlternativeOptions{Within: 0.1, Count: 1, FirstYears: 1})
			return err
		},
		"contents": func() error { _, err := s.Contents(ctx, 0); return err },
	} {
		var bad *source.Error
		if err := ask(); !errors.As(err, &bad) || bad.Found != "there is no plan yet" {
			t.Errorf("%s: %v", name, err)
		}
	}
	if all, err := s.Missed(ctx, MissedOptions{Solver: quick}); err != nil || len(all) != 0 {
		t.Errorf("missed: %v, %v", all, err)
	}
}

// TestMissed plans, lets two years go by without a burn, and burns one unit late.
func TestMissed(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	stored, err := s.Plan(ctx, 1)
	if err != nil {
		t.Fatal(err)
	}
	first := map[string]habitat.PlannedBurn{}
	for _, burn := range stored.Burns() {
		if burn.Year == 2027 {
			first[burn.Unit] = burn
		}
	}
	if len(first) < 2 {
		t.Fatalf("the plan has %d burns in 2027; the test needs two", len(first))
	}
	closes := date.Day{}
	for _, burn := range first {
		if span := view.BurnSpan(&s.Property, burn.Season, 2027); closes.IsZero() || span.Last.Before(closes) {
			closes = span.Last
		}
	}
	if all, err := later(s, closes.String()).Missed(ctx, MissedOptions{Solver: quick}); err != nil || len(all) != 0 {
		t.Errorf("on the last day of the first season: %v, %v", all, err)
	}
	after := later(s, "2027-10-01")
	all, err := after.Missed(ctx, MissedOptions{Solver: quick})
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != len(first) {
		t.Fatalf("%d burns missed, want the %d of 2027", len(all), len(first))
	}
	for _, m := range all {
		if first[m.Unit].Season != m.Season || m.Year != 2027 || m.From != 2028 {
			t.Errorf("%+v", m)
		}
	}
	one := all[0].Unit
	if only, err := after.Missed(ctx, MissedOptions{Solver: quick, Unit: strings.ToLower(one)}); err != nil || len(only) != 1 || only[0].Words() != all[0].Words() {
		t.Errorf("of %s alone: %+v, %v; want %+v", one, only, err, all[0])
	}
	// A limit holds for the command: what it leaves no time for stays unknown, and says so.
	hurried := quick
	hurried.TimeLimit = leastSolve + 10*time.Millisecond
	hasty, err := after.Missed(ctx, MissedOptions{Solver: hurried})
	if err != nil || len(hasty) != len(all) {
		t.Fatalf("in a hurry: %v, %v", hasty, err)
	}
	if m := &hasty[len(hasty)-1]; m.CostBurned != nil || m.BoundBurned != nil || m.From != 2028 || !strings.HasSuffix(m.Words(), "was missed; the time was over before it was found what that costs") {
		t.Errorf("in a hurry: %s", m.Words())
	}
	// A burn since then makes it good.
	made := on("2027-11-20").Today
	err = after.update(ctx, "burn", func(tx *store.Tx) error {
		u, err := FindUnit(after.Snapshot, one)
		if err != nil {
			return err
		}
		_, err = tx.AddBurn(habitat.BurnRecord{Unit: one, On: made, Through: made, Kind: habitat.Prescribed, Acres: u.Acres})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	rest, err := later(after, "2027-12-01").Missed(ctx, MissedOptions{Solver: quick})
	if err != nil || len(rest) != len(all)-1 {
		t.Errorf("after %s burned, %d are missed, want %d (%v)", one, len(rest), len(all)-1, err)
	}
}

func TestCompareAndAlternatives(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	found, err := s.Alternatives(ctx, AlternativeOptions{Solver: quick, Within: 10, Count: 2, FirstYears: 3, Keep: true})
	if err != nil {
		t.Fatal(err)
	}
	if len(found.Plans) == 0 || found.Plans[0].Plan != 2 || len(found.Plans[0].Differs) == 0 || found.Plans[0].Extra < 0 {
		t.Fatalf("%+v", found)
	}
	if len(s.Plans) != 1+len(found.Plans) || !strings.Contains(s.Plans[1].Note, "alternative to plan 1") {
		t.Errorf("%d plans are kept; the second's note is %q", len(s.Plans), s.Plans[1].Note)
	}
	v, err := s.Compare(ctx, 1, 2)
	if err != nil || v.First.Plan != 1 || v.Second.Plan != 2 {
		t.Errorf("%+v, %v", v, err)
	}
	if _, err := s.Compare(ctx, 1, 99); !source.Is(err) {
		t.Errorf("a plan that is not there: %v", err)
	}
}

func TestFix(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	v, err := s.Fix(ctx, FixOptions{Solver: quick})
	if err != nil || v.Nothing == "" || len(v.Changes) != 0 {
		t.Errorf("with nothing to fix: %+v, %v", v, err)
	}
	// Two burns of the year before the cap of acres lets only one of them be.
	var most quantity.Acres
	for _, u := range s.Units {
		most = max(most, u.Acres)
	}
	err = s.update(ctx, "locks", func(tx *store.Tx) error {
		p := s.Property
		p.Caps.Acres = &most
		if err := tx.SetProperty(p); err != nil {
			return err
		}
		for _, u := range s.Units[:2] {
			if err := tx.PutLock(habitat.Lock{Unit: u.ID, Year: 2029, Burn: true}); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.MakePlan(ctx, PlanOptions{Solver: quick}); !errors.Is(err, problem.ErrInfeasible) || len(s.Plans) != 0 {
		t.Errorf("locks that clash: %v, %d plans", err, len(s.Plans))
	}
	if v, err = s.Fix(ctx, FixOptions{Solver: quick}); err != nil || len(v.Changes) == 0 || v.Nothing != "" {
		t.Errorf("with locks that clash: %+v, %v", v, err)
	}
}

// TestStoppedPlanIsKept stops before the solver has begun: what it has is kept, and
// called cut short.
func TestStoppedPlanIsKept(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	s := property(t, "pennywhistle-place")
	s.Progress = func(p Progress) {
		if p.Solve != nil || p.Doing == "solving" {
			stop()
		}
	}
	stored, err := s.MakePlan(ctx, PlanOptions{Solver: quick, AskCaps: true})
	var stopped *Interrupted
	if !errors.As(err, &stopped) || stored == nil || len(s.Plans) != 1 {
		t.Errorf("%+v, %v", stored, err)
	}
}

func TestOptionsAreRefused(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	number := func(v float64) *float64 { return &v }
	for _, test := range []struct {
		option string
		ask    func() error
	}{
		{"years", func() error { _, err := s.MakePlan(ctx, PlanOptions{Horizon: Horizon{Years: -1}}); return err }},
		{"from", func() error { _, err := s.MakePlan(ctx, PlanOptions{Horizon: Horizon{From: 3}}); return err }},
		{"burn-days", func() error { _, err := ParseBurnDays("many"); return err }},
		{"burn-days", func() error {
			_, err := s.MakePlan(ctx, PlanOptions{Horizon: Horizon{BurnDays: habitat.BurnDays{From: habitat.MedianDays}}})
			return err
		}},
		{"within", func() error { _, err := s.Alternatives(ctx, AlternativeOptions{Count: 1, FirstYears: 1}); return err }},
		{"count", func() error { _, err := s.Alternatives(ctx, AlternativeOptions{Within: 1, FirstYears: 1}); return err }},
		{"seconds", func() error { _, err := (&SolverOptions{Seconds: number(0)}).Settings(); return err }},
		{"gap", func() error { _, err := (&SolverOptions{Gap: math.NaN()}).Settings(); return err }},
		{"gap", func() error { _, err := (&SolverOptions{Gap: -1}).Settings(); return err }},
		{"threads", func() error { _, err := (&SolverOptions{Threads: -1}).Settings(); return err }},
		{"season", func() error { return s.KnowsSeason("summer") }},
	} {
		var bad *OptionError
		if err := test.ask(); !errors.As(err, &bad) || bad.Option != test.option || bad.Accepts == "" {
			t.Errorf("%s: %v", test.option, err)
		}
	}
	if len(s.Plans) != 1 {
		t.Errorf("%d plans, want the one of before", len(s.Plans))
	}
}

// TestBurnDaysOfThePlan states burn days: they are the cap, and never above the
// crew's own.
func TestBurnDaysOfThePlan(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	own := s.Property.Seasons[0].BurnDays
	if own == nil || *own != 2 {
		t.Fatalf("the crew's own cap is %v", own)
	}
	for _, test := range []struct {
		days habitat.BurnDays
		want float64
		says string
	}{
		{habitat.BurnDays{From: habitat.StatedDays, Days: 1}, 1, "burn days in spring: 1 (as stated for this plan)"},
		{habitat.BurnDays{From: habitat.StatedDays, Days: 9}, 2, "burn days in spring: 2, the crew's own cap, which is below the 9 stated for this plan"},
		{habitat.BurnDays{From: habitat.SettingsDays}, 2, ""},
		{habitat.BurnDays{}, 2, ""}, // no record is loaded
	} {
		made, err := s.Problem(ctx, Horizon{BurnDays: test.days})
		if err != nil {
			t.Fatal(err)
		}
		if got := made.Problem.Caps[0].BurnDays[0]; got != test.want {
			t.Errorf("%+v: a cap of %v days, want %v", test.days, got, test.want)
		}
		said := ""
		for _, words := range made.Words {
			if strings.HasPrefix(words, "burn days in spring") {
				said = words
			}
		}
		if said != test.says {
			t.Errorf("%+v: %q, want %q", test.days, said, test.says)
		}
	}
}

// TestWindowsFromToday asks on the first, a middle and the last day of a season,
// and after it.
func TestWindowsFromToday(t *testing.T) {
	s := property(t, "pennywhistle-place")
	span := s.Property.SeasonSpan(0, 2027)
	unit := &s.Units[0]
	burn := habitat.PlannedBurn{Unit: unit.ID, Year: 2027, Season: s.Property.Seasons[0].Name}
	outlook, err := s.Outlook(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	first := func(day string) (from, to string, days int) {
		windows, err := later(s, day).Windows(outlook, unit, burn)
		if err != nil {
			t.Fatal(err)
		}
		if len(windows) == 0 {
			return "", "", 0
		}
		for _, w := range windows {
			days += w.UsableDays
		}
		return windows[0].First.String(), windows[len(windows)-1].Last.String(), days
	}
	whole, end, all := first("2026-11-25")
	if whole != span.First.String() || end != span.Last.String() {
		t.Errorf("before the season: %s to %s, want %v", whole, end, span)
	}
	if from, to, days := first("2027-03-01"); from != "2027-03-01" || to != end || days >= all {
		t.Errorf("in the season: %s to %s, %d days of %d", from, to, days, all)
	}
	// The last day is a window of one day that ends today.
	if from, to, days := first(span.Last.String()); from != span.Last.String() || to != from || days != 1 {
		t.Errorf("on the last day: %s to %s, %d days, want that day alone", from, to, days)
	}
	if from, _, days := first(span.Last.AddDays(1).String()); days != all || from != whole {
		t.Errorf("after the season: %s, %d days; its windows are those of the whole season, %d days", from, days, all)
	}
}

// TestContents holds the contents of every paper to one another.
func TestContents(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	c, err := s.Contents(ctx, 0)
	if err != nil {
		t.Fatal(err)
	}
	burns := 0
	for _, row := range c.Program.ByYear {
		burns += row.Burns
	}
	if got := len(c.Stored.Burns()); got != burns || got == 0 {
		t.Errorf("the plan burns %d times, the program %d", got, burns)
	}
	sheet, err := c.Sheet()
	if err != nil {
		t.Fatal(err)
	}
	if len(sheet.Units) != len(c.Due.Units) {
		t.Errorf("a sheet of %d pages for %d units", len(sheet.Units), len(c.Due.Units))
	}
	draft, err := c.FirstDraft()
	if err != nil || draft == nil {
		t.Errorf("draft: %v, %v", draft, err)
	}
	if _, err := c.nextBurn(&habitat.Unit{ID: "Barn Patch"}, 2099); !source.Is(err) {
		t.Errorf("a year without a burn: %v", err)
	}
	next, err := c.nextBurn(&habitat.Unit{ID: c.Due.Units[0].Unit}, 0)
	if err != nil || next.Year != c.Due.Year {
		t.Errorf("next burn %+v, %v", next, err)
	}
	if weather, err := c.Weather(ctx); weather != nil || err != nil {
		t.Errorf("weather without a record: %v, %v", weather, err)
	}
	if agenda, err := c.Agenda(AgendaOptions{}); err != nil || len(agenda.Events) == 0 {
		t.Errorf("agenda: %v, %v", agenda, err)
	}
	units, missing := c.Ground()
	if len(units.Rows)+len(missing) != len(s.Units) || len(units.Columns) != 8+len(c.Program.Years) {
		t.Errorf("%d rows, %d without a shape, %d columns", len(units.Rows), len(missing), len(units.Columns))
	}
	var _ *view.Breaks = c.Breaks()
	if c.Breaks() == nil {
		t.Error("no breaks are measured though units have shapes")
	}
}

func TestLockAndTasks(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	put, err := s.Lock(ctx, habitat.Lock{Unit: "barn patch", Year: 2028, Burn: true, Season: "spring"}, "asked for")
	if err != nil || put.Unit != "Barn Patch" || len(s.Locks) != 1 || s.Change.Reason != "lock barn patch: asked for" {
		t.Errorf("%+v, %v; locks %+v; reason %q", put, err, s.Locks, s.Change.Reason)
	}
	var bad *OptionError
	if _, err := s.Lock(ctx, habitat.Lock{Unit: "Barn Patch", Year: 2028, Burn: true, Season: "summer"}, ""); !errors.As(err, &bad) || bad.Option != "season" {
		t.Errorf("a season that is not there: %v", err)
	}
	stored, err := s.MakePlan(ctx, PlanOptions{Solver: quick})
	if err != nil {
		t.Fatal(err)
	}
	obeys := false
	for _, burn := range stored.Burns() {
		obeys = obeys || burn.Unit == "Barn Patch" && burn.Year == 2028
	}
	if !obeys {
		t.Errorf("the plan does not obey the lock: %+v", stored.Burns())
	}
	if err := s.Unlock(ctx, "Barn Patch", 2028, ""); err != nil || len(s.Locks) != 0 {
		t.Errorf("%v, locks %+v", err, s.Locks)
	}
	if err := s.Unlock(ctx, "Barn Patch", 2028, ""); err == nil {
		t.Error("a lock that is not there is lifted")
	}

	task := habitat.Task{Name: "look at the ground", Earliest: 20, Latest: 10}
	if removed, err := s.ReplaceTasks(ctx, []habitat.Task{task}); err != nil || removed != 0 {
		t.Fatalf("%d removed, %v", removed, err)
	}
	due, err := s.TasksDue(ctx, 3660)
	if err != nil || len(due) == 0 || due[0].Task.Name != task.Name {
		t.Fatalf("due %+v, %v", due, err)
	}
	first := due[0]
	done, err := s.NoteTask(ctx, TaskOptions{Unit: strings.ToLower(first.Unit), Year: first.Year, Task: task.Name})
	if err != nil || done.Unit != first.Unit || done.On != s.Today {
		t.Errorf("%+v, %v", done, err)
	}
	if after, err := s.TasksDue(ctx, 3660); err != nil || len(after) != len(due)-1 {
		t.Errorf("%d tasks are due after one of %d is done (%v)", len(after), len(due), err)
	}
	if _, err := s.NoteTask(ctx, TaskOptions{Unit: first.Unit, Year: first.Year, Task: task.Name, Undo: true}); err != nil {
		t.Error(err)
	}
	if _, err := s.NoteTask(ctx, TaskOptions{Unit: first.Unit, Year: first.Year, Task: "sing"}); !source.Is(err) {
		t.Errorf("a task that is not listed: %v", err)
	}
	if _, err := s.NoteTask(ctx, TaskOptions{Unit: first.Unit, Year: first.Year, Task: task.Name, On: s.Today.AddDays(1)}); !errors.As(err, &bad) || bad.Option != "on" {
		t.Errorf("a day to come: %v", err)
	}
	if removed, err := s.ReplaceTasks(ctx, nil); err != nil || removed != 1 {
		t.Errorf("%d removed, %v", removed, err)
	}
}

// A burn that was done in the last hours of its own program year is no miss.
func TestABurnOfItsYearIsNoMiss(t *testing.T) {
	ctx := context.Background()
	s := planned(t, "pennywhistle-place")
	stored, err := s.Plan(ctx, 1)
	if err != nil {
		t.Fatal(err)
	}
	at := slices.IndexFunc(stored.Burns(), func(b habitat.PlannedBurn) bool { return b.Year == 2027 })
	if at < 0 {
		t.Fatal("the plan has no burn in 2027")
	}
	burn := stored.Burns()[at]
	after := later(s, "2027-10-01")
	if all, err := after.missed(ctx); err != nil || !slices.ContainsFunc(all, func(m view.Missed) bool { return m.Unit == burn.Unit }) {
		t.Fatalf("without a record it is missed: %+v %v", all, err)
	}
	if _, err := after.RecordBurn(ctx, burn.Unit, view.BurnSpan(&s.Property, burn.Season, 2027).Last, BurnChange{}, false); err != nil {
		t.Fatal(err)
	}
	if all, err := after.missed(ctx); err != nil || slices.ContainsFunc(all, func(m view.Missed) bool { return m.Unit == burn.Unit }) {
		t.Errorf("on record, and missed all the same: %+v %v", all, err)
	}
}

// A rehearsal that is stopped before a future is played to its end keeps nothing and
// says so: the property is as it was.
func TestStoppedRehearsalKeepsNothing(t *testing.T) {
	s := planned(t, "pennywhistle-place")
	before := s.Change.Number
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if got, err := s.Rehearse(ctx, RehearseOptions{Futures: 4}); err == nil || got != nil {
		t.Fatalf("a stopped rehearsal gave %v, %v", got, err)
	}
	after, err := s.Store.Snapshot(t.Context())
	if err != nil || after.Change.Number != before {
		t.Errorf("change %d became %d, %v", before, after.Change.Number, err)
	}
	if kept := s.Rehearsal(1); kept != nil {
		t.Errorf("kept %v", kept)
	}
}
