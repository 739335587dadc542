package preparation

import (
	"slices"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

func day(text string) date.Day {
	d, err := date.ParseDay(text)
	if err != nil {
		panic(err)
	}
	return d
}

func spring(cover string) *Burn {
	return &Burn{Unit: habitat.Unit{ID: "A", Acres: 40, Cover: cover}, Season: "spring", Year: 2027, First: day("2027-03-08")}
}

func names(all []Due) []string {
	list := make([]string, len(all))
	for i, d := range all {
		list[i] = d.Task.Name
	}
	return list
}

func find(t *testing.T, all []Due, name string) Due {
	t.Helper()
	i := slices.IndexFunc(all, func(d Due) bool { return d.Task.Name == name })
	if i < 0 {
		t.Fatalf("no task %q in %q", name, names(all))
	}
	return all[i]
}

func TestStarterListIsSound(t *testing.T) {
	tasks := Starter()
	if err := Validate(tasks); err != nil {
		t.Fatal(err)
	}
	for _, task := range tasks {
		if task.Standing == "" {
			t.Errorf("%s does not say what it rests on", task.Name)
		}
	}
}

// The rule that sod is sprayed in November or December before a spring burn is
// common practice, no source (records and documents, Preparation).
func TestScheduleCountsBack(t *testing.T) {
	crew := date.NewCrew()
	all := Schedule(Starter(), spring("old field in recovery"), &crew, nil, day("2026-11-25"))
	if d := find(t, all, "spray cool-season sod that is to be replaced"); d.From != day("2026-11-01") || d.By != day("2026-12-31") || d.State != Open {
		t.Errorf("sod: %s to %s, %s", d.From, d.By, d.State)
	}
	// Ten workdays before Mon 8 Mar 2027: Washington's birthday, 15 Feb, is not
	// among them, so Mon 22 Feb.
	if d := find(t, all, "ask for the permit or the burn authorization"); d.By != day("2027-02-22") || d.State != Ahead {
		t.Errorf("permit: by %s, %s", d.By, d.State)
	}
	if d := find(t, all, "notify the fire department"); d.By != day("2027-03-05") {
		t.Errorf("one workday before Mon 8 Mar is Fri 5 Mar, not %s", d.By)
	}
	if d := find(t, all, "disk the breaks"); !slices.Equal(d.WaitsFor, []string{"spray the break lines"}) {
		t.Errorf("disking waits for %q", d.WaitsFor)
	}
	if !slices.IsSortedFunc(all, func(x, y Due) int { return x.By.Compare(y.By) }) {
		t.Error("not in order of the last day")
	}
	if slices.Contains(names(Schedule(Starter(), spring("oak savanna"), &crew, nil, day("2026-11-25"))), "spray cool-season sod that is to be replaced") {
		t.Error("savanna has no sod to spray")
	}
}

func TestStates(t *testing.T) {
	crew := date.NewCrew()
	done := []habitat.TaskDone{{Task: "spray the break lines", Unit: "A", Year: 2027, On: day("2026-12-02")}, {Task: "disk the breaks", Unit: "B", Year: 2027, On: day("2026-12-02")}}
	all := Schedule(Starter(), spring("prairie"), &crew, done, day("2027-03-04"))
	if d := find(t, all, "spray the break lines"); d.State != Done {
		t.Errorf("done task is %s", d.State)
	}
	if d := find(t, all, "disk the breaks"); d.State != Late || d.WaitsFor != nil {
		t.Errorf("disking by %s is %s on 4 Mar and waits for %q", d.By, d.State, d.WaitsFor)
	}
	Sort(all)
	if all[0].State != Late || all[len(all)-1].State != Done {
		t.Errorf("late first, done last: %s … %s", all[0].State, all[len(all)-1].State)
	}
	for _, d := range Within(all, day("2027-03-05")) {
		if d.State == Done || d.From.After(day("2027-03-05")) {
			t.Errorf("%s (%s from %s) is not due by 5 March", d.Task.Name, d.State, d.From)
		}
	}
}

func TestWhatComesFirstIsDueNoLater(t *testing.T) {
	tasks := []habitat.Task{
		{Name: "third", Earliest: 60, Latest: 30, After: []string{"second"}},
		{Name: "second", Earliest: 60, Latest: 10, After: []string{"first"}},
		{Name: "first", Earliest: 60, Latest: 5},
	}
	crew := date.NewCrew()
	for _, d := range Schedule(tasks, spring(""), &crew, nil, day("2026-11-25")) {
		// 30 days before Mon 8 Mar is Sat 6 Feb.
		if d.By != day("2027-02-05") || d.Counted != day("2027-02-06") {
			t.Errorf("%s is due by %s (counted %s), want the workday before the 30th day before the burn", d.Task.Name, d.By, d.Counted)
		}
	}
}

func TestYearlyRangeThatTheBurnCuts(t *testing.T) {
	tasks := []habitat.Task{{Name: "mow", Yearly: &date.AnnualSpan{First: date.Annual{Month: time.February, Dom: 1}, Last: date.Annual{Month: time.April, Dom: 1}}}}
	crew := date.NewCrew()
	all := Schedule(tasks, spring(""), &crew, nil, day("2026-11-25"))
	// The day before the burn is a Sunday.
	if all[0].From != day("2027-02-01") || all[0].By != day("2027-03-05") || all[0].Counted != day("2027-03-07") {
		t.Errorf("%s to %s", all[0].From, all[0].By)
	}
}

// A last day on which nobody works moves to the workday before: Thanksgiving, the
// weekend, a day off of the crew. What must be done on the day of the burn stays, and so
// does a last day without a workday in time before it.
func TestLastDaysAreWorked(t *testing.T) {
	crew := date.NewCrew()
	crew.Off = []date.DaysOff{{Name: "fair", Span: date.Span{First: day("2026-11-23"), Last: day("2026-11-25")}}}
	for by, want := range map[string]string{
		"2026-11-26": "2026-11-20", // Thanksgiving; the fair before it, and the weekend before that
		"2026-11-28": "2026-11-27", // Saturday
		"2026-11-27": "2026-11-27", // the day after Thanksgiving is no federal holiday
		"2027-01-01": "2026-12-31",
	} {
		burn := spring("")
		burn.First = day("2027-03-08")
		task := habitat.Task{Name: "a", Earliest: 200, Latest: burn.First.Sub(day(by))}
		d := Schedule([]habitat.Task{task}, burn, &crew, nil, day("2026-10-01"))[0]
		if d.By != day(want) || (d.Counted != date.Day{}) != (by != want) || !d.Counted.IsZero() && d.Counted != day(by) {
			t.Errorf("by %s: moved to %s (counted %s), want %s", by, d.By, d.Counted, want)
		}
	}
	sunday := spring("")
	sunday.First = day("2027-03-07")
	for name, task := range map[string]habitat.Task{"on the day": {Name: "a"}, "no workday in time": {Name: "a", Earliest: 1, Latest: 1}} {
		if d := Schedule([]habitat.Task{task}, sunday, &crew, nil, day("2026-10-01"))[0]; !d.Counted.IsZero() {
			t.Errorf("%s: moved from %s to %s", name, d.Counted, d.By)
		}
	}
}

func TestValidateTasks(t *testing.T) {
	for want, tasks := range map[string][]habitat.Task{
		"task[0].name: is empty":         {{}},
		"is named twice":                 {{Name: "a"}, {Name: "a"}},
		"earliest 1 and latest 2":        {{Name: "a", Earliest: 1, Latest: 2}},
		`"b" is not a task of this list`: {{Name: "a", After: []string{"b"}}},
		"a yearly range does not follow": {{Name: "a", AfterBurn: true, Yearly: &date.AnnualSpan{First: date.Annual{Month: time.February, Dom: 1}, Last: date.Annual{Month: time.April, Dom: 1}}}},
		"earliest 3 and latest 2":        {{Name: "a", AfterBurn: true, Earliest: 3, Latest: 2}},
		`"a" follows the burn`:           {{Name: "a", AfterBurn: true}, {Name: "b", After: []string{"a"}}},
		"a, b wait for one another":      {{Name: "a", After: []string{"b"}}, {Name: "b", After: []string{"a"}}},
	} {
		if err := Validate(tasks); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want one with %q", err, want)
		}
	}
}

