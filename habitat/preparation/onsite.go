package preparation

import (
	"math"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
)

// Item is a thing to have on site for a burn, as a line to edit.
type Item struct {
	Name string
	// Count is how many; 0 means that the person responsible says how many.
	Count float64
	// Unit is what Count counts, one of them: "pump", or "gal".
	Unit string
	Why  string
	// Standing says what the figure rests on.
	Standing string
	// Who names the people that are counted, where they are named.
	Who []string
}

// blank is where the person responsible writes a number.
const blank = "____"

// Words says the item with its number, or with a blank to write it on:
// "backpack pumps: 3 pumps", "crew of 4, including the burn boss".
func (i Item) Words() string {
	number, unit := blank, quantity.Plural(2, i.Unit)
	if i.Unit == "gal" {
		unit = i.Unit
	}
	if i.Count > 0 {
		number = quantity.Group(i.Count, 0)
		if i.Count == 1 {
			unit = i.Unit
		}
	}
	switch i.Unit {
	case "":
		return i.Name
	case "person":
		words := strings.Replace(i.Name, "crew", "crew of "+number, 1)
		if len(i.Who) > 0 {
			words += ": " + strings.Join(i.Who, ", ")
		}
		return words
	}
	return i.Name + ": " + number + " " + unit
}

// Number is the count in words, or a blank; empty where nothing is counted.
func (i Item) Number() string {
	switch {
	case i.Unit == "":
		return ""
	case i.Count > 0:
		return quantity.Group(i.Count, 0)
	}
	return blank
}

// CountedIn names what Number counts, for a heading: "gal", "pumps".
func (i Item) CountedIn() string {
	if i.Unit == "" || i.Unit == "gal" {
		return i.Unit
	}
	return quantity.Plural(2, i.Unit)
}

// OnSite sizes a first list for a burn from the unit's acres, the hours that
// the fire is expected to need and the crew of its season. Every figure
// is common practice without a source, a planning default that the written burn
// plan replaces. Hours of 0 or less mean that they are not known; where the crew is
// not, what counts people has no number.
func OnSite(acres quantity.Acres, hours quantity.Hours, crew habitat.People) []Item {
	people := max(crew.Count, 0)
	lit := float64(hours)
	if !(lit > 0) || math.IsInf(lit, 0) {
		lit = math.Max(2, math.Sqrt(float64(acres)))
	}
	burners := math.Ceil(float64(people) / 3)
	each := func(share float64) float64 { return math.Ceil(share * float64(people)) }
	torches := 0.0
	if people > 0 {
		torches = burners + 1
	}
	item := func(name string, count float64, unit, why string) Item {
		return Item{Name: name, Count: count, Unit: unit, Why: why, Standing: CommonPractice}
	}
	whole := item("crew, including the burn boss", float64(people), "person", "the written burn plan says how many")
	if whole.Who = crew.Names; people == 0 {
		whole.Why = "the settings name no crew for the season; " + whole.Why
	}
	return []Item{
		whole,
		item("drip torches", torches, "torch", "one for each igniter and a spare"),
		item("torch fuel", math.Ceil(1.25*burners*lit), "gal", "1.25 gal for each igniter and hour"),
		item("water on a vehicle", math.Max(100, 50*math.Ceil(float64(acres)/10)), "gal", "50 gal for every 10 acres, at least 100"),
		item("spare pump fuel", math.Ceil(0.5*lit), "gal", "half a gallon an hour"),
		item("backpack pumps", each(0.5), "pump", "one for every two people"),
		item("flappers and fire rakes", each(1), "tool", "one for each person"),
		item("radios on one channel, batteries charged", each(1), "radio", "one for each person"),
		item("protective clothing, gloves, eye protection", each(1), "set", "one for each person"),
		item("drinking water", each(lit*0.25), "gal", "a quart for each person and hour"),
		item("thermometer, humidity and wind meter", 1, "set", "a reading every hour, written down"),
		item("first-aid kit", 1, "kit", "within reach of the line"),
		item("the signed burn plan, map and phone list", 1, "set", "in the hand of the person in charge"),
		item("signs for smoke on roads", 0, "sign", "where a road lies within reach of smoke"),
	}
}
