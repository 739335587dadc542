package county

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"emberquilt/habitat/source"
)

// County is one county, parish, borough or independent city.
type County struct {
	// FIPS is the five-digit code of the federal standard.
	FIPS, State, Name string
	// Latitude and Longitude are those of its center, in degrees.
	Latitude, Longitude float64
	// Zone is its time zone, such as America/Chicago.
	Zone string
	// IsSplit says that a part of it keeps another clock.
	IsSplit bool
}

// String gives "Riley County, Kansas".
func (c *County) String() string {
	switch c.State {
	case "Louisiana":
		return c.Name + " Parish, " + c.State
	case "Alaska", "Puerto Rico", "Guam", "District of Columbia", "American Samoa", "United States Virgin Islands", "Commonwealth of the Northern Mariana Islands":
		return c.Name + ", " + c.State
	}
	if isCity(c) {
		return strings.TrimSuffix(c.Name, " (city)") + " (city), " + c.State
	}
	return c.Name + " County, " + c.State
}

// isCity tells the cities that are not part of a county; their codes begin at 510.
func isCity(c *County) bool { return c.FIPS[2] >= '5' && c.FIPS[2:] >= "510" && hasCities(c.State) }

func hasCities(state string) bool {
	return state == "Virginia" || state == "Maryland" || state == "Missouri" || state == "Nevada"
}

//go:embed centers.csv
var centers []byte

// All gives every county, in the order of the codes. The slice is shared: it is not
// to be changed.
var All = sync.OnceValue(func() []County {
	rows, err := csv.NewReader(bytes.NewReader(centers)).ReadAll()
	if err != nil {
		panic("county: " + err.Error())
	}
	all := make([]County, 0, len(rows))
	for _, row := range rows[1:] {
		c := County{FIPS: row[0], State: row[1], Name: row[2]}
		var errs [2]error
		c.Latitude, errs[0] = strconv.ParseFloat(row[3], 64)
		c.Longitude, errs[1] = strconv.ParseFloat(row[4], 64)
		if errs[0] != nil || errs[1] != nil {
			panic("county: the table holds a center without numbers: " + c.FIPS)
		}
		c.Zone, c.IsSplit = zoneOf(&c)
		all = append(all, c)
	}
	return all
})

// accepts says how a county is named.
const accepts = `a county and its state, such as "Riley County, Kansas" or "Riley, KS"`

// Find gives the county of a text such as "Riley County, Kansas", "Riley KS" or
// "Kansas, Riley". The error says what is near.
func Find(text string) (*County, error) {
	parts := strings.Split(text, ",")
	if len(parts) == 1 {
		words := strings.Fields(text)
		for n := 1; n <= 5 && n < len(words); n++ { // the state is the last words
			if state := stateNamed(strings.Join(words[len(words)-n:], " ")); state != "" {
				parts = []string{strings.Join(words[:len(words)-n], " "), state}
			}
		}
	}
	if len(parts) != 2 {
		return nil, &source.Error{Found: source.Quote(text) + " names no county and state", Accepts: accepts}
	}
	name, state := parts[0], stateNamed(parts[1])
	if state == "" {
		name, state = parts[1], stateNamed(parts[0])
	}
	if state == "" {
		err := &source.Error{Found: source.Quote(strings.TrimSpace(parts[1])) + " is not a state", Accepts: accepts}
		if near := source.Nearest(fold(parts[1]), folded(States())); near != "" {
			err.Hint = fmt.Sprintf("did you mean %s?", original(States(), near))
		}
		return nil, err
	}
	var names []string
	wanted := plain(name)
	counties := All()
	var only *County
	for i := range counties {
		c := &counties[i]
		if c.State != state {
			continue
		}
		names = append(names, c.Name)
		if plain(c.Name) != wanted {
			continue
		}
		if only == nil || strings.Contains(fold(name), "city") == isCity(c) {
			only = c
		}
	}
	if only != nil {
		return only, nil
	}
	err := &source.Error{Found: fmt.Sprintf("%s is not a county of %s", source.Quote(strings.TrimSpace(name)), state), Accepts: accepts}
	if near := source.Nearest(wanted, plainAll(names)); near != "" {
		i := slices.Index(plainAll(names), near)
		err.Hint = fmt.Sprintf("did you mean %s?", names[i])
	}
	return nil, err
}

