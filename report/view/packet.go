package view

import (
	"cmp"
	"fmt"
	"slices"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
)

// PacketInput is what a cost-share packet is computed from.
type PacketInput struct {
	Stamp    Stamp
	Property habitat.Property
	Units    []habitat.Unit
	Records  []habitat.BurnRecord
	Contract habitat.Contract
	// Others are the property's other contracts: a burn may count under both.
	Others []habitat.Contract
	// Versions are those of the burn records by their id, the oldest first; none where
	// nobody looked them up.
	Versions map[int64][]RecordVersion
	// Planned lists the burns of the rotation plan; they show when what remains
	// is to be done.
	Planned []habitat.PlannedBurn
	// PlannedThrough is the last day that the plan knows; zero where it is not known.
	PlannedThrough date.Day
	// Shapes are the outlines of units, for the map; none leaves it out.
	Shapes map[string]ground.Shape
	// FileStates say what has become of the files of the contract and of the records.
	FileStates []FileState
}

// Packet is one contract: what was planned, what was applied, what remains.
// Every paper of it is written from this value, so that their figures agree.
type Packet struct {
	Stamp    Stamp  `json:"stamp"`
	Contract string `json:"contract"`
	Number   string `json:"number,omitempty"`
	Client   string `json:"client,omitempty"`
	// Land are the numbers of the property in the records of farms and of land, in words.
	Land string `json:"land,omitempty"`
	// FiscalYear is the fiscal year of the stamp's date; FiscalWords says which
	// kind of fiscal year the contract counts by.
	FiscalYear  date.FiscalYear `json:"fiscal_year"`
	FiscalWords string          `json:"fiscal_year_is"`
	Practices   []PracticeSum   `json:"practices"`
	// Schedule is in order of fiscal year, practice and unit.
	Schedule    []ScheduleRow   `json:"schedule"`
	Completions []CompletionRow `json:"completions"`
	Files       []FileRow       `json:"files"`
	Notes       string          `json:"notes,omitempty"`
	Signatures  []string        `json:"signatures"`
	// Years are those in which lines are due or work was done.
	Years    []date.FiscalYear `json:"fiscal_years"`
	Warnings []string          `json:"warnings"`
	// Early says what the contract does with early work, in words.
	Early         string            `json:"early_work"`
	Modifications []ModificationRow `json:"modifications"`
	Withdrawn     []WithdrawnRow    `json:"withdrawn"`
	// Footing says where printed rows do not add up to the printed sum.
	Footing []string `json:"footing"`
	// Certifies is the sentence that the signatures stand under.
	Certifies string   `json:"certifies"`
	Cautions  []string `json:"cautions"`
	// Units is the map of the contract's units; nil without shapes.
	Units *ContractMap `json:"contract_units,omitempty"`
	// AsBurned is what burned on the contract's units by its fiscal years; nil where
	// nothing did and no line is done by burning.
	AsBurned *AsBurned `json:"as_burned,omitempty"`
}

// RecordVersion is what a packet says of one version of a burn record.
type RecordVersion struct {
	Number int
	At     date.Day
	Reason string
	// Removed says that this version withdrew the record.
	Removed bool
	Record  habitat.BurnRecord
}

// WithdrawnRow is a record that was withdrawn, and counts for nothing.
type WithdrawnRow struct {
	Record string   `json:"record"`
	Unit   string   `json:"unit"`
	Burned date.Day `json:"burned_on"`
	On     date.Day `json:"withdrawn_on"`
	Reason string   `json:"because"`
}

// ModificationRow is one modification of the contract.
type ModificationRow struct {
	Number string   `json:"number"`
	On     date.Day `json:"on"`
	Line   int      `json:"line"`
	What   string   `json:"what"`
	Was    string   `json:"was"`
	Is     string   `json:"is"`
	Reason string   `json:"because"`
}

