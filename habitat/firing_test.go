package habitat

import (
	"math"
	"testing"

	"emberquilt/habitat/quantity"
)

func TestAUnitsFiringStandsOverThatOfEveryUnit(t *testing.T) {
	two, six := 2, 6
	all := Firings{
		Every: Firing{Lines: &two, Spacing: 8, Rate: 1.5, Adjustment: 0.4, Within: 2000, Depth: 900},
		Of:    map[string]Firing{"own hours": {Hours: 3, Rate: 2}, "own lines": {Lines: &six, Smoke: true, Depth: 100}},
	}
	if got := all.For("another"); got.Lines != &two || got.Hours != 0 || got.Spacing != 8 || got.Within != 2000 || got.Depth != 0 {
		t.Errorf("a unit that says nothing: %+v", got)
	}
	if got := all.For("own hours"); got.Hours != 3 || got.Lines != nil || got.Rate != 2 || got.Adjustment != 0.4 {
		t.Errorf("a unit with its own hours: %+v", got)
	}
	if got := all.For("own lines"); got.Lines != &six || !got.Smoke || got.Depth != 100 || got.Rate != 1.5 {
		t.Errorf("a unit with its own lines: %+v", got)
	}
	var none Firings
	if got := none.For("a"); !got.IsEmpty() {
		t.Errorf("nothing was said, and yet %+v", got)
	}
}

func TestFiringOutOfRangeIsRefused(t *testing.T) {
	lines, many, less := 4, MaxLines+1, -1
	for what, f := range map[string]Firing{
		"":                                       {},
		"axis_deg of 360, as a flag may say":     {Length: 10, Width: 5, Axis: 360},
		"wind_adjustment of 1 with a few others": {Adjustment: 1, Lines: &lines, Spacing: 6, Within: 5280},
	} {
		if err := f.Validate(); err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	for want, f := range map[string]Firing{
		"hours: 25 hours in a row are in no day; accepts 1 to 24":                                                {Hours: 25},
		"interior_lines: 201 is not a number of lines; accepts 0 to 200":                                         {Lines: &many},
		"interior_lines: -1 is not a number of lines; accepts 0 to 200":                                          {Lines: &less},
		"hours: stands beside interior_lines; accepts hours or interior_lines, since one follows from the other": {Hours: 2, Lines: &lines},
		"wind_adjustment: 1.5 is out of range; accepts a number above 0, up to 1, or nothing":                    {Adjustment: 1.5},
		"depth_ft: NaN is out of range; accepts a number above 0, up to 1,000,000, or nothing":                   {Depth: quantity.Feet(math.NaN())},
		"axis_deg: -1 is not a bearing; accepts 0 to 360 degrees":                                                {Axis: -1},
		"length_ft: stands without the other; accepts both length_ft and width_ft, or neither":                   {Width: 3},
	} {
		if err := f.Validate(); err == nil || err.Error() != want {
			t.Errorf("%v\nwant %s", err, want)
		}
	}
}
