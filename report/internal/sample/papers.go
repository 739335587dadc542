package sample

import (
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
	"emberquilt/schedule/window"
	"emberquilt/testdata/demo"
)

// Packet gives the cost-share contract of the demo's farm, with readings, a
// firebreak practice in feet and attached files added.
func Packet() *view.PacketInput {
	p := habitat.NewProperty("Nine Gate Farm")
	p.Place, p.Owner = "Orrin County", "landowner"
	p.Seasons = []habitat.Season{{Name: "dormant", Span: span(time.February, 1, time.April, 14)}}
	in := &view.PacketInput{Stamp: Stamp(), Property: p, Units: units("nine-gate"), Records: burned("nine-gate")}
	in.Shapes = shapes("nine-gate", in.Units)
	in.Contract = habitat.Contract{Name: "Native grass contract 1", Client: "landowner", Practices: []habitat.Practice{
		{Code: "338", Name: "Prescribed Burning", Standard: "2020-09", Measure: habitat.InAcres, Burns: true},
		{Code: "394", Name: "Firebreak", Standard: "2021-04", Measure: habitat.InFeet},
	}, Files: []habitat.Attachment{{Path: "contract/signed.pdf", SHA256: strings.Repeat("ab12", 16)}}}
	for _, row := range rows("nine-gate/contract.csv") {
		var year, acres float64
		year, acres = must(quantity.Parse(row["fiscal_year"])), must(quantity.Parse(row["acres"]))
		in.Contract.Items = append(in.Contract.Items, habitat.ContractItem{Unit: row["unit"], Practice: row["practice_code"], FiscalYear: date.FiscalYear(year), Planned: acres})
	}
	in.Contract.Items = append(
		in.Contract.Items,
		habitat.ContractItem{Unit: "Gate One", Practice: "394", FiscalYear: 2024, Planned: 1850},
		habitat.ContractItem{Unit: "Gate Three", Practice: "394", FiscalYear: 2026, Planned: 1320},
	)
	in.Contract.NumberLines()
	in.Contract.Completions = []habitat.Completion{{Unit: "Gate One", Practice: "394", On: date.MustDay(2024, time.February, 20), Applied: 1910, Notes: "disked and seeded"}}
	in.Planned = []habitat.PlannedBurn{
		{Unit: "Gate Three", Year: 2027, Season: "dormant"},
		{Unit: "Gate Seven", Year: 2027, Season: "dormant"},
		{Unit: "Gate One", Year: 2028, Season: "dormant"},
	}
	r := &in.Records[0]
	warm, damp, wind, from := quantity.Fahrenheit(58), quantity.Percent(41), quantity.MilesPerHour(7.5), quantity.Bearing(202.5)
	consumed := quantity.Share(0.85)
	r.Readings = []habitat.Reading{{At: "12:00", Temperature: &warm, Humidity: &damp, Wind: &wind, WindFrom: &from}, {At: "13:00", Humidity: &damp}}
	r.Purpose, r.Ignition, r.Crew, r.Permit, r.Consumed = "improve habitat", "strip-heading", "landowner and three neighbors", "B-17", &consumed
	r.Notified = []habitat.Notification{{Who: "county dispatch", At: "2024-03-14 10:40"}, {Who: "fire department", At: "2024-03-14 10:45"}}
	r.Files = []habitat.Attachment{{Path: "photos/gate-one-2024-03-14.jpg", SHA256: strings.Repeat("0f", 32)}}
	return in
}

// Draft gives the burn plan draft of a unit that is due in the terrace's first
// year.
func Draft(plan *view.Plan) *view.DraftInput {
	in := Season(plan)
	due := must(view.NewDue(in, 0, 2027))
	u := due.Units[1]
	starters := prescription.Starters()
	return &view.DraftInput{
		Plan:         plan,
		Unit:         u.Unit,
		Year:         2027,
		Season:       due.Season,
		Windows:      u.Windows,
		Tasks:        u.Tasks,
		Prescription: starters[0],
		Hours:        6.5,
		Run:          1320,
		Crew:         due.Crew,
		Shapes: Shapes(
			plan,
		),
		Adjoining: []string{"north: the river", "east: Tenant Field, in recovery"},
		Places:    []string{"school, 0.6 miles to the south-east"},
		Breaks:    []string{"the river on the north side", "a gravel road on the south side, 18 ft"},
	}
}

// Sheet gives the this-season sheet of the terrace's first season.
func Sheet(plan *view.Plan) *view.Sheet {
	due := must(view.NewDue(Season(plan), 0, 2027))
	in := view.SheetInput{Plan: plan, Shapes: Shapes(plan), Facts: map[string]view.SheetFacts{}}
	limits := prescription.Starters()[0]
	for i, u := range due.Open() {
		facts := view.SheetFacts{Limits: limits}
		if i != 1 { // one unit without a depth
			card := window.CardInput{Within: 5280}
			for k, depth := range in.Shapes[u.Unit].Depths() {
				card.Depths[k], card.Runs[k] = depth.Along, depth.Run
			}
			if i == 0 {
				school := window.Place{Name: "School", Kind: "school", Distance: 900}
				for _, k := range []int{14, 15, 0} {
					school.Reached[k], school.Downwind[k] = true, 900
				}
				card.Places = []window.Place{school}
			}
			facts.Hours, facts.Rose = 5, view.NewRose(view.NewWindCard(u.Unit, due.Season, window.NewCard(card, limits, nil), window.Firing{}), nil)
			facts.Near = []string{"School (school): 900 ft to the SSE (158°)"}
		}
		in.Facts[u.Unit] = facts
	}
	return view.NewSheet(due, in)
}

// Shapes gives the outlines of the terrace's units, by the names that they have
// in the plan.
func Shapes(plan *view.Plan) map[string]ground.Shape { return shapes("tamsel-bend", plan.Units) }

func shapes(folder string, units []habitat.Unit) map[string]ground.Shape {
	features := must(geofile.ReadBytes(must(demo.Files.ReadFile(folder+"/units.geojson")), "units.geojson", geofile.Options{})).Features
	all := map[string]ground.Shape{}
	for i, f := range features {
		all[units[i].ID] = f.Shape
	}
	return all
}
