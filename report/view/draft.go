package view

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
)

// DraftMark stands on every page of a burn plan draft.
const DraftMark = "DRAFT – unsigned"

// DraftInput is what a burn plan draft is computed from.
type DraftInput struct {
	Plan *Plan
	Unit string
	// Year and Season are those of the planned burn.
	Year   date.ProgramYear
	Season string
	// Windows and Tasks are those of the burn.
	Windows []WindowRow
	Tasks   []TaskRow
	// Unheld says which limits the windows leave out, since the record holds nothing on
	// them.
	Unheld []string
	// Prescription is nil where the unit has none.
	Prescription *prescription.Prescription
	// Contacts in the order of calling; none gives those of preparation.Contacts.
	Contacts []habitat.Contact
	// Hours is how long the fire is expected to need; 0 means not known. Run is
	// the longest run of the wind inside the unit, 0 where it is not known.
	Hours quantity.Hours
	Run   quantity.Feet
	// Crew is that of the season, as Due says it.
	Crew Crew
	// Adjoining names what lies around the unit; Places the sensitive places with
	// their distance in words; Breaks what holds the fire.
	// Near are the places next to the unit.
	Adjoining, Places, Near, Breaks []string
	// Need says how many hours in a row the burn takes and with which lines, as the
	// wind card counts them, Winds which winds suit; empty where not known.
	Need, Winds string
	// Packets are those of the contracts that have a line on the unit.
	Packets []*Packet
	// Wind is the wind that the draft is made for; nil for every wind that suits.
	Wind *DayWind
	// After are the tasks that follow the burn.
	After []TaskRow
	// Shapes and Sensitive are drawn into the sketch; none leaves an empty frame.
	Shapes    map[string]ground.Shape
	Sensitive []ground.Place
}

// Draft is an unsigned burn plan to be finished by whoever is qualified.
type Draft struct {
	Stamp  Stamp            `json:"stamp"`
	Unit   string           `json:"unit"`
	Year   date.ProgramYear `json:"program_year"`
	Season string           `json:"season"`
	// Note says for which wind the draft is made; empty for every wind that suits.
	Note     string         `json:"note,omitempty"`
	Sections []DraftSection `json:"sections"`
	// GoNoGo are the questions of the burn day, every box empty.
	GoNoGo []string `json:"go_no_go"`
	// Contacts is the notification table; time and person stay blank.
	Contacts []habitat.Contact `json:"contacts"`
	// ReadingRows counts the blank lines of the weather table.
	ReadingRows int      `json:"reading_rows"`
	Signatures  []string `json:"signatures"`
	Cautions    []string `json:"cautions"`
	// Ground is the sketch of the unit and those around it; nil without shapes.
	Ground *Ground `json:"ground,omitempty"`
}

// DraftSection is a part of the draft.
type DraftSection struct {
	Title  string       `json:"title"`
	Fields []DraftField `json:"fields"`
}

// DraftField is one thing that a written plan must say.
type DraftField struct {
	Label string `json:"label"`
	// Sources name the published lists of what a plan must hold that ask for it.
	Sources []string `json:"sources"`
	// Lines hold what the store knows; none leaves Blank lines to be written.
	Lines []string `json:"lines"`
	Blank int      `json:"blank_lines"`
	// Boxes are choices to check, all empty.
	Boxes []string `json:"boxes,omitempty"`
}

// Purposes are the ten standard purposes of the older practice standard.
//
// Source: Idaho NRCS, specification ID-338-SPEC, 2009.
func Purposes() []string {
	return []string{"control unwanted plants", "prepare a site for planting", "control plant disease", "reduce wildfire hazard", "improve habitat",
		"improve plant production", "remove slash", "improve seed and seedlings", "distribute livestock", "restore an ecological site"}
}

