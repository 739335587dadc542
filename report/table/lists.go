package table

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// UnitsSheet lists units with the columns that an import reads.
func UnitsSheet(units []habitat.Unit) *Sheet {
	s := &Sheet{
		Name: "units",
		Header: []string{
			"unit",
			"acres",
			"min_interval",
			"max_interval",
			"seasons",
			"burn_days",
			"cost",
			"mix",
			"refuge",
			"cover",
			"prescription",
			"estimated_age",
			"estimated_in",
			"notes",
		},
	}
	for i := range units {
		u := &units[i]
		var age, in any
		if u.EstimatedAge != nil {
			age, in = *u.EstimatedAge, u.EstimatedIn
		}
		s.Rows = append(
			s.Rows,
			[]any{u.ID, u.Acres, u.Interval.Min, u.Interval.Max, seasonChoices(u), u.BurnDays, u.Cost, u.Mix, u.Refuge, u.Cover, u.Prescription, age, in, u.Notes},
		)
	}
	if slices.ContainsFunc(units, func(u habitat.Unit) bool { return u.Owned != habitat.Ownership{} }) {
		s.Header = append(s.Header, "owned_from", "owned_until")
		for i := range units {
			s.Rows[i] = append(s.Rows[i], optionalDay(units[i].Owned.From), optionalDay(units[i].Owned.Until))
		}
	}
	if slices.ContainsFunc(units, func(u habitat.Unit) bool { return u.Land != habitat.LandNumbers{} }) {
		s.Header = append(s.Header, "farm", "tract", "field_number", "section")
		for i := range units {
			n := &units[i].Land
			s.Rows[i] = append(s.Rows[i], n.Farm, n.Tract, n.Field, n.Section)
		}
	}
	return s
}

func optionalDay(d date.Day) any {
	if d.IsZero() {
		return nil
	}
	return d
}

// seasonChoices gives "dormant;early-growing:1", the form of the list files.
func seasonChoices(u *habitat.Unit) string {
	words := make([]string, len(u.Seasons))
	for i, c := range u.Seasons {
		words[i] = c.Season
		if c.Penalty != 0 {
			words[i] += ":" + strconv.FormatFloat(c.Penalty, 'f', -1, 64)
		}
	}
	return strings.Join(words, ";")
}

// RecordsSheet lists burn records with the columns that an import reads, and
// with the program year and season that follow from the day.
func RecordsSheet(p *habitat.Property, records []habitat.BurnRecord) *Sheet {
	s := &Sheet{
		Name: "burns",
		Header: []string{
			"unit",
			"date",
			"through",
			"kind",
			"acres",
			"program_year",
			"season",
			"purpose",
			"ignition",
			"start",
			"end",
			"fuel_moisture",
			"soil_moisture",
			"crew",
			"permit",
			"consumed",
			"top_killed",
			"escapes",
			"mop_up_end",
			"notes",
			"notified",
			"readings",
		},
	}
	for i := range records {
		r := &records[i]
		var acres, consumed, topKilled any
		if r.HasAcres {
			acres = r.Acres
		}
		if r.Consumed != nil {
			consumed = float64(*r.Consumed)
		}
		if r.TopKilled != nil {
			topKilled = float64(*r.TopKilled)
		}
		season, year, ok := p.SeasonOf(r.Through)
		name := ""
		if ok {
			name = p.Seasons[season].Name
		}
		s.Rows = append(
			s.Rows,
			[]any{
				r.Unit,
				r.On,
				r.Through,
				string(r.Kind),
				acres,
				year,
				name,
				r.Purpose,
				r.Ignition,
				r.Start,
				r.End,
				r.FuelMoisture,
				r.SoilMoisture,
				r.Crew,
				r.Permit,
				consumed,
				topKilled,
				r.Escapes,
				r.MopUpEnd,
				r.Notes,
				notifiedText(r.Notified),
				readingsText(r.Readings),
			},
		)
	}
	return s
}

