package habitat

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Property is the ground that is planned as one, with everything its manager
// has settled: seasons, crew, closures, caps, wanted mixes, refuges, weights.
type Property struct {
	Name, Place string
	// Latitude and Longitude are in degrees, north and east positive; HasPlace
	// says whether they are known.
	Latitude, Longitude float64
	HasPlace            bool
	// UTCOffset is that of local standard time.
	UTCOffset quantity.Hours
	// Zone is the time zone in which hours are shown, such as America/Chicago;
	// empty takes one from UTCOffset. See Location.
	Zone      string
	YearStart date.YearStart
	// Years counts the plan years; Lookahead those after them that are solved
	// too, −1 meaning the longest max interval, at most 10.
	Years, Lookahead int
	Seasons          []Season
	Crew             date.Crew
	// People are those who burn in every season for which SeasonPeople names nobody;
	// see PeopleIn.
	People       People
	SeasonPeople []SeasonPeople
	// DayHolds is how many burn days one day of the crew holds: 2 where it can burn
	// two units of one burn day each on the same day; 0 means 1.
	DayHolds float64
	Closures []Closure
	Caps     Caps
	// CapsIn replaces, in single program years, the caps that it names.
	CapsIn  []CapsIn
	Mixes   []Mix
	Refuges []Refuge
	// EvenLo and EvenHi bound the acres wanted burned a year; nil means that
	// the side is absent.
	EvenLo, EvenHi *quantity.Acres
	Weights        Weights
	// KeepYears says for how many of the first years a plan should follow the
	// adopted one.
	// nil is DefaultKeepYears, or all years where they are fewer; see Keep.
	KeepYears *int
	// KeepUnasked says that the settings bear the 0 that programs before the default of
	// DefaultKeepYears wrote where nobody had set anything: KeepYears is nil then. It is
	// not written.
	KeepUnasked bool
	// ResetShare is the share of a unit that a burn must have covered to set
	// the stand age back to 0.
	ResetShare quantity.Share
	// WindowChance is the least chance of a candidate day for a week to be
	// part of a burn window.
	WindowChance quantity.Share
	// BreakDollars is what a foot of break costs. 0 means that units' costs hold
	// their breaks already; above it, a plan adds each unit's feet, burned alone.
	BreakDollars float64
	// TreatmentsReset lists the treatments other than fire that set the stand age
	// back as a burn does.
	TreatmentsReset []RecordKind
	// GrazedUnits names the units that stock grazes; AllGrazed says that it grazes
	// every one. Their burns have the tasks of grazed units.
	GrazedUnits []string
	AllGrazed   bool
	// Owner says, in the property's own words, for whom the papers are.
	Owner string
	// Land are the numbers of its ground in the records of farms and of land.
	Land LandNumbers
	// Templates are the county templates that were laid over the settings, each once by
	// its name.
	Templates []TemplateOrigin
	// Owned holds, by name, the units that are not the property's to burn at all
	// times. It follows from the units and is not part of the settings.
	Owned map[string]Ownership
}

// TemplateOrigin says where a county template is from: of which county it is, who says
// so, as of which day.
type TemplateOrigin struct {
	Name, Source string
	On           date.Day
}

// Words names the template with where it is from.
func (o *TemplateOrigin) Words() string {
	return fmt.Sprintf("template of %s (%s, %s)", o.Name, o.Source, o.On)
}

// Validate checks a template's origin; field is where it stands.
func (o *TemplateOrigin) Validate(field string) error {
	all := []error{ValidateName(field+".name", o.Name), ValidateName(field+".source", o.Source)}
	if o.On.IsZero() {
		all = append(all, fieldErrorf(field+".date", "a date as YYYY-MM-DD", "is missing"))
	}
	return errors.Join(all...)
}

// Defaults of a property's settings.
const (
	DefaultYears        = 5
	DefaultKeepYears    = 2
	DefaultResetShare   = quantity.Share(0.6)
	DefaultWindowChance = quantity.Share(0.2)
	MaxLookahead        = 10
	// MaxYears keeps a plan to a length that anyone can believe in.
	MaxYears = 60
)

// Season is a part of the program year in which units burn.
type Season struct {
	Name string
	Span date.AnnualSpan
	// BurnDays caps the crew's burn days in the season of one program year;
	// nil means no cap.
	BurnDays *float64
}