// NewDraft computes the draft of one burn. The error says that the unit is not
// among the property's.
func NewDraft(in *DraftInput) (*Draft, error) {
	plan := in.Plan
	at := slices.IndexFunc(plan.Units, func(u habitat.Unit) bool { return u.ID == in.Unit })
	if at < 0 {
		return nil, fmt.Errorf("unit: %q is not a unit of this property", in.Unit)
	}
	u := &plan.Units[at]
	d := &Draft{Stamp: plan.Stamp.of(&plan.Property), Unit: u.ID, Year: in.Year, Season: in.Season, Contacts: in.Contacts, ReadingRows: 8, Cautions: Cautions(),
		Signatures: []string{"prepared by", "qualified burn boss", "landowner or manager", "technical review", "approving agency"}}
	// Lines of other units are left out: one unit is what is signed for.
	d.Stamp.Lines = strings.Join(lineTroublesOn(u.ID, plan.Lines), "\n")
	if len(d.Contacts) == 0 {
		d.Contacts = preparation.Contacts()
	}
	if in.Wind != nil {
		d.Note = ForWind(in.Wind.Bearing)
		if !in.Wind.Suits {
			d.Note += " It does not suit: " + in.Wind.WhyNot + "."
		}
	}
	d.Ground = newGround(plan.Units, in.Shapes, in.Sensitive, func(unit string) bool { return unit == u.ID })
	d.Sections = []DraftSection{
		in.place(u), in.records(u), in.purpose(u), in.weather(), in.breaksAndHazards(), in.work(), in.people(u), in.fire(), in.smoke(), in.trouble(), in.after(),
	}
	d.GoNoGo = []string{
		"The written plan is signed and in hand.", "Permits and authorizations are in hand for today.", "No burn ban, no fire weather watch or warning is in force.",
		"Today's forecast is inside every limit of this plan for the whole burn and the mop-up.", "The weather measured on site is inside every limit of this plan.",
		"No wind shift or front is forecast for the burn and the night after.", "Smoke has somewhere to go; roads and neighbors downwind are covered.",
		"Everyone on the notification list has been told.", "Breaks are complete, clear and walked today.", "Equipment is on site and was run today.",
		"The people named in this plan are here, briefed, and know their place and the way out.", "Water, escape routes and the second line are known to all.",
		"A test fire behaves as expected.",
	}
	return d, nil
}

func known(label string, sources []string, blank int, lines ...string) DraftField {
	f := DraftField{Label: label, Sources: sources, Blank: blank}
	for _, line := range lines {
		if strings.TrimSpace(line) != "" {
			f.Lines = append(f.Lines, line)
		}
	}
	if f.Lines != nil {
		f.Blank = 0
	}
	return f
}

// Published lists of what a written burn plan must hold. Their facts are kept,
// their labels, order and layout are not.
const (
	idaho     = "Idaho NRCS, specification ID-338-SPEC, 2009"
	missouri  = "Missouri NRCS, IS-MO338, Conducting a successful prescribed burn"
	newMexico = "New Mexico NRCS, job sheet for code 338, 2011"
)

func from(sources ...string) []string { return sources }

func (in *DraftInput) place(u *habitat.Unit) DraftSection {
	p := &in.Plan.Property
	var legal []string
	at := fmt.Sprintf("the property near %.4f°, %.4f°", p.Latitude, p.Longitude)
	switch {
	case p.HasPlace && p.Place != "":
		legal = []string{p.Place + ", " + at}
	case p.HasPlace:
		legal = []string{at}
	case p.Place != "":
		legal = []string{"in " + p.Place}
	}
	land := p.LandOf(u)
	legal = append(legal, land.Section)
	area := fmt.Sprintf("%s, %s acres, on %s", u.ID, u.Acres, p.Name)
	if state := in.Plan.state(u, in.Plan.Records, in.Year); state.PartBurned() {
		area += "; " + BurnedWords(&state)
	}
	return DraftSection{"The ground", []DraftField{
		known("Unit and its area", from(missouri, newMexico), 1, area),
		known("Owner, or the client who asks for the burn", from(missouri, newMexico), 1, in.client()),
		legalDescription(legal),
		known("Coordinates of the unit (latitude, longitude)", from(idaho, newMexico), 1, in.coordinates(u)),
		known("Directions to the gate, for help that comes by road", from(newMexico), 2),
		known("Cover before the burn", from(idaho, missouri, newMexico), 1, u.Cover),
		known("Land use", from(missouri), 1),
		known("Topography, slope, aspect", from(missouri), 1),
		known("Notes on record", nil, 1, u.Notes),
	}}
}

