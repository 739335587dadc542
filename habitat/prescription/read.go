package prescription

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

// maxFile is the largest prescription file that is read.
const maxFile = 1 << 20

// Read reads a prescription/1 file. The error is a *source.List or
// *source.Error with the line of every mistake.
func Read(file string, r io.Reader) (*Prescription, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", file, err)
	}
	if len(data) > maxFile {
		return nil, &source.Error{Position: source.Position{File: file}, Found: "is larger than a million bytes", Accepts: "a " + Format + " file"}
	}
	return Parse(file, data)
}

// Parse reads a prescription/1 text; file is its name in messages.
func Parse(file string, data []byte) (*Prescription, error) {
	f := &fields{file: file, p: &Prescription{BurnHours: DefaultBurnHours, MinHours: DefaultMinHours}}
	root, err := f.parse(data)
	if err != nil {
		return nil, err
	}
	f.all(root)
	if f.list.Len() == 0 {
		f.together()
	}
	if err := f.list.Err(); err != nil {
		return nil, err
	}
	return f.p, nil
}

// fields reads the keys of one file and gathers the mistakes.
type fields struct {
	file string
	p    *Prescription
	list source.List
	// places turns offsets into lines.
	places jsonscan.Lines
	// lines holds the line of each key that is there and not null.
	lines map[string]int
}

func (f *fields) complain(line int, field, accepts, format string, args ...any) {
	f.list.Addf(source.Position{File: f.file, Line: line, Field: field}, accepts, format, args...)
}

// readers holds the reader of each key, in the order in which they are written.
var readers = []struct {
	key  string
	read func(f *fields, key string, n *node)
}{
	{"format", func(f *fields, key string, n *node) {
		if text, ok := f.text(key, n); ok && text != Format {
			f.complain(n.line, key, Format, "%s is another format", source.Quote(text))
		}
	}},
	{"name", func(f *fields, key string, n *node) {
		if text, ok := f.text(key, n); ok {
			if f.p.Name = clean(text); f.p.Name == "" {
				f.complain(n.line, key, "a name", "is empty")
			}
		}
	}},
	{"note", func(f *fields, key string, n *node) {
		text, _ := f.text(key, n)
		f.p.Note = clean(text)
	}},
	{"temp_f", func(f *fields, key string, n *node) {
		readRange(f, key, n, &f.p.Temperature, -80, 140, "°F")
	}},
	{"rh_pct", func(f *fields, key string, n *node) { readRange(f, key, n, &f.p.Humidity, 0, 100, "percent") }},
	{"wind_mph", func(f *fields, key string, n *node) { readRange(f, key, n, &f.p.Wind, 0, 100, "mph") }},
	{"wind_height", readHeight},
	{"wind_adjustment", func(f *fields, key string, n *node) {
		if v, ok := f.number(key, n, 0.01, 1); ok {
			f.p.WindAdjustment = quantity.Share(v)
		}
	}},
	{"wind_from_deg", func(f *fields, key string, n *node) { readSectors(f, key, n, &f.p.WindFrom) }},
	{"gust_mph", func(f *fields, key string, n *node) { readRange(f, key, n, &f.p.Gust, 0, 150, "mph") }},
	{"mixing_height_ft", func(f *fields, key string, n *node) { readRange(f, key, n, &f.p.MixingHeight, 0, 50000, "feet") }},
	{"transport_wind_mph", func(f *fields, key string, n *node) { readRange(f, key, n, &f.p.TransportWind, 0, 150, "mph") }},
	{"transport_from_deg", func(f *fields, key string, n *node) { readSectors(f, key, n, &f.p.TransportFrom) }},
	{"fuel_moisture_pct", func(f *fields, key string, n *node) { readRange(f, key, n, &f.p.FuelMoisture, 0, 60, "percent") }},
	{"fuel_moisture_correction_pct", func(f *fields, key string, n *node) {
		if v, ok := f.number(key, n, -20, 20); ok {
			f.p.FuelCorrection = quantity.Percent(v)
		}
	}},
	{"days_since_rain", readSinceRain},
	{"dry_hour", func(f *fields, key string, n *node) { f.p.DryHour = f.flag(key, n) }},
	{burnHoursKey, readBurnHours},
	{"hours_are", func(f *fields, key string, n *node) {
		switch text, ok := f.text(key, n); {
		case !ok:
		case HoursAre(text) == StandardTime || HoursAre(text) == ClockTime:
			f.p.HoursAre = HoursAre(text)
		default:
			f.complain(n.line, key, "standard or clock", "%s is neither", source.Quote(text))
		}
	}},
	{"daylight_only", func(f *fields, key string, n *node) { f.p.DaylightOnly = f.flag(key, n) }},
	{MinHoursKey, func(f *fields, key string, n *node) {
		if v, ok := f.whole(key, n, 1, 24); ok {
			f.p.MinHours = v
		}
	}},
	{"sources", readSources},
}