// IsGrazed reports whether the settings say that stock grazes a unit.
func (p *Property) IsGrazed(unit string) bool {
	return p.AllGrazed || slices.Contains(p.GrazedUnits, unit)
}

// BurnDaysADay gives how many burn days one day of the crew holds.
func (p *Property) BurnDaysADay() float64 {
	if p.DayHolds == 0 {
		return 1
	}
	return p.DayHolds
}

// SeasonWords names a season of a program year: "dormant season 2027".
func SeasonWords(season string, year date.ProgramYear) string {
	if strings.HasSuffix(strings.ToLower(season), "season") {
		return fmt.Sprintf("%s %d", season, year)
	}
	return fmt.Sprintf("%s season %d", season, year)
}

// Closure is a span in which nothing may burn: nesting, a hunt, stock in the
// field. It is yearly where Yearly is set, else it happens once.
type Closure struct {
	Name   string
	Yearly *date.AnnualSpan
	Once   *date.Span
	// Units names the units that it closes; none means the whole property.
	Units []string
}

// Ends gives its first and last day as settings write them: "04-15" where it is of every
// year, "2028-04-15" where of one.
func (c *Closure) Ends() (first, last string) {
	switch {
	case c.Yearly != nil:
		return c.Yearly.First.String(), c.Yearly.Last.String()
	case c.Once != nil:
		return c.Once.First.String(), c.Once.Last.String()
	}
	return "", ""
}

// Covers reports whether the closure speaks of a unit.
func (c *Closure) Covers(unit string) bool {
	return len(c.Units) == 0 || slices.Contains(c.Units, unit)
}

// Within gives the days that the closure takes out of a span, as spans in
// order of time.
func (c *Closure) Within(s date.Span) []date.Span {
	var all []date.Span
	add := func(closed date.Span) {
		if closed.First.Before(s.First) {
			closed.First = s.First
		}
		if closed.Last.After(s.Last) {
			closed.Last = s.Last
		}
		if closed.Days() > 0 {
			all = append(all, closed)
		}
	}
	if c.Once != nil {
		add(*c.Once)
	}
	if c.Yearly != nil {
		for year := s.First.Year - 1; year <= s.Last.Year; year++ {
			add(c.Yearly.From(year))
		}
	}
	return all
}

// Has reports whether the closure holds a day.
func (c *Closure) Has(d date.Day) bool {
	return c.Once != nil && c.Once.Has(d) || c.Yearly != nil && c.Yearly.Has(d)
}

// IsClosed reports whether a closure keeps a unit from burning on a day, or the
// day lies outside the time in which it is owned; an empty unit asks for closures
// of the whole property alone.
func (p *Property) IsClosed(unit string, d date.Day) bool {
	return !p.Owned[unit].Has(d) || slices.ContainsFunc(p.Closures, func(c Closure) bool { return c.Covers(unit) && c.Has(d) })
}

// ClosedIn gives the days of a span on which closures keep a unit from burning,
// closure by closure, then those on which it is not owned; an empty unit asks for closures of the whole property
// alone.
func (p *Property) ClosedIn(unit string, span date.Span) []date.Span {
	var closed []date.Span
	for i := range p.Closures {
		if c := &p.Closures[i]; c.Covers(unit) {
			closed = append(closed, c.Within(span)...)
		}
	}
	return append(closed, p.Owned[unit].outside(span)...)
}

// Caps are hard limits a program year; nil means none.
type Caps struct {
	Acres *quantity.Acres
	Burns *int
	Cost  *quantity.Cents
	// BurnDays caps single seasons, in place of the season's own cap. It is
	// read in CapsIn only.
	BurnDays map[string]float64
}

// CapsIn holds caps of one program year.
type CapsIn struct {
	Year date.ProgramYear
	Caps
}

// Mix is a group of units whose acres are wanted in shares by age class.
type Mix struct {
	Name    string
	Classes []AgeClass
}

// OpenEnded is the To of an age class without an upper end.
const OpenEnded = math.MaxInt

// AgeClass is a range of stand ages, both ends included, with the wanted share
// of the mix's acres.
type AgeClass struct {
	Name               string
	From, To           int
	MinShare, MaxShare quantity.Share
}

