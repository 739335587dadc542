package settings

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/pattern"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// maxBytes is far above what any property needs.
const maxBytes = 1 << 20

const accepts = "a settings file: TOML text in UTF-8"

// mostKeys is how many keys a file may have: a property with hundreds of closures has a
// few thousand, and the parser's time grows with the square of the keys of one table. The
// heads of tables count as keys.
const mostKeys = 20_000

// ReadText reads TOML text that is small enough for a list that people write: up to
// 1 MB and 20,000 keys. accepts says in errors what the file should be.
func ReadText(r io.Reader, file, accepts string) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", file, err)
	}
	return boundedText(data, file, accepts)
}

func boundedText(data []byte, file, accepts string) ([]byte, error) {
	if len(data) > maxBytes {
		return nil, &source.Error{Position: source.Position{File: file}, Found: "is larger than 1 MB", Accepts: accepts}
	}
	data, _ = source.Decode(data)
	text, err := source.Text(file, data, accepts)
	if err != nil {
		return nil, err
	}
	if keys := bytes.Count(text, []byte{'='}) + bytes.Count(text, []byte("\n[")); keys > mostKeys {
		return nil, &source.Error{
			Position: source.Position{File: file},
			Found:    "has " + quantity.Group(float64(keys), 0) + " keys",
			Accepts:  accepts + " of at most " + quantity.Group(mostKeys, 0) + " keys",
		}
	}
	return text, nil
}

// Read reads a settings file; file is its name in errors. What the file leaves
// away takes its default. The property has passed Validate.
//
// Bad input is a *source.Error or a *source.List; every fault has the line of
// its key, or no line where the key is missing from the file's top.
func Read(r io.Reader, file string) (habitat.Property, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return habitat.Property{}, err
	}
	return Parse(data, file)
}

// Parse is Read for text in memory.
func Parse(data []byte, file string) (habitat.Property, error) { return parse(data, file, true, nil) }

// ParseStored reads settings that passed Validate when they were stored. They
// are not validated anew: a later program may ask for more, and must still be
// able to read them.
func ParseStored(data []byte) (habitat.Property, error) { return parse(data, "settings", false, nil) }

// parse reads a text; shared has what stands for top keys that the text does not have.
func parse(data []byte, file string, validated bool, shared map[string]any) (habitat.Property, error) {
	text, err := boundedText(data, file, accepts)
	if err != nil {
		return habitat.Property{}, err
	}
	values := map[string]any{}
	if err := toml.Unmarshal(text, &values); err != nil {
		return habitat.Property{}, syntaxError(err, file)
	}
	for key, value := range shared {
		if values[key] == nil {
			values[key] = value
		}
	}
	d := &decoder{file: file, places: FindPlaces(text)}
	root := &table{decoder: d, values: values}
	p := root.property()
	if p.KeepYears != nil && *p.KeepYears == 0 && keepUnasked().Match(text) {
		p.KeepYears, p.KeepUnasked = nil, true
	}
	// Values that were not read would only raise false alarms.
	if len(d.faults) == 0 && validated {
		d.validate(&p)
	}
	if err := d.err(); err != nil {
		return habitat.Property{}, err
	}
	return p, nil
}

// keepUnasked is the line that programs wrote whose default was to keep no year, whether
// or not somebody had set it.
var keepUnasked = pattern.Lazy(`(?m)^keep_years = 0 +# first years that should follow the plan before; default 0\r?$`)

func syntaxError(err error, file string) error {
	e := &source.Error{Position: source.Position{File: file}, Found: "is not TOML", Accepts: accepts}
	var syntax *toml.DecodeError
	if errors.As(err, &syntax) {
		line, column := syntax.Position()
		e.Line = line
		e.Field = strings.Join(syntax.Key(), ".")
		found, more := []rune(strings.TrimPrefix(err.Error(), "toml: ")), ""
		if len(found) > mostFound {
			found, more = found[:mostFound], "…"
		}
		e.Found = strings.Trim(strconv.Quote(string(found)), `"`) + more + columnWords(column)
	}
	return e
}

// mostFound is how much is shown of what a reader of TOML says: its own words, with a
// little of the file in them.
const mostFound = 120

func columnWords(column int) string {
	if column < 1 {
		return ""
	}
	return " at column " + quantity.Group(float64(column), 0)
}

