package view_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

// What a written plan must hold, by the lists that say so: the NRCS specification
// ID-338-SPEC of Idaho, 2009; Missouri's IS-MO338, "Conducting a successful
// prescribed burn"; the job sheet for code 338 of New Mexico, 2011, whose facts are
// kept and whose labels and order are not; the ten purposes of the older standard
// 338 as the Idaho specification has them.
var planMustHold = map[string][]string{
	"Idaho": {"legal description", "cover", "objectives", "weather", "notification", "preparation", "equipment", "people", "assignments", "safety", "evaluation", "firing sequence", "ignition method", "signature"},
	"Missouri": {"owner", "the ground", "unit and its area", "land use", "cover", "topography", "objectives", "timing", "acceptable weather", "primary firebreaks", "secondary firebreaks", "hazards inside", "hazards next",
		"equipment", "people", "precautions", "actions on escape", "map with adjoining uses, hazards and firing sequence", "adjoining", "fire department"},
	"New Mexico": {"client", "farm records numbers (farm, tract, field)", "legal description", "county", "section, township and range", "coordinates", "directions", "cost-share contract and item",
		"season planned", "candidate windows", "last burn", "area", "objectives (check)", "cover before the burn"},
	"New Mexico, notification": {"phone", "date and time", "person told", "neighbor", "fire department", "state forestry", "smoke desk"},
	"purposes":                 {"control unwanted plants", "prepare a site", "control plant disease", "wildfire hazard", "habitat", "plant production", "slash", "seed", "livestock", "ecological site"},
	"certified, permits":       {"certified person", "permits needed (federal, state, tribal, local)"},
}

// draftWords is everything that the draft prints, in lower case; the heads of
// the notification table and the signatures are those of its writers.
func draftWords(d *view.Draft) string {
	var b strings.Builder
	for _, s := range d.Sections {
		b.WriteString(s.Title + "\n")
		for _, f := range s.Fields {
			b.WriteString(f.Label + "\n" + strings.Join(f.Lines, "\n") + "\n" + strings.Join(f.Boxes, "\n") + "\n")
		}
	}
	b.WriteString("notification: phone, date and time called, person told\nsignature\n")
	for _, c := range d.Contacts {
		b.WriteString(c.Role + "\n")
	}
	return strings.ToLower(b.String())
}

func TestDraftHoldsEveryField(t *testing.T) {
	d, err := view.NewDraft(sample.Draft(sample.Terrace()))
	if err != nil {
		t.Fatal(err)
	}
	words := draftWords(d)
	for source, list := range planMustHold {
		for _, want := range list {
			if !strings.Contains(words, want) {
				t.Errorf("%s asks for %q, which the draft does not have", source, want)
			}
		}
	}
	filled, blank := 0, 0
	for _, s := range d.Sections {
		for _, f := range s.Fields {
			switch {
			case len(f.Lines) > 0:
				filled++
			case f.Blank > 0:
				blank++
			case len(f.Boxes) == 0:
				t.Errorf("%s has neither words nor room for them", f.Label)
			}
		}
	}
	if filled < 12 || blank < 20 {
		t.Errorf("%d fields filled, %d blank", filled, blank)
	}
	if len(d.GoNoGo) < 10 || len(d.Signatures) != 5 {
		t.Error("no checklist or no signatures")
	}
	// The check can fail: a draft without its fire section lacks the sequence.
	d.Sections = slices.DeleteFunc(d.Sections, func(s view.DraftSection) bool { return s.Title == "Firing" || s.Title == "Breaks, hazards and map" })
	if strings.Contains(draftWords(d), "firing sequence") {
		t.Error("the check cannot fail")
	}
	if _, err := view.NewDraft(&view.DraftInput{Plan: sample.Terrace(), Unit: "Nowhere"}); err == nil {
		t.Error("a unit that is not there got a draft")
	}
}