// Ages gives the class's ages in words: "0", "1 to 2", "3 and over".
func (c AgeClass) Ages() string {
	switch c.To {
	case c.From:
		return fmt.Sprint(c.From)
	case OpenEnded:
		return fmt.Sprintf("%d and over", c.From)
	}
	return fmt.Sprintf("%d to %d", c.From, c.To)
}

// Refuge is a group of units of which never more than MaxShare of the acres
// burns in one program year.
type Refuge struct {
	Name     string
	MaxShare quantity.Share
}

// Limits of growth: beyond them a slip is more likely than a wish.
const (
	MaxOverdueGrowth      = 1000
	MaxOverdueGrowthYears = 100
)

// Weights turn the parts of a plan's cost into acre-years.
type Weights struct {
	Overdue, Mix, Season, Evenness, Neighbors, Keep float64
	// OverdueGrowth is the share of Overdue that each further overdue year in a
	// row adds, for up to OverdueGrowthYears years: with it no unit is given up
	// because one late year costs as much as the next. 0 means no growth.
	OverdueGrowth      float64
	OverdueGrowthYears int
}

// DefaultWeights are those of the rotation problem; overdue grows.
func DefaultWeights() Weights {
	return Weights{Overdue: 3, Mix: 2, Season: 0.5, Evenness: 1, Neighbors: 1, Keep: 1, OverdueGrowth: 1, OverdueGrowthYears: 3}
}

// NewProperty gives a property with every default set and nothing else: a name
// and at least one season must follow before Validate accepts it.
func NewProperty(name string) Property {
	return Property{
		Name: name, UTCOffset: 0, YearStart: date.YearStart(time.October), Years: DefaultYears, Lookahead: -1,
		Crew: date.NewCrew(), Weights: DefaultWeights(), ResetShare: DefaultResetShare, WindowChance: DefaultWindowChance,
	}
}

// Keep gives for how many of its first years a plan should follow the adopted one.
func (p *Property) Keep() int {
	if p.KeepYears != nil {
		return *p.KeepYears
	}
	return min(DefaultKeepYears, max(0, p.Years))
}

// SeasonIndex gives the index of a season by name, −1 where there is none.
func (p *Property) SeasonIndex(name string) int {
	return slices.IndexFunc(p.Seasons, func(s Season) bool { return s.Name == name })
}

// RenameSeason gives a season another name wherever the settings name it.
func (p *Property) RenameSeason(from, to string) {
	p.Seasons = slices.Clone(p.Seasons)
	for i := range p.Seasons {
		if p.Seasons[i].Name == from {
			p.Seasons[i].Name = to
		}
	}
	p.SeasonPeople = slices.Clone(p.SeasonPeople)
	for i := range p.SeasonPeople {
		if p.SeasonPeople[i].Season == from {
			p.SeasonPeople[i].Season = to
		}
	}
	p.CapsIn = slices.Clone(p.CapsIn)
	for i := range p.CapsIn {
		days, ok := p.CapsIn[i].BurnDays[from]
		if !ok {
			continue
		}
		p.CapsIn[i].BurnDays = maps.Clone(p.CapsIn[i].BurnDays)
		delete(p.CapsIn[i].BurnDays, from)
		p.CapsIn[i].BurnDays[to] = days
	}
}

// SeasonSpan gives the days of a season in a program year.
func (p *Property) SeasonSpan(season int, year date.ProgramYear) date.Span {
	return p.YearStart.Season(p.Seasons[season].Span, year)
}

// SeasonOf gives the season in which a day lies and the program year to which
// the season's occurrence belongs. ok is false for a day in no season; the
// year is then that of the day itself.
func (p *Property) SeasonOf(d date.Day) (season int, year date.ProgramYear, ok bool) {
	own := p.YearStart.Of(d)
	for _, y := range []date.ProgramYear{own, own + 1} {
		for i := range p.Seasons {
			if p.SeasonSpan(i, y).Has(d) {
				return i, y, true
			}
		}
	}
	return -1, own, false
}

// YearOf gives the program year in which a burn on the day counts.
func (p *Property) YearOf(d date.Day) date.ProgramYear {
	_, year, _ := p.SeasonOf(d)
	return year
}

// FieldError is what Validate returns: a field of a value and what is wrong
// with it. Readers turn it into a place in their file.
type FieldError struct {
	// Field is the path of the field, in the words of the settings file.
	Field, Found, Accepts string
}

