package view

import (
	"fmt"
	"strings"

	"emberquilt/habitat"
)

// recordFields says what a burn record holds beside its dates, acres, readings
// and files; what was not recorded is left out.
func recordFields(r *habitat.BurnRecord) []RecordField {
	var all []RecordField
	add := func(label, text string) {
		if strings.TrimSpace(text) != "" {
			all = append(all, RecordField{label, text})
		}
	}
	if r.Kind != habitat.Prescribed {
		add("kind", string(r.Kind))
	}
	add("purpose", r.Purpose)
	add("ignition", r.Ignition)
	if r.Start != "" || r.End != "" {
		add("hours", strings.Trim(r.Start+" to "+r.End, " "))
	}
	add("fuel moisture", r.FuelMoisture)
	add("soil moisture", r.SoilMoisture)
	add("crew", r.Crew)
	add("permit", r.Permit)
	var told []string
	for _, n := range r.Notified {
		told = append(told, strings.TrimSpace(n.Who+" "+n.At))
	}
	add("notified", strings.Join(told, "; "))
	if r.Consumed != nil {
		add("fuel consumed", Percent(float64(*r.Consumed)))
	}
	if r.TopKilled != nil {
		add("cover top-killed", Percent(float64(*r.TopKilled)))
	}
	add("escapes, spot-overs", r.Escapes)
	add("mop-up ended", r.MopUpEnd)
	add("notes", r.Notes)
	return all
}

func readings(r *habitat.BurnRecord) []ReadingRow {
	var all []ReadingRow
	for _, one := range r.Readings {
		row := ReadingRow{At: one.At}
		if one.Temperature != nil {
			row.TempF = limit(float64(*one.Temperature))
		}
		if one.Humidity != nil {
			row.RH = limit(float64(*one.Humidity))
		}
		if one.Wind != nil {
			row.WindMPH = limit(float64(*one.Wind))
		}
		if one.WindFrom != nil {
			row.WindFrom = fmt.Sprintf("%s (%s°)", one.WindFrom.Compass(), short(float64(*one.WindFrom)))
		}
		all = append(all, row)
	}
	return all
}

func (in *PacketInput) recordFiles(r *habitat.BurnRecord) []FileRow {
	var all []FileRow
	for _, f := range r.Files {
		all = append(all, FileRow{fmt.Sprintf("burn of %s, %s", r.Unit, r.On), f.Path, f.SHA256, in.fileState(r.ID, f.Path)})
	}
	return all
}
