package view_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
	"emberquilt/schedule/window"
)

// A choice is reversed in the plan and the whole plan checked by
// sample.Violations, which reads the burns alone: obstacles are named exactly
// where that breaks something.
func TestObstaclesAgainstWholeCheck(t *testing.T) {
	plan := sample.Terrace()
	p := plan.Problem
	if found := sample.Violations(p, plan.Answer.Burns); found != nil {
		t.Fatalf("the sample plan breaks %q", found)
	}
	blocked, free := 0, 0
	for i := range p.Units {
		for t2 := range p.Years {
			year := p.FirstYear + t2
			at := slices.IndexFunc(plan.Answer.Burns, func(b problem.Burn) bool { return b.Unit == i && b.Year == year })
			possible := false
			if at >= 0 {
				possible = sample.Violations(p, slices.Delete(slices.Clone(plan.Answer.Burns), at, at+1)) == nil
			}
			for s := range p.Seasons {
				if at < 0 {
					possible = possible || sample.Violations(p, append(slices.Clone(plan.Answer.Burns), problem.Burn{Unit: i, Year: year, Season: s})) == nil
				}
			}
			v, err := view.NewWhy(plan, p.Units[i].ID, date.ProgramYear(year), nil)
			if err != nil {
				t.Fatal(err)
			}
			// A neighbor's burn weighs, and forbids nothing.
			isFree := !slices.ContainsFunc(v.Obstacles, func(o view.Obstacle) bool { return o.Requirement != "" })
			if isFree != possible {
				t.Errorf("%s in %d (burns %v): obstacles %v, possible %v", v.Unit, year, v.Burn, v.Obstacles, possible)
			}
			if possible {
				free++
			} else {
				blocked++
			}
		}
	}
	if free < 20 || blocked < 20 {
		t.Errorf("%d free and %d blocked choices: too few to say anything", free, blocked)
	}
}

// The price of a choice alone is the second count of the changed plan less
// that of the plan.
func TestPriceAloneAgainstSecondCount(t *testing.T) {
	plan := sample.Terrace()
	p := plan.Problem
	for _, unit := range []string{"Sandbar", "Skipper Meadow West", "Plum Draw", "Headquarters Strip", "Tenant Field", "Heron Slough", "School Woods", "Kiln Hill"} {
		i := slices.IndexFunc(p.Units, func(u problem.Unit) bool { return u.ID == unit })
		for t2 := range p.Years {
			year := p.FirstYear + t2
			other := *plan.Answer
			at := slices.IndexFunc(other.Burns, func(b problem.Burn) bool { return b.Unit == i && b.Year == year })
			if at >= 0 {
				other.Burns = slices.Delete(slices.Clone(other.Burns), at, at+1)
			} else {
				best := 0
				for s, penalty := range p.Units[i].Penalty {
					if penalty >= 0 && (p.Units[i].Penalty[best] < 0 || penalty < p.Units[i].Penalty[best]) {
						best = s
					}
				}
				other.Burns = append(slices.Clone(other.Burns), problem.Burn{Unit: i, Year: year, Season: best})
			}
			want := reference.Cost(p, other.Burns).Total() - reference.Cost(p, plan.Answer.Burns).Total()
			v, err := view.NewWhy(plan, unit, date.ProgramYear(year), nil)
			if err != nil {
				t.Fatal(err)
			}
			if got := float64(v.OtherChoice.Alone); got-want > 1e-6 || want-got > 1e-6 {
				t.Errorf("%s in %d: alone %v, second count %v", unit, year, got, want)
			}
		}
	}
}