// legalDescription keeps a line to write on below what is known of the place.
func legalDescription(place []string) DraftField {
	f := known("Legal description: county, section, township and range, coordinates", from(idaho, newMexico), 2, place...)
	f.Blank = max(f.Blank, 1)
	return f
}

// client is whoever the contract names, else the owner.
func (in *DraftInput) client() string {
	for _, p := range in.Packets {
		if p.Client != "" {
			return p.Client
		}
	}
	return in.Plan.Property.Owner
}

func (in *DraftInput) records(u *habitat.Unit) DraftSection {
	p := &in.Plan.Property
	var candidates []string
	for _, w := range in.Windows {
		basis := w.Basis
		if w.Expected != nil {
			basis = BurnDays(*w.Expected) + " expected; " + basis
		}
		candidates = append(candidates, fmt.Sprintf("%s to %s (%s)", w.First.Words(), w.Last.Words(), basis))
	}
	if len(candidates) > 0 {
		candidates = append(candidates, in.Unheld...)
	}
	return DraftSection{"Records and timing", []DraftField{
		known("Farm records numbers (farm, tract, field)", from(newMexico), 1, p.LandOf(u).FarmWords()),
		known("Cost-share contract and item", from(newMexico), 1, in.contractLines(u)...),
		known("Season planned", from(newMexico), 1, habitat.SeasonWords(in.Season, in.Year)+" of "+BurnYearWords(p, in.Year)),
		known("Candidate windows", from(newMexico), 1, candidates...),
		known("Last burn, and burns in part since", from(newMexico), 1, in.previousBurns(u)...),
	}}
}

// coordinates gives a point inside the unit; empty without a shape.
func (in *DraftInput) coordinates(u *habitat.Unit) string {
	label, ok := in.Shapes[u.ID].Label()
	if !ok {
		return ""
	}
	side := func(v float64, positive, negative string) string {
		if v < 0 {
			positive = negative
		}
		return fmt.Sprintf("%.5f° %s", math.Abs(v), positive)
	}
	return fmt.Sprintf(
		"%s, %s (%.5f, %.5f), WGS 84; a point inside the unit, far from its edges",
		side(label.At.Lat, "N", "S"),
		side(label.At.Lon, "E", "W"),
		label.At.Lat,
		label.At.Lon,
	)
}

// contractLines says what the lines of contracts on the unit plan, and what of it
// remains.
func (in *DraftInput) contractLines(u *habitat.Unit) (all []string) {
	for _, p := range in.Packets {
		name := strings.TrimSpace(p.Contract + " " + p.Number)
		for i := range p.Schedule {
			r := &p.Schedule[i]
			if !r.PropertyWide && r.Unit != u.ID || r.Line == 0 || r.State == Canceled || !p.burns(r.Practice) {
				continue
			}
			words := fmt.Sprintf("%s; line %d", name, r.Line)
			if r.Item != "" {
				words += ", item " + r.Item
			}
			if r.PropertyWide {
				words += ", of the " + r.Unit
			}
			years := r.FiscalYear.String()
			if r.Until > r.FiscalYear {
				years += " to " + r.Until.String()
			}
			all = append(
				all,
				fmt.Sprintf(
					"%s, practice %s, fiscal year %s: %s %s planned, %s remain (%s)",
					words,
					r.Practice,
					years,
					quantity.Group(r.Planned, 1),
					r.Measure,
					quantity.Group(r.Remaining, 1),
					r.State,
				),
			)
		}
	}
	return all
}

