package weather

import (
	"encoding/json"
	"fmt"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

// layer is one quantity of a gridpoint document.
type layer struct {
	UOM    string            `json:"uom"`
	Values []json.RawMessage `json:"values"`
}

// run is some hours of a layer with one value.
type run struct {
	ValidTime string   `json:"validTime"`
	Value     *float64 `json:"value"`
}

// longestRun bounds a run of hours, so that a made-up duration cannot fill the
// memory; public documents reach eight days ahead.
const longestRun = 31 * 24

// gridLayers are the layers that are read, the units they may have, and how a
// value enters an hour.
var gridLayers = []struct {
	name  string
	units string
	set   func(r *forecastReader, h *ForecastHour, v float64, unit string, hours int, line int, field string)
}{
	{"temperature", "degC degF", func(r *forecastReader, h *ForecastHour, v float64, unit string, _, line int, field string) {
		t := quantity.Fahrenheit(v)
		if unit == "degC" {
			t = quantity.Celsius(v).Fahrenheit()
		}
		if r.inRange(line, field, float64(t), float64(coldest.Fahrenheit()), float64(hottest.Fahrenheit())) {
			h.SetTemperature(t)
		}
	}},
	{"relativeHumidity", "percent", func(r *forecastReader, h *ForecastHour, v float64, _ string, _, line int, field string) {
		if r.inRange(line, field, v, 0, 100) {
			h.SetHumidity(quantity.Percent(v))
		}
	}},
	{"windSpeed", "km_h-1 m_s-1", func(r *forecastReader, h *ForecastHour, v float64, unit string, _, line int, field string) {
		if speed, ok := r.speed(v, unit, line, field); ok {
			h.SetWind(speed)
			h.WindLow = speed
		}
	}},
	{"windDirection", "degree_(angle)", func(r *forecastReader, h *ForecastHour, v float64, _ string, _, line int, field string) {
		if r.inRange(line, field, v, 0, 360) {
			h.SetWindFrom(quantity.NewBearing(v))
		}
	}},
	{"probabilityOfPrecipitation", "percent", func(r *forecastReader, h *ForecastHour, v float64, _ string, _, line int, field string) {
		if r.inRange(line, field, v, 0, 100) {
			h.RainChance, h.HasRainChance = quantity.Percent(v), true
		}
	}},
	{"quantitativePrecipitation", "mm", func(r *forecastReader, h *ForecastHour, v float64, _ string, hours, line int, field string) {
		if r.inRange(line, field, v, 0, float64(deepest)) {
			// A total over the run: an even share of it in each hour, all of them
			// wet where it is above zero.
			h.SetRain(quantity.Millimeters(v / float64(hours)).Inches())
			r.f.HasRain = true
		}
	}},
	{"mixingHeight", "m ft", func(r *forecastReader, h *ForecastHour, v float64, unit string, _, line int, field string) {
		if r.inRange(line, field, v, 0, 100000) {
			height := quantity.Feet(v)
			if unit == "m" {
				height = quantity.FeetFromMeters(v)
			}
			h.SetMixingHeight(height)
		}
	}},
	{"transportWindSpeed", "km_h-1 m_s-1", func(r *forecastReader, h *ForecastHour, v float64, unit string, _, line int, field string) {
		if speed, ok := r.speed(v, unit, line, field); ok {
			h.SetTransportWind(speed)
		}
	}},
	{"transportWindDirection", "degree_(angle)", func(r *forecastReader, h *ForecastHour, v float64, _ string, _, line int, field string) {
		if r.inRange(line, field, v, 0, 360) {
			h.SetTransportFrom(quantity.NewBearing(v))
		}
	}},
	{"windGust", "km_h-1 m_s-1", func(r *forecastReader, h *ForecastHour, v float64, unit string, _, line int, field string) {
		if speed, ok := r.speed(v, unit, line, field); ok {
			h.SetGust(speed)
		}
	}},
}

func (r *forecastReader) speed(v float64, unit string, line int, field string) (quantity.MilesPerHour, bool) {
	if !r.inRange(line, field, v, 0, 420) {
		return 0, false
	}
	if unit == "m_s-1" {
		return quantity.MetersPerSecond(v).MilesPerHour(), true
	}
	return quantity.MilesPerHourFromKilometersPerHour(v), true
}

// gridpoint reads the layers under properties and lays them over one another,
// hour by hour from the first to the last that the temperature covers.
func (r *forecastReader) gridpoint(properties jsonscan.Part) error {
	r.issued(properties.Find("updateTime").Text())
	if r.options.UTCOffset == nil {
		return &source.Error{Position: source.Position{File: r.f.File, Field: "UTC offset"},
			Found:   "the times of a gridpoint forecast are UTC and the place's offset is not given",
			Accepts: "the offset of local standard time in hours, such as --utc-offset -6 for US central standard time"}
	}
	at := make(map[Stamp]int) // index into Hours
	for i, known := range gridLayers {
		part := properties.Find(known.name)
		field := "properties." + known.name
		if part.IsNull() {
			if i == 0 {
				return &source.Error{Position: source.Position{File: r.f.File, Field: field}, Found: "is not there", Accepts: "a forecast document"}
			}
			continue
		}
		var l layer
		if err := r.take(part, field, &l); err != nil {
			return err
		}
		if len(l.Values) == 0 {
			continue
		}
		unit := l.UOM[strings.LastIndexByte(l.UOM, ':')+1:]
		if !strings.Contains(" "+known.units+" ", " "+unit+" ") {
			r.complain(r.lines.At(part.Offset), field+".uom", strings.ReplaceAll(known.units, " ", " or "), "%s is another unit", source.Quote(l.UOM))
			continue
		}
		k := -1
		for value := range part.Find("values").Items() {
			k++
			where := fmt.Sprintf("%s.values[%d]", field, k)
			line := r.lines.At(value.Offset)
			var v run
			if err := r.take(value, where, &v); err != nil {
				return err
			}
			if v.Value == nil {
				continue
			}
			begin, hours, ok := interval(v.ValidTime)
			if !ok {
				r.complain(line, where+".validTime", "a time and a duration such as 2024-02-23T19:00:00+00:00/PT2H", "%s is not an interval", source.Quote(v.ValidTime))
				continue
			}
			r.standard(begin)
			for n := range hours {
				hour := begin
				hour.minutes += 60 * n
				h := r.hour(hour)
				index, seen := at[h.At]
				if !seen {
					if i > 0 {
						continue // beyond the temperature
					}
					index = len(r.f.Hours)
					at[h.At] = index
					r.f.Hours = append(r.f.Hours, h)
				}
				known.set(r, &r.f.Hours[index], *v.Value, unit, hours, line, where)
			}
		}
	}
	note := "wind is taken as that at 10 m; the document holds no days since rain"
	if !r.f.HasRain {
		note += " and no depths of rain"
	}
	r.f.Notes = append(r.f.Notes, note)
	return nil
}

// interval reads a beginning and a duration of whole hours: P2DT18H, PT1H, P1D.
func interval(text string) (begin moment, hours int, ok bool) {
	first, duration, found := strings.Cut(text, "/")
	begin, ok = when([]byte(first))
	if !found || !ok || !begin.zoned || !strings.HasPrefix(duration, "P") {
		return begin, 0, false
	}
	p := digits{text: []byte(duration[1:])}
	inTime, any := false, false
	for p.peek() != 0 {
		if !inTime && p.peek() == 'T' {
			p.mark()
			inTime = true
			continue
		}
		n, width := p.take(4)
		if width == 0 {
			return begin, 0, false
		}
		switch mark := p.mark(); {
		case mark == 'D' && !inTime:
			hours += 24 * n
		case mark == 'H' && inTime:
			hours += n
		default:
			return begin, 0, false
		}
		any = true
	}
	return begin, hours, any && hours >= 1 && hours <= longestRun
}
