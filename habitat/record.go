package habitat

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// RecordKind tells burns that were meant from those that were not.
type RecordKind string

const (
	// Prescribed is a burn that was planned and lit by the crew.
	Prescribed RecordKind = "prescribed"
	// Wildfire is a fire that nobody planned on the unit.
	Wildfire RecordKind = "wildfire"
	// Attempt is a burn that was lit or called off and covered nothing that
	// counts.
	Attempt RecordKind = "attempt"
	// Mowing, Disking, Herbicide and Grazing are treatments other than fire. They
	// are no burns, and set the stand age back only where the settings say so.
	Mowing    RecordKind = "mowing"
	Disking   RecordKind = "disking"
	Herbicide RecordKind = "herbicide"
	Grazing   RecordKind = "grazing"
)

// RecordKinds lists the kinds that a record may have.
func RecordKinds() []RecordKind { return slices.Concat(fires, treatments) }

// TreatmentKinds lists the kinds that are no fire.
func TreatmentKinds() []RecordKind { return slices.Clone(treatments) }

var (
	fires      = []RecordKind{Prescribed, Wildfire, Attempt}
	treatments = []RecordKind{Mowing, Disking, Herbicide, Grazing}
)

// IsTreatment reports whether the kind is a treatment other than fire.
func (k RecordKind) IsTreatment() bool { return slices.Contains(treatments, k) }

// CountsForAge reports whether records of a kind count towards setting the stand
// age back: fires do, and those treatments of which the settings say so.
func (p *Property) CountsForAge(k RecordKind) bool {
	if k.IsTreatment() {
		return slices.Contains(p.TreatmentsReset, k)
	}
	return k != Attempt
}

// BurnRecord is one fire, or one failed attempt, on one unit.
type BurnRecord struct {
	// ID is given by the store and stays the same through corrections.
	ID   int64
	Unit string
	// On is the first day, Through the last.
	On, Through date.Day
	Kind        RecordKind
	// Acres burned, at most those of the unit within rounding; HasAcres says
	// whether they were recorded. A record without acres covered the unit.
	Acres    quantity.Acres
	HasAcres bool
	// UnitAcres are those of the unit on the day the record was written, which a
	// record without acres means whatever the unit becomes; 0 where they are not
	// known. The store gives them; they are not stored with the record.
	UnitAcres quantity.Acres
	Purpose   string
	// Ignition is the pattern, one of IgnitionPatterns, or empty.
	Ignition string
	// Start and End are local times of the day as HH:MM, or empty.
	Start, End string
	Readings   []Reading
	// FuelMoisture and SoilMoisture are remarks.
	FuelMoisture, SoilMoisture string
	Crew                       string
	Permit                     string
	Notified                   []Notification
	// Consumed is the share of the fuel consumed, TopKilled the share of the
	// woody cover top-killed; nil where it was not recorded.
	Consumed, TopKilled *quantity.Share
	Escapes             string
	// MopUpEnd is a local time as YYYY-MM-DD HH:MM, or empty.
	MopUpEnd string
	Files    []Attachment
	// Outline is what burned as GeoJSON, a Polygon or MultiPolygon in longitude and
	// latitude, WGS 84; empty where nobody drew it.
	Outline string
	Notes   string
	// Of says for which unit the record was written, where that unit has become
	// another since; nil where it has not. It is never stored: see Lineage.
	Of *Origin
}

// Reading is the weather at one moment of a burn; nil means not taken.
type Reading struct {
	// At is the local time as HH:MM, on the first day unless it holds a date.
	At          string
	Temperature *quantity.Fahrenheit
	Humidity    *quantity.Percent
	Wind        *quantity.MilesPerHour
	WindFrom    *quantity.Bearing
}

// Notification says who was told of a burn and when.
type Notification struct{ Who, At string }

// Attachment is a file that belongs to a record, by path and checksum.
type Attachment struct {
	Path   string `json:"path"`
	SHA256 string `json:"sha256"`
}

// IgnitionPatterns lists the trade's terms for the way a unit is lit.
func IgnitionPatterns() []string {
	return []string{"backing", "flanking", "strip-heading", "heading", "ring", "spot"}
}

// acresSlack lets recorded acres pass those of the unit a little: the two are
// often measured in different ways.
const acresSlack = 1.02

// FirstRecordDay is the first day of which a record is taken: prescribed burns of before
// are on no list that is kept by unit, and such a date is a slip of the pen.
func FirstRecordDay() date.Day { return date.Day{Year: 1950, Month: 1, Dom: 1} }