// PracticeSum is one practice over the whole contract. Lines that were canceled count
// in none of its figures.
type PracticeSum struct {
	Code string `json:"code"`
	Name string `json:"name"`
	// Standard is the date of the standard as the user typed it.
	Standard string          `json:"standard_date"`
	Measure  habitat.Measure `json:"measure"`
	// Burns says that its figures follow from the burn records.
	Burns bool `json:"from_burns"`
	// Whole contract: what is planned, what was credited to it line by line, and what
	// remains of lines that are open.
	Planned   float64 `json:"planned"`
	Credited  float64 `json:"credited"`
	Remaining float64 `json:"remaining"`
	// To date: what was planned for fiscal years that are over, how much of it is
	// behind, line by line, and how much of later lines was done ahead. What one line
	// has too much makes good nothing of another.
	DueBy  float64 `json:"planned_to_date"`
	Behind float64 `json:"behind_to_date"`
	Ahead  float64 `json:"ahead_to_date"`
	// This year: lines due in the fiscal year of the packet.
	YearPlanned   float64 `json:"planned_this_year"`
	YearCredited  float64 `json:"credited_this_year"`
	YearRemaining float64 `json:"remaining_this_year"`
	// Applied is all work of the practice on record; Over the part of it that no line
	// planned: more than a line's own, or without a line.
	Applied float64 `json:"applied"`
	Over    float64 `json:"over"`
	// Lines and Records are what stands behind the figures.
	Lines   []int    `json:"lines"`
	Records []string `json:"records"`
	// Years has one entry for each of Packet.Years.
	Years []PracticeYear `json:"years"`
}

// PracticeYear is one practice in one fiscal year: what its lines plan, and what was
// done in it.
type PracticeYear struct {
	Planned float64 `json:"planned"`
	Applied float64 `json:"applied"`
	// Lines are behind what is planned, Records behind what was applied.
	Lines   []int    `json:"lines"`
	Records []string `json:"records"`
}

// IsEmpty reports that nothing was planned and nothing done.
func (y *PracticeYear) IsEmpty() bool { return y.Planned == 0 && y.Applied == 0 }

// ScheduleState says how an item stands on the stamp's date.
type ScheduleState string

// The states of a scheduled item.
const (
	Applied  ScheduleState = "applied"
	Partly   ScheduleState = "partly applied"
	Behind   ScheduleState = "behind schedule"
	UnderWay ScheduleState = "due this fiscal year"
	Ahead    ScheduleState = "to come"
	Unasked  ScheduleState = "not scheduled"
	Closed   ScheduleState = "closed"
	Canceled ScheduleState = "canceled"
)

// ScheduleRow is a practice on a unit, or on the whole property, in a fiscal year.
type ScheduleRow struct {
	// Line is the line's number in the contract; 0 for work without a line.
	Line int `json:"line,omitempty"`
	// Item is the agency's number of the line; Land are the numbers in which the unit
	// differs from the property, in words.
	Item       string          `json:"item,omitempty"`
	Land       string          `json:"land,omitempty"`
	FiscalYear date.FiscalYear `json:"fiscal_year"`
	// Until is the last fiscal year of a line that was extended.
	Until    date.FiscalYear `json:"until,omitempty"`
	Practice string          `json:"practice"`
	// Unit is habitat.WholeProperty where PropertyWide says that the line is of the whole
	// property; UnitAcres are then those of all units.
	Unit         string          `json:"unit"`
	PropertyWide bool            `json:"property_wide,omitempty"`
	UnitAcres    quantity.Acres  `json:"unit_acres"`
	Measure      habitat.Measure `json:"measure"`
	Planned      float64         `json:"planned"`
	// Applied was done in time; Late was done after it and Early before it, and are
	// credited to what was missing, the oldest line first. Over is more than planned.
	Applied   float64 `json:"applied"`
	Late      float64 `json:"applied_later"`
	Early     float64 `json:"applied_earlier"`
	Over      float64 `json:"over"`
	Remaining float64 `json:"remaining"`
	// Records names what stands behind the figures: records and their versions, or
	// work that was noted, each with how much of it.
	Records []string `json:"records"`
	// shares are what Records words, credited names the records of which the line took
	// something.
	shares   []share
	credited []string
	// On is the last day of the work; zero where there was none.
	On    date.Day      `json:"applied_on"`
	State ScheduleState `json:"state"`
	// PlanSays is what the rotation plan does for what remains of a line; empty without a
	// plan, and where nothing remains. Next is the fiscal year of the burn that it tells
	// of, 0 for none.
	PlanSays LineState       `json:"plan_says,omitempty"`
	Next     date.FiscalYear `json:"next_planned_burn,omitempty"`
	next     habitat.PlannedBurn
	// planWords say what the plan does for a line of the whole property.
	planWords string
}