// previousBurns lists the last burn that set the stand age back, those in part since and
// a treatment that set it back since, the newest first.
func (in *DraftInput) previousBurns(u *habitat.Unit) (all []string) {
	plan := in.Plan
	state := plan.state(u, plan.Records, in.Year)
	if state.Last.By != "" {
		all = append(all, fmt.Sprintf("%s on %s set its stand age back", state.Last.By, state.Last.On.Words()))
	}
	for i := len(plan.Records) - 1; i >= 0; i-- {
		r := &plan.Records[i]
		if r.Unit != u.ID || r.Kind.IsTreatment() || r.Kind == habitat.Attempt || r.Through.After(plan.Stamp.On) {
			continue
		}
		words := fmt.Sprintf("%s: %s of %s acres, %s (burn %d)", r.Through.Words(), r.Burned(u), u.Acres, r.Kind, r.ID)
		isLast := !state.LastBurn.IsZero() && !r.Through.After(state.LastBurn)
		if !isLast {
			words += ", in part: the stand age went on"
		}
		all = append(all, words)
		if isLast {
			return all
		}
	}
	if !state.LastBurn.IsZero() {
		all = append(all, state.LastBurn.Words())
	}
	return all
}

func (in *DraftInput) purpose(u *habitat.Unit) DraftSection {
	boxes := known("Objectives (check)", from(idaho, missouri, newMexico), 0)
	boxes.Boxes = Purposes()
	interval := "return interval " + intervalWords(u.Interval)
	return DraftSection{"Objectives and timing", []DraftField{
		boxes,
		known("What the burn is to do here, in words", from(idaho, missouri), 3),
		known("Timing", from(missouri), 1, fmt.Sprintf("%s; %s", in.Season, interval)),
	}}
}

func (in *DraftInput) weather() DraftSection {
	p := in.Prescription
	limits := DraftField{Label: "Acceptable weather", Sources: from(idaho, missouri), Blank: 4}
	if p != nil {
		limits.Blank = 0
		limits.Lines = PrescriptionLines(p)
	}
	return DraftSection{"Weather", []DraftField{
		limits,
		known("Forecast of the day (source, time, wind, humidity, mixing height)", from(idaho, missouri), 2),
		known("Weather that ends the burn", from(idaho), 2),
	}}
}

// PrescribedLimit is one limit of a prescription.
type PrescribedLimit struct {
	Limit string `json:"limit"`
	Value string `json:"value"`
}

// PrescribedLimits says the limits of a prescription, one a row, for a box; none for nil.
func PrescribedLimits(p *prescription.Prescription) []PrescribedLimit {
	if p == nil {
		return nil
	}
	var rows []PrescribedLimit
	add := func(set bool, limit, format string, args ...any) {
		if set {
			rows = append(rows, PrescribedLimit{limit, fmt.Sprintf(format, args...)})
		}
	}
	add(p.Temperature.IsSet(), "Temperature", "%s", p.Temperature.In(" °F"))
	add(p.Humidity.IsSet(), "Humidity", "%s", p.Humidity.In("%"))
	add(p.Wind.IsSet(), "Wind", "%s, %s", p.Wind.In(" mph"), heightWords(p.WindHeight))
	add(len(p.WindFrom) > 0, "Wind from", "%s, clockwise", sectorList(p.WindFrom))
	add(p.Gust.IsSet(), "Gusts", "%s, %s", p.Gust.In(" mph"), heightWords(p.WindHeight))
	add(p.MixingHeight.IsSet(), "Mixing height", "%s", p.MixingHeight.In(" ft"))
	add(p.TransportWind.IsSet(), "Transport wind", "%s", p.TransportWind.In(" mph"))
	add(len(p.TransportFrom) > 0, "Transport wind from", "%s, clockwise", sectorList(p.TransportFrom))
	add(p.FuelMoisture.IsSet(), "Fine dead fuel", "%s moisture", p.FuelMoisture.In("%"))
	if s := p.SinceRain; s != nil {
		add(true, "Days since rain", "%s (%s in)", s.Days, short(float64(s.Depth)))
	}
	add(p.DryHour, "Rain", "none in the hour")
	add(p.DaylightOnly, "Daylight", "sunrise to sunset")
	add(true, map[bool]string{true: "Clock time", false: "Standard time"}[p.HoursAre == prescription.ClockTime], "%s", p.BurnHours)
	return rows
}

