package window

import (
	"math"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
)

// yearsOf gives years of days on which the test decides alone whether a day is
// a candidate.
func yearsOf(t *testing.T, firstYear, years int, isGood func(d date.Day) bool) *Days {
	t.Helper()
	first := date.MustDay(firstYear, time.January, 1)
	last := date.MustDay(firstYear+years-1, time.December, 31)
	r := fair(first, last.Sub(first)+1, func(d date.Day, label int, h *weather.Hour) bool {
		if label < 12 {
			h.SetHumidity(90)
		}
		if !isGood(d) {
			h.SetHumidity(95)
		}
		return true
	})
	return evaluated(t, r)
}

func evaluated(t *testing.T, r *weather.Record) *Days {
	t.Helper()
	d, err := NewSeries(r).Evaluate(limits(t, grass("")), Options{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Pooling: one candidate on 10 March of one year in two gives each day within a
// week of it the chance 1/30, and none beyond.
func TestChancesArePooled(t *testing.T) {
	d := yearsOf(t, 2021, 2, func(d date.Day) bool { return d == date.MustDay(2021, 3, 10) })
	c := d.Chances()
	for day, want := range map[string]float64{"2027-03-02": 0, "2027-03-03": 1.0 / 30, "2027-03-10": 1.0 / 30, "2027-03-17": 1.0 / 30, "2027-03-18": 0} {
		if got, ok := c.On(parse(t, day)); !ok || math.Abs(float64(got)-want) > 1e-12 {
			t.Errorf("%s: %v, want %v", day, got, want)
		}
	}
	// Across the new year.
	d = yearsOf(t, 2021, 2, func(d date.Day) bool { return d == date.MustDay(2021, 12, 30) })
	if got, _ := d.Chances().On(parse(t, "2027-01-05")); math.Abs(float64(got)-1.0/30) > 1e-12 {
		t.Errorf("5 January: %v", got)
	}
	// 29 February of a leap year beside a year without.
	d = yearsOf(t, 2023, 2, func(d date.Day) bool { return d.Month == 2 && d.Dom == 29 })
	for _, on := range []string{"2027-03-01", "2028-02-29", "2028-03-07", "2027-02-22"} {
		if got, _ := d.Chances().On(parse(t, on)); math.Abs(float64(got)-1.0/30) > 1e-12 {
			t.Errorf("%s: %v, want 1/30", on, got)
		}
	}
	for _, on := range []string{"2028-03-08", "2027-02-21"} {
		if got, _ := d.Chances().On(parse(t, on)); got != 0 {
			t.Errorf("%s: %v, want 0", on, got)
		}
	}
}

func parse(t *testing.T, text string) date.Day {
	t.Helper()
	d, err := date.ParseDay(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestWindowsOfASeason(t *testing.T) {
	// Every day of March is good; so are the chances from about 25 February on.
	d := yearsOf(t, 2018, 6, func(d date.Day) bool { return d.Month == 3 })
	crew := date.NewCrew()
	season := Season{Span: span("2027-01-15", "2027-04-30"), Crew: &crew, Closures: []date.Span{span("2027-03-15", "2027-03-16")}}
	got := d.Windows(season, 0)
	if len(got) != 2 {
		t.Fatalf("%+v", got)
	}
	// The week of 22 February has the mean chance (0+0+2+3+4+5+6…)/15: below a
	// fifth is 15 to 21 February, above is 22 to 28.
	if got[0].Span != span("2027-02-22", "2027-03-12") || got[1].Span != span("2027-03-17", "2027-04-02") {
		t.Errorf("windows %v and %v", got[0].Span, got[1].Span)
	}
	if got[0].UsableDays != 15 || got[0].Weather.StartHour != 12 || got[0].Weather.BestChance != 1 || got[0].Weather.BestWeek != span("2027-03-08", "2027-03-12") {
		t.Errorf("%+v %+v", got[0], *got[0].Weather)
	}
	sum := 0.0
	for day := got[0].First; !day.After(got[0].Last); day = day.AddDays(1) {
		if p, _ := d.Chances().On(day); crew.IsWorkday(day) {
			sum += float64(p)
		}
	}
	if math.Abs(got[0].Weather.ExpectedDays-sum) > 1e-9 || sum < 8 {
		t.Errorf("expected days %v, want %v", got[0].Weather.ExpectedDays, sum)
	}
	if !strings.Contains(got[0].Basis, "2018") || strings.Contains(got[0].Basis, "dates only") {
		t.Errorf("basis %q", got[0].Basis)
	}
	// Preparation that ends on 10 March takes the days before.
	season.Ready = parse(t, "2027-03-10")
	if late := d.Windows(season, 0); late[0].First != season.Ready {
		t.Errorf("ready on 10 March, window from %v", late[0].First)
	}
	if none := d.Windows(Season{Span: span("2027-06-01", "2027-08-31")}, 0); len(none) != 0 {
		t.Errorf("windows in summer: %v", none)
	}
}

// Burn days counted by hand: in the year 2010+k the first 2k days of March are
// good.
func TestBurnDays(t *testing.T) {
	good := func(d date.Day) bool { return d.Month == 3 && d.Dom <= 2*(d.Year-2010) }
	season := Season{Span: span("2027-03-01", "2027-03-31")}
	for _, c := range []struct {
		years             int
		median, low, mean float64
	}{
		{5, 4, 0, 4},  // 0 2 4 6 8
		{6, 5, 2, 5},  // 0 2 4 6 8 10: a fifth of six years is 1.2, so the second
		{10, 9, 2, 9}, // two years of ten lie at or below 2
		{11, 10, 4, 10},
	} {
		d := yearsOf(t, 2010, c.years, good)
		b := d.BurnDays(season, 0)
		if !b.HasYears || b.Counted != c.years || b.Median != c.median || b.Low != c.low || b.Mean != c.mean || b.Usable != 31 {
			t.Errorf("%d years: %+v", c.years, *b)
		}
	}
	b := yearsOf(t, 2010, 4, good).BurnDays(season, 0.5)
	if b.HasYears || b.Mean != 3 || b.Median != 1.5 || b.Low != 1.5 || b.Reliability != 0.5 || !strings.Contains(b.Note, "too few") {
		t.Errorf("4 years: %+v", *b)
	}
	// Weekends off: 2027-03-01 is a Monday, so 1–5 and 8–12 are worked.
	crew := date.NewCrew()
	b = yearsOf(t, 2010, 5, good).BurnDays(Season{Span: span("2027-03-01", "2027-03-31"), Crew: &crew, Closures: []date.Span{span("2027-03-01", "2027-03-01")}}, 0)
	if b.Usable != 22 || b.Median != 3 || b.Low != 0 {
		t.Errorf("workdays: %+v", *b)
	}
}

func TestBurnDaysOverTheNewYear(t *testing.T) {
	d := yearsOf(t, 2010, 6, func(d date.Day) bool { return d.Month == 12 && d.Dom > 25 || d.Month == 1 && d.Dom <= d.Year-2010 })
	b := d.BurnDays(Season{Span: span("2026-12-20", "2027-01-10")}, 0)
	// Winters 2010–11 to 2014–15 are whole; the two at the ends are cut.
	if b.Counted != 5 || b.Median != 6+3 || b.Low != 6+1 || len(b.Years) != 7 || b.Years[0].Counted || b.Years[6].Counted {
		t.Errorf("%+v", *b)
	}
}

func TestTypicalYearSaysNothingOfPoorYears(t *testing.T) {
	r := fair(date.MustDay(weather.TypicalYear, 1, 1), 365, nil)
	r.Typical = true
	d := evaluated(t, r)
	b := d.BurnDays(Season{Span: span("2026-12-20", "2027-01-10")}, 0)
	if b.HasYears || !b.Typical || b.Counted != 1 || !strings.Contains(b.Note, "says nothing about poor years") || b.Mean != 22 {
		t.Errorf("%+v", *b)
	}
	if w := d.Windows(Season{Span: span("2026-12-20", "2027-01-10")}, 0); len(w) != 1 || !strings.Contains(w[0].Basis, "says nothing about poor years") {
		t.Errorf("%+v", w)
	}
}

func TestEmptyRecord(t *testing.T) {
	d := evaluated(t, &weather.Record{})
	b := d.BurnDays(Season{Span: span("2026-12-20", "2027-01-10")}, 0)
	if b.Counted != 0 || len(d.Windows(Season{Span: span("2026-12-20", "2027-01-10")}, 0)) != 0 {
		t.Errorf("%+v", *b)
	}
	if c := d.Count(); c.UnknownDays != 0 || c.Year != (Tally{}) {
		t.Errorf("%+v", c)
	}
	d.Heat()
	if AnyOf(d).Days == nil && len(AnyOf().Days) != 0 {
		t.Error("AnyOf")
	}
}

// The spec's check from common practice: about 9 acres in two equal pieces back
// through in about three hours. A square of 4.5 acres is 6.7 chains deep: at 2
// chains an hour 3.4 hours; at 1 to 3 chains, 6.7 to 2.2 hours.
func TestBackingTimes(t *testing.T) {
	side := quantity.Chains(math.Sqrt(10 * 4.5)).Feet()
	depths, runs := RectangleDepths(side, side, 0)
	card := NewCard(CardInput{Depths: depths, Runs: runs}, nil, nil)
	if back := card.Directions[0].Back; back < 3 || back > 3.6 {
		t.Errorf("9 acres in two pieces take %v hours", back)
	}
	// Exact, side = sqrt(10 A) chains: square units at 1, 2 and 3 chains an hour.
	for _, c := range []struct{ acres, rate, hours float64 }{{10, 1, 10}, {10, 2, 5}, {10, 3, 3.33}, {40, 1, 20}, {40, 2, 10}, {40, 3, 6.67}, {80, 1, 28.28}, {80, 2, 14.14}, {80, 3, 9.43}} {
		side := quantity.Chains(math.Sqrt(10 * c.acres)).Feet()
		depths, runs := RectangleDepths(side, side, 0)
		card := NewCard(CardInput{Depths: depths, Runs: runs, BackingRate: quantity.ChainsPerHour(c.rate)}, nil, nil)
		if got := float64(card.Directions[4].Back); math.Abs(got-c.hours) > 0.005 {
			t.Errorf("%v acres at %v ch/h: %v hours, want %v", c.acres, c.rate, got, c.hours)
		}
	}
}

func TestRectangleDepths(t *testing.T) {
	d, r := RectangleDepths(1000, 400, 90) // its long side runs east
	for _, c := range []struct {
		wind       int
		depth, run float64
	}{{0, 400, 400}, {4, 1000, 1000}, {2, 1400 * math.Sqrt2 / 2, 400 * math.Sqrt2}, {10, 1400 * math.Sqrt2 / 2, 400 * math.Sqrt2}} {
		if math.Abs(float64(d[c.wind])-c.depth) > 1e-9 || math.Abs(float64(r[c.wind])-c.run) > 1e-9 {
			t.Errorf("wind %d: depth %v, run %v; want %v, %v", c.wind, d[c.wind], r[c.wind], c.depth, c.run)
		}
	}
	// Hours are those of the run, the depth is shown beside it.
	card := NewCard(CardInput{Depths: d, Runs: r}, nil, nil)
	if ne := card.Directions[2]; math.Abs(float64(ne.Back)-400*math.Sqrt2/132) > 1e-9 || ne.Depth != d[2] || ne.Run != r[2] {
		t.Errorf("from the north-east: %+v", ne)
	}
	if n, ok := card.Need(Firing{Lines: linesOf(0)}, nil); !ok || n.Hours != 8 || n.Depth < 1075 || math.Abs(float64(n.Run)-400/math.Cos(math.Pi*3/8)) > 45.6 {
		t.Errorf("%+v", n)
	}
}

func TestWindCard(t *testing.T) {
	p := limits(t, grass(`, "wind_from_deg": [[180, 360]]`))
	in := CardInput{Depths: SameDepths(660), Within: 5280, Places: PlacesAround(speckAt(0, 0), []ground.Place{
		{Name: "school", Points: []ground.Point{feetFrom(2000, 0)}}, {Name: "clinic", Points: []ground.Point{feetFrom(0, 9000)}},
		{Name: "highway", Points: []ground.Point{feetFrom(-87, 996)}}}, 5280)}
	card := NewCard(in, p, nil)
	byName := map[string]Direction{}
	for _, d := range card.Directions {
		byName[d.From.Compass()] = d
	}
	west := byName["W"] // blows toward the school
	if west.IsAllowed || !west.InPrescription || len(west.Smoke) != 1 || west.Smoke[0].Name != "school" || west.DownwindEdge != 90 || west.Back != 5 {
		t.Errorf("west: %+v", west)
	}
	for name, allowed := range map[string]bool{"WNW": false, "NW": true, "SW": true, "WSW": false, "S": false, "SSW": false, "E": false, "N": true} {
		if byName[name].IsAllowed != allowed {
			t.Errorf("%s allowed: %v (%+v)", name, !allowed, byName[name].Smoke)
		}
	}
	// 27.5 and 17.5 degrees off the highway; 40 is too far.
	if len(byName["S"].Smoke) != 1 || len(byName["SSW"].Smoke) != 1 || len(byName["SW"].Smoke) != 0 {
		t.Error("highway")
	}
	sectors, ok := card.Sectors()
	if !ok || len(sectors) != 2 || sectors[0] != (prescription.Sector{From: 213.75, To: 236.25}) || sectors[1] != (prescription.Sector{From: 303.75, To: 11.25}) {
		t.Errorf("sectors %v", sectors)
	}
	if n, ok := card.Need(Firing{}, nil); !ok || n.Hours != 5 || n.Lines != 0 {
		t.Errorf("needs %+v", n)
	}
	in.SmokeAllowed = true
	if card := NewCard(in, nil, nil); !card.Directions[12].IsAllowed {
		t.Error("smoke was allowed")
	} else if s, ok := card.Sectors(); !ok || len(s) != 1 || s[0] != (prescription.Sector{From: 0, To: 360}) {
		t.Errorf("all allowed: %v", s)
	}
	none := limits(t, grass(`, "wind_from_deg": [[5, 6]]`))
	if s, ok := NewCard(in, none, nil).Sectors(); ok || len(s) > 0 {
		t.Errorf("none allowed: %v", s)
	}
	if n, ok := NewCard(in, none, nil).Need(Firing{}, none); ok {
		t.Errorf("no wind suits, yet it needs %+v", n)
	}
}

// feetFrom gives a point so many feet east and north of the tests' place, good to
// a part in a thousand.
func feetFrom(east, north float64) ground.Point {
	return ground.Point{Lon: -96 + east/(364_800*math.Cos(39*math.Pi/180)), Lat: 39 + north/364_300}
}

// speckAt is a square of 2 by 2 ft: small, so that bearings from it are those from
// a point.
func speckAt(east, north float64) ground.Shape {
	return ground.Shape{Polygons: []ground.Polygon{{Outer: ground.Ring{feetFrom(east-1, north-1), feetFrom(east+1, north-1), feetFrom(east+1, north+1), feetFrom(east-1, north+1)}}}}
}

func TestToleratedPlace(t *testing.T) {
	barn := ground.Place{Name: "own barn", Tolerated: true, Points: []ground.Point{feetFrom(0, 500)}}
	in := CardInput{Depths: SameDepths(660), Places: PlacesAround(speckAt(0, 0), []ground.Place{barn}, 5280)}
	south := NewCard(in, nil, nil).Directions[8]
	if !south.IsAllowed || len(south.Smoke) != 1 || south.Smoke[0].Name != "own barn" || !south.Smoke[0].Tolerated {
		t.Errorf("tolerated: %+v", south)
	}
	barn.Tolerated = false
	in.Places = PlacesAround(speckAt(0, 0), []ground.Place{barn}, 5280)
	if south := NewCard(in, nil, nil).Directions[8]; south.IsAllowed {
		t.Errorf("not tolerated: %+v", south)
	}
}

func TestCardShares(t *testing.T) {
	r := fair(march, 4, func(d date.Day, label int, h *weather.Hour) bool {
		if d.Dom == 2 { // half west, half north: northwest
			if label < 14 {
				h.SetWindFrom(0)
			}
			return label != 14 && label != 13
		}
		if d.Dom == 3 {
			h.SetUnsteady()
		}
		if d.Dom == 4 {
			h.SetHumidity(90)
		}
		return true
	})
	d, err := NewSeries(r).Evaluate(limits(t, grass("")), Options{MinHours: 3})
	if err != nil {
		t.Fatal(err)
	}
	card := NewCard(CardInput{}, nil, d)
	// Day 2 lacks two of nine hours and is unknown: days 1 and 3 remain.
	if !card.HasShares || card.Directions[12].CandidateShare != 0.5 || card.NoDirection != 0.5 {
		t.Errorf("west %v, none %v", card.Directions[12].CandidateShare, card.NoDirection)
	}
}

func TestHeat(t *testing.T) {
	d := yearsOf(t, 2021, 2, func(d date.Day) bool { return d.Year == 2021 })
	h := d.Heat()
	if h.Share[10][11] != 0.5 || h.Share[10][10] != 0 || h.Share[10][17] != 0.5 || h.Share[10][18] != 0 || h.Candidate[52] != 0.5 {
		t.Errorf("%v %v", h.Share[10], h.Candidate[52])
	}
}

func TestBesideEachOther(t *testing.T) {
	a, b := fair(march, 30, nil), fair(march, 30, func(d date.Day, _ int, h *weather.Hour) bool {
		if d.Dom > 10 {
			h.SetHumidity(90)
		}
		return true
	})
	got, err := BesideEachOther([]*weather.Record{a, b}, limits(t, grass("")), Options{})
	if err != nil || len(got) != 2 || got[0].Counts.Year.CandidateDays != 30 || got[1].Counts.Year.CandidateDays != 10 {
		t.Errorf("%+v, %v", got, err)
	}
	one, two := evaluated(t, a), yearsOf(t, 2027, 1, func(date.Day) bool { return false })
	if both := AnyOf(one, one); both.Count().Year != one.Count().Year {
		t.Error("AnyOf of the same")
	}
	defer func() {
		if recover() == nil {
			t.Error("AnyOf of two series must panic")
		}
	}()
	AnyOf(one, two)
}

// A file in UTC touches the evening before its first year; that evening is no
// year of its own.
func TestTouchedYearIsDropped(t *testing.T) {
	r := load(t, hours(-6), "isd/725300-2017.isdlite.gz")
	c := evaluated(t, r).Count()
	if len(c.Years) != 1 || c.Years[0].Year != 2017 || c.Years[0].Total != c.Year || c.UnknownDays != 1 {
		t.Errorf("%d years, first %d, %d days not known", len(c.Years), c.Years[0].Year, c.UnknownDays)
	}
	// A year that is there and unknown stays.
	r = fair(date.MustDay(2020, 1, 1), 731, func(d date.Day, label int, _ *weather.Hour) bool { return d.Year != 2020 || label < 5 })
	if c := evaluated(t, r).Count(); len(c.Years) != 2 || c.Years[0].Total.KnownDays != 0 {
		t.Errorf("%+v", c.Years)
	}
}

// A week, a year and a day that lie just on their limit are in.
func TestLimitsThemselvesAreIn(t *testing.T) {
	always := yearsOf(t, 2018, 2, func(date.Day) bool { return true })
	march := Season{Span: span("2027-03-01", "2027-03-31")}
	if got := always.Windows(march, 1); len(got) != 1 || got[0].Span != march.Span {
		t.Errorf("weeks whose chance is the threshold of 1: %v", got)
	}
	march.Ready = parse(t, "2027-03-10")
	if !march.IsUsable(march.Ready) || march.IsUsable(march.Ready.AddDays(-1)) {
		t.Error("usable from the day on which the unit is ready, not before")
	}
	// Of ten days eight are known in 2018, seven in 2019: eight are enough.
	first := date.MustDay(2018, time.January, 1)
	r := fair(first, 2*365, func(d date.Day, label int, h *weather.Hour) bool {
		return d.Month != 3 || d.Dom > d.Year-2016
	})
	b := evaluated(t, r).BurnDays(Season{Span: span("2027-03-01", "2027-03-10")}, 0)
	if len(b.Years) != 2 || b.Years[0].Known != 8 || !b.Years[0].Counted || b.Years[1].Known != 7 || b.Years[1].Counted {
		t.Errorf("%+v", b.Years)
	}
}

// Where as many days begin at one hour as at a later one, the earlier is said.
func TestStartHourIsTheEarlierOfTwo(t *testing.T) {
	first := date.MustDay(2018, time.January, 1)
	r := fair(first, 2*365, func(d date.Day, label int, h *weather.Hour) bool {
		if begins := map[int]int{2018: 12, 2019: 14}[d.Year]; label < begins {
			h.SetHumidity(90)
		}
		return true
	})
	got := evaluated(t, r).Windows(Season{Span: span("2027-03-01", "2027-03-31")}, 0)
	if len(got) != 1 || got[0].Weather.StartHour != 12 {
		t.Errorf("%+v", got)
	}
}

// Of two weeks that are as good, the earlier one is the best.
func TestTheEarlierOfTwoEqualWeeksIsBest(t *testing.T) {
	crew := date.NewCrew()
	got := yearsOf(t, 2018, 6, func(date.Day) bool { return true }).Windows(Season{Span: span("2027-02-01", "2027-03-31"), Crew: &crew}, 0)
	if len(got) != 1 || got[0].Weather.BestChance != 1 || got[0].Weather.BestWeek != span("2027-02-01", "2027-02-07") {
		t.Errorf("%+v", got)
	}
}