// notifiedText and readingsText write lists in one cell, as an import reads them.
func notifiedText(all []habitat.Notification) string {
	parts := make([]string, len(all))
	for i, n := range all {
		parts[i] = n.Who
		if n.At != "" {
			parts[i] += " at " + n.At
		}
	}
	return strings.Join(parts, "; ")
}

func readingsText(all []habitat.Reading) string {
	parts := make([]string, len(all))
	for i := range all {
		parts[i] = all[i].String()
	}
	return strings.Join(parts, "; ")
}

// ReadingsSheet lists the weather readings of burn records.
func ReadingsSheet(records []habitat.BurnRecord) *Sheet {
	s := &Sheet{Name: "readings", Header: []string{"unit", "date", "time", "temp_f", "rh_pct", "wind_mph", "wind_from_deg"}}
	for i := range records {
		r := &records[i]
		for _, one := range r.Readings {
			s.Rows = append(s.Rows, []any{r.Unit, r.On, one.At, optional(one.Temperature), optional(one.Humidity), optional(one.Wind), optional(one.WindFrom)})
		}
	}
	return s
}

func optional[T ~float64](v *T) any {
	if v == nil {
		return nil
	}
	return float64(*v)
}

// practiceHeader and practiceRow are the figures of a practice over a contract.
var practiceHeader = []string{
	"code",
	"practice",
	"standard",
	"measure",
	"planned",
	"credited",
	"remaining",
	"planned_to_date",
	"behind_to_date",
	"ahead_to_date",
	"planned_this_year",
	"credited_this_year",
	"remaining_this_year",
	"applied",
	"over",
}

func practiceRow(p *view.PracticeSum) []any {
	return []any{
		p.Code,
		p.Name,
		p.Standard,
		string(p.Measure),
		p.Planned,
		p.Credited,
		p.Remaining,
		p.DueBy,
		p.Behind,
		p.Ahead,
		p.YearPlanned,
		p.YearCredited,
		p.YearRemaining,
		p.Applied,
		p.Over,
	}
}

// PacketSheets are the tables of a cost-share packet: the same figures as in
// its PDF, from the same view.
func PacketSheets(v *view.Packet) []*Sheet {
	practices := &Sheet{Name: "practices", Header: practiceHeader}
	years := &Sheet{Name: "fiscal years", Header: []string{"fiscal_year", "code", "measure", "planned", "applied_in_year"}}
	for i := range v.Practices {
		practices.Rows = append(practices.Rows, practiceRow(&v.Practices[i]))
	}
	for i, year := range v.Years {
		for _, p := range v.Practices {
			if y := p.Years[i]; !y.IsEmpty() {
				years.Rows = append(years.Rows, []any{year, p.Code, string(p.Measure), y.Planned, y.Applied})
			}
		}
	}
	schedule := ScheduleSheet(v)
	done := &Sheet{Name: "completions", Header: []string{"unit", "code", "fiscal_year", "from", "through", "applied", "measure", "kind", "record", "corrected", "says"}}
	readings := &Sheet{Name: "readings", Header: []string{"unit", "date", "time", "temp_f", "rh_pct", "wind_mph", "wind_from"}}
	for _, c := range v.Completions {
		var words []string
		for _, f := range c.Fields {
			words = append(words, f.Label+": "+f.Text)
		}
		done.Rows = append(
			done.Rows,
			[]any{
				c.Unit,
				c.Practice,
				c.FiscalYear,
				c.On,
				c.Through,
				c.Applied,
				string(c.Measure),
				string(c.Kind),
				c.Record,
				strings.Join(c.Corrected, "; "),
				strings.Join(words, "; "),
			},
		)
		for _, r := range c.Readings {
			readings.Rows = append(readings.Rows, []any{c.Unit, c.On, r.At, r.TempF, r.RH, r.WindMPH, r.WindFrom})
		}
	}
	files := &Sheet{Name: "files", Header: []string{"of", "file", "sha256", "state"}}
	for _, f := range v.Files {
		files.Rows = append(files.Rows, []any{f.Of, f.Path, f.SHA256, f.State})
	}
	modifications := &Sheet{Name: "modifications", Header: []string{"number", "on", "line", "what", "was", "is", "because"}}
	for _, m := range v.Modifications {
		modifications.Rows = append(modifications.Rows, []any{m.Number, m.On, m.Line, m.What, m.Was, m.Is, m.Reason})
	}
	withdrawn := &Sheet{Name: "withdrawn", Header: []string{"record", "unit", "burned_on", "withdrawn_on", "because"}}
	for _, r := range v.Withdrawn {
		withdrawn.Rows = append(withdrawn.Rows, []any{r.Record, r.Unit, r.Burned, r.On, r.Reason})
	}
	notes := &Sheet{Name: "notes", Header: []string{"note"}}
	for _, text := range slices.Concat([]string{v.Early}, v.Footing, v.Warnings) {
		notes.Rows = append(notes.Rows, []any{text})
	}
	return []*Sheet{practices, years, schedule, done, readings, files, modifications, withdrawn, notes}
}