// The farm's story: Gate Three was due in 2026 with 10.3 acres and burned 5.1.
func TestPacket(t *testing.T) {
	v := view.NewPacket(sample.Packet())
	if v.FiscalYear != 2027 {
		t.Errorf("25 Nov 2026 lies in fiscal year %d", v.FiscalYear)
	}
	burning := v.Practices[0]
	for what, pair := range map[string][2]float64{
		"planned": {burning.Planned, 10.9 + 10.2 + 10.3 + 9.6 + 10.9}, "due": {burning.DueBy, 10.9 + 10.2 + 10.3}, "applied": {burning.Applied, 10.9 + 10.2 + 5.1},
		"credited": {burning.Credited, 10.9 + 10.2 + 5.1}, "behind": {burning.Behind, 5.2}, "remaining": {burning.Remaining, 5.2 + 9.6 + 10.9},
		"feet planned": {v.Practices[1].Planned, 3170}, "feet applied": {v.Practices[1].Applied, 1910}, "feet remaining": {v.Practices[1].Remaining, 1320},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-9 {
			t.Errorf("%s: %v, want %v", what, pair[0], pair[1])
		}
	}
	states := map[string]view.ScheduleState{}
	for _, r := range v.Schedule {
		states[r.Unit+" "+r.Practice+" "+r.FiscalYear.String()] = r.State
	}
	for row, want := range map[string]view.ScheduleState{"Gate One 338 2024": view.Applied, "Gate Three 338 2026": view.Partly, "Gate Three 394 2026": view.Behind, "Gate Seven 338 2027": view.UnderWay, "Gate One 338 2028": view.Ahead} {
		if states[row] != want {
			t.Errorf("%s is %q, want %q", row, states[row], want)
		}
	}
}

// Work in a later year is credited to what was missing; work that nobody asked
// for stands alone; the sums hold.
func TestPacketCreditsLateWork(t *testing.T) {
	in := sample.Packet()
	late := in.Records[2]
	late.ID, late.Acres = 99, 5.2
	late.On = date.MustDay(2026, time.October, 6) // fiscal year 2027
	late.Through = late.On
	extra := late
	extra.ID, extra.Acres, extra.Unit = 100, 3, "Gate Five"
	wild := extra
	wild.ID, wild.Kind = 101, habitat.Wildfire
	in.Records = append(in.Records, late, extra, wild)
	v := view.NewPacket(in)
	found := map[string]view.ScheduleRow{}
	var applied float64
	for _, r := range v.Schedule {
		found[r.Unit+" "+r.FiscalYear.String()+" "+r.Practice] = r
		if r.Practice == "338" {
			applied += r.Applied + r.Late + r.Early + r.Over
		}
	}
	three := found["Gate Three 2026 338"]
	if three.State != view.Applied || math.Abs(three.Late-5.2) > 1e-9 || three.Remaining != 0 {
		t.Errorf("Gate Three: %+v", three)
	}
	if five := found["Gate Five 2027 338"]; five.State != view.Unasked || five.Over != 3 || five.Applied != 0 || five.Planned != 0 {
		t.Errorf("Gate Five burned again: %+v", five)
	}
	if math.Abs(applied-v.Practices[0].Applied) > 1e-9 || math.Abs(applied-(10.9+10.2+5.1+5.2+3)) > 1e-9 {
		t.Errorf("the schedule holds %v applied, the practice %v", applied, v.Practices[0].Applied)
	}
}

// Federal fiscal years run from October to September, whatever the property's
// program year.
func TestFiscalYearIsFederal(t *testing.T) {
	in := sample.Packet()
	in.Property.YearStart = date.YearStart(time.January)
	in.Records[0].On = date.MustDay(2023, time.October, 1)
	in.Records[0].Through = in.Records[0].On
	in.Records[1].On = date.MustDay(2025, time.September, 30)
	in.Records[1].Through = in.Records[1].On
	v := view.NewPacket(in)
	var got []int
	for _, c := range v.Completions {
		if c.Practice == "338" {
			got = append(got, int(c.FiscalYear))
		}
	}
	if !slices.Equal(got, []int{2024, 2025, 2026}) {
		t.Errorf("fiscal years %v", got)
	}
}