func TestOnSiteGrowsWithTheBurn(t *testing.T) {
	count := func(items []Item, name string) float64 {
		i := slices.IndexFunc(items, func(it Item) bool { return strings.HasPrefix(it.Name, name) })
		return items[i].Count
	}
	small, large := OnSite(9, 3, habitat.People{Count: 4}), OnSite(120, 8, habitat.People{Count: 4})
	for _, name := range []string{"torch fuel", "water on a vehicle", "drinking water"} {
		if count(small, name) >= count(large, name) {
			t.Errorf("%s: %v for 9 acres, %v for 120", name, count(small, name), count(large, name))
		}
	}
	if got := count(OnSite(9, 0, habitat.People{Count: 4}), "torch fuel"); got <= 0 {
		t.Errorf("unknown hours give %v gal", got)
	}
	words := func(crew habitat.People) string {
		var all []string
		for _, item := range OnSite(9, 3, crew) {
			all = append(all, item.Words())
		}
		return strings.Join(all, "\n")
	}
	if got := words(habitat.People{Count: 2}); !strings.Contains(got, "crew of 2, including the burn boss") || !strings.Contains(got, "backpack pumps: 1 pump\n") || !strings.Contains(got, "drip torches: 2 torches") {
		t.Errorf("a crew of two: %s", got)
	}
	if got := words(habitat.Named("A. Example", "B. Example")); !strings.Contains(got, "crew of 2, including the burn boss: A. Example, B. Example\n") {
		t.Errorf("a crew by name: %s", got)
	}
	// Nobody counted the crew: nothing that rests on it has a number.
	if got := words(habitat.People{}); !strings.Contains(got, "crew of ____, including the burn boss") || !strings.Contains(got, "radios on one channel, batteries charged: ____ radios") ||
		!strings.Contains(got, "torch fuel: ____ gal") || !strings.Contains(got, "water on a vehicle: 100 gal") {
		t.Errorf("an unknown crew: %s", got)
	}
}

