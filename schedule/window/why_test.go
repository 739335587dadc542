package window

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
)

// marchCase is a burn in March 2027 that has windows: three years of fair
// weather, west wind, every day worked.
func marchCase(t *testing.T, change func(d date.Day, label int, h *weather.Hour) bool) *Case {
	r := &weather.Record{}
	for year := 2021; year <= 2023; year++ {
		one := fair(date.MustDay(year, time.February, 15), 60, change)
		r.Station = one.Station
		r.Hours = append(r.Hours, one.Hours...)
	}
	return &Case{
		Series: NewSeries(r), Prescription: limits(t, grass("")),
		Card:   &CardInput{Depths: SameDepths(660), Within: 5280},
		Season: Season{Span: span("2027-03-01", "2027-03-31")},
	}
}

// whyCase is a case made so that one cause alone stands in the way.
type whyCase struct {
	cause  Cause
	change func(date.Day, int, *weather.Hour) bool
	make   func(c *Case)
	says   string
	helps  string // part of a remedy; empty where there is none
}

// clinicPlaces is the place that smoke reaches in whyCases, to be tolerated or not.
func clinicPlaces(tolerated bool) []Place {
	return PlacesAround(speckAt(0, 0), []ground.Place{{Name: "clinic", Tolerated: tolerated, Points: []ground.Point{feetFrom(2000, 0)}}}, 5280)
}

func whyCases(t *testing.T) []whyCase {
	set := func(c *Case, text string) { c.Prescription = limits(t, grass(text)) }
	bad := func(change func(h *weather.Hour)) func(date.Day, int, *weather.Hour) bool {
		return func(_ date.Day, _ int, h *weather.Hour) bool { change(h); return true }
	}
	return []whyCase{
		{CausePast, nil, func(c *Case) { c.Today = date.MustDay(2027, time.April, 2) }, "the season is over", ""},
		{CauseClosure, nil, func(c *Case) { c.Season.Closures = []date.Span{span("2027-02-01", "2027-05-01")} },
			"closures take 31 days of the season's 31", "without the closures"},
		{CauseDayOff, nil, func(c *Case) {
			crew := date.NewCrew()
			crew.Off = []date.DaysOff{{Name: "away", Span: span("2027-02-20", "2027-04-10")}}
			c.Season.Crew = &crew
		}, "days off take 31 days", "days off worked too"},
		{CausePreparation, nil, func(c *Case) { c.Season.Ready = date.MustDay(2027, time.April, 20) }, "the preparation ends too late", "the preparation done earlier"},
		{CauseDaylight, nil, func(c *Case) {
			set(c, `, "daylight_only": true`)
			c.Prescription.BurnHours = prescription.Clock{From: 18 * 60, To: 24 * 60}
		}, "between sunrise and sunset on 31 days of 31 usable days", "without daylight_only"},
		{CauseTemperature, bad(func(h *weather.Hour) { h.SetTemperature(89) }), nil, "temperature (35 to 85 °F) fails on 31 days", "temp_f wider"},
		{CauseHumidity, bad(func(h *weather.Hour) { h.SetHumidity(58) }), nil, "humidity (25 to 55%) fails on 31 days", "rh_pct wider"},
		{CauseWindSpeed, bad(func(h *weather.Hour) { h.SetWind(16) }), nil, "wind speed (3 to 15 mph at 10-m) fails", "wind_mph wider"},
		{CauseMixing, bad(func(h *weather.Hour) { h.SetMixingHeight(1600) }), func(c *Case) { set(c, `, "mixing_height_ft": [1700, null]`) }, "mixing height (1700 or more ft) fails on 31 days", "mixing_height_ft wider"},
		{CauseTransport, bad(func(h *weather.Hour) { h.SetTransportWind(8) }), func(c *Case) { set(c, `, "transport_wind_mph": [9, 20]`) }, "transport wind (9 to 20 mph) fails on 31 days", "transport_wind_mph wider"},
		{CauseGusts, bad(func(h *weather.Hour) { h.SetGust(21) }), func(c *Case) { set(c, `, "gust_mph": [null, 20]`) }, "gusts (up to 20 mph at 10-m) fails on 31 days", "gust_mph wider"},
		{CauseMoisture, nil, func(c *Case) { set(c, `, "fuel_moisture_pct": [20, 30]`) }, "fuel moisture (20 to 30%) fails", ""},
		{CauseSinceRain, nil, func(c *Case) { set(c, `, "days_since_rain": {"inches": 0.1, "min": 1, "max": 5}`) }, "days since rain (1 to 5 days since 0.1 in) fails", ""},
		{CauseRain, bad(func(h *weather.Hour) { h.SetRain(0.1) }), func(c *Case) { set(c, `, "dry_hour": true`) }, "rain in every hour", "without dry_hour"},
		{CauseDirection, nil, func(c *Case) { set(c, `, "wind_from_deg": [[0, 90]]`) }, "blows from outside the prescription's 0 to 90°", ""},
		{CauseSmoke, nil, func(c *Case) { c.Card.Places = clinicPlaces(false) },
			"smoke reaches clinic in 3 of 16 winds of the prescription", "smoke tolerated at clinic"},
		{CauseTooShort, nil, func(c *Case) { c.Firing.Hours = 10 }, "the run is too short on 31 days of 31 usable days; 10 hours in a row", "9 hours in a row in place of 10"},
		{CauseRare, func(d date.Day, _ int, h *weather.Hour) bool {
			if d.Dom%10 != 0 {
				h.SetHumidity(100)
				h.SetTemperature(120)
				h.SetWind(30)
			}
			return true
		}, func(c *Case) { c.Threshold = 0.5 }, "3 days of 31 usable days in an average year, and no week reaches", "a window taken from weeks with a chance of"},
	}
}