// ScheduleSheet is the schedule of a packet, as its CSV has it.
func ScheduleSheet(v *view.Packet) *Sheet {
	s := &Sheet{
		Name: "schedule",
		Header: []string{
			"fiscal_year",
			"code",
			"unit",
			"unit_acres",
			"measure",
			"planned",
			"applied",
			"applied_later",
			"applied_earlier",
			"over",
			"remaining",
			"done_on",
			"state",
			"next_planned_burn",
			"line",
			"until",
			"records",
			"item",
			"land",
			"plan_says",
		},
	}
	for _, r := range v.Schedule {
		var next any
		if r.Next != 0 {
			next = r.Next
		}
		s.Rows = append(
			s.Rows,
			[]any{
				r.FiscalYear,
				r.Practice,
				r.Unit,
				r.UnitAcres,
				string(r.Measure),
				r.Planned,
				r.Applied,
				r.Late,
				r.Early,
				r.Over,
				r.Remaining,
				r.On,
				string(r.State),
				next,
				orNone(r.Line),
				orNone(int(r.Until)),
				strings.Join(r.Records, "; "),
				r.Item,
				r.Land,
				string(r.PlanSays),
			},
		)
	}
	return s
}

// orNone gives an empty cell for 0.
func orNone(n int) any {
	if n == 0 {
		return nil
	}
	return n
}

// PacketSummary has one line a packet, for an agent with many clients.
func PacketSummary(packets []*view.Packet) *Sheet {
	s := &Sheet{Name: "summary", Header: slices.Concat([]string{"property", "contract", "client"}, practiceHeader, []string{"lines_behind"})}
	for _, v := range packets {
		for i := range v.Practices {
			p, behind := &v.Practices[i], 0
			for _, r := range v.Schedule {
				if r.Practice == p.Code && (r.State == view.Behind || r.State == view.Partly) {
					behind++
				}
			}
			s.Rows = append(s.Rows, slices.Concat([]any{v.Stamp.Property, v.Contract, v.Client}, practiceRow(p), []any{behind}))
		}
	}
	return s
}

// Contracts has a row for each item of the contracts.
func Contracts(all []habitat.Contract) *Sheet {
	s := &Sheet{
		Name: "contracts",
		Header: []string{
			"contract",
			"number",
			"client",
			"fiscal_year_starts",
			"practice_code",
			"practice_name",
			"standard_date",
			"applied_from",
			"unit",
			"fiscal_year",
			"planned",
			"measure",
			"item",
			"line",
			"until",
			"status",
			"early_work",
			"in_plan",
		},
	}
	for _, c := range all {
		for _, item := range c.Items {
			i := slices.IndexFunc(c.Practices, func(p habitat.Practice) bool { return p.Code == item.Practice })
			if i < 0 {
				continue
			}
			p, from := &c.Practices[i], "completions"
			if p.Burns {
				from = "burns"
			}
			s.Rows = append(
				s.Rows,
				[]any{
					c.Name,
					c.Number,
					c.Client,
					strings.ToLower(c.FiscalStart.Month().String()),
					p.Code,
					p.Name,
					p.Standard,
					from,
					item.Place(),
					item.FiscalYear,
					item.Planned,
					string(p.Measure),
					item.Item,
					orNone(item.ID),
					orNone(int(item.Until)),
					cmp.Or(string(item.Status), "open"),
					string(c.Early),
					string(c.HoldOf(&item)),
				},
			)
		}
	}
	return s
}