func TestFirstInTime(t *testing.T) {
	crew := date.NewCrew()
	tasks := []habitat.Task{{Name: "spray", Earliest: 240, Latest: 60}, {Name: "call", Earliest: 5, Latest: 1, Workdays: true}}
	b := &Burn{Unit: habitat.Unit{ID: "A"}, Season: "dormant", Year: 2027, First: day("2026-11-25")}
	first, ok := FirstInTime(tasks, b, day("2027-03-15"), &crew, nil, day("2026-11-25"))
	if !ok || first != day("2027-01-25") {
		t.Errorf("sixty days from 25 Nov are Sun 24 Jan, so that Mon 25 Jan is the first, not %s", first)
	}
	if _, ok := FirstInTime(tasks, b, day("2027-01-10"), &crew, nil, day("2026-11-25")); ok {
		t.Error("a window that ends before the spray can work has no such day")
	}
	sprayed := []habitat.TaskDone{{Task: "spray", Unit: "A", Year: 2027, On: day("2026-09-20")}}
	if first, _ := FirstInTime(tasks, b, day("2027-03-15"), &crew, sprayed, day("2026-11-25")); first != day("2026-11-27") {
		t.Errorf("with the spray done, one workday's notice on the day after Thanksgiving gives 27 Nov, not %s", first)
	}
	for _, d := range Schedule(tasks, b, &crew, nil, day("2026-11-25")) {
		if d.For != b.First {
			t.Errorf("%s is counted back from %s", d.Task.Name, d.For)
		}
	}
}