// For each cause one case made so that only it stands in the way.
func TestWhyNamesTheCause(t *testing.T) {
	for _, test := range whyCases(t) {
		t.Run(string(test.cause), func(t *testing.T) {
			c := marchCase(t, test.change)
			if windows, err := marchCase(t, nil).Windows(); err != nil || len(windows) == 0 {
				t.Fatalf("the case has no window to lose: %v, %v", windows, err)
			}
			if test.make != nil {
				test.make(c)
			}
			why, err := c.Why()
			if err != nil || why == nil {
				t.Fatalf("%+v, %v", why, err)
			}
			if why.Binds != test.cause || !strings.Contains(why.Cause, test.says) {
				t.Errorf("binds %q: %s; want %q: …%s…\nlost %+v", why.Binds, why.Cause, test.cause, test.says, why.Lost)
			}
			for _, l := range why.Lost {
				if test.cause != CauseRare && l.Cause != test.cause {
					t.Errorf("%q loses days too: %+v", l.Cause, why.Lost)
				}
			}
			helps := func(r Remedy) bool { return strings.Contains(r.Change, test.helps) }
			if test.helps != "" && !slices.ContainsFunc(why.WouldGive, helps) {
				t.Errorf("nothing says %q: %+v", test.helps, why.WouldGive)
			}
			for _, r := range why.WouldGive {
				if r.Windows == 0 || r.ExpectedDays <= 0 {
					t.Errorf("a change that gives nothing: %+v", r)
				}
			}
		})
	}
}

// What is said to give windows is made true by hand, from its words alone, and gives as
// many windows and as many expected days as were said.
func TestWhatWouldGiveWindowsDoes(t *testing.T) {
	tried := map[string]int{}
	for _, test := range whyCases(t) {
		t.Run(string(test.cause), func(t *testing.T) {
			c := marchCase(t, test.change)
			if test.make != nil {
				test.make(c)
			}
			why, err := c.Why()
			if err != nil || why == nil {
				t.Fatal(why, err)
			}
			for _, r := range why.WouldGive {
				changed := *c
				kind := applyWords(t, &changed, r.Change)
				tried[kind]++
				windows, err := changed.Windows()
				if err != nil || len(windows) != r.Windows || math.Abs(expected(windows)-r.ExpectedDays) > 1e-9 {
					t.Errorf("%s: %d windows, %v days, where %d and %v were said (%v)", r.Change, len(windows), expected(windows), r.Windows, r.ExpectedDays, err)
				}
				if unchanged, err := c.Windows(); err != nil || len(unchanged) != 0 {
					t.Errorf("the change is not what gives the windows: %v, %v", unchanged, err)
				}
			}
		})
	}
	for _, kind := range []string{"closures", "days off", "preparation", "tolerated", "wind allowed", "hours", "wider", "without", "chance"} {
		if tried[kind] == 0 {
			t.Errorf("no case tries %q: %v", kind, tried)
		}
	}
}