// Nearest gives the county whose center lies nearest to a point, and the miles to it.
func Nearest(latitude, longitude float64) (*County, float64) {
	counties := All()
	best, least := &counties[0], math.Inf(1)
	for i := range counties {
		c := &counties[i]
		if miles := milesBetween(latitude, longitude, c.Latitude, c.Longitude); miles < least {
			best, least = c, miles
		}
	}
	return best, least
}

// milesBetween is the great-circle distance on a sphere of 3,959 miles.
func milesBetween(a, b, c, d float64) float64 {
	const rad = math.Pi / 180
	h := math.Pow(math.Sin((c-a)*rad/2), 2) + math.Cos(a*rad)*math.Cos(c*rad)*math.Pow(math.Sin((d-b)*rad/2), 2)
	return 2 * 3959 * math.Asin(math.Sqrt(min(1, h)))
}

// fold brings a name to the form in which names are compared.
func fold(text string) string {
	text = strings.NewReplacer(".", "", "'", "", "’", "", "-", " ").Replace(strings.ToLower(text))
	return strings.Join(strings.Fields(text), " ")
}

// plain leaves away what sort of county it is.
func plain(name string) string {
	name = fold(strings.ReplaceAll(name, "(city)", ""))
	for _, sort := range []string{" county", " parish", " borough", " census area", " municipality", " city", " co"} {
		if cut, has := strings.CutSuffix(name, sort); has {
			return spelled(cut)
		}
	}
	return spelled(name)
}

// spelled writes saint out, and closes names such as La Porte.
func spelled(name string) string {
	if rest, has := strings.CutPrefix(name, "saint "); has {
		name = "st " + rest
	}
	return strings.ReplaceAll(name, " ", "")
}

func plainAll(names []string) []string {
	all := make([]string, len(names))
	for i, name := range names {
		all[i] = plain(name)
	}
	return all
}

func folded(names []string) []string {
	all := make([]string, len(names))
	for i, name := range names {
		all[i] = fold(name)
	}
	return all
}

func original(names []string, near string) string {
	return names[slices.Index(folded(names), near)]
}

// States lists the states and territories.
func States() []string {
	var all []string
	for i := range All() {
		if c := &All()[i]; len(all) == 0 || all[len(all)-1] != c.State {
			all = append(all, c.State)
		}
	}
	return all
}

// stateNamed gives the full name of a state or its postal letters; empty for none.
func stateNamed(text string) string {
	text = fold(text)
	if full := postal[strings.ToUpper(text)]; full != "" {
		return full
	}
	for _, state := range States() {
		if fold(state) == text {
			return state
		}
	}
	return ""
}

// postal are the letters of the postal service.
var postal = map[string]string{
	"AL": "Alabama", "AK": "Alaska", "AZ": "Arizona", "AR": "Arkansas", "CA": "California", "CO": "Colorado", "CT": "Connecticut", "DE": "Delaware",
	"DC": "District of Columbia", "FL": "Florida", "GA": "Georgia", "HI": "Hawaii", "ID": "Idaho", "IL": "Illinois", "IN": "Indiana", "IA": "Iowa",
	"KS": "Kansas", "KY": "Kentucky", "LA": "Louisiana", "ME": "Maine", "MD": "Maryland", "MA": "Massachusetts", "MI": "Michigan", "MN": "Minnesota",
	"MS": "Mississippi", "MO": "Missouri", "MT": "Montana", "NE": "Nebraska", "NV": "Nevada", "NH": "New Hampshire", "NJ": "New Jersey", "NM": "New Mexico",
	"NY": "New York", "NC": "North Carolina", "ND": "North Dakota", "OH": "Ohio", "OK": "Oklahoma", "OR": "Oregon", "PA": "Pennsylvania", "RI": "Rhode Island",
	"SC": "South Carolina", "SD": "South Dakota", "TN": "Tennessee", "TX": "Texas", "UT": "Utah", "VT": "Vermont", "VA": "Virginia", "WA": "Washington",
	"WV": "West Virginia", "WI": "Wisconsin", "WY": "Wyoming", "PR": "Puerto Rico", "GU": "Guam", "VI": "United States Virgin Islands", "AS": "American Samoa",
	"MP": "Commonwealth of the Northern Mariana Islands",
}