// validate turns what Property.Validate finds into faults with places.
func (d *decoder) validate(p *habitat.Property) {
	for _, err := range Flatten(p.Validate()) {
		var f *habitat.FieldError
		if errors.As(err, &f) {
			d.bad(f.Field, f.Accepts, "", "%s", f.Found)
		} else {
			d.bad("", "", "", "%v", err)
		}
	}
}

// Flatten opens joined errors.
func Flatten(err error) []error {
	if err == nil {
		return nil
	}
	joined, ok := err.(interface{ Unwrap() []error })
	if !ok {
		return []error{err}
	}
	var all []error
	for _, e := range joined.Unwrap() {
		all = append(all, Flatten(e)...)
	}
	return all
}

func (t *table) property() habitat.Property {
	p := habitat.NewProperty("")
	t.text("name", &p.Name)
	t.text("place", &p.Place)
	t.text("owner", &p.Owner)
	t.text("farm", &p.Land.Farm)
	t.text("tract", &p.Land.Tract)
	t.text("section", &p.Land.Section)
	hasLatitude := t.number("latitude", "degrees north, such as 36.91", &p.Latitude)
	hasLongitude := t.number("longitude", "degrees east, negative in the Americas, such as -97.02", &p.Longitude)
	p.HasPlace = hasLatitude && hasLongitude
	_, givesLatitude := t.values["latitude"]
	_, givesLongitude := t.values["longitude"]
	if givesLatitude != givesLongitude {
		t.bad("latitude", "latitude and longitude together, or none", "", "one of latitude and longitude is missing")
	}
	t.number("utc_offset", "hours, such as -6", (*float64)(&p.UTCOffset))
	t.text("time_zone", &p.Zone)
	if _, given := t.values["utc_offset"]; !given && p.Zone != "" {
		if zone, err := time.LoadLocation(p.Zone); err == nil {
			p.UTCOffset = habitat.StandardOffset(zone, 2026)
		}
	}
	t.yearStart(&p.YearStart)
	t.whole("years", "a whole number of years", &p.Years)
	if t.whole("lookahead", "a whole number of years, 0 or more", &p.Lookahead) && p.Lookahead < 0 {
		t.bad("lookahead", "0 or more years, or no lookahead for the longest max interval", "", "%d is negative", p.Lookahead)
	}
	var keep int
	if t.whole("keep_years", "a whole number of years", &keep) {
		p.KeepYears = &keep
	}
	t.number("reset_share", "a share such as 0.6", (*float64)(&p.ResetShare))
	for _, name := range t.names("treatments_reset_age") {
		p.TreatmentsReset = append(p.TreatmentsReset, habitat.RecordKind(name))
	}
	if all, _ := t.values["grazed_units"].(string); all == everyUnit {
		t.known, p.AllGrazed = append(t.known, "grazed_units"), true
	} else {
		p.GrazedUnits = t.names("grazed_units")
	}
	t.number("window_chance", "a chance such as 0.2", (*float64)(&p.WindowChance))
	t.number("break_dollars", "dollars a foot, such as 0.4", &p.BreakDollars)
	for _, from := range t.list("from_template") {
		var o habitat.TemplateOrigin
		from.need("of which county the template is", "name")
		from.need("who says what the template holds", "source")
		from.need("a date as YYYY-MM-DD", "date")
		from.text("name", &o.Name)
		from.text("source", &o.Source)
		from.day("date", &o.On)
		from.close()
		p.Templates = append(p.Templates, o)
	}
	t.need("the property's name", "name")
	t.need("one [[season]] or more", "season")
	for _, s := range t.list("season") {
		p.Seasons = append(p.Seasons, s.season())
	}
	if crew := t.sub("crew"); crew != nil {
		crew.people(&p.People)
		for _, of := range crew.list("season") {
			var who habitat.SeasonPeople
			of.need("the name of a season", "season")
			of.text("season", &who.Season)
			of.people(&who.People)
			of.close()
			p.SeasonPeople = append(p.SeasonPeople, who)
		}
		crew.number("day_holds", "a number of burn days, such as 2", &p.DayHolds)
		if _, given := crew.values["day_holds"]; given && p.DayHolds == 0 {
			crew.bad("crew.day_holds", "a number of burn days above 0, such as 2; or no day_holds for 1", "", "0 is not what a day can hold")
		}
		crew.crew(&p.Crew)
	}
	for _, c := range t.list("closure") {
		p.Closures = append(p.Closures, c.closure())
	}
	if caps := t.sub("caps"); caps != nil {
		caps.caps(&p.Caps)
		if _, _, has := caps.get("burn_days"); has {
			caps.bad("caps.burn_days", "burn_days in a [[season]], or in [[caps_in]] for one year", "", "burn days are capped by season")
		}
		caps.known = slices.DeleteFunc(caps.known, func(key string) bool { return key == "burn_days" && caps.values[key] == nil })
		caps.close()
	}
	for _, c := range t.list("caps_in") {
		p.CapsIn = append(p.CapsIn, c.capsIn())
	}
	if even := t.sub("evenness"); even != nil {
		p.EvenLo = even.acres("min_acres")
		p.EvenHi = even.acres("max_acres")
		even.close()
	}
	for _, m := range t.list("mix") {
		p.Mixes = append(p.Mixes, m.mix())
	}
	for _, r := range t.list("refuge") {
		p.Refuges = append(p.Refuges, r.refuge())
	}
	if w := t.sub("weights"); w != nil {
		w.weights(&p.Weights)
	}
	t.close()
	return p
}

