package view

import (
	"fmt"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// NotedBurn is a record and what it means for the plan.
type NotedBurn struct {
	Record habitat.BurnRecord
	Year   date.ProgramYear
	// Season is empty where the day is outside the seasons.
	Season string
	// Resets says that it sets the unit's stand age back to 0; LaterReset is the year
	// of a burn after it that did, 0 where there is none.
	Resets     bool
	LaterReset date.ProgramYear
}

// Words says it in one line.
func (v *NotedBurn) Words() string {
	r := &v.Record
	what := "burn"
	if r.Kind.IsTreatment() {
		what = "record"
	}
	text := fmt.Sprintf("%s %d: %s, %s on %s", what, r.ID, r.Unit, r.Kind, r.On)
	if r.Through != r.On {
		text += " to " + r.Through.String()
	}
	if r.HasAcres {
		text += fmt.Sprintf(", %s acres", r.Acres)
	}
	text += fmt.Sprintf("; program year %d", v.Year)
	if v.Season != "" {
		text += ", " + v.Season
	} else {
		text += ", outside the seasons"
	}
	switch {
	case v.LaterReset != 0:
		return text + fmt.Sprintf("; the unit burned later, in %d, and its stand age is counted from that", v.LaterReset)
	case r.Kind.IsTreatment() && !v.Resets:
		return text + "; not a burn: the stand age goes on"
	case v.Resets:
		return text + "; sets the stand age back to 0"
	}
	return text + "; the stand age goes on"
}

// OverlapWords says which fire on record a new record may repeat.
func OverlapWords(o *habitat.BurnRecord) string {
	days := "on " + o.On.String()
	if o.Through != o.On {
		days = fmt.Sprintf("from %s to %s", o.On, o.Through)
	}
	return fmt.Sprintf("burn %d, a %s burn of %s %s, may be the same fire", o.ID, o.Kind, source.Quote(o.Unit), days)
}

// BurnVersion is one version of a record.
type BurnVersion struct {
	Version int               `json:"version"`
	At      string            `json:"made_at"`
	Reason  string            `json:"reason"`
	Removed bool              `json:"withdrawn"`
	Record  map[string]string `json:"record"`
	// Fields holds the same in the order of a form.
	Fields []RecordField `json:"-"`
}

// NewBurnVersion puts a version into words.
func NewBurnVersion(number int, at time.Time, reason string, removed bool, r *habitat.BurnRecord) BurnVersion {
	v := BurnVersion{number, at.UTC().Format(time.DateTime) + " UTC", reason, removed, map[string]string{}, particulars(r)}
	for _, f := range v.Fields {
		v.Record[f.Label] = f.Text
	}
	return v
}

// Since says, a line each, what a version holds that another one before it does not.
func (v *BurnVersion) Since(before *BurnVersion) []string {
	var lines []string
	if v.Removed {
		lines = append(lines, "withdrawn")
	}
	for _, f := range v.Fields {
		old, known := "", false
		if before != nil {
			old, known = before.Record[f.Label]
		}
		switch {
		case !known:
			lines = append(lines, f.Label+": "+f.Text)
		case old != f.Text:
			lines = append(lines, fmt.Sprintf("%s: %s → %s", f.Label, old, f.Text))
		}
	}
	return lines
}

// particulars lists all that is known of a record, one by one.
func particulars(r *habitat.BurnRecord) []RecordField {
	var all []RecordField
	add := func(name, text string) {
		if text != "" {
			all = append(all, RecordField{name, text})
		}
	}
	share := func(s *quantity.Share) string {
		if s == nil {
			return ""
		}
		return fmt.Sprintf("%g%%", float64(*s)*100)
	}
	add("unit", r.Unit)
	add("date", r.On.String())
	if r.Through != r.On {
		add("through", r.Through.String())
	}
	add("kind", string(r.Kind))
	switch {
	case r.HasAcres:
		add("acres", r.Acres.String())
	case r.UnitAcres > 0:
		add("acres", fmt.Sprintf("the whole unit, %s", r.UnitAcres))
	}
	add("purpose", r.Purpose)
	add("ignition", r.Ignition)
	add("start", r.Start)
	add("end", r.End)
	for i := range r.Readings {
		add(fmt.Sprintf("reading %d", i+1), r.Readings[i].String())
	}
	add("fuel moisture", r.FuelMoisture)
	add("soil moisture", r.SoilMoisture)
	add("crew", r.Crew)
	add("permit", r.Permit)
	for i, n := range r.Notified {
		add(fmt.Sprintf("notified %d", i+1), strings.TrimSuffix(n.Who+", "+n.At, ", "))
	}
	add("consumed", share(r.Consumed))
	add("top-killed", share(r.TopKilled))
	add("escapes", r.Escapes)
	add("mop-up end", r.MopUpEnd)
	for i, file := range r.Files {
		add(fmt.Sprintf("file %d", i+1), file.Path)
	}
	add("notes", r.Notes)
	return all
}

// FileState is what has become of a file of a record or contract.
type FileState struct {
	// Burn is the number of the record; 0 for a contract.
	Burn  int64  `json:"burn"`
	Path  string `json:"path"`
	State string `json:"state"`
	// IsGood says that the file is where and what it was.
	IsGood bool `json:"-"`
}

// FoundFile is what was found of a file of a record or contract.
type FoundFile struct {
	// IsNear says that its path leads into the property file's folder or below; one
	// elsewhere is not opened.
	IsNear bool
	// IsThere and IsSame say that it can be read and has the checksum on record.
	IsThere, IsSame bool
	// Apart is the name beside its own under which it was received, since another file
	// had its name; empty where it is not there.
	Apart string
	// Moved is where a file with its checksum is now, empty where there is none.
	Moved string
}

// What may be wrong with a file.
const (
	fileGone    = "gone, or cannot be read"
	fileAltered = "altered since it was recorded"
)

// NewFileState puts it into words.
func NewFileState(burn int64, path string, f FoundFile) FileState {
	s := FileState{Burn: burn, Path: path, State: "as it was", IsGood: f.IsNear && f.IsThere && f.IsSame}
	switch {
	case s.IsGood:
	case f.Apart != "":
		s.State, s.IsGood = "as it was, as "+f.Apart+": another file has its name", true
	case f.Moved != "":
		s.State = "moved: a file with its checksum is now " + f.Moved
	case !f.IsNear:
		s.State = "not opened: it lies outside the property file's folder"
	case !f.IsThere:
		s.State = fileGone
	case !f.IsSame:
		s.State = fileAltered
	}
	return s
}
