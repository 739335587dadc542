package weather

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// Columns says which column of a plain CSV file holds what, and in which unit.
// An empty name means that there is no such column. Names match in any case.
//
// Without a mapping a file must use our own names, which carry their units:
// time or time_utc; temp_f or temp_c; rh_pct, or dewpoint_f or dewpoint_c;
// wind_mph, wind_mps, wind_kmh or wind_kt; and, where there is such a column,
// wind_from_deg, gust_mph, gust_mps, gust_kmh or gust_kt, rain_in or rain_mm, mixing_height_ft
// or mixing_height_m, transport_wind_mph, transport_wind_mps, transport_wind_kmh or
// transport_wind_kt, and transport_from_deg. Other columns are not read.
type Columns struct {
	// Time holds date and time; see ParseColumns for what is accepted.
	Time string
	// UTC says that times without an offset of their own are UTC; otherwise
	// they are local standard time.
	UTC bool
	// HourBeginning says that a time is the beginning of the hour it stands for;
	// otherwise it is its end.
	HourBeginning bool

	Temperature, Humidity, DewPoint, Wind, WindFrom, Rain, Gust string
	// MixingHeight, TransportWind and TransportFrom limit how smoke is carried off.
	MixingHeight, TransportWind, TransportFrom string
	// Units: "f" or "c"; "f" or "c"; "mph", "m/s", "km/h" or "kt"; "in" or "mm"; as
	// that of the wind; "ft" or "m"; as that of the wind.
	TemperatureUnit, DewPointUnit, WindUnit, RainUnit, GustUnit, MixingHeightUnit, TransportWindUnit string
}

// ParseColumns reads a mapping such as
//
//	time=Stamp,temp=AirT:c,rh=RH,wind=WS:m/s,from=WD,gust=WG:m/s,rain=P:mm,zone=utc,stamp=begin
//
// mixing=MH:ft, transport=TW:m/s and transport_from=TD may follow. wind_speed, wind_dir
// and precip are other words for wind, from and rain. temp, dewpoint, wind, gust, rain,
// mixing and transport need their unit. time, temp, wind and one of rh
// and dewpoint are needed. zone is utc or standard (the default), stamp is begin
// or end (the default).
func ParseColumns(text string) (*Columns, error) {
	c := &Columns{}
	fail := func(found, accepts string) (*Columns, error) {
		return nil, &source.Error{Position: source.Position{Field: "columns"}, Found: found, Accepts: accepts}
	}
	for _, pair := range strings.Split(text, ",") {
		key, value, ok := strings.Cut(strings.TrimSpace(pair), "=")
		if !ok || value == "" {
			return fail(source.Quote(pair)+" names no column", "pairs such as temp=AirT:c with commas between")
		}
		column, unit, hasUnit := value, "", false
		if i := strings.LastIndexByte(value, ':'); i >= 0 {
			column, unit, hasUnit = value[:i], strings.ToLower(value[i+1:]), true
		}
		set := func(name, in *string, units ...string) bool {
			if in == nil {
				*name = value
				return true
			}
			*name, *in = column, unit
			for _, u := range units {
				if hasUnit && u == unit {
					return true
				}
			}
			return false
		}
		good, accepts := true, ""
		switch key {
		case "time":
			good = set(&c.Time, nil)
		case "temp":
			good, accepts = set(&c.Temperature, &c.TemperatureUnit, "f", "c"), "f or c after a colon"
		case "dewpoint":
			good, accepts = set(&c.DewPoint, &c.DewPointUnit, "f", "c"), "f or c after a colon"
		case "rh":
			good = set(&c.Humidity, nil)
		case "wind", "wind_speed":
			good, accepts = set(&c.Wind, &c.WindUnit, "mph", "m/s", "km/h", "kt"), "mph, m/s, km/h or kt after a colon"
		case "gust":
			good, accepts = set(&c.Gust, &c.GustUnit, "mph", "m/s", "km/h", "kt"), "mph, m/s, km/h or kt after a colon"
		case "mixing":
			good, accepts = set(&c.MixingHeight, &c.MixingHeightUnit, "ft", "m"), "ft or m after a colon"
		case "transport":
			good, accepts = set(&c.TransportWind, &c.TransportWindUnit, "mph", "m/s", "km/h", "kt"), "mph, m/s, km/h or kt after a colon"
		case "transport_from":
			good = set(&c.TransportFrom, nil)
		case "from", "wind_dir":
			good = set(&c.WindFrom, nil)
		case "rain", "precip":
			good, accepts = set(&c.Rain, &c.RainUnit, "in", "mm"), "in or mm after a colon"
		case "zone":
			c.UTC, good, accepts = value == "utc", value == "utc" || value == "standard", "utc or standard"
		case "stamp":
			c.HourBeginning, good, accepts = value == "begin", value == "begin" || value == "end", "begin or end"
		default:
			return fail(source.Quote(key)+" is unknown", "time, temp, rh, dewpoint, wind, from, gust, rain, mixing, transport, transport_from, zone, stamp")
		}
		if !good {
			return fail(source.Quote(pair)+" lacks a good value", accepts)
		}
	}
	if c.Time == "" || c.Temperature == "" || c.Wind == "" || c.Humidity == "" && c.DewPoint == "" {
		return fail("not all that is needed is there", "time, temp, wind, and rh or dewpoint")
	}
	return c, nil
}