// Work is credited to older years that are short, never to a later one.
func TestEarlyWorkIsNotCredited(t *testing.T) {
	in := sample.Packet()
	early := in.Records[0]
	early.ID, early.Unit = 99, "Gate One"
	early.On = date.MustDay(2025, time.March, 6) // fiscal year 2025; due again in 2028
	early.Through = early.On
	in.Records = append(in.Records, early)
	for _, r := range view.NewPacket(in).Schedule {
		if r.Unit == "Gate One" && r.Practice == "338" && r.FiscalYear == 2028 && (r.Late != 0 || r.Applied != 0 || r.State != view.Ahead) {
			t.Errorf("the burn of 2025 counts for 2028: %+v", r)
		}
	}
}

// Work before the first fiscal year of the contract, and work that is entered for
// a day to come, is not work done under it.
func TestPacketCountsTheWorkOfItsTime(t *testing.T) {
	in := sample.Packet()
	want := len(view.NewPacket(in).Completions)
	today := in.Stamp.On
	for _, c := range []struct {
		on   date.Day
		more int
	}{{date.MustDay(1999, time.March, 6), 0}, {today.AddDays(1), 0}, {today, 1}} {
		with := *in
		r := in.Records[0]
		r.ID, r.Unit, r.On, r.Through = 99, "Gate One", c.on, c.on
		with.Records = append(slices.Clone(in.Records), r)
		if got := len(view.NewPacket(&with).Completions); got != want+c.more {
			t.Errorf("a burn of %v: %d completions, want %d", c.on, got, want+c.more)
		}
	}
	for days, more := range []int{1, 0} {
		with := *in
		done := in.Contract.Completions[0]
		done.On = today.AddDays(days)
		with.Contract.Completions = append(slices.Clone(in.Contract.Completions), done)
		if got := len(view.NewPacket(&with).Completions); got != want+more {
			t.Errorf("work of %v: %d completions, want %d", done.On, got, want+more)
		}
	}
}

// A program year that starts in January is not a fiscal year: the burn that the
// plan holds for the dormant season booked to program year 2028 lies in fiscal
// year 2028, and the packet says so, also when the plan's year has a lower number
// than the fiscal year of today.
func TestNextBurnInFiscalYears(t *testing.T) {
	in := sample.Packet()
	in.Property.YearStart = date.YearStart(time.January)
	in.Stamp.On = date.MustDay(2027, time.October, 20) // fiscal year 2028, program year 2027
	for _, c := range []struct {
		name   string
		burn   habitat.PlannedBurn
		starts time.Month
		want   date.FiscalYear
	}{
		{"no season, this program year", habitat.PlannedBurn{Unit: "Gate One", Year: 2027}, 0, 2028},
		{"no season, the next", habitat.PlannedBurn{Unit: "Gate One", Year: 2028}, 0, 2029},
		{"a season of 2028", habitat.PlannedBurn{Unit: "Gate One", Year: 2028, Season: "dormant"}, 0, 2028},
		{"fiscal years from July", habitat.PlannedBurn{Unit: "Gate One", Year: 2028, Season: "dormant"}, time.July, 2028},
		{"fiscal years from January", habitat.PlannedBurn{Unit: "Gate One", Year: 2028, Season: "dormant"}, time.January, 2028},
		{"over", habitat.PlannedBurn{Unit: "Gate One", Year: 2026}, 0, 0},
	} {
		in.Planned, in.Contract.FiscalStart = []habitat.PlannedBurn{c.burn}, date.FiscalStart(c.starts)
		got := date.FiscalYear(-1)
		for _, r := range view.NewPacket(in).Schedule {
			if r.Unit == "Gate One" && r.Practice == "338" && r.FiscalYear == 2028 {
				got = r.Next
			}
		}
		if got != c.want {
			t.Errorf("%s: next burn in %d, want %d", c.name, got, c.want)
		}
	}
}

