package habitat

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"emberquilt/habitat/date"
)

// TestUndoAndRedoComeBack walks at random through a draft's steps and holds it to
// a list of what it was after each.
func TestUndoAndRedoComeBack(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 17))
	d := &EditedPlan{Plan: 1}
	was := [][]CellEdit{nil} // by number of steps
	undone := 0
	for range 2000 {
		switch n := len(d.Steps); r.IntN(5) {
		case 0, 1:
			step := EditStep{{Unit: string(rune('a' + r.IntN(4))), Year: date.ProgramYear(2027 + r.IntN(4)), Do: []CellChoice{BurnCell, RestCell, FreeCell}[r.IntN(3)]}}
			d.Add(step)
			was = append(was[:n+1:n+1], d.Edits())
			undone = 0
		case 2, 3:
			if d.Undo() != (n > 0) {
				t.Fatalf("undo of %d steps", n)
			} else if n > 0 {
				undone++
			}
		case 4:
			if d.Redo() != (undone > 0) {
				t.Fatalf("redo of %d steps", undone)
			} else if undone > 0 {
				undone--
			}
		}
		if len(d.Undone) != undone || !slices.Equal(d.Edits(), was[len(d.Steps)]) {
			t.Fatalf("after %d steps, %d undone: %v, want %v", len(d.Steps), undone, d.Edits(), was[len(d.Steps)])
		}
	}
	text, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	var again EditedPlan
	if err := json.Unmarshal(text, &again); err != nil || cmp.Diff(d, &again, cmpopts.EquateEmpty()) != "" {
		t.Errorf("it does not come back from JSON: %v", err)
	}
}

func TestEditsAreThoseOfEachCellThatHold(t *testing.T) {
	d := &EditedPlan{Plan: 1}
	d.Add(EditStep{{Unit: "a", Year: 2027, Do: BurnCell}, {Unit: "a", Year: 2029, Do: RestCell}})
	d.Add(EditStep{{Unit: "b", Year: 2027, Do: RestCell}})
	d.Add(EditStep{{Unit: "a", Year: 2027, Do: FreeCell}})
	want := []CellEdit{{Unit: "a", Year: 2029, Do: RestCell}, {Unit: "b", Year: 2027, Do: RestCell}, {Unit: "a", Year: 2027, Do: FreeCell}}
	if !slices.Equal(d.Edits(), want) {
		t.Errorf("%v", d.Edits())
	}
	d.Undo()
	d.Drop(map[CellKey]bool{{"a", 2027}: true, {"b", 2027}: true})
	if len(d.Steps) != 1 || len(d.Undone) != 0 || !slices.Equal(d.Edits(), want[:1]) {
		t.Errorf("%+v", d)
	}
}

func TestEditsThatAreRefused(t *testing.T) {
	for _, test := range []struct {
		d    EditedPlan
		want string
	}{
		{EditedPlan{Plan: 1, Steps: []EditStep{{{Unit: "a", Do: BurnCell, Season: "spring"}}}}, ""},
		{EditedPlan{}, "plan: 0 is not the number of a plan"},
		{EditedPlan{Plan: 1, Steps: []EditStep{{}}}, "steps: a step is empty"},
		{EditedPlan{Plan: 1, Undone: []EditStep{{{Unit: "a", Do: "mow"}}}}, `do: "mow" is none of these; accepts burn, rest or free`},
		{EditedPlan{Plan: 1, Steps: []EditStep{{{Unit: "a", Do: RestCell, Season: "spring"}}}}, `season: "spring" is named without a burn`},
		{EditedPlan{Plan: 1, Steps: make([]EditStep, MostEditSteps+1)}, "are too many"},
		{EditedPlan{Plan: 1, Steps: []EditStep{{{Do: RestCell}}}}, "unit: "},
	} {
		got := ""
		if err := test.d.Validate(); err != nil {
			got = err.Error()
		}
		if (test.want == "") != (got == "") || !strings.Contains(got, test.want) {
			t.Errorf("%+v: %q, want %q", test.d.Plan, got, test.want)
		}
	}
}