func TestSeasonOn(t *testing.T) {
	p := &sample.Terrace().Property
	for on, want := range map[string]struct {
		season int
		year   date.ProgramYear
	}{
		"2026-11-25": {0, 2027}, "2027-03-15": {0, 2027}, "2027-03-16": {1, 2027}, "2027-06-01": {0, 2028}, "2026-11-14": {0, 2027},
	} {
		day, err := date.ParseDay(on)
		if err != nil {
			t.Fatal(err)
		}
		if season, year := view.SeasonOn(p, day); season != want.season || year != want.year {
			t.Errorf("%s: season %d of %d, want %d of %d", on, season, year, want.season, want.year)
		}
	}
}

func TestDueLeavesPastWindowsOut(t *testing.T) {
	plan := sample.Terrace()
	v, err := view.NewDue(sample.Season(plan), 0, 2027)
	if err != nil {
		t.Fatal(err)
	}
	if len(v.Units) != 9 || v.Units[0].Unit != "Skipper Meadow Middle" {
		t.Errorf("%d units, first %q", len(v.Units), v.Units[0].Unit)
	}
	for _, u := range v.Units {
		for _, w := range u.Windows {
			if w.Last.Before(plan.Stamp.On) {
				t.Errorf("%s: the window to %s is over on %s", u.Unit, w.Last, plan.Stamp.On)
			}
		}
	}
	// The season of another year: nothing is done, and windows of it are there.
	if v, err = view.NewDue(sample.Season(plan), 1, 2028); err != nil || len(v.Units) != 2 || len(v.Units[0].Windows) == 0 {
		t.Errorf("%+v, %v", v, err)
	}
	if v, err = view.NewDue(sample.Season(plan), 0, 2050); err != nil || len(v.Units) != 0 {
		t.Errorf("a year outside the plan: %+v, %v", v, err)
	}
}

// A window that ends today may still be used.
func TestDueKeepsTheWindowThatEndsToday(t *testing.T) {
	plan := sample.Terrace()
	v, err := view.NewDue(sample.Season(plan), 0, 2027)
	if err != nil {
		t.Fatal(err)
	}
	checked := false
	for _, u := range v.Units {
		if len(u.Windows) == 0 {
			continue
		}
		checked = true
		last := u.Windows[0].Last
		plan := sample.Terrace()
		in := sample.Season(plan)
		for on, want := range map[date.Day]bool{last: true, last.AddDays(1): false} {
			plan.Stamp.On = on
			v, err := view.NewDue(in, 0, 2027)
			if err != nil {
				t.Fatal(err)
			}
			got := slices.ContainsFunc(v.Units, func(o view.DueUnit) bool {
				return o.Unit == u.Unit && slices.ContainsFunc(o.Windows, func(w view.WindowRow) bool { return w.Last == last })
			})
			if got != want {
				t.Errorf("%s on %s: the window to %s is there: %v", u.Unit, on, last, got)
			}
		}
		break
	}
	if !checked {
		t.Error("no window to check")
	}
}

// Whether rest leaves a unit overdue is counted again with the cost of a plan
// of this one year without the unit's burn.
func TestOverdueIfRestedAgainstSecondCount(t *testing.T) {
	plan := sample.Terrace()
	one := *plan.Problem
	one.Years, one.Lookahead, one.KeepYears = 1, 0, 0
	var burns []problem.Burn
	for _, b := range plan.Answer.Burns {
		if b.Year == one.FirstYear {
			burns = append(burns, b)
		}
	}
	counts, onTheEdge := map[bool]int{}, 0
	for season := range one.Seasons {
		v, err := view.NewDue(sample.Season(plan), season, date.ProgramYear(one.FirstYear))
		if err != nil {
			t.Fatal(err)
		}
		for _, u := range v.Units {
			rest := slices.DeleteFunc(slices.Clone(burns), func(b problem.Burn) bool { return one.Units[b.Unit].ID == u.Unit })
			want := reference.Cost(&one, rest).Overdue > reference.Cost(&one, burns).Overdue
			if u.OverdueIfRested != want {
				t.Errorf("%s, %d years old at interval %d: overdue if rested %v", u.Unit, u.AgeBefore, u.MaxInterval, u.OverdueIfRested)
			}
			counts[want]++
			if u.AgeBefore+1 == u.MaxInterval {
				onTheEdge++
			}
		}
	}
	if counts[true] == 0 || counts[false] == 0 || onTheEdge == 0 {
		t.Errorf("%v, %d on the edge: too few to say anything", counts, onTheEdge)
	}
}

