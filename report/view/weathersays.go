package view

import (
	"fmt"
	"slices"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
	"emberquilt/schedule/window"
)

// LoadedWeather is a record that was just loaded.
type LoadedWeather struct {
	// InUse names the station whose record counts.
	Station, InUse string
	Span           date.Span
	Hours, Years   int
}

// Words says it.
func (v *LoadedWeather) Words() string {
	text := fmt.Sprintf("loaded %s: %s, %s, %s", v.Station, v.Span, quantity.Count(v.Hours, "hour"), quantity.Count(v.Years, "year"))
	if v.InUse != v.Station {
		return fmt.Sprintf("%s; %s stays in use", text, v.InUse)
	}
	return text + "; it is in use"
}

// LoadedStation is one of the records that are loaded.
type LoadedStation struct {
	Station        string
	InUse          bool
	Files, Formats []string
	Hours          int
	Typical        bool
	Warnings       []string
}

// NewLoadedStation says of what a record was made.
func NewLoadedStation(name string, inUse bool, record *weather.Record) LoadedStation {
	v := LoadedStation{Station: name, InUse: inUse, Typical: record.Typical, Warnings: record.Warnings}
	for _, s := range record.Sources {
		v.Files, v.Hours = append(v.Files, s.File), v.Hours+s.Kept-s.Overlaps
		if !slices.Contains(v.Formats, string(s.Format)) {
			v.Formats = append(v.Formats, string(s.Format))
		}
	}
	return v
}

// StationName gives the name that a record has by itself, that of its first file
// where it has none.
func StationName(record *weather.Record, file string) string {
	for _, name := range []string{strings.TrimSpace(record.Station.Name), record.Station.ID} {
		if name != "" {
			return name
		}
	}
	return file
}

// WeatherDays are the burn days of each season over the years of the record in use.
type WeatherDays struct {
	Basis    string       `json:"basis"`
	Cautions []string     `json:"cautions"`
	Seasons  []SeasonDays `json:"seasons"`
	Warnings []string     `json:"weather_warnings"`
	// Year is the one whose calendar says which days are usable.
	Year date.ProgramYear `json:"-"`
}

// Chances say how often each hour of each week is in prescription.
type Chances struct {
	Basis    string   `json:"basis"`
	Cautions []string `json:"cautions"`
	Heats    []Heat   `json:"chance_by_week_and_hour"`
	Warnings []string `json:"weather_warnings"`
}

// LimitTables say what the limits of prescriptions cost.
type LimitTables struct {
	Cautions []string     `json:"cautions"`
	Limits   []LimitTable `json:"limits"`
}

// Warnings are those of the records, each once.
func (v *LimitTables) Warnings() []string {
	var all []string
	for i := range v.Limits {
		for _, w := range v.Limits[i].Warnings {
			if !slices.Contains(all, w) {
				all = append(all, w)
			}
		}
	}
	return all
}

// StationTables set stations side by side against prescriptions.
type StationTables struct {
	Cautions []string       `json:"cautions"`
	Stations []StationTable `json:"stations"`
}

// Warnings are those of the stations, each once and with the station's name.
func (v *StationTables) Warnings() []string {
	var all []string
	for i := range v.Stations {
		for _, r := range v.Stations[i].Rows {
			for _, w := range r.Warnings {
				if text := r.Station + ": " + w; !slices.Contains(all, text) {
					all = append(all, text)
				}
			}
		}
	}
	return all
}

// RecordLines end what rests on a weather record: its warnings and the caution.
func RecordLines(warnings []string) []string {
	var lines []string
	for _, warning := range warnings {
		lines = append(lines, "Weather record: "+warning+".")
	}
	return append(lines, window.Caution)
}