// LastYear is the last fiscal year in which work counts for the row in time.
func (r *ScheduleRow) LastYear() date.FiscalYear { return max(r.FiscalYear, r.Until) }

// CompletionRow is the record of work that was done.
type CompletionRow struct {
	// Unit is habitat.WholeProperty where PropertyWide says that the work was done on the
	// whole property.
	Unit         string          `json:"unit"`
	PropertyWide bool            `json:"property_wide,omitempty"`
	Practice     string          `json:"practice"`
	FiscalYear   date.FiscalYear `json:"fiscal_year"`
	On           date.Day        `json:"on"`
	Through      date.Day        `json:"through"`
	Applied      float64         `json:"applied"`
	Measure      habitat.Measure `json:"measure"`
	// Kind is that of a burn record; empty for other work.
	Kind habitat.RecordKind `json:"kind,omitempty"`
	// Record names the record and its version, such as "burn 3.2".
	Record string `json:"record"`
	// Corrected says when and why the record was corrected, a line each.
	Corrected []string `json:"corrected"`
	// Fields are what else the record says, each with its label.
	Fields   []RecordField `json:"fields"`
	Readings []ReadingRow  `json:"readings"`
	Files    []FileRow     `json:"files"`
}

// onPlace names a unit within a sentence, or the whole property where it stands for that.
func onPlace(unit string, isWide bool) string {
	if isWide {
		return "the " + unit
	}
	return unit
}

// RecordField is one labeled text of a record.
type RecordField struct {
	Label string `json:"label"`
	Text  string `json:"text"`
}

// ReadingRow is one weather reading; nil means not taken.
type ReadingRow struct {
	At       string   `json:"at"`
	TempF    *float64 `json:"temp_f"`
	RH       *float64 `json:"rh_pct"`
	WindMPH  *float64 `json:"wind_mph"`
	WindFrom string   `json:"wind_from,omitempty"`
}

// FileRow is an attached file.
type FileRow struct {
	Of     string `json:"of"`
	Path   string `json:"path"`
	SHA256 string `json:"sha256"`
	// State says what has become of it.
	State string `json:"state"`
}

// NewPacket computes the packet of a contract.
func NewPacket(in *PacketInput) *Packet {
	c := &in.Contract
	v := &Packet{
		Stamp:       in.Stamp.of(&in.Property),
		Contract:    c.Name,
		Number:      c.Number,
		Client:      c.Client,
		Notes:       c.Notes,
		FiscalYear:  c.FiscalStart.Of(in.Stamp.On),
		FiscalWords: c.FiscalStart.Words(),
		Cautions:    Cautions(),
		Signatures:  []string{"client", "certified by", "approved by"},
	}
	v.Completions = in.completions()
	v.Schedule = in.schedule(v.Completions, v.FiscalYear)
	in.tellPlan(v.Schedule)
	v.sum(c)
	v.trace(in)
	for _, f := range c.Files {
		v.Files = append(v.Files, FileRow{"contract", f.Path, f.SHA256, in.fileState(0, f.Path)})
	}
	for _, done := range v.Completions {
		v.Files = append(v.Files, done.Files...)
	}
	units := map[string]bool{}
	for _, u := range in.Units {
		units[u.ID] = true
	}
	v.Units = v.newContractMap(in)
	v.Land = in.Property.Land.Words()
	v.asBurned(in)
	for _, item := range c.Items {
		if !item.IsPropertyWide() && !units[item.Unit] {
			v.Warnings = append(v.Warnings, fmt.Sprintf("%s is in the contract and not among the units", item.Unit))
		}
	}
	return v
}

// asBurned draws what burned on the units of the contract from its first year on.
func (v *Packet) asBurned(in *PacketInput) {
	if !slices.ContainsFunc(v.Practices, func(p PracticeSum) bool { return p.Burns }) {
		return
	}
	records := slices.DeleteFunc(slices.Clone(in.Records), func(r habitat.BurnRecord) bool { return !in.Contract.HasLineOn(r.Unit) })
	v.AsBurned = NewAsBurned(&AsBurnedInput{Property: in.Property, Units: in.Units, Records: records, Shapes: in.Shapes, Start: in.Contract.FiscalStart,
		Today: in.Stamp.On, Versions: in.Versions, Packets: []*Packet{v}, First: in.firstYear()})
}

