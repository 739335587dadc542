package settings

import (
	"bytes"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Write writes the settings of a property as TOML with comments that explain
// every key and say its default. Keys that are absent stand there as comments.
// p has passed Validate.
func Write(w io.Writer, p *habitat.Property) error {
	_, err := w.Write(Format(p))
	return err
}

// Format gives the text that Write writes.
func Format(p *habitat.Property) []byte {
	var b printer
	b.general(p)
	b.seasons(p)
	b.crew(p)
	b.closures(p)
	b.caps(p)
	b.wishes(p)
	for i, o := range p.Templates {
		b.line("")
		if i == 0 {
			b.line("# County templates that were laid over these settings, and where they are from.")
		}
		b.line("[[from_template]]")
		b.key("name", quoted(o.Name), "")
		b.key("source", quoted(o.Source), "")
		b.key("date", quoted(o.On.String()), "")
	}
	return b.Bytes()
}

// FormatShared gives, of the text that Format gives, what the properties of a county
// share: ParseOver reads it. Burn days of a season, the crew, and closures of single
// units are one property's own.
func FormatShared(p *habitat.Property) []byte {
	var b printer
	b.shares(p)
	for _, s := range p.Seasons {
		b.line("\n[[season]]")
		b.season(&s)
	}
	b.line("\n[crew]")
	b.workdays(&p.Crew)
	for _, c := range p.Closures {
		if len(c.Units) == 0 {
			b.line("\n[[closure]]")
			b.closure(&c)
		}
	}
	return b.Bytes()
}

type printer struct{ bytes.Buffer }

func (b *printer) line(format string, args ...any) {
	fmt.Fprintf(b, format, args...)
	b.WriteByte('\n')
}

// key writes a key and, in a column of its own, what it means.
func (b *printer) key(name, value, comment string) {
	line := name + " = " + value
	if comment != "" {
		line = fmt.Sprintf("%-38s # %s", line, comment)
	}
	b.line("%s", line)
}

// maybe writes a key that may be absent: as a comment with an example then.
func (b *printer) maybe(has bool, name, value, example, comment string) {
	if has {
		b.key(name, value, comment)
	} else {
		b.key("# "+name, example, comment)
	}
}

func (b *printer) general(p *habitat.Property) {
	b.line("# Settings of one property. Days of every year are MM-DD, single dates YYYY-MM-DD.")
	b.line("# A key behind a # is absent: its default or no limit holds.")
	b.line("")
	b.key("name", quoted(p.Name), "")
	b.key("place", quoted(p.Place), "county or the like, for the papers")
	b.key("owner", quoted(p.Owner), "for whom the papers are")
	b.maybe(p.Land.Farm != "", "farm", quoted(p.Land.Farm), `"2210"`, "number in farm records, for the papers; units may say their own")
	b.maybe(p.Land.Tract != "", "tract", quoted(p.Land.Tract), `"4471"`, "number in farm records; fields stand in the list of units as field_number")
	b.maybe(p.Land.Section != "", "section", quoted(p.Land.Section), `"NE 1/4 of 14-11S-8E"`, "legal description of the ground")
	b.maybe(p.HasPlace, "latitude", number(p.Latitude), "36.9", "degrees north")
	b.maybe(p.HasPlace, "longitude", number(p.Longitude), "-97.0", "degrees east: negative in the Americas")
	b.key("utc_offset", number(float64(p.UTCOffset)), "hours of local standard time")
	zone := "America/Chicago"
	if taken := habitat.ZoneOf(p.UTCOffset); taken != "" {
		zone = taken
	}
	b.maybe(p.Zone != "", "time_zone", quoted(p.Zone), quoted(zone), "in which hours are shown; default: the largest US zone of utc_offset")
	b.yearStart(p)
	b.key("years", fmt.Sprint(p.Years), fmt.Sprintf("plan years; default %d", habitat.DefaultYears))
	b.maybe(
		p.Lookahead >= 0,
		"lookahead",
		fmt.Sprint(p.Lookahead),
		"4",
		fmt.Sprintf("years solved beyond the plan; default: longest max interval, at most %d", habitat.MaxLookahead),
	)
	b.maybe(
		p.KeepYears != nil,
		"keep_years",
		fmt.Sprint(p.Keep()),
		fmt.Sprint(p.Keep()),
		"first years that should follow the adopted plan; default 2, or the years where they are fewer",
	)
	b.resets(p)
	grazed := quoted(everyUnit)
	if !p.AllGrazed {
		names := make([]string, len(p.GrazedUnits))
		for i, name := range p.GrazedUnits {
			names[i] = quoted(name)
		}
		grazed = "[" + strings.Join(names, ", ") + "]"
	}
	b.maybe(p.AllGrazed || len(p.GrazedUnits) > 0, "grazed_units", grazed, `["n1"]`, "units that stock grazes, or \"all\": they have tasks to move it; default: none")
	b.chance(p)
	b.maybe(p.BreakDollars > 0, "break_dollars", number(p.BreakDollars), "0.4", "dollars a foot of break, added to the cost of each unit with a shape; default: not counted")
}

func (b *printer) yearStart(p *habitat.Property) {
	b.key("program_year_starts", quoted(strings.ToLower(time.Month(p.YearStart).String())), "a month; default october")
}

func (b *printer) resets(p *habitat.Property) {
	b.key("reset_share", number(float64(p.ResetShare)), fmt.Sprintf("share of a unit that must burn to start its age anew; default %v", float64(habitat.DefaultResetShare)))
	kinds := make([]string, len(p.TreatmentsReset))
	for i, k := range p.TreatmentsReset {
		kinds[i] = quoted(string(k))
	}
	b.maybe(
		len(kinds) > 0,
		"treatments_reset_age",
		"["+strings.Join(kinds, ", ")+"]",
		`["mowing"]`,
		"treatments that set the age back as a burn does (mowing, disking, herbicide, grazing); default: none",
	)
}

func (b *printer) chance(p *habitat.Property) {
	b.key("window_chance", number(float64(p.WindowChance)), fmt.Sprintf("least chance of a candidate day in a burn window; default %v", float64(habitat.DefaultWindowChance)))
}

// shares writes the single keys that the properties of a county share.
func (b *printer) shares(p *habitat.Property) {
	b.yearStart(p)
	b.resets(p)
	b.chance(p)
}

func (b *printer) seasons(p *habitat.Property) {
	for i, s := range p.Seasons {
		b.line("")
		if i == 0 {
			b.line("# Seasons in which units burn. burn_days caps the crew's days in the season of one year.")
		}
		b.line("[[season]]")
		b.season(&s)
		b.maybe(s.BurnDays != nil, "burn_days", optional(s.BurnDays), "14", "default: no cap")
	}
}

func (b *printer) season(s *habitat.Season) {
	b.key("name", quoted(s.Name), "")
	b.key("first", quoted(s.Span.First.String()), "")
	b.key("last", quoted(s.Span.Last.String()), "")
}

func (b *printer) crew(p *habitat.Property) {
	b.line("\n# Who burns, and on which days.")
	b.line("[crew]")
	b.people(p.People)
	b.maybe(p.DayHolds > 0, "day_holds", number(p.DayHolds), "1", "burn days that one day of the crew holds; default 1")
	b.workdays(&p.Crew)
	for i, of := range p.SeasonPeople {
		if i == 0 {
			b.line("\n# Who burns in one season, in place of those above.")
		}
		b.line("[[crew.season]]")
		b.key("season", quoted(of.Season), "")
		b.people(of.People)
	}
	for i, days := range p.Crew.Shared {
		if i == 0 {
			b.line("\n# Days shared with partners: they burn here, weekend or not; or, away, the crew burns there and nothing burns here.")
		}
		b.line("[[crew.shared]]")
		b.key("partner", quoted(days.Partner), "")
		if days.Yearly != nil {
			b.key("first", quoted(days.Yearly.First.String()), "")
			b.key("last", quoted(days.Yearly.Last.String()), "")
		} else {
			b.key("first", quoted(days.Once.First.String()), "")
			b.key("last", quoted(days.Once.Last.String()), "default: first")
		}
		b.key("away", fmt.Sprint(days.Away), "does the crew burn there? default false")
		b.maybe(days.People > 0, "people", fmt.Sprint(days.People), "4", "how many the partner brings; default: not known")
	}
}

// workdays writes on which days a crew works.
func (b *printer) workdays(c *date.Crew) {
	b.key("weekends", fmt.Sprint(c.Weekends), "worked? default false")
	b.key("federal_holidays", fmt.Sprint(c.FederalHolidays), "off? default true")
	for _, off := range c.Off {
		b.line("[[crew.off]]")
		if off.Name != "" {
			b.key("name", quoted(off.Name), "")
		}
		b.key("first", quoted(off.First.String()), "")
		b.key("last", quoted(off.Last.String()), "")
	}
}

// people writes a crew: by name where names are known, else how many.
func (b *printer) people(of habitat.People) {
	b.maybe(of.Count > 0 && len(of.Names) == 0, "people", fmt.Sprint(of.Count), "4", "how many burn, the burn boss included; default: not known")
	names := make([]string, len(of.Names))
	for i, name := range of.Names {
		names[i] = quoted(name)
	}
	b.maybe(len(names) > 0, "names", "["+strings.Join(names, ", ")+"]", `["A. Example", "B. Example"]`, "who they are, in place of people")
}

func (b *printer) closures(p *habitat.Property) {
	if len(p.Closures) == 0 {
		b.line("\n# Spans in which nothing may burn: yearly with MM-DD, once with YYYY-MM-DD.")
		b.line("# [[closure]]\n# name = \"nesting\"\n# first = \"05-01\"\n# last = \"07-31\"\n# units = [\"n1\"]")
	}
	for i, c := range p.Closures {
		b.line("")
		if i == 0 {
			b.line("# Spans in which nothing may burn: yearly with MM-DD, once with YYYY-MM-DD.")
		}
		b.line("[[closure]]")
		b.closure(&c)
		names := make([]string, len(c.Units))
		for i, u := range c.Units {
			names[i] = quoted(u)
		}
		b.maybe(len(names) > 0, "units", "["+strings.Join(names, ", ")+"]", `["n1"]`, "closes only these; default: all")
	}
}

func (b *printer) closure(c *habitat.Closure) {
	first, last := c.Ends()
	b.key("name", quoted(c.Name), "")
	b.key("first", quoted(first), "")
	b.key("last", quoted(last), "")
}

func (b *printer) caps(p *habitat.Property) {
	b.line("\n# Hard limits of a program year.")
	b.line("[caps]")
	b.capKeys(&p.Caps)
	for i, c := range p.CapsIn {
		b.line("")
		if i == 0 {
			b.line("# Caps of single program years replace the ones they name.")
		}
		b.line("[[caps_in]]")
		b.key("year", fmt.Sprint(int(c.Year)), "")
		b.capKeys(&c.Caps)
		if c.BurnDays != nil {
			var days []string
			for _, name := range slices.Sorted(maps.Keys(c.BurnDays)) {
				days = append(days, quoted(name)+" = "+number(c.BurnDays[name]))
			}
			b.key("burn_days", "{ "+strings.Join(days, ", ")+" }", "by season")
		}
	}
}

func (b *printer) capKeys(c *habitat.Caps) {
	b.maybe(c.Acres != nil, "acres", optional(c.Acres), "420", "")
	burns, cost := "", ""
	if c.Burns != nil {
		burns = fmt.Sprint(*c.Burns)
	}
	if c.Cost != nil {
		cost = dollars(*c.Cost)
	}
	b.maybe(c.Burns != nil, "burns", burns, "10", "")
	b.maybe(c.Cost != nil, "cost", cost, "18000", "dollars")
}

func (b *printer) wishes(p *habitat.Property) {
	b.line("\n# Acres wanted burned each year.")
	b.line("[evenness]")
	b.maybe(p.EvenLo != nil, "min_acres", optional(p.EvenLo), "250", "")
	b.maybe(p.EvenHi != nil, "max_acres", optional(p.EvenHi), "400", "")
	for i, m := range p.Mixes {
		b.line("")
		if i == 0 {
			b.line("# Wanted shares of a group's acres by stand age in program years; no \"to\" in the last class.")
		}
		b.line("[[mix]]")
		b.key("name", quoted(m.Name), "")
		for _, c := range m.Classes {
			b.line("[[mix.class]]")
			b.key("name", quoted(c.Name), "")
			b.key("from", fmt.Sprint(c.From), "")
			if c.To != habitat.OpenEnded {
				b.key("to", fmt.Sprint(c.To), "")
			}
			b.key("min_share", number(float64(c.MinShare)), "default 0")
			b.key("max_share", number(float64(c.MaxShare)), "default 1")
		}
	}
	if len(p.Mixes) == 0 {
		b.line("\n# Wanted shares of the acres by stand age in program years, of the units that name a mix in\n# the column mix; no \"to\" in the last class.")
		b.line("# [[mix]]\n# name = \"prairie\"\n# [[mix.class]]\n# name = \"fresh\"\n# from = 0\n# to = 0\n# min_share = 0.3\n# max_share = 0.5")
		b.line("# [[mix.class]]\n# name = \"older\"\n# from = 1")
	}
	for i, r := range p.Refuges {
		b.line("")
		if i == 0 {
			b.line("# Groups of which never more than a share of the acres burns in one program year.")
		}
		b.line("[[refuge]]")
		b.key("name", quoted(r.Name), "")
		b.key("max_share", number(float64(r.MaxShare)), "")
	}
	if len(p.Refuges) == 0 {
		b.line(
			"\n# Groups of which never more than a share of the acres burns in one program year, for the\n# units that name one in the column refuge. Without one a plan may burn everything at once.",
		)
		b.line("# [[refuge]]\n# name = \"all patches\"\n# max_share = 0.5")
	}
	b.weights(p.Weights, habitat.DefaultWeights())
}

func (b *printer) weights(w, usual habitat.Weights) {
	b.line("\n# What weighs how much when a plan cannot have everything, in acre-years.")
	b.line("[weights]")
	for _, part := range []struct {
		key           string
		value, normal float64
		what          string
	}{
		{"overdue", w.Overdue, usual.Overdue, "an acre past its max interval"},
		{"mix", w.Mix, usual.Mix, "an acre outside the wanted shares"},
		{"season", w.Season, usual.Season, "an acre burned in a season of penalty 1"},
		{"evenness", w.Evenness, usual.Evenness, "an acre outside the wanted yearly acres"},
		{"neighbors", w.Neighbors, usual.Neighbors, "an acre of neighbors burned in one year"},
		{"keep", w.Keep, usual.Keep, "an acre planned otherwise than before"},
	} {
		b.key(part.key, number(part.value), fmt.Sprintf("%s; default %v", part.what, part.normal))
	}
	b.key(
		"overdue_growth",
		number(w.OverdueGrowth),
		fmt.Sprintf("each further overdue year in a row adds this share of overdue, so that no unit is given up; 0: no; default %v", usual.OverdueGrowth),
	)
	b.key("overdue_growth_years", strconv.Itoa(w.OverdueGrowthYears), fmt.Sprintf("for up to so many years; default %d", usual.OverdueGrowthYears))
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func optional[F ~float64](v *F) string {
	if v == nil {
		return ""
	}
	return number(float64(*v))
}

// dollars gives cents as dollars without loss.
func dollars(c quantity.Cents) string {
	if c%100 == 0 {
		return fmt.Sprint(int64(c / 100))
	}
	return fmt.Sprintf("%d.%02d", int64(c/100), int64(c%100))
}

// quoted gives a TOML basic string.
func quoted(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < 0x20 || r >= 0x7f && r < 0xa0:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
