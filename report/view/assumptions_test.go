package view

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/schedule/assemble"
)

// Each kind of assumption has its words, and no kind is forgotten.
func TestEveryAssumptionHasWords(t *testing.T) {
	day := date.Day{Year: 2027, Month: 3, Dom: 9}
	worded := map[string]bool{}
	for _, c := range []struct {
		kind string
		of   assemble.Assumption
		want []string
	}{
		{"AssumedAge", assemble.AssumedAge{Unit: "Oxbow", Age: habitat.StandAge{Years: 3, EndOf: 2026, Assumed: habitat.AtMaxInterval}},
			[]string{"Oxbow: assumed due, with no burn on record by the end of 2026: taken as at its max interval, 3 years, then"}},
		{"AssumedAge", assemble.AssumedAge{Unit: "Oxbow", Age: habitat.StandAge{Years: 4, EndOf: 2026, Assumed: habitat.FromEstimate, Estimate: 2, EstimatedIn: 2024}},
			[]string{"Oxbow: no burn on record by the end of 2026; the estimated age of 2 at the end of 2024 is taken as 4 then"}},
		{"OwnedFrom", assemble.OwnedFrom{Unit: "Oxbow", From: day}, []string{"Oxbow is owned from 2027-03-09 on: it is closed before, and due when it comes"}},
		{"OwnedFrom", assemble.OwnedFrom{Unit: "Oxbow", From: day, Late: 2},
			[]string{"Oxbow is owned from 2027-03-09 on: it is closed before, and due when it comes; 2 of the years before count as overdue in the shortfall all the same, alike in every plan"}},
		{"OwnedUntil", assemble.OwnedUntil{Unit: "Oxbow", Until: day},
			[]string{"Oxbow is owned until 2027-03-09: it is closed after that, and the years after count in the shortfall by its age then"}},
		{"NotInShares", assemble.NotInShares{Unit: "Oxbow", Mix: "cover", Refuge: "west"}, []string{
			"Oxbow is not owned in all plan years: its acres count in no class of cover; the share of refuge west is one of the other acres alone, and its burns count in it"}},
		{"BreaksInCost", assemble.BreaksInCost{DollarsAFoot: 0.4}, nil},
		{"BreaksInCost", assemble.BreaksInCost{Units: 2, DollarsAFoot: 0.4, WithoutShapes: []string{"Oxbow", "Alder"}}, []string{
			"the cost of 2 units holds their break at $0.40 a foot, as if each burned alone; neighbors that burn together need less",
			"without a shape, and so without the cost of a break: Oxbow and Alder"}},
		{"GroupWithoutUnits", assemble.GroupWithoutUnits{Name: "cover"}, []string{"mix cover has no units and was left out"}},
		{"GroupWithoutUnits", assemble.GroupWithoutUnits{Name: "west", IsRefuge: true}, []string{"refuge group west has no units and was left out"}},
		{"SeasonOver", assemble.SeasonOver{Season: "dormant", Year: 2027}, []string{"dormant season 2027 is over: nothing new is planned in it"}},
		{"SeasonClosed", assemble.SeasonClosed{Season: "dormant", Year: 2028, Units: []string{"a", "b"}, All: true},
			[]string{"dormant season 2028 is closed to every unit that may burn in it: closures and the crew's calendar leave no day"}},
		{"SeasonClosed", assemble.SeasonClosed{Season: "dormant", Year: 2028, Units: []string{"a", "b", "c", "d"}},
			[]string{"dormant season 2028 is closed to a, b, c, d: closures and the crew's calendar leave no day"}},
		{"SeasonClosed", assemble.SeasonClosed{Season: "dormant", Year: 2028, Units: []string{"a", "b", "c", "d", "e"}},
			[]string{"dormant season 2028 is closed to a, b, c and 2 more units: closures and the crew's calendar leave no day"}},
		{"NeverOpen", assemble.NeverOpen{Season: "dormant", Units: []string{"Oxbow"}, All: true}, []string{"Oxbow has no usable day in dormant: closures and the crew's calendar take them all"}},
		{"NeverOpen", assemble.NeverOpen{Season: "dormant", Units: []string{"Alder", "Oxbow"}},
			[]string{"Alder and Oxbow have no usable day in dormant: closures and the crew's calendar take them all"}},
		{"NeverOpen", assemble.NeverOpen{Season: "dormant", Units: []string{"Alder", "Oxbow"}, All: true},
			[]string{"dormant is closed to every unit that may burn in it, in every year: closures and the crew's calendar take all days"}},
		{"LockOvertaken", assemble.LockOvertaken{Unit: "Oxbow", Year: 2027}, []string{"Oxbow was locked to rest in 2027 but has burned; the record stands"}},
		{"LockOvertaken", assemble.LockOvertaken{Unit: "Oxbow", Season: "dormant", Year: 2027},
			[]string{"Oxbow was locked to burn in dormant season 2027, which is over without a burn on record; the lock is not counted"}},
		{"BurnedOutOfSeason", assemble.BurnedOutOfSeason{Unit: "Oxbow", On: day}, []string{"Oxbow burned on 2027-03-09, outside the seasons in which it may burn; it is counted in one of them"}},
		{"BurnNotCounted", assemble.BurnNotCounted{Unit: "Oxbow", Year: 2028, On: date.MustDay(2027, 9, 20)},
			[]string{"Oxbow burned on 2027-09-20, which counts for 2028; the plan cannot hold that beside its other burns on record, and leaves it out"}},
		{"BurnedEarly", assemble.BurnedEarly{Unit: "Oxbow", Year: 2027, Age: 1, MinInterval: 2},
			[]string{"Oxbow burned in 2027 at age 1, before its min interval of 2 years; the burn stands"}},
		{"AgeSetBack", assemble.AgeSetBack{Unit: "Oxbow", Reset: habitat.Reset{On: day, By: "mowing"}, Year: 2027},
			[]string{"Oxbow: mowing on 2027-03-09 set its stand age back; it rests in 2027, and takes nothing of what may burn"}},
		{"CapGivesWay", assemble.CapGivesWay{Year: 2027, Of: assemble.CapAcres, Sum: 40, Capped: 30}, []string{"2027: what has burned already takes 40.0 acres, more than the cap of 30.0; the cap gives way"}},
		{"CapGivesWay", assemble.CapGivesWay{Year: 2027, Of: assemble.CapBurns, Sum: 4, Capped: 3}, []string{"2027: what has burned already takes 4.0 burns, more than the cap of 3.0; the cap gives way"}},
		{"CapGivesWay", assemble.CapGivesWay{Year: 2027, Of: assemble.CapDollars, Sum: 40, Capped: 30}, []string{"2027: what has burned already takes 40.0 dollars, more than the cap of 30.0; the cap gives way"}},
		{"CapGivesWay", assemble.CapGivesWay{Year: 2027, Of: assemble.CapBurnDays, Season: "dormant", Sum: 4, Capped: 3},
			[]string{"2027: what has burned already takes 4.0 burn days in dormant, more than the cap of 3.0; the cap gives way"}},
		{"ApartBurned", assemble.ApartBurned{A: "Alder", B: "Oxbow", Year: 2027},
			[]string{"Alder and Oxbow, which are kept apart, both burned in 2027; the plan starts with 2028, and the units without a burn on record are taken to rest in 2027"}},
		{"RefugeBurned", assemble.RefugeBurned{Refuge: "west", Year: 2027, Burned: 60, Allows: 50},
			[]string{"60.0 acres of refuge group west burned in 2027, which allows 50.0; the plan starts with 2028, and the units without a burn on record are taken to rest in 2027"}},
	} {
		worded[c.kind] = true
		if got := AssumptionWords([]assemble.Assumption{c.of}); !slices.Equal(got, c.want) {
			t.Errorf("%+v: %q, want %q", c.of, got, c.want)
		}
	}
	text, err := os.ReadFile("../../schedule/assemble/assumption.go")
	if err != nil {
		t.Fatal(err)
	}
	kinds := regexp.MustCompile(`(?m)^func \((\w+)\) assumption`).FindAllStringSubmatch(string(text), -1)
	if len(kinds) == 0 {
		t.Fatal("no kind of assumption was found")
	}
	for _, kind := range kinds {
		if !worded[kind[1]] {
			t.Errorf("assemble.%s is not tried here", kind[1])
		}
	}
}