// Error gives "field: found; accepts …".
func (e *FieldError) Error() string {
	text := e.Field + ": " + e.Found
	if e.Accepts != "" {
		text += "; accepts " + e.Accepts
	}
	return text
}

func fieldErrorf(field, accepts, format string, args ...any) error {
	return &FieldError{field, fmt.Sprintf(format, args...), accepts}
}

// ValidateName reports whether the text can name a unit, a season, a group:
// it is not empty, has no control characters, no blanks at its ends, and at most 200
// characters.
func ValidateName(field, name string) error {
	const accepts = "a name of 1 to 200 characters without control characters or blanks at its ends"
	switch {
	case name == "":
		return fieldErrorf(field, accepts, "is empty")
	case len([]rune(name)) > 200:
		return fieldErrorf(field, accepts, "has %d characters", len([]rune(name)))
	case strings.TrimSpace(name) != name:
		return fieldErrorf(field, accepts, "%q begins or ends with a blank", name)
	case strings.ContainsFunc(name, unicode.IsControl):
		return fieldErrorf(field, accepts, "%q holds a control character", name)
	}
	return nil
}

// Validate checks the settings against each other. The error joins one
// *FieldError for each fault.
func (p *Property) Validate() error {
	var all []error
	add := func(err error) {
		if err != nil {
			all = append(all, err)
		}
	}
	add(ValidateName("name", p.Name))
	if p.HasPlace && !(math.Abs(p.Latitude) <= 90) {
		add(fieldErrorf("latitude", "-90 to 90 degrees", "%v is off the globe", p.Latitude))
	}
	if p.HasPlace && !(math.Abs(p.Longitude) <= 180) {
		add(fieldErrorf("longitude", "-180 to 180 degrees", "%v is off the globe", p.Longitude))
	}
	add(p.checkZone())
	if !(p.UTCOffset >= -12 && p.UTCOffset <= 14) {
		add(fieldErrorf("utc_offset", "-12 to 14 hours", "%v hours is not a time zone", float64(p.UTCOffset)))
	}
	if p.YearStart < 1 || p.YearStart > 12 {
		add(fieldErrorf("program_year_starts", "the name of a month", "month %d does not exist", int(p.YearStart)))
	}
	if p.Years < 1 || p.Years > MaxYears {
		add(fieldErrorf("years", fmt.Sprintf("1 to %d", MaxYears), "%d years cannot be planned", p.Years))
	}
	if p.Lookahead < -1 || p.Lookahead > MaxYears {
		add(fieldErrorf("lookahead", fmt.Sprintf("0 to %d, or none for the longest max interval", MaxYears), "%d is not a number of years", p.Lookahead))
	}
	if keep := p.Keep(); keep < 0 || keep > p.Years+max(0, p.Lookahead) {
		add(fieldErrorf("keep_years", "0 to the number of years", "%d is outside the plan", keep))
	}
	if !(p.ResetShare > 0 && p.ResetShare <= 1) {
		add(fieldErrorf("reset_share", "a share above 0, up to 1", "%v is not a share of a unit", float64(p.ResetShare)))
	}
	for i, name := range p.GrazedUnits {
		add(ValidateName("grazed_units", name))
		if slices.Contains(p.GrazedUnits[:i], name) {
			add(fieldErrorf("grazed_units", "each unit once", "%q is named twice", name))
		}
	}
	for i, k := range p.TreatmentsReset {
		if !k.IsTreatment() || slices.Contains(p.TreatmentsReset[:i], k) {
			add(fieldErrorf("treatments_reset_age", "mowing, disking, herbicide and grazing, each once", "%q is none of them, or stands twice", k))
		}
	}
	if !(p.WindowChance >= 0 && p.WindowChance <= 1) {
		add(fieldErrorf("window_chance", "0 to 1", "%v is not a chance", float64(p.WindowChance)))
	}
	if !(p.BreakDollars >= 0 && p.BreakDollars <= 1000) {
		add(fieldErrorf("break_dollars", "0 to 1000 dollars a foot", "%v is not a price of a foot of break", p.BreakDollars))
	}
	all = append(all, p.validatePeople()...)
	if !(p.DayHolds == 0 || p.DayHolds >= 0.1 && p.DayHolds <= MaxDayHolds) {
		add(fieldErrorf("crew.day_holds", fmt.Sprintf("0.1 to %d burn days", MaxDayHolds), "%v is not what a day can hold", p.DayHolds))
	}
	add(p.validateSeasons())
	for i, c := range p.Closures {
		field := fmt.Sprintf("closure[%d]", i)
		add(ValidateName(field+".name", c.Name))
		if (c.Yearly == nil) == (c.Once == nil) {
			add(fieldErrorf(field, "either yearly days as MM-DD or dates as YYYY-MM-DD", "has no days, or both kinds"))
		}
		if c.Once != nil && c.Once.Last.Before(c.Once.First) {
			add(fieldErrorf(field+".last", "a date on or after first", "%s is before %s", c.Once.Last, c.Once.First))
		}
	}
	for i := range p.Templates {
		field := fmt.Sprintf("from_template[%d]", i)
		add(p.Templates[i].Validate(field))
		if slices.ContainsFunc(p.Templates[:i], func(o TemplateOrigin) bool { return o.Name == p.Templates[i].Name }) {
			add(fieldErrorf(field+".name", "each template once", "%q is named twice", p.Templates[i].Name))
		}
	}
	add(p.Caps.validate("caps", p))
	seen := map[date.ProgramYear]bool{}
	for i, c := range p.CapsIn {
		field := fmt.Sprintf("caps_in[%d]", i)
		if seen[c.Year] {
			add(fieldErrorf(field+".year", "each program year once", "%d is named twice", c.Year))
		}
		seen[c.Year] = true
		add(c.Caps.validate(field, p))
	}
	add(p.validateGroups())
	return errors.Join(all...)
}

