package list

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/ground"
)

// phone is a file as a phone's map saves it, written after the standard. Source: OGC
// 07-147r2, KML 2.2, and the schema of its extension namespace for Track.
func phone(placemarks ...string) string {
	return `<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2"><Document><Folder><name>fire</name>` +
		strings.Join(placemarks, "") + `</Folder></Document></kml>`
}

func mark(name, geometry string) string {
	return "<Placemark><name>" + name + "</name>" + geometry + "</Placemark>"
}

const (
	// about 10 acres each, beside each other
	westSquare   = `<Polygon><outerBoundaryIs><LinearRing><coordinates>-96.600,39.200 -96.5977,39.200 -96.5977,39.2018 -96.600,39.2018 -96.600,39.200</coordinates></LinearRing></outerBoundaryIs></Polygon>`
	eastPath     = `<LineString><coordinates>-96.590,39.200 -96.5877,39.200 -96.5877,39.2018 -96.590,39.2018 -96.590,39.2001</coordinates></LineString>`
	halfWay      = `<LineString><coordinates>-96.580,39.200 -96.5777,39.200 -96.5777,39.2018</coordinates></LineString>`
	aPin         = `<Point><coordinates>-96.610,39.210,340</coordinates></Point>`
	aRoad        = `<LineString><tessellate>1</tessellate><coordinates>-96.620,39.195 -96.600,39.1951 -96.580,39.195</coordinates></LineString>`
	aTrack       = `<gx:Track><when>2026-03-01T20:00:00Z</when><gx:coord>-96.570 39.200 340</gx:coord><gx:coord>-96.5677 39.200 341</gx:coord><gx:coord>-96.5677 39.2018 341</gx:coord><gx:coord>-96.570 39.2018 340</gx:coord><gx:coord>-96.570 39.2001 340</gx:coord></gx:Track>`
	aLoop        = `<LineString><coordinates>-96.560,39.200 -96.5577,39.200 -96.5577,39.2018 -96.560,39.2018 -96.560,39.200</coordinates></LineString>`
	aTangle      = `<LineString><coordinates>-96.560,39.200 -96.5577,39.2018 -96.5577,39.200 -96.560,39.2028 -96.560,39.200</coordinates></LineString>`
	ofKind       = `<ExtendedData><Data name="kind"><value>school</value></Data></ExtendedData>`
	noKind       = `<ExtendedData><Data name="kind"><value></value></Data></ExtendedData>`
	saysInterval = `<ExtendedData><Data name="every"><value>2-3</value></Data></ExtendedData>`
)

