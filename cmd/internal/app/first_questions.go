package app

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/county"
	"emberquilt/habitat/date"
	"emberquilt/habitat/list"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/report/view"
)

// Question is one thing that a first run asks.
type Question struct {
	// Key names the question among the answers.
	Key string `json:"key"`
	// Asks is the question in words, About what the answer does.
	Asks  string `json:"asks"`
	About string `json:"about"`
	// Usual is the answer that is taken where none is given; it may follow from
	// answers before it. Empty leaves the thing out.
	Usual string `json:"usual,omitempty"`
	// IsSuggestion marks a usual answer that is a starting point: nobody has
	// looked whether it is lawful where the ground lies.
	IsSuggestion bool `json:"is_suggestion,omitempty"`
	// IsNeeded says that there is no going on without an answer.
	IsNeeded bool `json:"is_needed,omitempty"`
	// Repeats says that there may be several answers, TakesFile that an answer may
	// name a file in place of a row, Form how a row is written.
	Repeats   bool   `json:"repeats,omitempty"`
	TakesFile bool   `json:"takes_file,omitempty"`
	Form      string `json:"form,omitempty"`
	// Choices lists the answers where only these make sense.
	Choices []string `json:"choices,omitempty"`

	take func(f *FirstRun, answer string) error
}

// The keys of the questions.
const (
	askName, askWhere, askClock, askSeasons, askBurnDays, askAcres = "name", "where", "time zone", "seasons", "burn days", "acres"
	askUnburned, askPeople, askWeekends                            = "unburned", "crew", "weekends"
	askEvery, askPatch, askPlace, askContact                       = "every", "patch", "place", "neighbor"
	askPrescription, askWeather                                    = "prescription", "weather"
)

// Suggestions of a first run. Common practice, no source; what is lawful differs by
// state and county.
const (
	usualSeasons  = "dormant 11-15 to 03-15; early growing 03-16 to 05-10"
	usualBurnDays = "3"
	usualUnburned = "half"
	usualEvery    = "2-3"
)

// questions gives what a first run asks, in order.
func questions() []Question {
	return []Question{
		{Key: askName, Asks: "Name of the property", IsNeeded: true, take: (*FirstRun).takeName, About: "It stands on every paper."},
		{Key: askWhere, Asks: "Where is the ground", IsNeeded: true, TakesFile: true, take: (*FirstRun).takeWhere,
			Form:  "county and state, such as Riley County, Kansas; or latitude and longitude, such as 39.2, -96.6; or a file with its shape",
			About: "It places the sun, the clock and the forecasts that are read."},
		{Key: askClock, Asks: "Time zone", take: (*FirstRun).takeClock, About: "Hours are shown by its clock, daylight saving included."},
		{Key: askSeasons, Asks: "Burn seasons", Usual: usualSeasons, IsSuggestion: true, take: (*FirstRun).takeSeasons,
			Form:  "NAME MM-DD to MM-DD, up to three with a semicolon between",
			About: "Nothing is planned outside of them. The dates are a suggestion to begin with: ask your state, county and fire department when burning is lawful, and put nesting seasons and hunts in the settings."},
		{Key: askBurnDays, Asks: "Burn days a season, at most", Usual: usualBurnDays, take: (*FirstRun).takeBurnDays,
			About: "So many days your people can come together to burn in one season; a patch takes one of them."},
		{Key: askAcres, Asks: "Acres a year, at most", Usual: "no limit", take: (*FirstRun).takeAcres, About: "A hard limit on what is burned in one burn year."},
		{Key: askUnburned, Asks: "Share of the ground left unburned each year", Usual: usualUnburned, take: (*FirstRun).takeUnburned,
			Form: "half, a percentage, or none", About: "Cover for what lives there: no plan burns more than the rest in one burn year. Half is our default, common practice without a source; change max_share of the refuge in the settings."},
		{Key: askPeople, Asks: "Who burns, yourself included", Usual: "not known", take: (*FirstRun).takePeople,
			Form:  "how many, such as 4; or names with a comma or a semicolon between",
			About: "It sizes the list of what to have on site. Where it is not known, the list has blanks."},
		{Key: askWeekends, Asks: "Do you burn on weekends and holidays", Usual: "yes", Choices: []string{"yes", "no"}, take: (*FirstRun).takeWeekends,
			About: "Days on which nobody comes are no burn days."},
		{Key: askEvery, Asks: "How often a patch burns, where the patch itself does not say", Usual: usualEvery, IsSuggestion: true, take: (*FirstRun).takeEvery,
			Form: "years, such as 2-3, annual or 3 to 5", About: "The return interval: the fewest and the most years between two burns."},
		{Key: askPatch, Asks: "A patch that burns as one", IsNeeded: true, Repeats: true, TakesFile: true, take: (*FirstRun).takePatch,
			Form:  "a file (spreadsheet, map, phone), or NAME, ACRES acres, every 2-3 years, last burned 3/28/2023",
			About: "What lies inside one set of breaks. How often and when it last burned may be left out. A file with shapes also gives winds, smoke and hours."},
		{Key: askPlace, Asks: "A house, road, barn or other place that smoke may reach", Repeats: true, TakesFile: true, take: (*FirstRun).takePlace,
			Form:  "a file, or NAME, LATITUDE, LONGITUDE; a road has several points; \"own\" at the end marks one of yours that keeps no wind out",
			About: "Winds that carry smoke there do not suit. Without places no wind is held against smoke."},
		{Key: askContact, Asks: "A neighbor, the fire department or another to call before the burn", Repeats: true, take: (*FirstRun).takeContact,
			Form: "ROLE, NAME, PHONE, in the order in which to call", About: "They stand on the sheet in this order. Without any, the usual roles stand there with blanks."},
		{Key: askPrescription, Asks: "Starter prescription", Usual: starterNames()[0], IsSuggestion: true, Choices: starterNames(), take: (*FirstRun).takePrescription,
			About: "Limits of weather to begin with, for every patch that names none. Your own written burn plan replaces it."},
		{Key: askWeather, Asks: "Past weather of a station nearby", TakesFile: true, Repeats: true, take: (*FirstRun).takeWeather,
			Form: "a file (EPW, TMY3, ISD, LCD, CSV)", About: "With it windows come from past weather. Without, they follow from dates alone; it can be added later."},
	}
}