func (p *Property) validateSeasons() error {
	var all []error
	if len(p.Seasons) == 0 {
		return fieldErrorf("season", "one season or more", "there is none")
	}
	for i, s := range p.Seasons {
		field := fmt.Sprintf("season[%d]", i)
		if err := ValidateName(field+".name", s.Name); err != nil {
			all = append(all, err)
		}
		if p.SeasonIndex(s.Name) != i {
			all = append(all, fieldErrorf(field+".name", "each name once", "%q is named twice", s.Name))
		}
		if s.BurnDays != nil && !isAmount(*s.BurnDays, MaxBurnDays) {
			all = append(all, fieldErrorf(field+".burn_days", "0 to 366 days", "%v is not a number of days", *s.BurnDays))
		}
		for j, other := range p.Seasons[:i] {
			if overlap(s.Span, other.Span) {
				all = append(all, fieldErrorf(field, "seasons that do not overlap", "%s (%s) overlaps %s (%s)",
					s.Name, s.Span.Words(), p.Seasons[j].Name, other.Span.Words()))
			}
		}
	}
	return errors.Join(all...)
}

// overlap reports whether two spans share a day of a leap year: then the first
// day of one lies in the other.
func overlap(a, b date.AnnualSpan) bool {
	const leap = 2028
	return a.Has(b.From(leap).First) || b.Has(a.From(leap).First)
}

func (c *Caps) validate(field string, p *Property) error {
	var all []error
	if c.Acres != nil && !isAmount(float64(*c.Acres), float64(MaxAcres)) {
		all = append(all, fieldErrorf(field+".acres", "0 to 1e9 acres", "%v is not an area", float64(*c.Acres)))
	}
	if c.Burns != nil && *c.Burns < 0 {
		all = append(all, fieldErrorf(field+".burns", "0 or more burns", "%d is negative", *c.Burns))
	}
	if c.Cost != nil && *c.Cost < 0 {
		all = append(all, fieldErrorf(field+".cost", "0 or more dollars", "%s is negative", c.Cost))
	}
	for _, name := range sortedKeys(c.BurnDays) {
		days := c.BurnDays[name]
		if p.SeasonIndex(name) < 0 {
			all = append(all, fieldErrorf(field+".burn_days", "one of "+p.seasonNames(), "%q is not a season of this property", name))
		}
		if !isAmount(days, MaxBurnDays) {
			all = append(all, fieldErrorf(field+".burn_days."+name, "0 to 366 days", "%v is not a number of days", days))
		}
	}
	return errors.Join(all...)
}

func (p *Property) seasonNames() string {
	names := make([]string, len(p.Seasons))
	for i, s := range p.Seasons {
		names[i] = s.Name
	}
	return strings.Join(names, ", ")
}

