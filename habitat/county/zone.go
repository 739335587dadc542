package county

import "strings"

// The clocks that counties keep.
const (
	eastern, central, mountain, pacific = "America/New_York", "America/Chicago", "America/Denver", "America/Los_Angeles"
)

// zones are those of whole states; every state that is not named keeps Eastern time.
//
// Source: 49 CFR part 71, written down from memory and held against the npm package
// tz-lookup (see the test) for the centers of all counties.
var zones = map[string]string{
	"Alabama": central, "Arkansas": central, "Illinois": central, "Iowa": central, "Kansas": central, "Louisiana": central, "Minnesota": central,
	"Mississippi": central, "Missouri": central, "Nebraska": central, "North Dakota": central, "Oklahoma": central, "South Dakota": central,
	"Tennessee": central, "Texas": central, "Wisconsin": central,
	"Colorado": mountain, "Idaho": mountain, "Montana": mountain, "New Mexico": mountain, "Utah": mountain, "Wyoming": mountain,
	"Arizona": "America/Phoenix", "California": pacific, "Nevada": pacific, "Oregon": pacific, "Washington": pacific,
	"Alaska": "America/Anchorage", "Hawaii": "Pacific/Honolulu", "Puerto Rico": "America/Puerto_Rico", "United States Virgin Islands": "America/Puerto_Rico",
	"Guam": "Pacific/Guam", "Commonwealth of the Northern Mariana Islands": "Pacific/Guam", "American Samoa": "Pacific/Pago_Pago",
}

// others are the counties that keep another clock than most of their state.
var others = map[string]map[string]string{
	"Alaska":  {"America/Adak": "Aleutians West"},
	"Florida": {central: "Bay,Calhoun,Escambia,Gulf,Holmes,Jackson,Okaloosa,Santa Rosa,Walton,Washington"},
	"Idaho":   {pacific: "Benewah,Bonner,Boundary,Clearwater,Idaho,Kootenai,Latah,Lewis,Nez Perce,Shoshone"},
	"Indiana": {central: "Gibson,Jasper,Lake,LaPorte,Newton,Perry,Porter,Posey,Spencer,Starke,Vanderburgh,Warrick"},
	"Kansas":  {mountain: "Greeley,Hamilton,Sherman,Wallace"},
	"Kentucky": {central: "Adair,Allen,Ballard,Barren,Breckinridge,Butler,Caldwell,Calloway,Carlisle,Christian,Clinton,Crittenden,Cumberland,Daviess," +
		"Edmonson,Fulton,Graves,Grayson,Green,Hancock,Hart,Henderson,Hickman,Hopkins,Livingston,Logan,Lyon,Marshall,McCracken,McLean,Metcalfe,Monroe," +
		"Muhlenberg,Ohio,Russell,Simpson,Todd,Trigg,Union,Warren,Webster"},
	"Michigan": {central: "Dickinson,Gogebic,Iron,Menominee"},
	"Nebraska": {mountain: "Arthur,Banner,Box Butte,Chase,Cheyenne,Dawes,Deuel,Dundy,Garden,Grant,Hooker,Keith,Kimball,Morrill,Perkins,Scotts Bluff," +
		"Sheridan,Sioux"},
	"North Dakota": {mountain: "Adams,Billings,Bowman,Dunn,Golden Valley,Grant,Hettinger,Slope,Stark"},
	"Oregon":       {mountain: "Malheur"},
	"South Dakota": {mountain: "Bennett,Butte,Corson,Custer,Dewey,Fall River,Haakon,Harding,Jackson,Lawrence,Meade,Oglala Lakota,Pennington,Perkins," +
		"Stanley,Ziebach"},
	"Tennessee": {eastern: "Anderson,Blount,Bradley,Campbell,Carter,Claiborne,Cocke,Grainger,Greene,Hamblen,Hamilton,Hancock,Hawkins,Jefferson,Johnson," +
		"Knox,Loudon,McMinn,Meigs,Monroe,Morgan,Polk,Rhea,Roane,Scott,Sevier,Sullivan,Unicoi,Union,Washington"},
	"Texas": {mountain: "El Paso,Hudspeth"},
}

// cut are counties of which a part keeps another clock.
var cut = map[string]string{
	"Alaska": "Aleutians West", "Arizona": "Apache,Coconino,Navajo", "Florida": "Gulf", "Idaho": "Idaho", "Nebraska": "Cherry",
	"North Dakota": "Dunn,McKenzie,Sioux", "Oregon": "Malheur", "South Dakota": "Stanley", "Texas": "Culberson", "Nevada": "Elko",
}

// zoneOf gives the clock of a county, and whether a part of it keeps another.
func zoneOf(c *County) (zone string, isSplit bool) {
	zone = zones[c.State]
	if zone == "" {
		zone = eastern
	}
	for other, names := range others[c.State] {
		if holds(names, c.Name) {
			zone = other
		}
	}
	return zone, holds(cut[c.State], c.Name)
}

func holds(list, name string) bool { return list != "" && strings.Contains(","+list+",", ","+name+",") }