// Days on the edge: the last day of the range asked for still counts, a task
// whose time begins on that day is among those to do, and a yearly range that
// ends on the burn's day ends the day before.
func TestDaysOnTheEdge(t *testing.T) {
	crew := date.NewCrew()
	tasks := []habitat.Task{{Name: "call", Earliest: 5, Latest: 5}}
	burn := spring("")
	burn.First = day("2027-03-04")
	// Five days after Wed 3 Mar is Mon 8 Mar; the days before it are too early.
	if first, ok := FirstInTime(tasks, burn, day("2027-03-08"), &crew, nil, day("2027-03-03")); !ok || first != day("2027-03-08") {
		t.Errorf("first day in time %s, %v", first, ok)
	}
	if first, ok := FirstInTime(tasks, burn, day("2027-03-07"), &crew, nil, day("2027-03-03")); ok {
		t.Errorf("a day in time before there is one: %s", first)
	}
	ahead := Schedule(tasks, spring(""), &crew, nil, day("2027-01-04")) // from 3 March on
	if got := Within(ahead, day("2027-03-03")); len(got) != 1 {
		t.Errorf("on the day on which it begins: %q", names(got))
	}
	if got := Within(ahead, day("2027-03-02")); len(got) != 0 {
		t.Errorf("the day before it begins: %q", names(got))
	}
	yearly := []habitat.Task{{Name: "mow", Yearly: &date.AnnualSpan{First: date.Annual{Month: time.February, Dom: 1}, Last: date.Annual{Month: time.March, Dom: 10}}}}
	burn.First = day("2027-03-10")
	if all := Schedule(yearly, burn, &crew, nil, day("2026-11-25")); all[0].By != day("2027-03-09") {
		t.Errorf("mowing on the day of the burn: by %s", all[0].By)
	}
}

func TestSortPutsTheEarlierLastDayFirst(t *testing.T) {
	one := func(name, unit, by string) Due {
		return Due{Task: habitat.Task{Name: name}, Unit: unit, By: day(by), State: Open}
	}
	all := []Due{one("c", "B", "2027-03-02"), one("b", "A", "2027-03-02"), one("a", "C", "2027-03-01")}
	Sort(all)
	if got := names(all); !slices.Equal(got, []string{"a", "b", "c"}) {
		t.Errorf("in the order %q", got)
	}
}

// What follows a burn is counted on from its last day once it is on record, and has
// no state of its own before.
func TestAfterBurn(t *testing.T) {
	crew := date.NewCrew()
	burn := spring("oak savanna") // its last day is 8 March 2027
	all := AfterBurn(Starter(), burn, false, &crew, nil, day("2026-11-25"))
	for _, d := range all {
		if !d.Task.AfterBurn || d.State != Follows {
			t.Errorf("%s is %s before the burn", d.Task.Name, d.State)
		}
	}
	if got := Within(all, day("2027-12-31")); len(got) != 0 {
		t.Errorf("to do before the burn is on record: %q", names(got))
	}
	for _, d := range Schedule(Starter(), burn, &crew, nil, day("2026-11-25")) {
		if d.Task.AfterBurn {
			t.Errorf("%s is to be done before the burn", d.Task.Name)
		}
	}
	done := []habitat.TaskDone{{Task: "mop up from the line inward", Unit: "A", Year: 2027, On: day("2027-03-08")}}
	all = AfterBurn(Starter(), burn, true, &crew, done, day("2027-03-11"))
	if all[0].State != Done || !slices.IsSortedFunc(all, func(x, y Due) int { return x.By.Compare(y.By) }) {
		t.Errorf("first %s %s in %q", all[0].Task.Name, all[0].State, names(all))
	}
	patrol := find(t, all, "walk the whole line until nothing smokes")
	if patrol.From != day("2027-03-08") || patrol.By != day("2027-03-10") || patrol.State != Late || patrol.WaitsFor != nil {
		t.Errorf("%+v", patrol)
	}
	if look := find(t, all, "look at green-up and bare slopes"); look.From != day("2027-03-29") || look.State != Ahead {
		t.Errorf("%+v", look)
	}
	// Two weeks past its last day nobody walks that line any more: 24 March is the
	// last day on which the patrol is still listed.
	for on, listed := range map[string]bool{"2027-03-24": true, "2027-03-25": false} {
		current := Current(AfterBurn(Starter(), burn, true, &crew, done, day(on)), day(on))
		if slices.Contains(names(current), patrol.Task.Name) != listed {
			t.Errorf("on %s: %q", on, names(current))
		}
	}
}