func (p *Property) validateGroups() error {
	var all []error
	add := func(err error) {
		if err != nil {
			all = append(all, err)
		}
	}
	names := map[string]bool{}
	for i, m := range p.Mixes {
		field := fmt.Sprintf("mix[%d]", i)
		add(ValidateName(field+".name", m.Name))
		if names[m.Name] {
			add(fieldErrorf(field+".name", "each name once", "%q is named twice", m.Name))
		}
		names[m.Name] = true
		add(m.validate(field))
	}
	clear(names)
	for i, r := range p.Refuges {
		field := fmt.Sprintf("refuge[%d]", i)
		add(ValidateName(field+".name", r.Name))
		if names[r.Name] {
			add(fieldErrorf(field+".name", "each name once", "%q is named twice", r.Name))
		}
		names[r.Name] = true
		if !(r.MaxShare >= 0 && r.MaxShare <= 1) {
			add(fieldErrorf(field+".max_share", "0 to 1", "%v is not a share", float64(r.MaxShare)))
		}
	}
	for i, acres := range []*quantity.Acres{p.EvenLo, p.EvenHi} {
		if acres != nil && !isAmount(float64(*acres), float64(MaxAcres)) {
			add(fieldErrorf([]string{"evenness.min_acres", "evenness.max_acres"}[i], "0 to 1e9 acres", "%v is not an area", float64(*acres)))
		}
	}
	if p.EvenLo != nil && p.EvenHi != nil && *p.EvenLo > *p.EvenHi {
		add(fieldErrorf("evenness.min_acres", "at most max_acres", "%s is above %s", *p.EvenLo, *p.EvenHi))
	}
	w := p.Weights
	for i, v := range []float64{w.Overdue, w.Mix, w.Season, w.Evenness, w.Neighbors, w.Keep} {
		if !isAmount(v, MaxWeight) {
			name := []string{"overdue", "mix", "season", "evenness", "neighbors", "keep"}[i]
			add(fieldErrorf("weights."+name, "0 to 1e9", "%v is not a weight", v))
		}
	}
	if v := w.OverdueGrowth; !(v >= 0 && v <= MaxOverdueGrowth) {
		add(fieldErrorf("weights.overdue_growth", fmt.Sprintf("0 to %d, such as 1", MaxOverdueGrowth), "%v is not a growth of overdue", v))
	}
	if v := w.OverdueGrowthYears; v < 0 || v > MaxOverdueGrowthYears {
		add(fieldErrorf("weights.overdue_growth_years", fmt.Sprintf("0 to %d years", MaxOverdueGrowthYears), "%d is not a number of years in which overdue grows", v))
	}
	return errors.Join(all...)
}

func (m *Mix) validate(field string) error {
	next := 0
	for i, c := range m.Classes {
		at := fmt.Sprintf("%s.class[%d]", field, i)
		if err := ValidateName(at+".name", c.Name); err != nil {
			return err
		}
		if slices.ContainsFunc(m.Classes[:i], func(o AgeClass) bool { return o.Name == c.Name }) {
			return fieldErrorf(at+".name", "each name once", "%q is named twice", c.Name)
		}
		if next == 0 && c.From != 0 {
			return fieldErrorf(at+".from", "classes that cover every age from 0 once, in order", "age %s does not begin at age 0", c.Ages())
		}
		if c.From != next || c.To < c.From {
			return fieldErrorf(
				at+".from",
				"classes that cover every age from 0 once, in order",
				"age %s does not follow on the classes before it, which end at %d",
				c.Ages(),
				next-1,
			)
		}
		if !(c.MinShare >= 0 && c.MaxShare <= 1 && c.MinShare <= c.MaxShare) {
			return fieldErrorf(at, "shares with 0 <= min_share <= max_share <= 1", "min_share %v and max_share %v", float64(c.MinShare), float64(c.MaxShare))
		}
		if c.To == OpenEnded {
			if i != len(m.Classes)-1 {
				return fieldErrorf(at+".to", "no to in the last class alone", "%s is open-ended and not the last", c.Name)
			}
			return nil
		}
		next = c.To + 1
	}
	return fieldErrorf(field+".class", "a last class without to", "no class covers age %d and over", next)
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