// keys lists the accepted keys for messages.
func keys() string {
	names := make([]string, len(readers))
	for i := range readers {
		names[i] = readers[i].key
	}
	return strings.Join(names, ", ")
}

func (f *fields) all(root *node) {
	members, ok := f.members(root)
	if !ok {
		f.complain(root.line, "", "an object", "the file holds %s", root.kind())
		return
	}
	f.lines = make(map[string]int)
	seen := make(map[string]bool)
	for _, m := range members {
		at := slices.IndexFunc(readers, func(r struct {
			key  string
			read func(f *fields, key string, n *node)
		}) bool {
			return r.key == m.key
		})
		switch {
		case at < 0:
			f.complain(m.line, m.key, keys(), "the key is unknown")
		case seen[m.key]:
			f.complain(m.line, m.key, "each key once", "the key stands here again")
		case !m.isNull():
			f.lines[m.key] = m.line
			readers[at].read(f, m.key, m.node)
		}
		seen[m.key] = true
	}
	for _, needed := range []string{"format", "name"} {
		if _, ok := f.lines[needed]; !ok {
			f.complain(root.line, needed, "text", "the key is not there")
		}
	}
}

// together checks what several keys must agree on.
func (f *fields) together() {
	p := f.p
	if _, ok := f.lines["burn_hours"]; !ok {
		p.Assumed = append(p.Assumed, Assumption{burnHoursKey, DefaultBurnHours.String()})
	}
	if _, ok := f.lines[MinHoursKey]; !ok {
		p.Assumed = append(p.Assumed, Assumption{MinHoursKey, fmt.Sprint(DefaultMinHours)})
	}
	if p.Wind.IsSet() && p.WindHeight == "" {
		f.complain(f.lines["wind_mph"], "wind_height", "20-ft, eye-level or 10-m, the height of wind_mph", "the key is not there")
	}
	if p.Gust.IsSet() && !p.Wind.IsSet() && p.WindHeight == "" {
		f.complain(f.lines["gust_mph"], "wind_height", "20-ft, eye-level or 10-m, the height of gust_mph", "the key is not there")
	}
	if p.MinHours > p.BurnHours.Hours() {
		line := f.lines[MinHoursKey]
		if line == 0 {
			line = f.lines["burn_hours"]
		}
		f.complain(line, MinHoursKey, fmt.Sprintf("up to %d, the whole hours in burn_hours", p.BurnHours.Hours()),
			"%d hours do not fit into %s", p.MinHours, p.BurnHours)
	}
}

func (f *fields) text(key string, n *node) (string, bool) {
	if n.Kind != jsonscan.String {
		f.complain(n.line, key, "text in quotes", "%s is not text", n.kind())
		return "", false
	}
	return n.Text, true
}

func (f *fields) flag(key string, n *node) bool {
	if n.Kind != jsonscan.True && n.Kind != jsonscan.False {
		f.complain(n.line, key, "true or false", "%s is neither true nor false", n.kind())
	}
	return n.Kind == jsonscan.True
}

func (f *fields) number(key string, n *node, lo, hi float64) (float64, bool) {
	if n.Kind != jsonscan.Number {
		f.complain(n.line, key, "a number", "%s is not a number", n.kind())
		return 0, false
	}
	v, err := strconv.ParseFloat(n.Text, 64)
	if err != nil || !isFinite(v) || v < lo || v > hi {
		f.complain(n.line, key, fmt.Sprintf("%g to %g", lo, hi), "%s is outside that", n.Text)
		return 0, false
	}
	return v, true
}

func (f *fields) whole(key string, n *node, lo, hi int) (int, bool) {
	v, ok := f.number(key, n, float64(lo), float64(hi))
	if ok && v != math.Trunc(v) {
		f.complain(n.line, key, "a whole number", "%s is not a whole number", n.kind())
		return 0, false
	}
	return int(v), ok
}

// readRange reads [min, max], where either may be null.
func readRange[Q ~float64](f *fields, key string, n *node, to *Range[Q], lo, hi float64, unit string) {
	items, ok := f.items(n)
	if !ok || len(items) != 2 {
		f.complain(n.line, key, "[lowest, highest] in "+unit+", null for none", "%s is not a pair of limits", n.kind())
		return
	}
	r := Range[Q]{}
	good := true
	for i, item := range items {
		if item.isNull() {
			continue
		}
		v, ok := f.number(fmt.Sprintf("%s[%d]", key, i), item, lo, hi)
		good = good && ok
		if i == 0 {
			r.Min, r.HasMin = Q(v), true
		} else {
			r.Max, r.HasMax = Q(v), true
		}
	}
	if good && r.HasMin && r.HasMax && r.Min > r.Max {
		f.complain(n.line, key, "the lower limit first", "the limits cross: %g is above %g", float64(r.Min), float64(r.Max))
		return
	}
	*to = r
}