func TestDueLeavesWindowsOfOtherYearsOut(t *testing.T) {
	plan := sample.Terrace()
	in := sample.Season(plan)
	const mark = 77
	for _, year := range []date.ProgramYear{2026, 2028} {
		for _, w := range slices.Clone(in.Windows) {
			w.Year, w.Windows = year, []window.Window{{Span: date.Span{First: date.MustDay(2027, time.March, 1), Last: date.MustDay(2027, time.March, 2)}, UsableDays: mark}}
			in.Windows = append(in.Windows, w)
		}
	}
	v, err := view.NewDue(in, 0, 2027)
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for _, u := range v.Units {
		for _, w := range u.Windows {
			rows++
			if w.UsableDays == mark {
				t.Errorf("%s: a window of another program year", u.Unit)
			}
		}
	}
	if rows == 0 {
		t.Error("no window at all")
	}
}

func TestWhyRefuses(t *testing.T) {
	for want, ask := range map[string]func() error{
		`unit: "Nowhere" is not in the plan`: func() error { _, err := view.NewWhy(sample.Terrace(), "Nowhere", 2027, nil); return err },
		"year: 2040 is outside the plan; accepts 2027 to 2031": func() error {
			_, err := view.NewWhy(sample.Terrace(), "Sandbar", 2040, nil)
			return err
		},
		"no plan exists": func() error {
			_, err := view.NewWhy(sample.Clashing(sample.Terrace()), "Sandbar", 2027, nil)
			return err
		},
	} {
		if err := ask(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
}

func TestSecondPlanIsToldFromThisOne(t *testing.T) {
	plan := sample.Terrace()
	other := sample.Other(plan, "Sandbar", 2027)
	other.Answer.Burns = slices.DeleteFunc(slices.Clone(other.Answer.Burns), func(b problem.Burn) bool {
		return plan.Problem.Units[b.Unit].ID == "Cutbank" && b.Year == 2029
	})
	v, err := view.NewWhy(plan, "Sandbar", 2027, &other)
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"2029: Cutbank a rest in place of a burn in dormant."}; !slices.Equal(v.Differs, want) {
		t.Errorf("differs %q, want %q", v.Differs, want)
	}
	if v.OtherChoice.Second == nil || !strings.HasPrefix(v.OtherChoice.Words, "Planned again with it resting in 2027") {
		t.Errorf("%+v", v.OtherChoice)
	}
}

func TestCompareCountsDecisions(t *testing.T) {
	first, second := sample.Terrace(), sample.Terrace()
	same, err := view.NewCompare(first, second)
	if err != nil || same.Decisions != 0 || same.Same != 24 {
		t.Errorf("a plan with itself: %d decisions, %d units agree, %v", same.Decisions, same.Same, err)
	}
	second.Answer = sample.Other(second, "Headquarters Strip", 2029).Answer
	v, err := view.NewCompare(first, second)
	if err != nil || v.Decisions != 1 || len(v.Units) != 1 || v.Same != 23 {
		t.Errorf("%+v, %v", v, err)
	}
	var parts float64
	for _, part := range v.Parts {
		parts += float64(part.Second - part.First)
	}
	change := float64(v.Second.Cost - v.First.Cost - (v.Second.Later - v.First.Later))
	if parts-change > 1e-6 || change-parts > 1e-6 {
		t.Errorf("the parts change by %v, the cost by %v", parts, change)
	}
	second.Problem.FirstYear = 2040
	second.Answer.Burns = nil
	if _, err := view.NewCompare(first, second); err == nil {
		t.Error("two plans without a common year were compared")
	}
}
