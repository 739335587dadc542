package habitat

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"emberquilt/habitat/date"
)

// twoSides gives a contract and two copies of it to change.
func twoSides() (base, ours, theirs *Contract) {
	make := func() *Contract {
		return &Contract{Name: "Grass", Client: "landowner", Practices: []Practice{{Code: "338", Name: "Prescribed Burning", Measure: InAcres, Burns: true}},
			Items: []ContractItem{{ID: 1, Unit: "Creek", Practice: "338", FiscalYear: 2026, Planned: 12}, {ID: 2, Unit: "Oak", Practice: "338", FiscalYear: 2026, Planned: 9}},
			Files: []Attachment{{"a.pdf", strings.Repeat("a", 64)}}}
	}
	return make(), make(), make()
}

func modify(t *testing.T, c *Contract, kind ModificationKind, line int, to LineChange, reason string) {
	t.Helper()
	if _, err := c.Modify(Modification{Kind: kind, Line: line, On: date.MustDay(2026, 11, 25), Reason: reason}, to); err != nil {
		t.Fatal(err)
	}
}

// both joins from either side, with the choice that each would make, and gives what came
// and what was asked.
func both(t *testing.T, base, ours, theirs *Contract, takeOurs bool) (*Contract, []string) {
	t.Helper()
	var asked []string
	here := JoinContracts(base, ours, theirs, func(part, a, b string) bool {
		asked = append(asked, fmt.Sprintf("%s: %s | %s", part, a, b))
		return !takeOurs
	})
	there := JoinContracts(base, theirs, ours, func(string, string, string) bool { return takeOurs })
	if !reflect.DeepEqual(here, there) {
		t.Errorf("from one side\n%+v\nfrom the other\n%+v", here, there)
	}
	return here, asked
}

func TestJoinContractsTakesWhatOneSideChanged(t *testing.T) {
	base, ours, theirs := twoSides()
	modify(t, ours, Amend, 1, LineChange{Planned: 10}, "fence moved")
	modify(t, theirs, Move, 2, LineChange{Year: 2028}, "drought")
	ours.Client = "new owner"
	theirs.Notes = "call first"
	theirs.Files = append(theirs.Files, Attachment{"b.pdf", strings.Repeat("b", 64)})
	ours.Completions = []Completion{{Unit: "Oak", Practice: "338", On: date.MustDay(2026, 11, 1), Applied: 3}}
	got, asked := both(t, base, ours, theirs, true)
	if len(asked) > 0 {
		t.Errorf("asked %q", asked)
	}
	if got.Client != "new owner" || got.Notes != "call first" || len(got.Files) != 2 || len(got.Completions) != 1 {
		t.Errorf("%+v", got)
	}
	if got.Items[0].Planned != 10 || got.Items[1].FiscalYear != 2028 || len(got.Modifications) != 2 {
		t.Errorf("%+v", got)
	}
}

func TestJoinContractsAsksByLine(t *testing.T) {
	base, ours, theirs := twoSides()
	modify(t, ours, Amend, 1, LineChange{Planned: 10}, "ours")
	modify(t, theirs, Amend, 1, LineChange{Planned: 11}, "theirs")
	modify(t, theirs, CancelLine, 2, LineChange{}, "sold")
	theirs.Files[0].SHA256 = strings.Repeat("c", 64)
	for _, takeOurs := range []bool{true, false} {
		got, asked := both(t, base, ours, theirs, takeOurs)
		if len(asked) != 1 || asked[0] != "line 1: 338: 10 acres on Creek in 2026 | 338: 11 acres on Creek in 2026" {
			t.Errorf("asked %q", asked)
		}
		want, reason := 11.0, "theirs"
		if takeOurs {
			want, reason = 10, "ours"
		}
		// The modification of the side that does not hold is not one of the contract.
		if got.Items[0].Planned != want || got.Items[1].Status != Canceled || len(got.Modifications) != 2 || got.Files[0].SHA256[0] != 'c' {
			t.Errorf("%+v", got)
		}
		for _, m := range got.Modifications {
			if m.Line == 1 && m.Reason != reason {
				t.Errorf("line 1 was modified because of %q", m.Reason)
			}
		}
	}
}

func TestJoinContractsKeepsBothNewLines(t *testing.T) {
	base, ours, theirs := twoSides()
	ours.Items = append(ours.Items, ContractItem{ID: 3, Unit: "Creek", Practice: "338", FiscalYear: 2029, Planned: 5})
	theirs.Items = append(theirs.Items, ContractItem{ID: 3, Unit: "Oak", Practice: "338", FiscalYear: 2030, Planned: 7}, ContractItem{ID: 4, Unit: "Oak", Practice: "338", FiscalYear: 2031, Planned: 8})
	modify(t, theirs, Extend, 3, LineChange{Until: 2032}, "wet")
	got, asked := both(t, base, ours, theirs, true)
	if len(asked) > 0 || len(got.Items) != 5 || got.Validate() != nil {
		t.Fatalf("asked %q, %+v", asked, got.Items)
	}
	for i, item := range got.Items {
		if item.ID != i+1 {
			t.Errorf("line %d has the number %d", i+1, item.ID)
		}
	}
	if m := got.Modifications; len(m) != 1 || got.Line(m[0].Line).Unit != "Oak" || got.Line(m[0].Line).Until != 2032 {
		t.Errorf("the modification lost its line: %+v of %+v", m, got.Items)
	}

	// Without a contract in common, and the same from both.
	same, asked := both(t, &Contract{}, base, base, true)
	if !reflect.DeepEqual(same.Items, base.Items) || len(asked) > 0 {
		t.Errorf("asked %q, %+v", asked, same)
	}
}

func TestDiffContractsTellsBothSides(t *testing.T) {
	_, ours, theirs := twoSides()
	modify(t, ours, Amend, 1, LineChange{Planned: 10}, "ours")
	theirs.Items = append(theirs.Items, ContractItem{ID: 3, Unit: "East", Practice: "338", FiscalYear: 2028, Planned: 4})
	theirs.Client = "other"
	var told []string
	DiffContracts(ours, theirs, func(part, a, b string) { told = append(told, part+": "+a+" | "+b) })
	want := []string{"client: landowner | other", "line 1: 338: 10 acres on Creek in 2026 | 338: 12 acres on Creek in 2026", "line 3: none | 338: 4 acres on East in 2028"}
	if !reflect.DeepEqual(told, want) {
		t.Errorf("told %q", told)
	}
	theirs.Modifications = []Modification{{Kind: "split", Line: 1, Was: "a", Is: "b", Reason: "r"}}
	if ours.HasUnitsChanged(&Contract{}) || !theirs.HasUnitsChanged(&Contract{}) || theirs.HasUnitsChanged(theirs) {
		t.Error("units that changed are not told from lines that did")
	}
}