func TestShapesAreSortedOneByOne(t *testing.T) {
	for _, c := range []struct {
		name, text string
		opts       Options
		// want gives "NAME DRAWN-AS TAKEN-AS" of each shape, or a part of the fault.
		want []string
		says string
	}{
		{"patches, a pin and a road", phone(mark("West", westSquare), mark("East", eastPath), mark("house", aPin), mark("county road", aRoad)), Options{},
			[]string{"West polygon units", "East closed path units", "house pin places", "county road line places"},
			"2 units (1 drawn as a path); 2 places: house (pin), county road (line); KML"},
		{"a recorded walk", phone(mark("Loop", aTrack)), Options{}, []string{"Loop closed path units"}, "closed over 36 ft"},
		{"a loop road", phone(mark("West", westSquare), mark("Loop Road", aLoop)), Options{}, []string{"West polygon units", "Loop Road closed path places"}, ""},
		{"a loop road that is a unit", phone(mark("Loop Road", aLoop)), Options{Units: []string{"Loop Road"}}, []string{"Loop Road closed path units"}, ""},
		{"a tangle of ways", phone(mark("ways", aTangle)), Options{}, []string{"ways closed path places"}, ""},
		{"a unit drawn as a tangle", phone(mark("ways", aTangle)), Options{Units: []string{"ways"}}, nil, `crosses itself`},
		{"the unit's own spelling", phone(mark("west", westSquare)), Options{Units: []string{"West", "East"}}, []string{"west polygon units"}, `the shape "west" was taken as that of unit "West"`},
		{"a unit's pin", phone(mark("West", westSquare), mark("west", aPin)), Options{Units: []string{"West"}}, []string{"West polygon units", "west pin nothing"},
			`a pin that bears a unit's name marks the unit and was left out; --as west=place takes it`},
		{"a unit that was not walked round", phone(mark("West", halfWay)), Options{Units: []string{"West"}}, nil,
			`the path bears a unit's name and does not close: 9`},
		{"and is closed all the same", phone(mark("West", halfWay)), Options{Units: []string{"West"}, As: map[string]Kind{"west": Units}}, []string{"West line units"}, "was closed over 9"},
		{"a school's yard", phone(mark("West", westSquare), mark("school", ofKind+strings.ReplaceAll(westSquare, "39.20", "39.21"))), Options{}, []string{"West polygon units", "school polygon places"}, ""},
		{"a unit that says its kind", phone(mark("West", ofKind+westSquare)), Options{Units: []string{"West"}}, []string{"West polygon units"}, ""},
		{"a file of places", phone(mark("school", ofKind+westSquare), mark("yard", noKind+strings.ReplaceAll(westSquare, "39.20", "39.21"))), Options{}, []string{"school polygon places", "yard polygon places"}, "places, told by their shapes"},
		{"an interval makes a unit", phone(mark("school", ofKind+saysInterval+westSquare)), Options{}, []string{"school polygon units"}, ""},
		{"all taken as places", phone(mark("West", westSquare), mark("East", eastPath)), Options{Kind: Places}, []string{"West polygon places", "East closed path places"}, "places, as was said"},
		{"a pin taken as a unit", phone(mark("house", aPin)), Options{Kind: Units}, nil, `the unit has no area; accepts a polygon, or a path that comes back to its start` + "\n" + `hint: --as house=place takes the pin as a place that smoke may reach, --as house=nothing leaves it out`},
		{"single shapes said", phone(mark("West", westSquare), mark("county road", aRoad), mark("house", aPin)), Options{As: map[string]Kind{"County road": Breaks, "house": Nothing}},
			[]string{"West polygon units", "county road line breaks", "house pin nothing"}, "1 unit; 1 standing break: county road (line); 1 left out: house (pin)"},
		{"a name that is not there", phone(mark("West", westSquare), mark("county road", aRoad)), Options{As: map[string]Kind{"conty road": Breaks}}, nil, `no shape is named "conty road"; accepts the name of a shape of the file before the =` + "\n" + `hint: did you mean "county road"?`},
		{"GeoJSON", `{"type":"FeatureCollection","features":[
			{"type":"Feature","properties":{"name":"West"},"geometry":{"type":"Polygon","coordinates":[[[-96.6,39.2],[-96.59,39.2],[-96.59,39.21],[-96.6,39.2]]]}},
			{"type":"Feature","properties":{"name":"East"},"geometry":{"type":"LineString","coordinates":[[-96.58,39.2],[-96.57,39.2],[-96.57,39.21],[-96.58,39.2]]}},
			{"type":"Feature","properties":{"name":"road"},"geometry":{"type":"MultiLineString","coordinates":[[[-96.6,39.19],[-96.59,39.19]],[[-96.59,39.19],[-96.58,39.19]]]}},
			{"type":"Feature","properties":{"name":"house"},"geometry":{"type":"Point","coordinates":[-96.61,39.2]}}]}`, Options{},
			[]string{"West polygon units", "East closed path units", "road line places", "house pin places"}, "GeoJSON"},
		{"GPX", `<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="39.21" lon="-96.61"><name>house</name></wpt>
			<rte><name>lane</name><rtept lat="39.19" lon="-96.61"/><rtept lat="39.19" lon="-96.60"/></rte>
			<trk><name>West</name><trkseg><trkpt lat="39.2" lon="-96.6"/><trkpt lat="39.2" lon="-96.59"/><trkpt lat="39.21" lon="-96.59"/><trkpt lat="39.2001" lon="-96.6001"/></trkseg></trk></gpx>`, Options{},
			[]string{"house pin places", "lane line places", "West closed path units"}, "1 unit (1 drawn as a path); 2 places: house (pin), lane (line); GPX"},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := Read(context.Background(), []byte(c.text), "f", c.opts)
			if (err != nil) != (c.want == nil) {
				t.Fatalf("%v", err)
			}
			if err != nil {
				if !strings.Contains(err.Error(), c.says) {
					t.Errorf("%v\nwant %s", err, c.says)
				}
				return
			}
			var got []string
			for _, d := range l.Drawn {
				got = append(got, fmt.Sprintf("%s %s %s", d.Name, d.Form, d.As))
			}
			if strings.Join(got, "; ") != strings.Join(c.want, "; ") {
				t.Errorf("taken as %s\nwant %s", strings.Join(got, "; "), strings.Join(c.want, "; "))
			}
			text := l.Told
			for _, n := range l.Notes {
				text += "\n" + n.String()
			}
			if !strings.Contains(text, c.says) {
				t.Errorf("it says %s\nwant %s", text, c.says)
			}
		})
	}
}