// plainNames are the column names that need no mapping.
var plainNames = []struct {
	name, unit string
	set        func(c *Columns, name, unit string)
}{
	{"temp_f", "f", setTemperature}, {"temp_c", "c", setTemperature},
	{"dewpoint_f", "f", setDewPoint}, {"dewpoint_c", "c", setDewPoint},
	{"wind_mph", "mph", setWind}, {"wind_mps", "m/s", setWind}, {"wind_kmh", "km/h", setWind}, {"wind_kt", "kt", setWind},
	{"gust_mph", "mph", setGust}, {"gust_mps", "m/s", setGust}, {"gust_kmh", "km/h", setGust}, {"gust_kt", "kt", setGust},
	{"rain_in", "in", setRain}, {"rain_mm", "mm", setRain},
	{"mixing_height_ft", "ft", setMixingHeight}, {"mixing_height_m", "m", setMixingHeight},
	{"transport_wind_mph", "mph", setTransportWind}, {"transport_wind_mps", "m/s", setTransportWind},
	{"transport_wind_kmh", "km/h", setTransportWind}, {"transport_wind_kt", "kt", setTransportWind},
	{"transport_from_deg", "", func(c *Columns, name, _ string) { c.TransportFrom = name }},
	{"rh_pct", "", func(c *Columns, name, _ string) { c.Humidity = name }},
	{"wind_from_deg", "", func(c *Columns, name, _ string) { c.WindFrom = name }},
	{"time", "", func(c *Columns, name, _ string) { c.Time = name }},
	{"time_utc", "", func(c *Columns, name, _ string) { c.Time, c.UTC = name, true }},
}

func setTemperature(c *Columns, name, unit string) { c.Temperature, c.TemperatureUnit = name, unit }
func setDewPoint(c *Columns, name, unit string)    { c.DewPoint, c.DewPointUnit = name, unit }
func setWind(c *Columns, name, unit string)        { c.Wind, c.WindUnit = name, unit }
func setRain(c *Columns, name, unit string)        { c.Rain, c.RainUnit = name, unit }
func setGust(c *Columns, name, unit string)        { c.Gust, c.GustUnit = name, unit }

func setMixingHeight(c *Columns, name, unit string) {
	c.MixingHeight, c.MixingHeightUnit = name, unit
}

func setTransportWind(c *Columns, name, unit string) {
	c.TransportWind, c.TransportWindUnit = name, unit
}

// ownColumns gives the mapping of a header that uses our own names.
func ownColumns(header [][]byte) Columns {
	var c Columns
	for _, field := range header {
		for _, known := range plainNames {
			if isColumn(field, known.name) {
				known.set(&c, known.name, known.unit)
			}
		}
	}
	return c
}

func isColumn(field []byte, name string) bool {
	return strings.EqualFold(string(bytes.TrimSpace(field)), name)
}

// sameThing refuses two of our own names for one thing, in two units or on two clocks.
func (g *gather) sameThing(header [][]byte) error {
	first := map[string]string{}
	for _, field := range header {
		for _, known := range plainNames {
			if !isColumn(field, known.name) {
				continue
			}
			thing := strings.TrimSuffix(known.name, "_utc")
			if known.unit != "" {
				thing = thing[:strings.LastIndexByte(thing, '_')]
			}
			if before, ok := first[thing]; ok && before != known.name {
				return &source.Error{Position: g.at(known.name), Found: "the header row has " + source.Quote(before) + " too, and both give the same thing",
					Accepts: "a header row with one", Hint: "say which with --columns"}
			}
			first[thing] = known.name
		}
	}
	return nil
}

// plainHeader reports that the first line that is not a comment is a header row of
// the mapping, or of our own names.
func plainHeader(start []byte, mapped *Columns) bool {
	for {
		line, rest, more := bytes.Cut(start, []byte("\n"))
		if (len(line) == 0 || line[0] == '#') && more {
			start = rest
			continue
		}
		fields, ok := split(bytes.TrimRight(line, "\r"), make([][]byte, 0, 256))
		if !ok {
			return false
		}
		if mapped != nil {
			for _, f := range fields {
				if strings.EqualFold(string(bytes.TrimSpace(f)), mapped.Time) {
					return true
				}
			}
			return false
		}
		c := ownColumns(fields)
		return c.Time != "" && (c.Temperature != "" || c.Wind != "")
	}
}

