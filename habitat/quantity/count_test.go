package quantity

import "testing"

func TestCount(t *testing.T) {
	for _, test := range []struct {
		n    int
		one  string
		want string
	}{
		{1, "pump", "1 pump"},
		{3, "pump", "3 pumps"},
		{0, "pump", "0 pumps"},
		{-1, "pump", "-1 pumps"},
		{1200, "usable day", "1,200 usable days"},
		{2, "person", "2 people"},
		{2, "cubic foot", "2 cubic feet"},
		{2, "torch", "2 torches"},
		{2, "class", "2 classes"},
		{2, "box", "2 boxes"},
		{2, "boundary", "2 boundaries"},
		{2, "acre-year", "2 acre-years"},
		{2, "day", "2 days"},
	} {
		if got := Count(test.n, test.one); got != test.want {
			t.Errorf("Count(%d, %q) = %q, want %q", test.n, test.one, got, test.want)
		}
	}
	if got := Count(int64(2), "pair of neighbors", "pairs of neighbors"); got != "2 pairs of neighbors" {
		t.Errorf("with its own plural: %q", got)
	}
}

func TestPlural(t *testing.T) {
	for _, test := range []struct {
		n    float64
		many []string
		want string
	}{
		{1, nil, "burn day"},
		{1.5, nil, "burn days"},
		{0, nil, "burn days"},
		{0.5, nil, "burn days"},
		{2, []string{"days of burning"}, "days of burning"},
	} {
		if got := Plural(test.n, "burn day", test.many...); got != test.want {
			t.Errorf("Plural(%g) = %q, want %q", test.n, got, test.want)
		}
	}
	if got := Plural(1, "takes", "take") + " " + Plural(2, "takes", "take"); got != "takes take" {
		t.Errorf("a verb: %q", got)
	}
}