// Leaves lie on the lines of wooded units alone, stock on those that are grazed; cedars
// are seen to everywhere.
func TestSiteTasks(t *testing.T) {
	crew := date.NewCrew()
	for cover, has := range map[string]bool{"oak and grass": true, "tall grass": false, "plum thicket": true, "": false} {
		got := names(Schedule(Starter(), spring(cover), &crew, nil, day("2026-11-25")))
		if slices.Contains(got, "rake or blow the leaf line to bare soil") != has || slices.Contains(got, StockTask) || slices.Contains(got, DefermentTask) || !slices.Contains(got, "clear cedars and brush piles from the breaks") {
			t.Errorf("%q: %q", cover, got)
		}
	}
	grazed := spring("tall grass")
	grazed.Grazed = true
	all := Schedule(Starter(), grazed, &crew, nil, day("2026-11-25"))
	if got := names(all); !slices.Contains(got, StockTask) {
		t.Errorf("a grazed unit: %q", got)
	}
	for _, d := range all {
		if d.Task.Name == DefermentTask && (d.From != day("2026-06-15") || d.By != day("2026-07-15") || d.State != Late) {
			t.Errorf("the deferment before a burn in spring 2027: %s to %s, %s", d.From, d.By, d.State)
		}
	}
	if got := names(AfterBurn(Starter(), grazed, false, &crew, nil, day("2026-11-25"))); !slices.Contains(got, "keep stock off until the grass has come back") {
		t.Errorf("after a grazed unit has burned: %q", got)
	}
}

// The summer before is over: what else is to be done waits for it no longer, unless it
// was never grazing's.
func TestMissedDefermentHoldsUpNothing(t *testing.T) {
	crew := date.NewCrew()
	grazed := spring("tall grass")
	grazed.Grazed = true
	last, today := day("2027-04-10"), day("2026-11-25")
	plain, okPlain := FirstInTime(Starter(), spring("tall grass"), last, &crew, nil, today)
	with, ok := FirstInTime(Starter(), grazed, last, &crew, nil, today)
	if missed := Missed(Starter(), grazed, last, &crew, nil, today); !slices.Equal(missed, []string{DefermentTask}) || !ok || !okPlain || with != plain {
		t.Errorf("missed %q; first in time %s %t, without stock %s %t", missed, with, ok, plain, okPlain)
	}
	done := []habitat.TaskDone{{Task: DefermentTask, Unit: grazed.Unit.ID, Year: grazed.Year, On: day("2026-07-10")}}
	if missed := Missed(Starter(), grazed, last, &crew, done, today); len(missed) > 0 {
		t.Errorf("done in July, and missed: %q", missed)
	}
	spray := []habitat.Task{{Name: "spray", Yearly: &date.AnnualSpan{First: date.Annual{Month: time.June, Dom: 15}, Last: date.Annual{Month: time.July, Dom: 15}}}}
	if _, ok := FirstInTime(spray, grazed, last, &crew, nil, today); ok {
		t.Error("other work of a range that is over was dropped")
	}
}