// starterNames names the prescriptions that ship with the program; asked for with every
// answer.
var starterNames = sync.OnceValue(func() (names []string) {
	for _, p := range prescription.Starters() {
		names = append(names, p.Name)
	}
	return names
})

// notUsable words an answer that cannot be used.
func notUsable(answer, found, accepts string) error {
	return &source.Error{Found: source.Quote(answer) + " " + found, Accepts: accepts}
}

func (f *FirstRun) takeName(answer string) error {
	if err := habitat.ValidateName("name", answer); err != nil {
		return err
	}
	f.property.Name = answer
	return nil
}

func (f *FirstRun) takeWhere(answer string) error {
	if isFileName(answer) {
		return f.takeShape(answer)
	}
	if latitude, longitude, ok := twoNumbers(answer); ok {
		return f.settle(latitude, longitude)
	}
	c, err := county.Find(answer)
	if err != nil {
		if !strings.ContainsAny(answer, "0123456789") {
			return err
		}
		return notUsable(answer, "is not a place", "a county and state, latitude and longitude, or a file")
	}
	f.property.Place, f.property.Latitude, f.property.Longitude, f.property.HasPlace = c.String(), c.Latitude, c.Longitude, true
	f.place = view.FirstPlace{Latitude: c.Latitude, Longitude: c.Longitude, County: c.String()}
	return f.setClock(c)
}

// takeShape reads a file of which the ground's place is taken.
func (f *FirstRun) takeShape(name string) error {
	one, err := f.open(name, list.Options{Dates: f.Dates})
	if err != nil {
		return err
	}
	center, ok := one.Center()
	if !ok {
		return notUsable(name, "holds no shapes", "a file with shapes (KML, KMZ, GPX, GeoJSON, shapefile), or a county and state")
	}
	if err := f.settle(center.Lat, center.Lon); err != nil {
		return err
	}
	f.shapeFile = name
	return nil
}

// nearACounty is how far a point may lie from the center of a county of the United
// States to be taken as in or beside it: counties of Alaska are this wide.
const nearACounty = 150

// settle places the property at a point.
func (f *FirstRun) settle(latitude, longitude float64) error {
	if !(latitude >= -90 && latitude <= 90 && longitude >= -180 && longitude <= 180) {
		return notUsable(fmt.Sprintf("%g, %g", latitude, longitude), "is off the globe", "latitude -90 to 90 and longitude -180 to 180, the Americas negative")
	}
	f.property.Latitude, f.property.Longitude, f.property.HasPlace, f.property.Place = latitude, longitude, true, ""
	f.place = view.FirstPlace{Latitude: latitude, Longitude: longitude}
	c, miles := county.Nearest(latitude, longitude)
	if miles > nearACounty {
		f.property.Zone, f.clock = "", view.FirstClock{}
		return nil
	}
	f.place.Nearest, f.place.Miles = c.String(), miles
	return f.setClock(c)
}

func (f *FirstRun) setClock(c *county.County) error {
	f.clock = view.FirstClock{}
	if err := f.takeClock(c.Zone); err != nil {
		return err
	}
	f.clock.County, f.clock.IsSplit = c.String(), c.IsSplit
	return nil
}

func (f *FirstRun) takeClock(answer string) error {
	if answer == "" {
		return notUsable(answer, "is empty", "the name of a time zone, such as America/Chicago")
	}
	if answer == f.clock.Zone {
		return nil // as it was taken from the place
	}
	zone, err := time.LoadLocation(answer)
	if err != nil || answer == "Local" {
		return notUsable(answer, "is not a time zone", "a name of the time zone database, such as America/Chicago")
	}
	f.property.Zone, f.property.UTCOffset = answer, habitat.StandardOffset(zone, 2026)
	f.clock.Zone = answer
	return nil
}