func TestParseAs(t *testing.T) {
	all, as, err := ParseAs("places", "county road=break", "a=b=Unit", "house=nothing")
	if err != nil || all != Places || fmt.Sprint(as) != "map[a=b:units county road:breaks house:nothing]" {
		t.Errorf("%v %v %v", all, as, err)
	}
	for text, want := range map[string]string{
		"flowers":          `"flowers" is not a kind of list; accepts units, pairs, burns, locks, contracts, places, breaks`,
		"house=plcae":      "accepts unit, place, break, nothing\nhint: did you mean place?",
		"house=burns":      "accepts unit, place, break, nothing",
		"=place":           "names no shape",
		"nothing":          "is not a kind of list",
		"units,places":     "is not a kind of list",
		"units places":     "is not a kind of list",
		"house=":           "is not a kind of list",
		"a=unit;A=unit":    "is named twice",
		"units;places":     "cannot be combined",
		"NORTH FIELD=unit": "",
	} {
		_, _, err := ParseAs(strings.Split(text, ";")...)
		if want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
			t.Errorf("%s: %v, want %s", text, err, want)
		}
	}
}

// A table read beside shapes names its units, whichever file comes first.
func TestShapesKnowTheUnitsOfTables(t *testing.T) {
	table := Input{Name: "t.csv", Data: []byte("unit,acres,every\nWest,10,2-3\n")}
	shapes := Input{Name: "s.kml", Data: []byte(phone(mark("WEST", ofKind+westSquare)))}
	for _, inputs := range [][]Input{{table, shapes}, {shapes, table}} {
		lists, errs := ReadAll(context.Background(), inputs, nil)
		for i, l := range lists {
			if errs[i] != nil {
				t.Fatal(errs[i])
			}
			if names := l.UnitNames(); len(names) != 1 || names[0] != "West" {
				t.Errorf("%s holds the units %v", l.File, names)
			}
		}
	}
}

// Shapes far from the property's place are taken, and said.
func TestShapesFarOffAreSaid(t *testing.T) {
	l, err := Read(context.Background(), []byte(phone(mark("West", ofKind+westSquare))), "s.kml", Options{})
	if err != nil {
		t.Fatal(err)
	}
	center, _ := l.Center()
	for _, c := range []struct {
		north float64 // degrees, of 69 miles each
		isFar bool
	}{{0, false}, {0.8, false}, {1, true}} {
		cur := Current{Property: habitat.NewProperty("West")}
		cur.Property.HasPlace, cur.Property.Latitude, cur.Property.Longitude = true, center.Lat+c.north, center.Lon
		plan, err := MakePlan(&cur, []*List{l}, PlanSettings{NewUnit: &habitat.Unit{BurnDays: 1, Interval: habitat.Interval{Min: 2, Max: 3}}})
		if err != nil {
			t.Fatal(err)
		}
		isSaid := slices.ContainsFunc(plan.Notes, func(n ground.Note) bool { return strings.Contains(n.Text, "69 miles from the property's place") })
		if isSaid != c.isFar {
			t.Errorf("%g degrees off: %v", c.north, plan.Notes)
		}
	}
}
