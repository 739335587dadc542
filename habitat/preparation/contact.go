package preparation

import "emberquilt/habitat"

// Contacts gives the roles that a notification list needs where the property
// names none: neighbors, fire department, state forestry and the smoke desk as
// one state's notification record has them (New Mexico NRCS, job sheet for code
// 338, 2011), dispatch and sheriff as common practice without a source.
func Contacts() []habitat.Contact {
	return []habitat.Contact{
		{Role: "county dispatch", When: "on the day, before lighting and when out"},
		{Role: "fire department", When: "on the day, before lighting and when out"},
		{Role: "state forestry office", When: "as its rules ask"},
		{Role: "smoke desk or air quality office", When: "as its rules ask"},
		{Role: "sheriff", When: "on the day"},
		{Role: "neighbor", When: "days before and on the day"},
		{Role: "neighbor", When: "days before and on the day"},
	}
}