// Validate checks a record against its unit; today bounds its dates. The
// error joins one *FieldError for each fault.
func (r *BurnRecord) Validate(u *Unit, today date.Day) error {
	var all []error
	add := func(err error) {
		if err != nil {
			all = append(all, err)
		}
	}
	if r.On.IsZero() {
		add(fieldErrorf("date", "a date as YYYY-MM-DD", "there is none"))
	}
	if first := FirstRecordDay(); r.On.Before(first) && !r.On.IsZero() {
		add(fieldErrorf("date", "a date from "+first.String()+" on", "%s is before any burn that is on record", r.On))
	}
	if r.On.After(today) {
		add(fieldErrorf("date", "a date up to "+today.String(), "%s is in the future", r.On))
	}
	if r.Through.Before(r.On) {
		add(fieldErrorf("through", "a date on or after "+r.On.String(), "%s is before the burn began", r.Through))
	} else if r.Through.After(today) {
		add(fieldErrorf("through", "a date up to "+today.String(), "%s is in the future", r.Through))
	}
	if !slices.Contains(fires, r.Kind) && !r.Kind.IsTreatment() {
		add(fieldErrorf("kind", "prescribed, wildfire, attempt, mowing, disking, herbicide or grazing", "%q is none of the kinds", r.Kind))
	}
	if r.HasAcres {
		if !isAmount(float64(r.Acres), float64(MaxAcres)) {
			add(fieldErrorf("acres", "0 to 1e9 acres", "%v is not an area", float64(r.Acres)))
		} else if r.Acres > u.Acres*acresSlack {
			add(fieldErrorf("acres", fmt.Sprintf("up to the unit's %s acres", u.Acres), "%s is more than the unit has", r.Acres))
		}
	}
	if r.Ignition != "" && !slices.Contains(IgnitionPatterns(), r.Ignition) {
		add(fieldErrorf("ignition", "backing, flanking, strip-heading, heading, ring or spot", "%q is not an ignition pattern", r.Ignition))
	}
	for _, clock := range []struct{ field, text string }{{"start", r.Start}, {"end", r.End}} {
		if clock.text != "" && !isClock(clock.text) {
			add(fieldErrorf(clock.field, "a time of day as HH:MM, such as 13:30", "%q is not a time of day", clock.text))
		}
	}
	if r.MopUpEnd != "" {
		day, clock, _ := strings.Cut(r.MopUpEnd, " ")
		if on, err := date.ParseDay(day); err != nil || !isClock(clock) {
			add(fieldErrorf("mop_up_end", "a local time as YYYY-MM-DD HH:MM", "%q is not a local time in that form", r.MopUpEnd))
		} else if on.Before(r.On) {
			add(fieldErrorf("mop_up_end", "a time on or after "+r.On.String(), "%s is before the burn began", r.MopUpEnd))
		}
	}
	for _, share := range []struct {
		field string
		value *quantity.Share
	}{{"consumed", r.Consumed}, {"top_killed", r.TopKilled}} {
		if share.value != nil && !(*share.value >= 0 && *share.value <= 1) {
			add(fieldErrorf(share.field, "a share from 0 to 1", "%v is not a share", float64(*share.value)))
		}
	}
	if r.Start != "" && r.End != "" && r.On == r.Through && r.End < r.Start {
		add(fieldErrorf("end", "a time after "+r.Start, "%s is before the start", r.End))
	}
	for i, reading := range r.Readings {
		field := fmt.Sprintf("readings[%d]", i)
		add(reading.validate(field))
		add(r.inTime(field, reading.At))
	}
	return errors.Join(all...)
}

// readingHours is how long before the start and after the end of a burn a reading
// may have been taken to belong to it. Common practice, no source.
const readingHours = 6

// inTime refuses a reading that was taken too far from the burn to be of it.
func (r *BurnRecord) inTime(field, at string) error {
	day, clock, dated := strings.Cut(at, " ")
	if !dated {
		day, clock = r.On.String(), at
	}
	taken, ok := minuteOf(clock)
	if !ok {
		return nil
	}
	if start, ok := minuteOf(r.Start); ok && day == r.On.String() && taken < start-readingHours*60 {
		return fieldErrorf(field+".at", fmt.Sprintf("a time from %d hours before the start at %s on, or none of it", readingHours, r.Start), "%q is long before the burn", at)
	}
	if end, ok := minuteOf(r.End); ok && day == r.Through.String() && r.On == r.Through && taken > end+readingHours*60 {
		return fieldErrorf(field+".at", fmt.Sprintf("a time up to %d hours after the end at %s, or none of it", readingHours, r.End), "%q is long after the burn", at)
	}
	return nil
}

// minuteOf gives the minute of the day of a time as HH:MM.
func minuteOf(clock string) (minute int, ok bool) {
	if !isClock(clock) {
		return 0, false
	}
	hour, minute := 0, 0
	fmt.Sscanf(clock, "%d:%d", &hour, &minute)
	return hour*60 + minute, true
}