// The readings of a plain line, as indices into a list of columns.
const (
	plainTime = iota
	plainTemperature
	plainWind
	plainHumidity
	plainDewPoint
	plainFrom
	plainRain
	plainGust
	plainMixing
	plainTransport
	plainTransportFrom
	plainReadings
)

// readPlain reads a CSV file with a header row. Lines before it that begin with
// # are comments, of which `# station: …`, `# utc_offset: …`, `# latitude: …`,
// `# longitude: …` and `# INVENTED weather: …` are understood. T in the rain is
// a trace.
func readPlain(g *gather) error {
	fields := make([][]byte, 0, 256)
	var latitude, longitude []byte
	for {
		line, ok := g.in.next()
		if !ok {
			return g.cutOff("the file ends before its header row", "a header row and one line an hour")
		}
		if len(line) == 0 || line[0] == '#' {
			g.comment(line, &latitude, &longitude)
			continue
		}
		fields, _ = split(line, fields)
		break
	}
	if latitude != nil && longitude != nil {
		g.place(latitude, longitude)
	}
	p, err := g.plainColumns(fields)
	if err != nil {
		return err
	}
	g.hasComments = true
	for fields := range g.rows(furthest(p.column[:plainHumidity])+1, cap(fields), "as many fields as the header row") {
		if err := g.hourPlain(fields, p); err != nil {
			return err
		}
	}
	if p.Humidity != "" {
		g.noteHumidity("as the file gives it")
	} else {
		g.noteHumidity("from temperature and dew point")
	}
	return nil
}

type plainLine struct {
	Columns
	names  [plainReadings]string
	column []int
}

// dewPoint gives a dew point in the file's unit.
func (p *plainLine) dewPoint(v float64) quantity.Celsius {
	if p.DewPointUnit == "f" {
		return quantity.Fahrenheit(v).Celsius()
	}
	return quantity.Celsius(v)
}

func (g *gather) plainColumns(header [][]byte) (*plainLine, error) {
	p := &plainLine{}
	if g.options.Columns != nil {
		p.Columns = *g.options.Columns
	} else {
		p.Columns = ownColumns(header)
		if err := g.sameThing(header); err != nil {
			return nil, err
		}
	}
	p.names = [plainReadings]string{p.Time, p.Temperature, p.Wind, p.Humidity, p.DewPoint, p.WindFrom, p.Rain, p.Gust,
		p.MixingHeight, p.TransportWind, p.TransportFrom}
	for i, needed := range []string{"time", "temp_f or temp_c", "wind_mph, wind_mps, wind_kmh or wind_kt"} {
		if p.names[i] == "" {
			return nil, &source.Error{Position: g.at(""), Found: "the header row has no column " + needed,
				Accepts: "that column, or a mapping of the file's own names"}
		}
	}
	if p.Humidity == "" && p.DewPoint == "" {
		return nil, &source.Error{Position: g.at(""), Found: "the header row has no humidity",
			Accepts: "a column rh_pct, dewpoint_f or dewpoint_c, or a mapping of the file's own names"}
	}
	var err error
	names := p.names[:]
	for i, name := range names {
		if name == "" {
			names[i] = "\x00" // no header holds it
		}
	}
	if p.column, err = g.find(header, names, plainHumidity); err != nil {
		return nil, err
	}
	for i, c := range p.column {
		if c >= 0 && slices.ContainsFunc(header[c+1:], func(field []byte) bool { return isColumn(field, names[i]) }) {
			return nil, &source.Error{Position: g.at(names[i]), Found: "the header row has it twice", Accepts: "a header row with one"}
		}
	}
	for i := plainHumidity; i < len(names); i++ {
		if names[i] != "\x00" && p.column[i] < 0 {
			return nil, &source.Error{Position: g.at(names[i]), Found: "there is no such column", Accepts: "a header row with it"}
		}
	}
	return p, nil
}

// comment takes what a comment line says of the station.
func (g *gather) comment(line []byte, latitude, longitude *[]byte) {
	key, value, ok := bytes.Cut(bytes.TrimLeft(line, "# "), []byte(":"))
	if !ok {
		return
	}
	value = bytes.TrimSpace(value)
	switch string(bytes.TrimSpace(key)) {
	case "INVENTED weather":
		g.invented = true
	case "station":
		g.station.Name = clean(string(value))
	case "utc_offset":
		g.offset(value)
	case "latitude":
		*latitude = bytes.Clone(value)
	case "longitude":
		*longitude = bytes.Clone(value)
	}
}