// applyWords makes a change that is stated in words, and says of which kind it is.
func applyWords(t *testing.T, c *Case, words string) (kind string) {
	t.Helper()
	var a, b int
	var step float64
	var key string
	if c.Prescription != nil {
		p := *c.Prescription
		c.Prescription = &p
	}
	if c.Card != nil {
		card := *c.Card
		card.Places = slices.Clone(card.Places)
		c.Card = &card
	}
	scan := func(form string, into ...any) bool {
		n, _ := fmt.Sscanf(words, form, into...)
		return n == len(into)
	}
	switch {
	case words == "without the closures":
		c.Season.Closures = nil
		return "closures"
	case words == "days off worked too":
		c.Season.Crew = nil
		return "days off"
	case words == "the preparation done earlier":
		c.Season.Ready = date.Day{}
		return "preparation"
	case words == "smoke tolerated at clinic":
		c.Card.Places = clinicPlaces(true)
		return "tolerated"
	case scan("wind from %s allowed,", &key):
		for i := range c.Card.Places {
			c.Card.Places[i].Reached[slices.Index(compassPoints(), key)] = false
		}
		return "wind allowed"
	case scan("%d hours in a row in place of %d", &a, &b):
		c.Firing = Firing{Hours: a}
		return "hours"
	case scan("%d interior line", &a):
		c.Firing = Firing{Lines: &a}
		return "lines"
	case strings.HasPrefix(words, "a window taken from weeks with a chance of ") && scan("a window taken from weeks with a chance of %d", &a):
		c.Threshold = quantity.Share(a) / 100
		return "chance"
	case words == "without daylight_only":
		c.Prescription.DaylightOnly = false
		return "without"
	case words == "without dry_hour":
		c.Prescription.DryHour = false
		return "without"
	case scan("%s wider by %g", &key, &step):
		switch p := c.Prescription; key {
		case "temp_f":
			p.Temperature.Min, p.Temperature.Max = p.Temperature.Min-quantity.Fahrenheit(step), p.Temperature.Max+quantity.Fahrenheit(step)
		case "rh_pct":
			p.Humidity.Min, p.Humidity.Max = p.Humidity.Min-quantity.Percent(step), p.Humidity.Max+quantity.Percent(step)
		case "wind_mph":
			p.Wind.Min, p.Wind.Max = p.Wind.Min-quantity.MilesPerHour(step), p.Wind.Max+quantity.MilesPerHour(step)
		case "gust_mph":
			p.Gust.Min, p.Gust.Max = p.Gust.Min-quantity.MilesPerHour(step), p.Gust.Max+quantity.MilesPerHour(step)
		case "mixing_height_ft":
			p.MixingHeight.Min, p.MixingHeight.Max = p.MixingHeight.Min-quantity.Feet(step), p.MixingHeight.Max+quantity.Feet(step)
		case "transport_wind_mph":
			p.TransportWind.Min, p.TransportWind.Max = p.TransportWind.Min-quantity.MilesPerHour(step), p.TransportWind.Max+quantity.MilesPerHour(step)
		case "burn_hours":
			p.BurnHours.From, p.BurnHours.To = max(0, p.BurnHours.From-int(step)), min(24*60, p.BurnHours.To+int(step))
		default:
			t.Fatalf("nobody can widen %q by hand yet: %s", key, words)
		}
		return "wider"
	}
	t.Fatalf("nobody can do this by hand yet: %s", words)
	return ""
}

// compassPoints names the sixteen winds, clockwise from north.
func compassPoints() []string {
	return []string{"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"}
}

func TestWhyAsksAgain(t *testing.T) {
	// Every wind from the west goes to the clinic; one of them allowed gives windows.
	c := marchCase(t, nil)
	c.Card.Places = PlacesAround(speckAt(0, 0), []ground.Place{{Name: "clinic", Points: []ground.Point{feetFrom(2000, 0)}}}, 5280)
	why, err := c.Why()
	if err != nil {
		t.Fatal(err)
	}
	var words []string
	for i := range why.WouldGive {
		words = append(words, why.WouldGive[i].Words())
	}
	if !slices.Contains(words, "wind from W allowed, which carries smoke to clinic: 1 window, 31 days expected") {
		t.Errorf("%q", words)
	}
	if slices.ContainsFunc(words, func(w string) bool { return strings.Contains(w, "wind from WNW") }) {
		t.Errorf("a wind that never blows gives windows: %q", words)
	}
	// Seven hours of good weather a day, eight needed without another line.
	c = marchCase(t, func(_ date.Day, label int, h *weather.Hour) bool {
		if label < 12 {
			h.SetHumidity(90)
		}
		return true
	})
	none := 0
	c.Card.Depths, c.Firing = SameDepths(quantity.Chains(16).Feet()), Firing{Lines: &none}
	if why, err = c.Why(); err != nil || why.Binds != CauseTooShort {
		t.Fatalf("%+v, %v", why, err)
	}
	if want := "1 interior line in place of 0, which shortens the run to 4 hours"; why.WouldGive[0].Change != want && !slices.ContainsFunc(why.WouldGive, func(r Remedy) bool { return r.Change == want }) {
		t.Errorf("%+v", why.WouldGive)
	}
	// With windows there is nothing to explain.
	if why, err := marchCase(t, nil).Why(); why != nil || err != nil {
		t.Errorf("%+v, %v", why, err)
	}
	// Without a record the calendar and the winds of the prescription decide.
	c = marchCase(t, nil)
	c.Series = nil
	c.Season.Closures = []date.Span{span("2027-03-01", "2027-03-31")}
	if why, err := c.Why(); err != nil || why.Binds != CauseClosure || !why.DatesOnly || why.WouldGive[0].Windows != 1 {
		t.Errorf("%+v, %v", why, err)
	}
}