func readHeight(f *fields, key string, n *node) {
	text, ok := f.text(key, n)
	if !ok {
		return
	}
	switch h := Height(text); h {
	case At10Meters, At20Feet, AtEyeLevel:
		f.p.WindHeight = h
	default:
		f.complain(n.line, key, "20-ft, eye-level or 10-m", "%s is not a height known here", source.Quote(text))
	}
}

// readSectors reads a list of [from, to] in degrees.
func readSectors(f *fields, key string, n *node, to *[]Sector) {
	const accepts = "a list of [from, to] in degrees clockwise, such as [[225, 45]], or null for any direction"
	items, ok := f.items(n)
	if !ok || len(items) == 0 {
		f.complain(n.line, key, accepts, "%s is not a list of sectors", n.kind())
		return
	}
	for i, item := range items {
		where := fmt.Sprintf("%s[%d]", key, i)
		ends, ok := f.items(item)
		if !ok || len(ends) != 2 {
			f.complain(item.line, where, accepts, "%s is not a sector", item.kind())
			continue
		}
		from, fromOK := f.number(where+"[0]", ends[0], 0, 360)
		upTo, toOK := f.number(where+"[1]", ends[1], 0, 360)
		if fromOK && toOK {
			*to = append(*to, Sector{from, upTo})
		}
	}
}

// readSinceRain reads {"inches": depth, "min": days, "max": days}.
func readSinceRain(f *fields, key string, n *node) {
	members, ok := f.members(n)
	if !ok {
		f.complain(n.line, key, `an object with inches, min and max`, "%s is not an object", n.kind())
		return
	}
	s := &SinceRain{}
	hasDepth := false
	seen := make(map[string]bool)
	for _, m := range members {
		where := key + "." + m.key
		if seen[m.key] {
			f.complain(m.line, where, "each key once", "the key stands here again")
			continue
		}
		seen[m.key] = true
		if m.isNull() && (m.key == "min" || m.key == "max") {
			continue
		}
		switch m.key {
		case "inches":
			if v, ok := f.number(where, m.node, 0.001, 40); ok {
				s.Depth, hasDepth = quantity.Inches(v), true
			} else {
				hasDepth = true // said already
			}
		case "min":
			s.Days.Min, s.Days.HasMin = f.whole(where, m.node, 0, 3660)
		case "max":
			s.Days.Max, s.Days.HasMax = f.whole(where, m.node, 0, 3660)
		default:
			f.complain(m.line, where, "inches, min, max", "the key is unknown")
		}
	}
	switch {
	case !hasDepth:
		f.complain(n.line, key+".inches", "the depth of rain that counts", "the key is not there")
	case s.Days.HasMin && s.Days.HasMax && s.Days.Min > s.Days.Max:
		f.complain(n.line, key, "min up to max", "the limits cross: %d is above %d", s.Days.Min, s.Days.Max)
	case s.Days.IsSet():
		f.p.SinceRain = s
	}
}

// readBurnHours reads ["09:00", "18:00"].
func readBurnHours(f *fields, key string, n *node) {
	const accepts = `two times such as ["09:00", "18:00"], or ["20:00", "04:00"] across midnight`
	items, ok := f.items(n)
	if !ok || len(items) != 2 {
		f.complain(n.line, key, accepts, "%s is not a pair of times", n.kind())
		return
	}
	var at [2]int
	for i, item := range items {
		minutes, ok := clock(item.Text)
		if item.Kind != jsonscan.String || !ok {
			f.complain(item.line, fmt.Sprintf("%s[%d]", key, i), accepts, "%s is not a time of day", item.kind())
			return
		}
		at[i] = minutes
	}
	c := Clock{at[0], at[1]}
	if c.To < c.From {
		c.To += Day // of the next day
	}
	if c.Hours() == 0 {
		f.complain(n.line, key, accepts, "no whole hour lies in %s", c)
		return
	}
	f.p.BurnHours = c
}

// clock reads HH:MM up to 24:00 as minutes.
func clock(text string) (minutes int, ok bool) {
	hour, minute, found := strings.Cut(text, ":")
	h, hErr := strconv.ParseUint(hour, 10, 8)
	m, mErr := strconv.ParseUint(minute, 10, 8)
	if !found || hErr != nil || mErr != nil || len(hour) > 2 || len(minute) != 2 || h > 24 || m > 59 || h == 24 && m > 0 {
		return 0, false
	}
	return int(h)*60 + int(m), true
}

func readSources(f *fields, key string, n *node) {
	members, ok := f.members(n)
	if !ok {
		f.complain(n.line, key, "an object of key and text", "%s is not an object", n.kind())
		return
	}
	f.p.Sources = make(map[string]string)
	for _, m := range members {
		if text, ok := f.text(key+"."+m.key, m.node); ok {
			f.p.Sources[clean(m.key)] = clean(text)
		}
	}
}

// clean drops control characters and blanks around.
func clean(text string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, text))
}