// Fiscal years that start in July book the work of July to the next year.
// On the last day of its season a planned burn is still to come; the day after
// it is over.
func TestNextBurnOnTheLastDayOfItsSeason(t *testing.T) {
	in := sample.Packet()
	in.Planned = []habitat.PlannedBurn{{Unit: "Gate One", Year: 2027, Season: "dormant"}}
	last := in.Property.SeasonSpan(in.Property.SeasonIndex("dormant"), 2027).Last
	for on, want := range map[date.Day]date.FiscalYear{last: 2027, last.AddDays(1): 0} {
		in.Stamp.On = on
		checked := false
		for _, r := range view.NewPacket(in).Schedule {
			if r.Unit == "Gate One" && r.Practice == "338" && r.Remaining > 0 {
				checked = true
				if r.Next != want {
					t.Errorf("on %s the next burn lies in %d, want %d", on, r.Next, want)
				}
			}
		}
		if !checked {
			t.Errorf("on %s nothing of Gate One remains", on)
		}
	}
}

// Five hundredths of an acre are what acres of one decimal may be off; a tenth is
// work that remains. Gate Three was due with 10.3 acres.
func TestWhatCountsAsNothingLeft(t *testing.T) {
	for burned, want := range map[quantity.Acres]struct {
		state     view.ScheduleState
		remaining float64
	}{10.3: {view.Applied, 0}, 10.25: {view.Applied, 0}, 10.249: {view.Partly, 0.051}, 10.2: {view.Partly, 0.1}, 9.8: {view.Partly, 0.5}} {
		in := sample.Packet()
		in.Records[2].Acres = burned
		for _, r := range view.NewPacket(in).Schedule {
			if r.Unit == "Gate Three" && r.Practice == "338" && (r.State != want.state || math.Abs(r.Remaining-want.remaining) > 1e-9) {
				t.Errorf("%v of 10.3 acres: %s, %v remain", burned, r.State, r.Remaining)
			}
		}
	}
}

func TestFiscalYearOfTheProgram(t *testing.T) {
	in := sample.Packet()
	in.Contract.FiscalStart = date.FiscalStart(time.July)
	in.Records[0].On = date.MustDay(2023, time.June, 30)
	in.Records[0].Through = in.Records[0].On
	in.Records[1].On = date.MustDay(2025, time.July, 1)
	in.Records[1].Through = in.Records[1].On
	in.Contract.Items[0].FiscalYear = 2023
	v := view.NewPacket(in)
	if v.FiscalWords != "fiscal year from July" || v.FiscalYear != 2027 {
		t.Errorf("%s %d", v.FiscalWords, v.FiscalYear)
	}
	var got []int
	for _, c := range v.Completions {
		if c.Practice == "338" {
			got = append(got, int(c.FiscalYear))
		}
	}
	if !slices.Contains(got, 2023) || !slices.Contains(got, 2026) {
		t.Errorf("fiscal years %v", got)
	}
}

func TestHistoryOfTheTerrace(t *testing.T) {
	h := program(t, sample.Terrace()).History
	byYear := map[int]view.PastYear{}
	for _, y := range h.Years {
		byYear[int(y.Year)] = y
	}
	// 2023 was missed; 2025 saw a wildfire.
	if byYear[2023].Burns != 0 || byYear[2025].Wildfire == 0 {
		t.Errorf("2023: %+v, 2025: %+v", byYear[2023], byYear[2025])
	}
	if p := byYear[2026].Planned; p == nil || len(byYear[2026].Missed) == 0 || byYear[2024].Planned != nil {
		t.Errorf("planned %v, missed %v", p, byYear[2026].Missed)
	}
	for _, m := range h.Mixes {
		for i := range m.Years {
			sum := float64(m.Unknown[i])
			for _, c := range m.Classes {
				sum += float64(c.Acres[i])
			}
			if math.Abs(sum-float64(program(t, sample.Terrace()).Mixes[slices.IndexFunc(h.Mixes, func(o view.PastMix) bool { return o.Name == m.Name })].Acres)) > 1e-6 {
				t.Errorf("%s in %d: %v acres", m.Name, m.Years[i], sum)
			}
		}
	}
}