// sectorList says sectors, such as "225° to 45°, 90° to 100°".
func sectorList(all []prescription.Sector) string {
	words := make([]string, len(all))
	for i, s := range all {
		words[i] = fmt.Sprintf("%s° to %s°", short(s.From), short(s.To))
	}
	return strings.Join(words, ", ")
}

// heightWords says where a wind is measured.
func heightWords(h prescription.Height) string {
	switch h {
	case prescription.AtEyeLevel:
		return "at eye level"
	case prescription.At20Feet:
		return "20 ft up"
	}
	return "33 ft (10 m) up"
}

// PrescriptionLines says the limits of a prescription, one a line.
func PrescriptionLines(p *prescription.Prescription) []string {
	lines := []string{"prescription " + p.Name}
	add := func(set bool, format string, args ...any) {
		if set {
			lines = append(lines, fmt.Sprintf(format, args...))
		}
	}
	add(p.Temperature.IsSet(), "air temperature %s", p.Temperature.In(" °F"))
	add(p.Humidity.IsSet(), "relative humidity %s", p.Humidity.In("%"))
	add(p.Wind.IsSet(), "wind %s, %s", p.Wind.In(" mph"), heightWords(p.WindHeight))
	add(len(p.WindFrom) > 0, "wind from %s, clockwise", sectorList(p.WindFrom))
	add(p.Gust.IsSet(), "gusts %s, %s", p.Gust.In(" mph"), heightWords(p.WindHeight))
	add(p.MixingHeight.IsSet(), "mixing height %s", p.MixingHeight.In(" ft"))
	add(p.TransportWind.IsSet(), "transport wind %s", p.TransportWind.In(" mph"))
	add(len(p.TransportFrom) > 0, "transport wind from %s, clockwise", sectorList(p.TransportFrom))
	add(p.FuelMoisture.IsSet(), "fine dead fuel moisture %s", p.FuelMoisture.In("%"))
	if s := p.SinceRain; s != nil {
		lines = append(lines, fmt.Sprintf("days since %s in of rain: %s", short(float64(s.Depth)), s.Days))
	}
	add(p.DryHour, "no rain in the hour")
	add(p.DaylightOnly, "between sunrise and sunset")
	lines = append(lines, fmt.Sprintf("hours %s, at least %s in a row", p.HoursWords(), quantity.Count(p.MinHours, "hour")))
	if p.Note != "" {
		lines = append(lines, p.Note)
	}
	return append(lines, "These limits are planning figures; the signed plan sets the limits that hold.")
}

func (in *DraftInput) breaksAndHazards() DraftSection {
	return DraftSection{"Breaks, hazards and map", []DraftField{
		known("Primary firebreaks (kind, width, where)", from(missouri), 2, in.Breaks...),
		known("Secondary firebreaks (kind, width, where)", from(missouri), 2),
		known("Adjoining land and its use", from(missouri), 2, in.Adjoining...),
		known("Hazards inside the unit (snags, lines, fuel, structures)", from(missouri), 2),
		known("Hazards next to the unit", from(missouri), 2, in.Near...),
		known("Map with adjoining uses, hazards and firing sequence", from(missouri), 0, "drawn by the person responsible; the last page has room for it"),
	}}
}

func (in *DraftInput) work() DraftSection {
	f := DraftField{Label: "Pre-burn preparation", Sources: from(idaho), Blank: 3}
	for _, t := range in.Tasks {
		words := t.Name + ", by " + t.By.Words()
		if !t.DoneOn.IsZero() {
			words = t.Name + ", done " + t.DoneOn.Words()
		}
		f.Lines, f.Blank = append(f.Lines, words), 0
	}
	return DraftSection{"Preparation", []DraftField{f, known("Permits needed (federal, state, tribal, local) and their numbers", from(idaho), 2)}}
}

