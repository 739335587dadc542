package quantity

import (
	"math"
	"testing"
)

// Exact ratios. Sources: NWCG Firefighter Math 4.6 (chain, mile) and
// 5.3 (spread is rate times time); the rest is exact or computed from them.
func TestRatiosAreExact(t *testing.T) {
	near := func(name string, got, want, tolerance float64) {
		t.Helper()
		if math.Abs(got-want) > tolerance {
			t.Errorf("%s: got %v, want %v", name, got, want)
		}
	}
	near("chain", float64(Chains(1).Feet()), 66, 0)
	near("mile", float64(Chains(80).Feet()), FeetPerMile, 0)
	near("acre", FeetPerChain*FeetPerChain*10, SquareFeetPerAcre, 0)
	near("chain per hour: 1.1 ft in a minute", float64(SpreadHours(1.1, 1))*60, 1, 1e-15)
	near("mph", float64(MilesPerHourFromKilometersPerHour(1.609344)), 1, 1e-15)
	near("hectare", float64(Hectares(1).Acres()), 2.4710538, 5e-8)
	near("break", float64(BreakAcres(1000, 10)), 0.2296, 5e-5)
	near("acre in m²", SquareMetersPerAcre, 4046.8564224, 1e-9)
	near("spread", float64(SpreadHours(Chains(18).Feet(), 6)), 3, 0)
	near("10-acre square", float64(SpreadHours(Chains(10).Feet(), 2)), 5, 0)
	near("freezing", float64(Celsius(0).Fahrenheit()), 32, 0)
	near("43 C", float64(Celsius(43).Fahrenheit()), 109.4, 1e-12)
	near("inch", float64(Millimeters(25.4).Inches()), 1, 0)
	if !math.IsInf(float64(SpreadHours(100, 0)), 1) {
		t.Error("fire at rate 0 must never arrive")
	}
}

func TestParse(t *testing.T) {
	for text, want := range map[string]float64{"38.5": 38.5, " 7 ": 7, "-2": -2, "1e3": 1000} {
		if got, err := Parse(text); err != nil || got != want {
			t.Errorf("Parse(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", " ", "38,5", "NaN", "inf", "-Infinity", "1e309", "0x10", "1_000", "12 ac"} {
		if got, err := Parse(text); err == nil {
			t.Errorf("Parse(%q) = %v; want an error", text, got)
		}
	}
}

func TestGroup(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals int
		want     string
	}{{1150, 1, "1,150.0"}, {-1234567.891, 2, "-1,234,567.89"}, {-0.001, 1, "0.0"}, {999, 0, "999"}, {1000, 0, "1,000"}} {
		if got := Group(c.v, c.decimals); got != c.want {
			t.Errorf("Group(%v, %d) = %q, want %q", c.v, c.decimals, got, c.want)
		}
	}
	if got := Cents(-115005).String(); got != "-$1,150.05" {
		t.Errorf("Cents = %q", got)
	}
}

func TestBearing(t *testing.T) {
	for degrees, want := range map[float64]string{0: "N", 11.24: "N", 11.26: "NNE", 348.75: "N", 359.9: "N", 225: "SW", -90: "W", 720: "N"} {
		if got := NewBearing(degrees).Compass(); got != want {
			t.Errorf("%v° = %s, want %s", degrees, got, want)
		}
	}
	for i, name := range compassPoints {
		if b, ok := ParseCompass(name); !ok || b != Bearing(float64(i)*22.5) || b.Compass() != name {
			t.Errorf("%s does not come back", name)
		}
	}
	if _, ok := ParseCompass("NNNE"); ok {
		t.Error("NNNE is not a compass point")
	}
	if b := NewBearing(-1e-17); b < 0 || b >= 360 {
		t.Errorf("bearing %v outside [0, 360)", float64(b))
	}
}

func FuzzParse(f *testing.F) {
	f.Add("38.5")
	f.Fuzz(func(t *testing.T, text string) {
		v, err := Parse(text)
		if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
			t.Fatalf("Parse(%q) let %v through", text, v)
		}
	})
}

func TestListJoinsAsASentenceDoes(t *testing.T) {
	for want, names := range map[string][]string{"": nil, "a": {"a"}, "a and b": {"a", "b"}, "a, b and c": {"a", "b", "c"}} {
		if got := List(names); got != want {
			t.Errorf("%v: %q, want %q", names, got, want)
		}
	}
}

func TestListFirstNamesSomeOfMany(t *testing.T) {
	names := make([]string, 2000)
	for i := range names {
		names[i] = string(rune('a' + i%26))
	}
	for want, got := range map[string]string{
		"":                    ListFirst(nil, 2),
		"a and b":             ListFirst(names[:2], 2),
		"a, b and c":          ListFirst(names[:3], 2),
		"a, b and 2 more":     ListFirst(names[:4], 2),
		"a, b and 1,998 more": ListFirst(names, 2),
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if names[2] != "c" {
		t.Error("the names changed")
	}
}