// Burned gives the acres that the record means: those recorded, else those of the
// whole unit on the day it was recorded; u is the unit as it is now.
func (r *BurnRecord) Burned(u *Unit) quantity.Acres {
	switch {
	case r.HasAcres:
		return r.Acres
	case r.UnitAcres > 0:
		return r.UnitAcres
	}
	return u.Acres
}

func (r *Reading) validate(field string) error {
	if r.Temperature != nil && !(*r.Temperature >= -40 && *r.Temperature <= 130) {
		return fieldErrorf(field+".temp_f", "-40 to 130 °F", "%v is outside what is possible", float64(*r.Temperature))
	}
	if r.Humidity != nil && !(*r.Humidity >= 0 && *r.Humidity <= 100) {
		return fieldErrorf(field+".rh_pct", "0 to 100 percent", "%v is outside what is possible", float64(*r.Humidity))
	}
	if r.Wind != nil && !(*r.Wind >= 0 && *r.Wind <= 150) {
		return fieldErrorf(field+".wind_mph", "0 to 150 mph", "%v is outside what is possible", float64(*r.Wind))
	}
	return nil
}

func covers(burned, unit quantity.Acres, share quantity.Share) bool {
	// Shares such as 0.6 of decimal acres: allow one part in a million.
	return burned >= share.Of(unit)*(1-1e-6)
}

// Reset is the program year in which a unit's stand age was last set back to
// 0, and the last day of the burn that did it.
type Reset struct {
	Year date.ProgramYear
	On   date.Day
	// By is the treatment other than fire that did it last, where fire alone burned too
	// little; empty for a fire.
	By RecordKind
}

// LastReset finds the last program year up to a year in which a unit's stand
// age was set back to 0, from the records that end on or before upTo. Records of
// one unit and one program year count together, as when parts of it burned on
// several days. ok is false where there is none.
func (p *Property) LastReset(u *Unit, records []BurnRecord, year date.ProgramYear, upTo date.Day) (reset Reset, ok bool) {
	return p.lastReset(u.Acres, p.agesOf(u, records, year, upTo), 0)
}

// LastBurn gives the last day of the last burn that set a unit's stand age back, whatever
// else set it back since; zero where there is none.
func (p *Property) LastBurn(u *Unit, records []BurnRecord, year date.ProgramYear, upTo date.Day) date.Day {
	fires := slices.DeleteFunc(p.agesOf(u, records, year, upTo), func(r ageRecord) bool { return r.Kind.IsTreatment() })
	reset, _ := p.lastReset(u.Acres, fires, 0)
	return reset.On
}

// ageRecord is a record that bears on a stand age, with the program year in which it
// counts.
type ageRecord struct {
	*BurnRecord
	in date.ProgramYear
}

// agesOf gives the records of a unit that bear on its stand age at the end of a year.
func (p *Property) agesOf(u *Unit, records []BurnRecord, year date.ProgramYear, upTo date.Day) (own []ageRecord) {
	for i := range records {
		r := &records[i]
		isNothing := r.HasAcres && r.Acres == 0 // it burned nothing, and is no last burn
		if r.Unit != u.ID || !p.CountsForAge(r.Kind) || isNothing || r.Through.After(upTo) {
			continue
		}
		if in := p.YearOf(r.Through); in <= year {
			own = append(own, ageRecord{r, in})
		}
	}
	return own
}

// lastReset is LastReset for ground of so many acres: that of the unit at depth
// 0, below it that of units which were merged. A merged unit is as old as the
// newest year since which the share of its ground has burned.
func (p *Property) lastReset(acres quantity.Acres, records []ageRecord, depth int) (reset Reset, ok bool) {
	if len(records) == 0 {
		return reset, false
	}
	var fire, all yearResets
	var parts map[UnitPart][]ageRecord
	for _, r := range records {
		all.add(r, acres)
		if !r.Kind.IsTreatment() {
			fire.add(r, acres)
		}
		if r.Of != nil && len(r.Of.Ground) > depth {
			if parts == nil {
				parts = map[UnitPart][]ageRecord{}
			}
			part := r.Of.Ground[depth]
			parts[part] = append(parts[part], r)
		}
	}
	for i := range all {
		sum := &all[i]
		if !covers(sum.acres, acres, p.ResetShare) || ok && sum.in <= reset.Year {
			continue
		}
		// What was mowed in the year of its burn has burned all the same.
		if alone := fire.of(sum.in); alone != nil && covers(alone.acres, acres, p.ResetShare) {
			sum = alone
		}
		reset, ok = Reset{sum.in, sum.last, sum.by}, true
	}
	type partReset struct {
		UnitPart
		Reset
	}
	var resets []partReset
	for part, of := range parts {
		own, has := p.lastReset(part.Acres, of, depth+1)
		if ok && (!has || reset.Year > own.Year) {
			own, has = reset, true
		}
		if has {
			resets = append(resets, partReset{part, own})
		}
	}
	slices.SortFunc(resets, func(a, b partReset) int {
		return cmp.Or(cmp.Compare(b.Year, a.Year), b.On.Compare(a.On), cmp.Compare(a.Unit, b.Unit))
	})
	sum := quantity.Acres(0)
	for _, part := range resets {
		if sum += part.Acres; covers(sum, acres, p.ResetShare) {
			if !ok || part.Year > reset.Year {
				reset, ok = part.Reset, true
			}
			break
		}
	}
	return reset, ok
}