// left are the acres that are still to burn in the year.
func (in *DraftInput) left(u *habitat.Unit) quantity.Acres {
	state := in.Plan.state(u, in.Plan.Records, in.Year)
	return state.Left
}

func (in *DraftInput) people(u *habitat.Unit) DraftSection {
	f := DraftField{Label: "Equipment", Sources: from(idaho, missouri)}
	for _, item := range onSite(in.left(u), in.Hours, in.Crew.people()) {
		f.Lines = append(f.Lines, item.Words)
	}
	return DraftSection{"People, equipment and safety", []DraftField{
		known("Certified person who writes and signs this plan", from(idaho), 1),
		known("Burn boss", from(idaho), 1),
		in.assignments(),
		f,
		known("Safety: briefing, protective clothing, escape routes, first aid, nearest hospital", from(idaho, missouri), 3),
	}}
}

// assignments is who burns, with a line for what each does.
func (in *DraftInput) assignments() DraftField {
	f := known("People and assignments", from(idaho, missouri), 5)
	f.Lines = append(f.Lines, crewWords(in.Crew.people()))
	for _, days := range in.Crew.Shared {
		f.Lines = append(f.Lines, days.Words)
	}
	for _, day := range in.Crew.OneDay {
		if words := day.with(in.Unit); words != "" {
			f.Lines = append(f.Lines, words)
		}
	}
	return f
}

func (in *DraftInput) fire() DraftSection {
	hours := ""
	if in.Hours > 0 {
		hours = fmt.Sprintf("about %s hours for a backing fire", short(float64(in.Hours)))
		if in.Run > 0 {
			hours += fmt.Sprintf(" over %s ft (%s chains)", in.Run, short(float64(in.Run.Chains())))
		}
		hours += ", an estimate"
	}
	if in.Need != "" {
		hours = in.Need + "; an estimate"
	}
	if in.Wind != nil {
		hours = in.Wind.Start() + " An estimate."
	}
	ignition := known("Ignition method (check)", from(idaho), 0)
	ignition.Boxes = habitat.IgnitionPatterns()
	return DraftSection{"Firing", []DraftField{
		ignition,
		known("Firing sequence", from(idaho, missouri), 4),
		known("Time that the fire needs", from(idaho), 1, hours),
		known("Mop-up and patrol: until when, by whom", from(idaho), 2),
	}}
}

func (in *DraftInput) smoke() DraftSection {
	downwind := ""
	if in.Wind != nil {
		downwind = "Wind from " + in.Wind.From + ": " + in.Wind.Downwind()
	}
	return DraftSection{"Smoke", []DraftField{
		known("Smoke-sensitive places and their distance", from(missouri), 2, in.Places...),
		known("Wind directions that keep smoke off them", from(idaho), 1, in.Winds, downwind),
		known("Roads to sign or to flag, and by whom", from(missouri), 2),
		known("What is done when smoke goes where it should not", from(missouri), 2),
	}}
}

func (in *DraftInput) trouble() DraftSection {
	return DraftSection{"Contingency", []DraftField{
		known("Precautions against escape", from(missouri), 2),
		known("Actions on escape: who does what, who calls whom", from(missouri), 3),
		known("Lines to fall back to, water and help within reach", from(missouri), 2),
	}}
}

func (in *DraftInput) after() DraftSection {
	var tasks []string
	for _, t := range in.After {
		tasks = append(tasks, t.Name+", "+t.When)
	}
	return DraftSection{"Afterwards", []DraftField{
		known("To do once it has burned", nil, 2, tasks...),
		known("Post-burn evaluation: what is looked at, and when", from(idaho), 3),
		known("Share of fuel consumed and of cover top-killed that counts as success", from(idaho), 1),
	}}
}