// Units whose age is assumed alike are one line, where the first of them stands.
func TestAgesAssumedAlikeAreToldTogether(t *testing.T) {
	age := func(years int, assumed habitat.AgeAssumed) habitat.StandAge {
		return habitat.StandAge{Years: years, EndOf: 2026, Assumed: assumed, Estimate: 1, EstimatedIn: 2026 - date.ProgramYear(years-1)}
	}
	all := []assemble.Assumption{
		assemble.AssumedAge{Unit: "Oxbow", Age: age(3, habitat.AtMaxInterval)},
		assemble.AssumedAge{Unit: "Pond", Age: age(4, habitat.AtMaxInterval)},
		assemble.SeasonOver{Season: "dormant", Year: 2027},
		assemble.AssumedAge{Unit: "Reed", Age: age(3, habitat.AtMaxInterval)},
		assemble.AssumedAge{Unit: "Sedge", Age: age(3, habitat.FromEstimate)},
		assemble.AssumedAge{Unit: "Alder", Age: age(3, habitat.FromEstimate)},
	}
	want := []string{
		"Oxbow and Reed: assumed due, with no burn on record by the end of 2026: taken as at their max interval, 3 years, then",
		"Pond: assumed due, with no burn on record by the end of 2026: taken as at its max interval, 4 years, then",
		"dormant season 2027 is over: nothing new is planned in it",
		"Sedge and Alder: no burn on record by the end of 2026; the estimated age of 1 at the end of 2024 is taken as 3 then",
	}
	if got := AssumptionWords(all); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	for i := range 100 {
		all = append(all, assemble.AssumedAge{Unit: fmt.Sprint("N", i), Age: age(3, habitat.AtMaxInterval)})
	}
	want[0] = "Oxbow, Reed, N0, N1, N2, N3, N4, N5, N6, N7, N8, N9 and 90 more: assumed due, with no burn on record by the end of 2026: taken as at their max interval, 3 years, then"
	if got := AssumptionWords(all); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}
