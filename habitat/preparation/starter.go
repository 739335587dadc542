package preparation

import (
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

// CommonPractice is what a starter task without a source rests on.
const CommonPractice = "common practice, no source"

// Starter gives the task list that a new property begins with: starting points
// to be replaced by the user's own. Each says in Standing what it rests on.
//
// Sources: the lead times are common practice without a source; break widths
// follow Missouri practice guidance for code 394, 394_MO_GD_001, February 2020;
// permits and signature Idaho practice specification ID-338-SPEC, 2009; the
// notification list the same and the New Mexico job sheet for code 338, 2011; the
// forecast extension.org, Prescribed Fire, beginners' rule 3.
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
			Name: "fell dead snags near the breaks", Earliest: 180, Latest: 7, Standing: CommonPractice,
			Notes: "before the day of the burn, never on it",
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
	}
}

func span(fm time.Month, fd int, lm time.Month, ld int) *date.AnnualSpan {
	return &date.AnnualSpan{First: date.Annual{Month: fm, Dom: fd}, Last: date.Annual{Month: lm, Dom: ld}}
}
