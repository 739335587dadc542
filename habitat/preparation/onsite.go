package preparation

import (
	"math"

	"emberquilt/habitat/quantity"
)

// Item is a thing to have on site for a burn, as a line to edit.
type Item struct {
	Name string
	// Count is how many; 0 means that the person responsible says how many.
	Count float64
	// Unit is what Count counts, such as "gal".
	Unit string
	Why  string
	// Standing says what the figure rests on.
	Standing string
}

// OnSite sizes a first list for a burn from the unit's acres, the hours that
// the fire is expected to need and the people on the line. Every figure is
// common practice without a source, a planning default that the written burn
// plan replaces. Hours of 0 or less mean that they are not known.
func OnSite(acres quantity.Acres, hours quantity.Hours, people int) []Item {
	people = max(people, 2)
	lit := float64(hours)
	if !(lit > 0) || math.IsInf(lit, 0) {
		lit = math.Max(2, math.Sqrt(float64(acres)))
	}
	burners := math.Max(1, math.Ceil(float64(people)/3))
	item := func(name string, count float64, unit, why string) Item {
		return Item{Name: name, Count: count, Unit: unit, Why: why, Standing: CommonPractice}
	}
	return []Item{
		item("people on the line, one of them in charge", float64(people), "people", "the written burn plan says how many"),
		item("drip torches", burners+1, "torches", "one for each igniter and a spare"),
		item("torch fuel", math.Ceil(1.25*burners*lit), "gal", "1.25 gal for each igniter and hour"),
		item("water on a vehicle", math.Max(100, 50*math.Ceil(float64(acres)/10)), "gal", "50 gal for every 10 acres, at least 100"),
		item("spare pump fuel", math.Ceil(0.5*lit), "gal", "half a gallon an hour"),
		item("backpack pumps", math.Ceil(float64(people)/2), "pumps", "one for every two people"),
		item("flappers and fire rakes", float64(people), "tools", "one for each person"),
		item("radios on one channel, batteries charged", float64(people), "radios", "one for each person"),
		item("protective clothing, gloves, eye protection", float64(people), "sets", "one for each person"),
		item("drinking water", math.Ceil(float64(people)*lit*0.25), "gal", "a quart for each person and hour"),
		item("thermometer, humidity and wind meter", 1, "set", "a reading every hour, written down"),
		item("first-aid kit", 1, "kit", "within reach of the line"),
		item("the signed burn plan, map and phone list", 1, "set", "in the hand of the person in charge"),
		item("signs for smoke on roads", 0, "signs", "where a road lies within reach of smoke"),
	}
}
