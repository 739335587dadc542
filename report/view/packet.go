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
	// Planned lists the burns of the rotation plan; they show when what remains
	// is to be done.
	Planned []habitat.PlannedBurn
	// Shapes are the outlines of units, for the map; none leaves it out.
	Shapes map[string]ground.Shape
}

// Packet is one contract: what was planned, what was applied, what remains.
// Every paper of it is written from this value, so that their figures agree.
type Packet struct {
	Stamp    Stamp  `json:"stamp"`
	Contract string `json:"contract"`
	Number   string `json:"number,omitempty"`
	Client   string `json:"client,omitempty"`
	// FiscalYear is the fiscal year of the stamp's date; FiscalWords says which
	// kind of fiscal year the contract counts by.
	FiscalYear  date.FiscalYear `json:"fiscal_year"`
	FiscalWords string          `json:"fiscal_year_is"`
	Practices   []PracticeSum   `json:"practices"`
	// Schedule is in order of fiscal year, practice and unit.
	Schedule    []ScheduleRow     `json:"schedule"`
	Completions []CompletionRow   `json:"completions"`
	Files       []FileRow         `json:"files"`
	Notes       string            `json:"notes,omitempty"`
	Signatures  []string          `json:"signatures"`
	Years       []date.FiscalYear `json:"fiscal_years"`
	Warnings    []string          `json:"warnings"`
	Cautions    []string          `json:"cautions"`
	// Ground is the map of the property with the contract's units marked; nil
	// without shapes.
	Ground *Ground `json:"ground,omitempty"`
}

// PracticeSum is one practice over the whole contract.
type PracticeSum struct {
	Code string `json:"code"`
	Name string `json:"name"`
	// Standard is the date of the standard as the user typed it.
	Standard string          `json:"standard_date"`
	Measure  habitat.Measure `json:"measure"`
	Planned  float64         `json:"planned"`
	// DueBy is what was planned for fiscal years that are over.
	DueBy   float64 `json:"planned_to_date"`
	Applied float64 `json:"applied"`
	// Variance is Applied less DueBy; Remaining is Planned less what was
	// applied to the schedule, unit by unit, never below 0.
	Variance  float64 `json:"variance"`
	Remaining float64 `json:"remaining"`
	// Years has one entry for each of Packet.Years.
	Years []PracticeYear `json:"years"`
}

// PracticeYear is one practice in one fiscal year.
type PracticeYear struct {
	Planned float64 `json:"planned"`
	Applied float64 `json:"applied"`
}

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
)

// ScheduleRow is a practice on a unit in a fiscal year.
type ScheduleRow struct {
	FiscalYear date.FiscalYear `json:"fiscal_year"`
	Practice   string          `json:"practice"`
	Unit       string          `json:"unit"`
	UnitAcres  quantity.Acres  `json:"unit_acres"`
	Measure    habitat.Measure `json:"measure"`
	Planned    float64         `json:"planned"`
	// Applied was done in the fiscal year; Late was done after it and is
	// credited to what was missing, oldest first.
	Applied   float64 `json:"applied"`
	Late      float64 `json:"applied_later"`
	Variance  float64 `json:"variance"`
	Remaining float64 `json:"remaining"`
	// On is the last day of the work; zero where there was none.
	On    date.Day      `json:"applied_on"`
	State ScheduleState `json:"state"`
	// Next is the fiscal year in which the rotation plan burns the unit next, from
	// the stamp's date on; 0 where it does not, or nothing remains.
	Next date.FiscalYear `json:"next_planned_burn,omitempty"`
}

// CompletionRow is the record of work that was done.
type CompletionRow struct {
	Unit       string          `json:"unit"`
	Practice   string          `json:"practice"`
	FiscalYear date.FiscalYear `json:"fiscal_year"`
	On         date.Day        `json:"on"`
	Through    date.Day        `json:"through"`
	Applied    float64         `json:"applied"`
	Measure    habitat.Measure `json:"measure"`
	// Kind is that of a burn record; empty for other work.
	Kind habitat.RecordKind `json:"kind,omitempty"`
	// Fields are what else the record says, each with its label.
	Fields   []RecordField `json:"fields"`
	Readings []ReadingRow  `json:"readings"`
	Files    []FileRow     `json:"files"`
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
}

// nothing is the amount below which no work is left: a hundredth of an acre or
// foot, where figures come with one decimal.
const nothing = 0.01