func (g *gather) hourPlain(fields [][]byte, p *plainLine) error {
	m, ok := when(bytes.TrimSpace(fields[p.column[plainTime]]))
	if !ok {
		g.complain(p.Time, "a date and time such as 2027-03-01 14:00", "%s is not a time", source.Quote(string(fields[p.column[plainTime]])))
		return nil
	}
	g.unzoned = !m.zoned && !p.UTC
	if m.zoned || p.UTC {
		offset, err := g.offsetOfPlain()
		if err != nil {
			return err
		}
		m.minutes += offset - m.offset
	}
	if p.HourBeginning {
		m.minutes += 60
	}
	h := Hour{At: stampAt(m.minutes)}
	reading := func(i int) (float64, bool) {
		if p.column[i] < 0 || p.column[i] >= len(fields) {
			return 0, false
		}
		text := bytes.TrimSpace(fields[p.column[i]])
		if len(text) == 0 {
			return 0, false
		}
		return g.numberIn(p.names[i], text)
	}
	var celsius quantity.Celsius
	if t, ok := reading(plainTemperature); ok && p.TemperatureUnit == "f" {
		celsius = quantity.Fahrenheit(t).Celsius()
		g.fahrenheit(&h, p.Temperature, quantity.Fahrenheit(t))
	} else if ok {
		celsius = quantity.Celsius(t)
		g.temperature(&h, p.Temperature, celsius)
	}
	if rh, ok := reading(plainHumidity); ok {
		g.humidity(&h, p.Humidity, rh)
	}
	if p.Humidity == "" {
		if dew, ok := reading(plainDewPoint); ok {
			g.humidityFromDewPoint(&h, p.DewPoint, celsius, p.dewPoint(dew))
		}
	} else if c := p.column[plainDewPoint]; c >= 0 && c < len(fields) && g.comparesDewPoint() {
		if dew, ok := number(bytes.TrimSpace(fields[c])); ok {
			g.compareDewPoint(&h, p.dewPoint(dew))
		}
	}
	if v, ok := reading(plainWind); ok {
		g.speedIn(p.Wind, v, p.WindUnit, h.SetWind)
	}
	if v, ok := reading(plainGust); ok {
		g.speedIn(p.Gust, v, p.GustUnit, h.SetGust)
	}
	if v, ok := reading(plainMixing); ok {
		height := quantity.Feet(v)
		if p.MixingHeightUnit == "m" {
			height = quantity.FeetFromMeters(v)
		}
		if g.inRange(p.MixingHeight, float64(height), 0, highest, "feet") {
			h.SetMixingHeight(height)
		}
	}
	if v, ok := reading(plainTransport); ok {
		g.speedIn(p.TransportWind, v, p.TransportWindUnit, h.SetTransportWind)
	}
	if d, ok := reading(plainTransportFrom); ok && g.inRange(p.TransportFrom, d, 0, 360, "degrees") {
		h.SetTransportFrom(quantity.NewBearing(d))
	}
	if d, ok := reading(plainFrom); ok {
		g.windFrom(&h, p.WindFrom, d)
	}
	if c := p.column[plainRain]; c >= 0 && c < len(fields) && string(bytes.TrimSpace(fields[c])) == "T" {
		h.SetTrace()
	} else if depth, ok := reading(plainRain); ok {
		if p.RainUnit == "in" {
			g.rainInches(&h, p.Rain, quantity.Inches(depth))
		} else {
			g.rain(&h, p.Rain, quantity.Millimeters(depth), 1)
		}
	}
	g.list.add(h)
	return nil
}

// speedIn takes a speed in one of the units of a plain file. A knot is 1,852 m an hour,
// exactly.
func (g *gather) speedIn(name string, v float64, unit string, set func(quantity.MilesPerHour)) {
	most := math.Floor(float64(strongest.MilesPerHour()))
	var speed quantity.MilesPerHour
	switch unit {
	case "mph":
		speed = quantity.MilesPerHour(v)
	case "km/h":
		speed = quantity.MilesPerHourFromKilometersPerHour(v)
	case "kt":
		speed = quantity.MilesPerHourFromKilometersPerHour(v * 1.852)
	default:
		if g.inRange(name, v, 0, float64(strongest), "m/s") {
			set(quantity.MetersPerSecond(v).MilesPerHour())
		}
		return
	}
	if g.inRange(name, float64(speed), 0, most, "mph") {
		set(speed)
	}
}

// offsetOfPlain is the offset from the file's own comment, else from the user.
func (g *gather) offsetOfPlain() (minutes int, err error) {
	if g.station.UTCOffset != nil {
		return int(math.Round(float64(*g.station.UTCOffset) * 60)), nil
	}
	minutes, err = g.needOffset(g.longitude())
	if err != nil {
		return 0, fmt.Errorf("%w", err)
	}
	return minutes, nil
}
