package view

import (
	"fmt"
	"strings"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
)

func TestFiguresInWords(t *testing.T) {
	south := quantity.Bearing(180)
	rose := &Rose{Lines: []RoseLine{{WindSuits, "Suits: S, SW."}, {WindSmoke, "Smoke to School: N."}}, Day: &south}
	if got, want := rose.InWords(), "Rose of the sixteen winds. Suits: S, SW. Smoke to School: N. An arrow marks the wind of the day, from 180°."; got != want {
		t.Errorf("%q", got)
	}
	g := &Ground{Units: []GroundUnit{{Unit: "A", Burns: true}, {Unit: "B"}, {Unit: "C", Burns: true}}, Places: []ground.Place{{Name: "Barn"}}}
	if got, want := g.InWords(), "Map, north up. Hatched: A and C. Not hatched: B. Places: Barn."; got != want {
		t.Errorf("%q", got)
	}
	var many []string
	for i := range mostInWords + 3 {
		many = append(many, fmt.Sprint(i))
	}
	if got := GroundInWords(many, nil, nil); !strings.HasSuffix(got, "38, 39 and 3 more.") || strings.Contains(got, "Not hatched") {
		t.Errorf("%q", got)
	}
	m := &Map{Units: []MapUnit{{Unit: "A"}, {Unit: "B"}}, Marks: []MapMark{{Hatched, "burned whole"}, {Dotted, "burned in part"}},
		Years: []MapYear{{Title: "2024", Note: "1 burn, 10 acres", States: []MapState{{Mark: 1}, {}}, Outlines: []MapOutline{{Mark: 2, Title: "Mar 3"}}}}}
	if got, want := m.YearInWords(0), "Map of 2024, north up: 1 burn, 10 acres. burned whole (hatched): A. Outline: Mar 3."; got != want {
		t.Errorf("%q", got)
	}
}
