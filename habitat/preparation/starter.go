package preparation

import (
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

// CommonPractice is what a starter task without a source rests on.
const CommonPractice = "common practice, no source"

// Starter tasks of units that are grazed. Before there were such, StockTask was one of
// every unit.
const (
	StockTask     = "move stock out and see to gates"
	DefermentTask = "take stock off, to grow the fuel"
)

// RecordTask is the starter task that a burn on record has done.
const RecordTask = "record the burn"

// What starter tasks rest on that more than one of them names.
const (
	coarseFuels = "published: Noble Research Institute, Move coarse, volatile fuels away from firebreaks, News and Views, January 2013"
	mopUp       = "published: J. R. Weir, Conducting Prescribed Fires, Texas A&M University Press, 2009, chapter 15"
	evaluation  = "published: D. D. Wade and J. D. Lunsford, A guide for prescribed fire in southern forests, USDA Forest Service R8-TP 11, 1989, evaluation"
)

// wooded names covers that drop leaves on a line.
func wooded() []string {
	return []string{"oak", "hickory", "savanna", "woodland", "woods", "woodlot", "forest", "timber", "trees", "hardwood", "hardwoods", "pine", "thicket", "draw"}
}

// Starter gives the task list that a new property begins with: starting points
// to be replaced by the user's own. Each says in Standing what it rests on.
//
// Sources: the lead times, and the days after the burn where no source is named
// with them, are common practice without a source; break widths
// follow Missouri practice guidance for code 394, 394_MO_GD_001, February 2020;
// permits and signature Idaho practice specification ID-338-SPEC, 2009; the
// notification list the same and the New Mexico job sheet for code 338, 2011; the
// forecast extension.org, Prescribed Fire, beginners' rule 3; what lies near a break
// Noble Research Institute, January 2013; mop-up and patrol Weir 2009, chapter 15
// (spot fires start again from a few hours to a day or two later, from logs, snags,
// brush piles); the first evaluation, the morning after, and the second, in the
// growing season, Wade and Lunsford 1989; photos Adlam, Cowan and Berger 2023.
func Starter() []habitat.Task {
	return []habitat.Task{
		{
			Name:   "spray cool-season sod that is to be replaced",
			Covers: []string{"cool-season sod", "old field in recovery"}, Yearly: span(time.November, 1, time.December, 31),
			Standing: CommonPractice,
			Notes:    "in November or December before a burn the following spring; burning late, mid-April on sloping ground, shortens the time in which bare soil lies open to erosion",
		},
		{
			Name: "spray the break lines", Earliest: 240, Latest: 60, Standing: CommonPractice,
			Notes: "so that the sod breaks when it is disked",
		},
		{
			Name: "fell dead snags near the breaks", Earliest: 180, Latest: 7, Standing: coarseFuels,
			Notes: "before the day of the burn, never on it; logs and stumps near a break burn for hours or days",
		},
		{
			Name: "clear cedars and brush piles from the breaks", Earliest: 180, Latest: 14, Standing: coarseFuels,
			Notes: "cedars, pines and briers throw embers over a break; move piles 50 yards or more into the unit, or out of it",
		},
		{
			Name: "disk the breaks", Earliest: 120, Latest: 5, After: []string{"spray the break lines"}, Standing: CommonPractice,
			Notes: "while the soil is moist; 6 ft is usual, up to 30 ft beside tall or heavy fuel; at least twice the height of the fuel beside it and 4 ft is a published minimum (Missouri NRCS, practice guidance 394_MO_GD_001, February 2020)",
		},
		{
			Name: "have the written burn plan signed", Earliest: 180, Latest: 30, Standing: "published: Idaho NRCS, specification ID-338-SPEC, 2009 (the plan is written by a certified person; permits come before burning)",
			Notes: "a plan of an earlier year is certified again in the year of the burn",
		},
		{
			Name: "ask for the permit or the burn authorization", Earliest: 45, Latest: 10, Workdays: true, After: []string{"have the written burn plan signed"}, Standing: CommonPractice,
			Notes: "what is asked for, by whom and how long before differs by state and county",
		},
		{
			Name: "tell the neighbors", Earliest: 30, Latest: 7, Standing: "published: New Mexico NRCS, job sheet for code 338, 2011, notification record (who, phone, date and time)",
			Notes: "write down who was told, when and by whom",
		},
		{
			Name: "notify the fire department", Earliest: 7, Latest: 1, Workdays: true, After: []string{"ask for the permit or the burn authorization"}, Standing: "published: New Mexico NRCS, job sheet for code 338, 2011, notification record",
			Notes: "and again on the morning of the burn",
		},
		{
			Name: "read the forecast against the prescription", Earliest: 2, Latest: 0, Standing: "published: extension.org, Prescribed Fire, beginners' rule 3 (no front or wind shift within 12 hours)",
			Notes: "the day before and on the day; fire weather warnings decide",
		},
		{
			Name: "check pumps, radios and hand tools", Earliest: 7, Latest: 1, Standing: CommonPractice,
		},
		{
			Name: "rake or blow the leaf line to bare soil", Covers: wooded(), Earliest: 3, Latest: 0, Standing: "published: J. R. Weir, Conducting Prescribed Fires, Texas A&M University Press, 2009, chapter on firebreaks",
			Notes: "leaves drift back overnight: walk it again on the morning of the burn; flag where it runs, so that nobody lights outside it",
		},
		{
			Name: StockTask, Grazed: true, Earliest: 7, Latest: 1, Standing: CommonPractice,
			Notes: "gates that the crew and the fire department need are open, those that keep stock out are shut",
		},
		{
			Name: DefermentTask, Grazed: true, Yearly: span(time.June, 15, time.July, 15), Standing: "published: Noble Research Institute, Summer grazing deferment for prescribed burns, News and Views, July 2012",
			Notes: "by mid-July the grass that carries the fire has grown three quarters of its weight, on the Southern Great Plains; what is grazed off after that hardly comes back before a winter or spring burn. Elsewhere set your own days",
		},
		{
			Name: "keep stock off until the grass has come back", Grazed: true, AfterBurn: true, Earliest: 0, Latest: 60, Standing: CommonPractice,
			Notes: "how long follows from rain, grass and how hard it was grazed before: set your own days; where stock is meant to follow the fire, take this task off the list",
		},
		{
			Name: "mop up from the line inward", AfterBurn: true, Earliest: 0, Latest: 1, Standing: mopUp,
			Notes: "logs, snags, brush piles, stumps and unburned islands along the line first",
		},
		{
			Name: "walk the whole line until nothing smokes", AfterBurn: true, Earliest: 0, Latest: 2, After: []string{"mop up from the line inward"}, Standing: mopUp,
			Notes: "fires start again from a few hours to a day or two later",
		},
		{
			Name: "feel snags, stumps and roots for heat", AfterBurn: true, Earliest: 1, Latest: 3, After: []string{"mop up from the line inward"}, Standing: mopUp,
			Notes: "woodland smokes for days, grass hardly; wet it, stir it, feel it again",
		},
		{
			Name: "look again before wind, and before rain", AfterBurn: true, Earliest: 1, Latest: 5, Standing: CommonPractice,
			Notes: "before the next strong wind for heat near the line; before heavy rain for slopes and drains where ash and soil would wash",
		},
		{
			Name: RecordTask, AfterBurn: true, Earliest: 0, Latest: 3, Standing: evaluation,
			Notes: "acres, hours, readings, who was told, what burned and what did not, while it is fresh",
		},
		{
			Name: "take photos from the points of before", AfterBurn: true, Earliest: 0, Latest: 7, Standing: "published: C. Adlam, A. Cowan and C. Berger, Prescribed Fire Basics: Monitoring and Evaluation, Oregon State University Extension EM 9388, 2023",
			Notes: "and again when it is green",
		},
		{
			Name: "look at green-up and bare slopes", AfterBurn: true, Earliest: 21, Latest: 90, Standing: evaluation,
			Notes: "what greened up, what was killed, where soil washes; where slopes stay bare, seed or mulch them and burn later the next time",
		},
	}
}

func span(fm time.Month, fd int, lm time.Month, ld int) *date.AnnualSpan {
	return &date.AnnualSpan{First: date.Annual{Month: fm, Dom: fd}, Last: date.Annual{Month: lm, Dom: ld}}
}