// NewPacket computes the packet of a contract.
func NewPacket(in *PacketInput) *Packet {
	c := &in.Contract
	v := &Packet{Stamp: in.Stamp.of(&in.Property), Contract: c.Name, Number: c.Number, Client: c.Client, Notes: c.Notes, FiscalYear: c.FiscalStart.Of(in.Stamp.On), FiscalWords: c.FiscalStart.Words(), Cautions: Cautions(),
		Signatures: []string{"client", "certified by", "approved by"}}
	v.Completions = in.completions()
	v.Schedule = in.schedule(v.Completions, v.FiscalYear)
	v.sum(c)
	for _, f := range c.Files {
		v.Files = append(v.Files, FileRow{"contract", f.Path, f.SHA256})
	}
	for _, done := range v.Completions {
		v.Files = append(v.Files, done.Files...)
	}
	units := map[string]bool{}
	for _, u := range in.Units {
		units[u.ID] = true
	}
	inContract := map[string]bool{}
	for _, item := range c.Items {
		inContract[item.Unit] = true
	}
	v.Ground = newGround(in.Units, in.Shapes, nil, func(unit string) bool { return inContract[unit] })
	for _, item := range c.Items {
		if !units[item.Unit] {
			v.Warnings = append(v.Warnings, fmt.Sprintf("%s is in the contract and not among the units", item.Unit))
		}
	}
	return v
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
		mine := map[string]bool{}
		for _, item := range c.Items {
			if item.Practice == practice.Code {
				mine[item.Unit] = true
			}
		}
		for i := range in.Records {
			r := &in.Records[i]
			if !practice.Burns || r.Kind.IsTreatment() || !mine[r.Unit] || unit[r.Unit] == nil || r.Through.After(in.Stamp.On) || c.FiscalStart.Of(r.Through) < in.firstYear() {
				continue
			}
			row := CompletionRow{Unit: r.Unit, Practice: practice.Code, FiscalYear: c.FiscalStart.Of(r.Through), On: r.On, Through: r.Through, Measure: practice.Measure, Kind: r.Kind}
			if r.Kind == habitat.Prescribed {
				row.Applied = float64(recordAcres(r, unit[r.Unit]))
			}
			row.Fields, row.Readings, row.Files = recordFields(r), readings(r), recordFiles(r)
			all = append(all, row)
		}
		for _, done := range c.Completions {
			if done.Practice != practice.Code || done.On.After(in.Stamp.On) {
				continue
			}
			row := CompletionRow{Unit: done.Unit, Practice: practice.Code, FiscalYear: c.FiscalStart.Of(done.On), On: done.On, Through: done.On, Applied: done.Applied, Measure: practice.Measure}
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

// firstYear is the first fiscal year of the contract's schedule.
func (in *PacketInput) firstYear() date.FiscalYear {
	first := date.FiscalYear(9999)
	for _, item := range in.Contract.Items {
		first = min(first, item.FiscalYear)
	}
	return first
}

// schedule sets what was planned against what was applied. Work in an item's
// own fiscal year counts for it; what is left over of a unit's work is credited
// to the unit's older items that are short, oldest first; the rest stands in a
// row of its own.
func (in *PacketInput) schedule(done []CompletionRow, now date.FiscalYear) []ScheduleRow {
	acres := map[string]quantity.Acres{}
	for _, u := range in.Units {
		acres[u.ID] = u.Acres
	}
	measure, burns := map[string]habitat.Measure{}, map[string]bool{}
	for _, p := range in.Contract.Practices {
		measure[p.Code], burns[p.Code] = p.Measure, p.Burns
	}
	var rows []ScheduleRow
	for _, item := range in.Contract.Items {
		rows = append(rows, ScheduleRow{FiscalYear: item.FiscalYear, Practice: item.Practice, Unit: item.Unit, UnitAcres: acres[item.Unit], Measure: measure[item.Practice], Planned: item.Planned})
	}
	order := func(a, b ScheduleRow) int {
		return cmp.Or(cmp.Compare(a.FiscalYear, b.FiscalYear), cmp.Compare(a.Practice, b.Practice), cmp.Compare(a.Unit, b.Unit))
	}
	slices.SortStableFunc(rows, order)
	for _, work := range done {
		if work.Applied <= 0 {
			continue
		}
		left := work.Applied
		own := slices.IndexFunc(rows, func(r ScheduleRow) bool {
			return r.Practice == work.Practice && r.Unit == work.Unit && r.FiscalYear == work.FiscalYear && r.Planned > 0
		})
		if own >= 0 {
			r := &rows[own]
			took := min(left, max(0, r.Planned-r.Applied-r.Late))
			r.Applied, left, r.On = r.Applied+took, left-took, work.Through
		}
		for i := range rows {
			r := &rows[i]
			if r.Practice == work.Practice && r.Unit == work.Unit && r.FiscalYear < work.FiscalYear && r.Planned-r.Applied-r.Late > nothing && left > nothing {
				took := min(left, r.Planned-r.Applied-r.Late)
				r.Late, left, r.On = r.Late+took, left-took, work.Through
			}
		}
		if left <= nothing {
			continue
		}
		if own >= 0 { // more than planned, in the year in which it was due
			rows[own].Applied += left
			continue
		}
		rows = append(rows, ScheduleRow{FiscalYear: work.FiscalYear, Practice: work.Practice, Unit: work.Unit, UnitAcres: acres[work.Unit], Measure: work.Measure, Applied: left, On: work.Through, State: Unasked})
	}
	slices.SortStableFunc(rows, order)
	for i := range rows {
		r := &rows[i]
		r.Variance = r.Applied + r.Late - r.Planned
		r.Remaining = max(0, -r.Variance)
		if r.Remaining <= nothing {
			r.Remaining = 0
		}
		if r.Remaining > 0 && burns[r.Practice] {
			r.Next = in.nextBurn(r.Unit)
		}
		switch {
		case r.State == Unasked:
		case r.Remaining == 0:
			r.State = Applied
		case r.FiscalYear > now:
			r.State = Ahead
		case r.FiscalYear == now:
			r.State = UnderWay
		case r.Applied+r.Late > nothing:
			r.State = Partly
		default:
			r.State = Behind
		}
	}
	return rows
}

// nextBurn gives the fiscal year of the unit's next planned burn: that of the
// last day of its season, or of its program year where the plan names no season.
// Burns whose days are over are left out.
func (in *PacketInput) nextBurn(unit string) date.FiscalYear {
	next := date.FiscalYear(0)
	for _, b := range in.Planned {
		if b.Unit != unit || in.hasBurned(unit, b.Year) {
			continue
		}
		last := BurnSpan(&in.Property, b.Season, b.Year).Last
		if year := in.Contract.FiscalStart.Of(last); !last.Before(in.Stamp.On) && (next == 0 || year < next) {
			next = year
		}
	}
	return next
}

// hasBurned reports whether the burn of a unit in a program year is on record.
func (in *PacketInput) hasBurned(unit string, year date.ProgramYear) bool {
	i := slices.IndexFunc(in.Units, func(u habitat.Unit) bool { return u.ID == unit })
	if i < 0 {
		return false
	}
	state := in.Property.StateIn(&in.Units[i], in.Records, year, in.Stamp.On)
	return state.Done
}

// BurnSpan gives the days in which a planned burn may be done: its season, or
// the whole program year where no season is named.
func BurnSpan(p *habitat.Property, season string, year date.ProgramYear) date.Span {
	if s := p.SeasonIndex(season); s >= 0 {
		return p.SeasonSpan(s, year)
	}
	return p.YearStart.Span(year)
}

// sum adds the schedule up by practice and fiscal year.
func (v *Packet) sum(c *habitat.Contract) {
	for _, r := range v.Schedule {
		if !slices.Contains(v.Years, r.FiscalYear) {
			v.Years = append(v.Years, r.FiscalYear)
		}
	}
	slices.Sort(v.Years)
	for _, p := range c.Practices {
		s := PracticeSum{Code: p.Code, Name: p.Name, Standard: p.Standard, Measure: p.Measure, Years: make([]PracticeYear, len(v.Years))}
		for _, r := range v.Schedule {
			if r.Practice != p.Code {
				continue
			}
			s.Planned += r.Planned
			s.Remaining += r.Remaining
			if r.FiscalYear < v.FiscalYear {
				s.DueBy += r.Planned
			}
			s.Years[slices.Index(v.Years, r.FiscalYear)].Planned += r.Planned
		}
		for _, done := range v.Completions {
			if done.Practice == p.Code {
				s.Applied += done.Applied
				if at := slices.Index(v.Years, done.FiscalYear); at >= 0 {
					s.Years[at].Applied += done.Applied
				}
			}
		}
		s.Variance = s.Applied - s.DueBy
		v.Practices = append(v.Practices, s)
	}
}
