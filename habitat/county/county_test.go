package county

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	_ "time/tzdata"

	"emberquilt/habitat"
)

func TestFind(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"Riley County, Kansas", "Riley County, Kansas"},
		{"riley, ks", "Riley County, Kansas"},
		{"Riley KS", "Riley County, Kansas"},
		{"Kansas, Riley", "Riley County, Kansas"},
		{"mchenry county north dakota", "McHenry County, North Dakota"},
		{"St. Louis, MO", "St. Louis County, Missouri"},
		{"Saint Louis city, Missouri", "St. Louis (city), Missouri"},
		{"La Porte, IN", "LaPorte County, Indiana"},
		{"Red River Parish, LA", "Red River Parish, Louisiana"},
	} {
		c, err := Find(test.text)
		if err != nil || c.String() != test.want {
			t.Errorf("%q: %v, %v; want %s", test.text, c, err, test.want)
		}
	}
	for _, test := range []struct{ text, want string }{
		{"Rily County, Kansas", "did you mean Riley?"},
		{"Riley, Kansus", "did you mean Kansas?"},
		{"Riley", "names no county and state"},
	} {
		if _, err := Find(test.text); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%q: %v; want %q", test.text, err, test.want)
		}
	}
}

func TestNearest(t *testing.T) {
	// The center of a county is nearest to itself.
	for i := range All() {
		c := &All()[i]
		if got, miles := Nearest(c.Latitude, c.Longitude); miles > 0.01 || got.FIPS != c.FIPS && (got.Latitude != c.Latitude || got.Longitude != c.Longitude) {
			t.Errorf("%s: %s, %.1f miles", c, got, miles)
		}
	}
}

// TestEveryCountyHasAZone holds the lists of exceptions against the table: each name
// in them is a county.
func TestEveryCountyHasAZone(t *testing.T) {
	named := map[string]bool{}
	for i := range All() {
		c := &All()[i]
		named[c.State+"/"+c.Name] = true
		if _, err := time.LoadLocation(c.Zone); err != nil {
			t.Errorf("%s: %v", c, err)
		}
		if math.Abs(c.Latitude) > 90 || math.Abs(c.Longitude) > 180 {
			t.Errorf("%s lies at %v %v", c, c.Latitude, c.Longitude)
		}
	}
	check := func(state, names string) {
		for _, name := range strings.Split(names, ",") {
			if !named[state+"/"+name] {
				t.Errorf("%s has no county %q", state, name)
			}
		}
	}
	for state, byZone := range others {
		for _, names := range byZone {
			check(state, names)
		}
	}
	for state, names := range cut {
		check(state, names)
	}
}

// borderErrors are counties for whose centers tz-lookup, which rounds its map to
// cells, gives the clock of the other side: their clock is that of 49 CFR 71. At these
// the centers lie within some 20 miles of the limit between two zones, of another
// country, or of a reservation that keeps the law's other clock.
var borderErrors = map[string]string{
	"Alaska": "Ketchikan Gateway,Petersburg,Wrangell", "Arizona": "Apache", "Florida": "Calhoun,Gulf", "Georgia": "Chattooga,Early,Seminole",
	"Idaho": "Boundary,Shoshone", "Indiana": "Perry,Vermillion", "Kansas": "Cheyenne,Grant,Kearny,Stanton,Wichita", "Michigan": "Gogebic,Iron",
	"Montana": "Daniels", "Nebraska": "Hooker", "North Dakota": "Burke,Divide,McKenzie,Morton,Williams", "Oklahoma": "Cimarron", "Kentucky": "Adair",
	"American Samoa": "Eastern,Western",
}

// TestZonesAgainstLookup holds each county's clock against another library's.
//
// Source: npm package tz-lookup 6.1.25, at the center of each county; hours from UTC
// in January and July of 2026.
func TestZonesAgainstLookup(t *testing.T) {
	folder := os.Getenv("EMBERQUILT_NODE")
	if folder == "" {
		t.Skip("EMBERQUILT_NODE does not name a folder with the npm libraries; .ci/run sets it")
	}
	type place struct{ Lat, Lon float64 }
	var asked []place
	for i := range All() {
		asked = append(asked, place{All()[i].Latitude, All()[i].Longitude})
	}
	in, err := json.Marshal(asked)
	if err != nil {
		t.Fatal(err)
	}
	const script = `const {createRequire}=require("node:module");const tz=createRequire(process.argv[1]+"/package.json")("tz-lookup");` +
		`process.stdout.write(JSON.stringify(JSON.parse(require("node:fs").readFileSync(0)).map(p=>tz(p.Lat,p.Lon))))`
	command := exec.Command("node", "-e", script, folder)
	command.Stdin = bytes.NewReader(in)
	out, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var zonesThere []string
	if err := json.Unmarshal(out, &zonesThere); err != nil {
		t.Fatal(err)
	}
	for i, name := range zonesThere {
		c := &All()[i]
		there, err := time.LoadLocation(name)
		if err != nil {
			t.Fatal(err)
		}
		ours, _ := time.LoadLocation(c.Zone)
		same := habitat.StandardOffset(ours, 2026) == habitat.StandardOffset(there, 2026) && summer(ours) == summer(there)
		if known := holds(borderErrors[c.State], c.Name); same == known {
			t.Errorf("%s: %s here, %s there", c, c.Zone, name)
		}
	}
}

func summer(zone *time.Location) int {
	_, offset := time.Date(2026, time.July, 1, 12, 0, 0, 0, zone).Zone()
	return offset
}

// TestTableIsWhatTheScriptMakes makes the table again from the shapes.
func TestTableIsWhatTheScriptMakes(t *testing.T) {
	if os.Getenv("EMBERQUILT_NODE") == "" {
		t.Skip("EMBERQUILT_NODE does not name a folder with the npm libraries; .ci/run sets it")
	}
	out, err := exec.Command("node", "../../.ci/node/counties.mjs").Output()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(out, centers) {
		t.Error("the table is not what .ci/node/counties.mjs makes")
	}
}