// yearReset is what records of one program year sum up to: the acres, the last day, and
// the treatment of that day, empty for a fire.
type yearReset struct {
	in    date.ProgramYear
	acres quantity.Acres
	last  date.Day
	by    RecordKind
}

// yearResets are those of a unit's years: a few, and asked for by the hundred thousand.
type yearResets []yearReset

// of gives that of a year; nil where there is none.
func (all yearResets) of(in date.ProgramYear) *yearReset {
	for i := range all {
		if all[i].in == in {
			return &all[i]
		}
	}
	return nil
}

// add adds a record of ground of so many acres to those of its year.
func (all *yearResets) add(r ageRecord, acres quantity.Acres) {
	sum := all.of(r.in)
	if sum == nil {
		*all = append(*all, yearReset{in: r.in})
		sum = &(*all)[len(*all)-1]
	}
	if r.HasAcres {
		acres = r.Acres
	}
	sum.acres += acres
	if r.Through.After(sum.last) {
		sum.last, sum.by = r.Through, ""
		if r.Kind.IsTreatment() {
			sum.by = r.Kind
		}
	}
}

// StandAge is a unit's age at the end of a program year, with what it rests on.
type StandAge struct {
	Years int
	// EndOf is the program year at whose end the unit has this age.
	EndOf date.ProgramYear
	// From is the burn that it is counted from; zero where it was assumed.
	From Reset
	// Assumed says what it rests on where no record shows it.
	Assumed AgeAssumed
	// Estimate is the estimated age that it was taken from, in years at the end of
	// EstimatedIn; zero where it was not.
	Estimate    int
	EstimatedIn date.ProgramYear
	// BurnedInPart says of an assumed age that the unit has burned, and in no year
	// enough of it to set its age back.
	BurnedInPart bool
}

// AgeAssumed is what a stand age rests on.
type AgeAssumed int

// What a stand age rests on.
const (
	OnRecord      AgeAssumed = iota // a burn, or a treatment that sets the age back
	FromEstimate                    // the unit's estimated age
	AtMaxInterval                   // nothing: the unit is taken to be due
)

// AgeAtEnd gives the stand age of a unit at the end of a program year, from the
// records that end on or before upTo. Without a resetting burn it takes the
// estimated age, else the unit's max interval, and says so.
func (p *Property) AgeAtEnd(u *Unit, records []BurnRecord, year date.ProgramYear, upTo date.Day) StandAge {
	own := p.agesOf(u, records, year, upTo)
	reset, ok := p.lastReset(u.Acres, own, 0)
	return u.ageSince(reset, ok, year, len(own) > 0)
}

// ageSince gives the stand age at the end of a year from what last set it back, where
// something did.
func (u *Unit) ageSince(reset Reset, isReset bool, year date.ProgramYear, burnedInPart bool) StandAge {
	if isReset {
		return StandAge{Years: int(year - reset.Year), EndOf: year, From: reset}
	}
	age := StandAge{Years: u.Interval.Max, EndOf: year, Assumed: AtMaxInterval, BurnedInPart: burnedInPart}
	if u.EstimatedAge != nil {
		age.Years, age.Assumed = max(0, *u.EstimatedAge+int(year-u.EstimatedIn)), FromEstimate
		age.Estimate, age.EstimatedIn = *u.EstimatedAge, u.EstimatedIn
	}
	return age
}

// SortRecords puts records in order of their last day, then unit, then id.
func SortRecords(records []BurnRecord) {
	slices.SortStableFunc(records, func(a, b BurnRecord) int { return compareRecords(&a, &b) })
}

func compareRecords(a, b *BurnRecord) int {
	return cmp.Or(a.Through.Compare(b.Through), cmp.Compare(a.Unit, b.Unit), cmp.Compare(a.ID, b.ID))
}