// completions lists the work in order of date: burns of the contract's units
// under each practice that burns, then other work.
func (in *PacketInput) completions() []CompletionRow {
	c := &in.Contract
	unit := map[string]*habitat.Unit{}
	for i := range in.Units {
		unit[in.Units[i].ID] = &in.Units[i]
	}
	var all []CompletionRow
	for _, practice := range c.Practices {
		mine, isWide := map[string]bool{}, false
		for _, item := range c.Items {
			if item.Practice == practice.Code {
				mine[item.Unit] = true
				isWide = isWide || item.IsPropertyWide()
			}
		}
		for i := range in.Records {
			r := &in.Records[i]
			if !practice.Burns || r.Kind.IsTreatment() || !isWide && !mine[r.Unit] || unit[r.Unit] == nil || r.Through.After(in.Stamp.On) || c.FiscalStart.Of(r.Through) < in.firstYear() {
				continue
			}
			row := CompletionRow{
				Unit:       r.Unit,
				Practice:   practice.Code,
				FiscalYear: c.FiscalStart.Of(r.Through),
				On:         r.On,
				Through:    r.Through,
				Measure:    practice.Measure,
				Kind:       r.Kind,
			}
			if r.Kind == habitat.Prescribed {
				row.Applied = float64(r.Burned(unit[r.Unit]))
			}
			row.Record, row.Corrected = in.version(r.ID)
			row.Fields, row.Readings, row.Files = recordFields(r), readings(r), in.recordFiles(r)
			all = append(all, row)
		}
		for _, done := range c.Completions {
			if done.Practice != practice.Code || done.On.After(in.Stamp.On) {
				continue
			}
			row := CompletionRow{
				Unit:         done.Place(),
				PropertyWide: done.Unit == "",
				Practice:     practice.Code,
				FiscalYear:   c.FiscalStart.Of(done.On),
				On:           done.On,
				Through:      done.On,
				Applied:      done.Applied,
				Measure:      practice.Measure,
				Record:       fmt.Sprintf("work noted of %s", done.On),
			}
			if done.Notes != "" {
				row.Fields = []RecordField{{"notes", done.Notes}}
			}
			all = append(all, row)
		}
	}
	slices.SortStableFunc(all, func(a, b CompletionRow) int {
		return cmp.Or(a.Through.Compare(b.Through), cmp.Compare(a.Practice, b.Practice), cmp.Compare(a.Unit, b.Unit))
	})
	return all
}

// firstYear is the first fiscal year of the contract's schedule, also of lines that
// were moved since: work before it was done before the contract.
func (in *PacketInput) firstYear() date.FiscalYear {
	first := date.FiscalYear(9999)
	for _, item := range in.Contract.Items {
		first = min(first, item.FiscalYear)
		if item.Was != nil {
			first = min(first, item.Was.FiscalYear)
		}
	}
	return first
}

// tellPlan says of each line of which something remains what the plan does for it.
func (in *PacketInput) tellPlan(rows []ScheduleRow) {
	if in.Planned == nil {
		return
	}
	for _, l := range in.PlannedLines(in.PlannedThrough) {
		if l.fiscal == 0 && in.PlannedThrough.IsZero() {
			continue // how far the plan reaches is not known
		}
		at := slices.IndexFunc(rows, func(r ScheduleRow) bool { return r.Line == l.Line })
		rows[at].PlanSays, rows[at].Next, rows[at].next, rows[at].planWords = l.State, l.fiscal, l.next, l.burnsWords()
	}
}

// BurnSpan gives the days in which a planned burn may be done: its season, or
// the whole program year where no season is named.
func BurnSpan(p *habitat.Property, season string, year date.ProgramYear) date.Span {
	if s := p.SeasonIndex(season); s >= 0 {
		return p.SeasonSpan(s, year)
	}
	return p.YearStart.Span(year)
}

// fileState gives the words for a file; empty where nobody looked.
func (in *PacketInput) fileState(burn int64, path string) string {
	for _, f := range in.FileStates {
		if f.Burn == burn && f.Path == path {
			return f.State
		}
	}
	return ""
}

// FilesAltered counts the attached files that are gone or altered, of those that
// somebody looked at.
func (v *Packet) FilesAltered() int {
	n := 0
	for _, f := range v.Files {
		if f.State == fileGone || f.State == fileAltered {
			n++
		}
	}
	return n
}