// everyUnit stands in place of a list of units.
const everyUnit = "all"

func (t *table) yearStart(into *date.YearStart) {
	var name string
	if !t.text("program_year_starts", &name) {
		return
	}
	for m := time.January; m <= time.December; m++ {
		if full := strings.ToLower(m.String()); strings.EqualFold(name, full) || strings.EqualFold(name, full[:3]) {
			*into = date.YearStart(m)
			return
		}
	}
	t.bad("program_year_starts", `the name of a month, such as "october"`, "", "%s is not a month", source.Quote(name))
}

func (t *table) season() (s habitat.Season) {
	t.need("the season's name", "name")
	t.need(acceptsAnnual, "first", "last")
	t.text("name", &s.Name)
	t.annual("first", &s.Span.First)
	t.annual("last", &s.Span.Last)
	var days float64
	if t.number("burn_days", "a number of days, such as 14", &days) {
		s.BurnDays = &days
	}
	t.close()
	return s
}

// people reads who burns: a number, or names.
func (t *table) people(into *habitat.People) {
	isCounted := t.whole("people", "a whole number of people", &into.Count)
	if into.Names = t.names("names"); len(into.Names) > 0 && !isCounted {
		into.Count = len(into.Names)
	}
}

func (t *table) shared() (days date.SharedDays) {
	t.need("the name of the partner", "partner")
	t.need(`days of every year as "MM-DD", or dates as "YYYY-MM-DD"`, "first")
	t.text("partner", &days.Partner)
	days.Yearly, days.Once = t.span("first")
	if days.Once != nil && days.Once.Last.Before(days.Once.First) {
		t.bad(join(t.path, "last"), "a date on or after first", "", "%s is before %s", days.Once.Last, days.Once.First)
	}
	t.flag("away", &days.Away)
	t.whole("people", "a whole number of people", &days.People)
	t.close()
	return days
}

// span reads first and last: yearly days or single dates, as the form of the first says.
// Where last is missing it is the key that otherwise names.
func (t *table) span(otherwise string) (yearly *date.AnnualSpan, once *date.Span) {
	end := "last"
	if _, _, given := t.get(end); !given {
		end = otherwise
	}
	if text, _ := t.values["first"].(string); len(text) == len("MM-DD") {
		var span date.AnnualSpan
		if first, last := t.annual("first", &span.First), end == "first" || t.annual(end, &span.Last); first && last {
			if end == "first" {
				span.Last = span.First
			}
			return &span, nil
		}
		return nil, nil
	}
	var span date.Span
	if first, last := t.day("first", &span.First), end == "first" || t.day(end, &span.Last); first && last {
		if end == "first" {
			span.Last = span.First
		}
		return nil, &span
	}
	return nil, nil
}

func (t *table) crew(c *date.Crew) {
	t.flag("weekends", &c.Weekends)
	t.flag("federal_holidays", &c.FederalHolidays)
	for _, off := range t.list("off") {
		var days date.DaysOff
		off.need(`a date as "YYYY-MM-DD"`, "first")
		off.text("name", &days.Name)
		hasFirst := off.day("first", &days.First)
		days.Last = days.First
		hasLast := off.day("last", &days.Last)
		if hasFirst && hasLast && days.Last.Before(days.First) {
			off.bad(off.path+".last", "a date on or after first", "", "%s is before %s", days.Last, days.First)
		}
		off.close()
		c.Off = append(c.Off, days)
	}
	for _, days := range t.list("shared") {
		c.Shared = append(c.Shared, days.shared())
	}
	t.close()
}