// The losses and the candidates are all the usable days, and the candidates
// those of Evaluate.
func TestLossesAddUp(t *testing.T) {
	c := marchCase(t, func(d date.Day, label int, h *weather.Hour) bool {
		switch d.Dom % 5 {
		case 0:
			h.SetHumidity(90)
		case 1:
			h.SetWind(25)
		case 2:
			h.SetWindFrom(90)
		}
		return d.Dom != 13 || label%2 == 0 // that day is not known
	})
	c.Prescription = limits(t, grass(`, "wind_from_deg": [[180, 360]]`))
	terms := c.terms()
	_, _, usable := c.calendarLosses()
	lost, candidates, err := c.weatherLosses(&terms, usable)
	if err != nil {
		t.Fatal(err)
	}
	sum := candidates
	for _, l := range lost {
		sum += l.Days
	}
	if math.Abs(sum-float64(usable)) > 1e-9 || len(lost) != 3 {
		t.Errorf("%v of %d usable days: %+v and %v", sum, usable, lost, candidates)
	}
	d, err := c.Series.Evaluate(c.Prescription, terms.options)
	if err != nil {
		t.Fatal(err)
	}
	known, good := 0, 0
	for i := range d.Days {
		if day := &d.Days[i]; day.Date().Month == time.March && day.Known {
			known++
			if day.Candidate {
				good++
			}
		}
	}
	if want := float64(good) / float64(known) * float64(usable); known != 90 || math.Abs(candidates-want) > 1e-9 {
		t.Errorf("%v candidate days, Evaluate gives %v of %d known days", candidates, want, known)
	}
}

func TestClockHours(t *testing.T) {
	central, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	// Good weather from 09:00 to 12:00 standard time only.
	r := fair(date.MustDay(2027, time.March, 12), 4, func(_ date.Day, label int, h *weather.Hour) bool {
		if label < 10 || label > 12 {
			h.SetHumidity(90)
		}
		return true
	})
	p := limits(t, grass(`, "hours_are": "clock"`))
	p.BurnHours = prescription.Clock{From: 9 * 60, To: 12 * 60}
	if d, err := NewSeries(r).Evaluate(p, Options{}); err != nil || len(d.Warnings) != 1 || !strings.Contains(d.Warnings[0], "America/Chicago was taken") {
		t.Errorf("without a zone, at -6 hours: %v, %v", d.Warnings, err)
	}
	abroad := *r
	abroad.Station.UTCOffset = nil
	if _, err := NewSeries(&abroad).Evaluate(p, Options{}); err == nil || !strings.Contains(err.Error(), "no time zone is given") {
		t.Errorf("clock hours without a zone: %v", err)
	}
	d, err := NewSeries(r).Evaluate(p, Options{Zone: central})
	if err != nil {
		t.Fatal(err)
	}
	// Daylight saving time began on 14 March 2027 (second Sunday of March: 15 USC
	// 260a): 09:00 by the clock is 08:00 standard time from then on.
	for i, want := range []int{3, 3, 2, 2} {
		if got := d.Days[i].Counting.Count(); got != want {
			t.Errorf("%s: %d hours, want %d", d.Days[i].Date(), got, want)
		}
	}
	if a, b := d.Shift(d.Days[1].Date()), d.Shift(d.Days[2].Date()); a != 0 || b != 1 {
		t.Errorf("shifts %d and %d", a, b)
	}
	offset := quantity.Hours(-6)
	phoenix, _ := time.LoadLocation("America/Phoenix")
	july := date.MustDay(2027, time.July, 1)
	if got := ClockShift(phoenix, nil, july); got != 0 {
		t.Errorf("Arizona has no daylight saving time: %d", got)
	}
	if got := ClockShift(central, &offset, july); got != 1 {
		t.Errorf("July: %d", got)
	}
	// What a paper shows: runs that start at 09:00 standard time start at 10:00.
	late := fair(date.MustDay(2027, time.July, 1), 20, func(_ date.Day, label int, h *weather.Hour) bool {
		if label < 10 {
			h.SetHumidity(90)
		}
		return true
	})
	d, err = NewSeries(late).Evaluate(limits(t, grass("")), Options{Zone: central})
	if err != nil {
		t.Fatal(err)
	}
	if got := d.startHour(span("2027-07-01", "2027-07-20")); got != 11 {
		t.Errorf("starts with label %d, want 11 (10:00 by the clock)", got)
	}
}