func (f *FirstRun) takeSeasons(answer string) error {
	const accepts = "seasons as NAME MM-DD to MM-DD; NAME MM-DD to MM-DD, such as " + usualSeasons
	var all []habitat.Season
	for part := range strings.SplitSeq(answer, ";") {
		words := strings.Fields(strings.ReplaceAll(part, ",", " "))
		if len(words) == 0 {
			continue
		}
		if len(words) < 4 || words[len(words)-2] != "to" {
			return notUsable(strings.TrimSpace(part), "is not a season", accepts)
		}
		var span date.AnnualSpan
		for i, into := range []*date.Annual{&span.First, &span.Last} {
			text := words[len(words)-3+2*i]
			day, err := date.ParseAnnual(text)
			if err != nil {
				return notUsable(text, "is not a day of the year", accepts)
			}
			*into = day
		}
		all = append(all, habitat.Season{Name: strings.Join(words[:len(words)-3], " "), Span: span})
	}
	if len(all) == 0 || len(all) > 3 {
		return notUsable(answer, "names no season, or more than three", accepts)
	}
	tried := habitat.NewProperty("tried")
	tried.Seasons = all
	if err := tried.Validate(); err != nil {
		return unjoin(err)[0]
	}
	f.property.Seasons = all
	return nil
}

func (f *FirstRun) takeBurnDays(answer string) error {
	if isNone(answer) {
		f.burnDays = nil
		return nil
	}
	days, err := quantity.Parse(answer)
	if err != nil || !(days >= 0 && days <= habitat.MaxBurnDays) {
		return notUsable(answer, "is not a number of days", "0 to 366, or no limit")
	}
	f.burnDays = &days
	return nil
}

func (f *FirstRun) takeAcres(answer string) error {
	if isNone(answer) {
		f.property.Caps.Acres = nil
		return nil
	}
	v, err := quantity.Parse(strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(answer, "s"), "acre")))
	if err != nil || !(v > 0 && quantity.Acres(v) <= habitat.MaxAcres) {
		return notUsable(answer, "is not an area", "acres above 0, such as 40, or no limit")
	}
	acres := quantity.Acres(v)
	f.property.Caps.Acres = &acres
	return nil
}

func isNone(answer string) bool {
	switch strings.ToLower(answer) {
	case "", "no limit", "none", "no":
		return true
	}
	return false
}

func (f *FirstRun) takeUnburned(answer string) error {
	text, share := strings.ToLower(answer), 0.0
	switch text {
	case "none", "nothing", "no":
	case "half", "a half", "1/2":
		share = 0.5
	case "a third", "third", "1/3":
		share = 1.0 / 3
	case "a quarter", "quarter", "1/4":
		share = 0.25
	default:
		v, err := quantity.Parse(strings.TrimSuffix(text, "%"))
		if strings.HasSuffix(text, "%") {
			v /= 100
		}
		if err != nil || !(v >= 0 && v < 1) {
			return notUsable(answer, "is not a share of the ground", "half, a percentage below 100 such as 40%, or none")
		}
		share = v
	}
	f.unburned = quantity.Share(share)
	return nil
}

func (f *FirstRun) takePeople(answer string) error {
	if strings.EqualFold(answer, "not known") || answer == "" {
		f.property.People = habitat.People{}
		return nil
	}
	usable := fmt.Sprintf("1 to %d, names such as A. Example, B. Example, or not known", habitat.MaxPeople)
	if strings.ContainsAny(answer[:1], "0123456789+-.") {
		n, err := strconv.Atoi(answer)
		if err != nil || n < 1 || n > habitat.MaxPeople {
			return notUsable(answer, "is not a number of people", usable)
		}
		f.property.People = habitat.People{Count: n}
		return nil
	}
	var names []string
	for name := range strings.FieldsFuncSeq(answer, func(r rune) bool { return r == ',' || r == ';' }) {
		if name = strings.TrimSpace(name); name == "" {
			continue
		}
		if err := habitat.ValidateName("name", name); err != nil || slices.Contains(names, name) {
			return notUsable(name, "is not a name, or stands twice", usable)
		}
		names = append(names, name)
	}
	if len(names) < 2 || len(names) > habitat.MaxPeople {
		return notUsable(answer, "is neither a number of people nor their names", usable)
	}
	f.property.People = habitat.Named(names...)
	return nil
}

func (f *FirstRun) takeWeekends(answer string) error {
	switch strings.ToLower(answer) {
	case "yes", "y":
		f.property.Crew.Weekends, f.property.Crew.FederalHolidays = true, false
	case "no", "n":
		f.property.Crew.Weekends, f.property.Crew.FederalHolidays = false, true
	default:
		return notUsable(answer, "is neither", "yes or no")
	}
	return nil
}

func (f *FirstRun) takeEvery(answer string) error {
	interval, err := list.ParseInterval(answer)
	if err != nil {
		return err
	}
	f.every = interval
	return nil
}

func (f *FirstRun) takePrescription(answer string) error {
	for _, p := range prescription.Starters() {
		if strings.EqualFold(p.Name, answer) {
			f.prescription = p
			return nil
		}
	}
	return notUsable(answer, "is not a starter prescription", strings.Join(starterNames(), "; "))
}