// AgedUnits is what a person looks at of the units; "?" marks an age that no record
// stands behind.
func AgedUnits(all []view.AgedUnit) *Sheet {
	s := &Sheet{Name: "units", Header: []string{"unit", "acres", "every", "age", "last_burn", "since", "seasons", "days", "cost", "cover", "mix", "refuge"}}
	for i := range all {
		u, age := &all[i].Unit, &all[i].Age
		years := strconv.Itoa(age.Years)
		if age.Assumed != habitat.OnRecord {
			years += "?"
			s.key = "?: assumed age, no record stands behind it"
		}
		s.Rows = append(
			s.Rows,
			[]any{u.ID, u.Acres, u.Interval.String(), years, optionalDay(all[i].LastBurn), all[i].Words, seasonChoices(u), u.BurnDays, u.Cost, u.Cover, u.Mix, u.Refuge},
		)
	}
	if slices.ContainsFunc(all, func(a view.AgedUnit) bool { return a.Unit.Owned != habitat.Ownership{} }) {
		s.Header = slices.Insert(s.Header, 1, "owned")
		for i := range all {
			s.Rows[i] = slices.Insert(s.Rows[i], 1, any(all[i].Unit.Owned.Words()))
		}
	}
	return s
}

// AgedUnitsFile is UnitsSheet with what follows from the records.
func AgedUnitsFile(all []view.AgedUnit) *Sheet {
	units := make([]habitat.Unit, len(all))
	for i := range all {
		units[i] = all[i].Unit
	}
	s := UnitsSheet(units)
	s.Header = append(s.Header, "stated_acres", "last_burn_on", "age", "age_assumed", "burned_this_year", "acres_burned", "acres_left")
	for i := range all {
		age := &all[i].Age
		var stated any
		if units[i].StatedAcres > 0 {
			stated = units[i].StatedAcres
		}
		s.Rows[i] = append(s.Rows[i], stated, optionalDay(all[i].LastBurn), age.Years, age.Assumed != habitat.OnRecord, all[i].State.HasBurned(), all[i].State.Burned, all[i].State.Left)
	}
	return s
}

// NumberedRecords is RecordsSheet with the numbers of the records in front; the last
// day stands where it is another than the first.
func NumberedRecords(p *habitat.Property, records []habitat.BurnRecord) *Sheet {
	s := RecordsSheet(p, records)
	s.Header = append([]string{"number"}, s.Header...)
	through := slices.Index(s.Header, "through")
	for i := range s.Rows {
		s.Rows[i] = append([]any{int(records[i].ID)}, s.Rows[i]...)
		if records[i].Through == records[i].On {
			s.Rows[i][through] = nil
		}
	}
	return s
}

// Places has a row for each place and unit.
func Places(all []view.PlaceRow) *Sheet {
	s := &Sheet{Name: "places", Header: []string{"place", "kind", "unit", "distance_ft", "miles", "toward", "bearing_deg"}}
	for _, r := range all {
		if r.Away == nil {
			s.Rows = append(s.Rows, []any{r.Name, r.Kind, nil, nil, nil, nil, nil})
			continue
		}
		toward, bearing := r.Away.Toward.Compass(), rounded(float64(r.Away.Toward), 0)
		if r.Away.Distance == 0 {
			toward += ", touches"
		}
		s.Rows = append(s.Rows, []any{r.Name, r.Kind, r.Unit, whole(r.Away.Distance), rounded(float64(r.Away.Distance)/quantity.FeetPerMile, 2), toward, bearing})
	}
	return s
}

// Contacts lists whom to call, with the columns that are read back.
func Contacts(columns []string, all []habitat.Contact) *Sheet {
	s := &Sheet{Name: "contacts", Header: columns}
	for _, c := range all {
		s.Rows = append(s.Rows, []any{c.Role, c.Name, c.Phone, c.When})
	}
	return s
}