func (t *table) closure() (c habitat.Closure) {
	t.need("the closure's name", "name")
	t.need(`days of every year as "MM-DD", or dates as "YYYY-MM-DD"`, "first", "last")
	t.text("name", &c.Name)
	c.Yearly, c.Once = t.span("last")
	c.Units = t.names("units")
	t.close()
	return c
}

func (t *table) acres(key string) *quantity.Acres {
	var v float64
	if !t.number(key, "acres, such as 300", &v) {
		return nil
	}
	acres := quantity.Acres(v)
	return &acres
}

// caps reads the caps that stand in [caps] and [[caps_in]] alike.
func (t *table) caps(c *habitat.Caps) {
	c.Acres = t.acres("acres")
	var burns int
	if t.whole("burns", "a whole number of burns", &burns) {
		c.Burns = &burns
	}
	var dollars float64
	if t.number("cost", "dollars, such as 18000", &dollars) {
		c.Cost = t.cents("cost", dollars)
	}
}

// cents turns dollars into whole cents.
func (t *table) cents(key string, dollars float64) *quantity.Cents {
	rounded := math.Round(dollars * 100)
	if math.Abs(dollars) > 1e12 || math.Abs(dollars*100-rounded) > 1e-4 {
		t.bad(join(t.path, key), "dollars with at most two decimals, up to a trillion", "", "%v is not an amount of money", dollars)
		return nil
	}
	cents := quantity.Cents(rounded)
	return &cents
}

func (t *table) capsIn() (c habitat.CapsIn) {
	t.need("a program year, such as 2028", "year")
	var year int
	if t.whole("year", "a program year, such as 2028", &year) {
		if year < 1 || year > 9999 {
			t.bad(join(t.path, "year"), "a program year, such as 2028", "", "%d is not a program year", year)
		}
		c.Year = date.ProgramYear(year)
	}
	t.caps(&c.Caps)
	if days := t.sub("burn_days"); days != nil {
		c.BurnDays = map[string]float64{}
		for season := range days.values {
			var v float64
			if days.number(season, "a number of days, such as 10", &v) {
				c.BurnDays[season] = v
			}
		}
	}
	t.close()
	return c
}

func (t *table) mix() (m habitat.Mix) {
	t.need("the mix's name", "name")
	t.need("one [[mix.class]] or more", "class")
	t.text("name", &m.Name)
	for _, c := range t.list("class") {
		class := habitat.AgeClass{To: habitat.OpenEnded, MaxShare: 1}
		c.need("the class's name", "name")
		c.need("the class's lowest stand age in program years", "from")
		c.text("name", &class.Name)
		c.whole("from", "a whole number of program years", &class.From)
		c.whole("to", "a whole number of program years", &class.To)
		c.number("min_share", "a share such as 0.25", (*float64)(&class.MinShare))
		c.number("max_share", "a share such as 0.45", (*float64)(&class.MaxShare))
		c.close()
		m.Classes = append(m.Classes, class)
	}
	t.close()
	return m
}

func (t *table) refuge() (r habitat.Refuge) {
	t.need("the refuge group's name", "name")
	t.need("the largest share of its acres that may burn in one year, such as 0.34", "max_share")
	t.text("name", &r.Name)
	t.number("max_share", "a share such as 0.34", (*float64)(&r.MaxShare))
	t.close()
	return r
}

func (t *table) weights(w *habitat.Weights) {
	for _, part := range []struct {
		key  string
		into *float64
	}{{"overdue", &w.Overdue}, {"mix", &w.Mix}, {"season", &w.Season}, {"evenness", &w.Evenness}, {"neighbors", &w.Neighbors}, {"keep", &w.Keep}} {
		t.number(part.key, "a weight of 0 or more", part.into)
	}
	t.number("overdue_growth", "a share of the overdue weight, 0 or more, such as 1", &w.OverdueGrowth)
	t.whole("overdue_growth_years", "a whole number of years, 0 or more, such as 3", &w.OverdueGrowthYears)
	t.close()
}
