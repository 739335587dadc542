package weather

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

// Forecast is what a public forecast document says of the next days. It is no
// record: nobody has measured it.
type Forecast struct {
	File   string
	Format Format
	// IssuedAt is when the document says it was made, in UTC; the zero time
	// where it does not say.
	IssuedAt time.Time
	// Place is the middle of the ground that the document speaks of; nil where it
	// does not say.
	Place *Place
	// UTCOffset is the offset of local standard time that was used.
	UTCOffset quantity.Hours
	// Hours are in order of time.
	Hours []ForecastHour
	// HasRain says that the document holds depths of rain; the hourly document
	// holds a chance of rain only.
	HasRain bool
	// Notes says in plain words how the document was read.
	Notes []string
}

// ForecastHour is one hour of a forecast. Its Hour is in local standard time;
// its wind is the highest of the hour.
type ForecastHour struct {
	Hour
	// StartsAt is the beginning of the hour on the clock that the document uses,
	// daylight saving included.
	StartsAt time.Time
	// WindLow is the lowest wind where the document gives a range, as in "5 to
	// 10 mph", and the wind itself otherwise.
	WindLow quantity.MilesPerHour
	// RainChance is the chance of rain; HasRainChance is false where the
	// document gives none.
	RainChance    quantity.Percent
	HasRainChance bool
}

// maxForecast is the largest forecast document that is read; the public ones
// have some 150 kB.
const maxForecast = 32 << 20

// ReadForecast reads an hourly or a gridpoint forecast document. Its times name
// their own offset, daylight saving included; options.UTCOffset brings them to
// local standard time, in which prescriptions and records are kept. Without it
// an hourly document's own offset is taken, the lower one where it has two, and Notes
// says so; a gridpoint document, whose times are UTC, is refused.
func ReadForecast(ctx context.Context, f File, options Options) (*Forecast, error) {
	if err := options.validate(); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	data, err := io.ReadAll(io.LimitReader(f.Content, maxForecast+1))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", f.Name, err)
	}
	at := source.Position{File: f.Name}
	if len(data) > maxForecast {
		return nil, &source.Error{Position: at, Found: "is larger than 32 MB", Accepts: "a forecast document"}
	}
	data, err = source.Text(f.Name, data, "a forecast document in JSON")
	if err != nil {
		return nil, err
	}
	doc := &forecastReader{lines: jsonscan.Lines{Data: data}, options: options, f: &Forecast{File: f.Name, Format: Recognize(data, nil)}}
	if doc.f.Format != ForecastHourly && doc.f.Format != ForecastGridpoint {
		return nil, &source.Error{Position: at, Found: "is not a forecast document that is known here",
			Accepts: "the public hourly or gridpoint forecast, in JSON"}
	}
	root, err := jsonscan.Check(data)
	if err != nil {
		return nil, doc.syntax(err)
	}
	doc.f.Place = placeOfGeometry(root.Find("geometry").Find("coordinates").Raw)
	properties := root.Find("properties")
	if doc.f.Format == ForecastHourly {
		err = doc.hourly(properties)
	} else {
		err = doc.gridpoint(properties)
	}
	if err != nil {
		return nil, err
	}
	if err := doc.list.Err(); err != nil {
		return nil, err
	}
	if len(doc.f.Hours) == 0 {
		return nil, &source.Error{Position: at, Found: "holds no hour", Accepts: "a forecast of some hours"}
	}
	slices.SortStableFunc(doc.f.Hours, func(a, b ForecastHour) int { return int(a.At) - int(b.At) })
	doc.f.Hours = slices.CompactFunc(doc.f.Hours, func(a, b ForecastHour) bool { return a.At == b.At })
	return doc.f, nil
}

// placeOfGeometry gives the middle of coordinates in the form of GeoJSON: a point, or
// rings of them; nil for anything else.
func placeOfGeometry(raw []byte) *Place {
	var point []float64
	if json.Unmarshal(raw, &point) == nil && len(point) >= 2 {
		return &Place{Latitude: point[1], Longitude: point[0]}
	}
	var rings [][][]float64
	if json.Unmarshal(raw, &rings) != nil || len(rings) == 0 {
		return nil
	}
	lo, hi := Place{math.Inf(1), math.Inf(1)}, Place{math.Inf(-1), math.Inf(-1)}
	for _, p := range rings[0] {
		if len(p) < 2 {
			return nil
		}
		lo.Latitude, lo.Longitude = min(lo.Latitude, p[1]), min(lo.Longitude, p[0])
		hi.Latitude, hi.Longitude = max(hi.Latitude, p[1]), max(hi.Longitude, p[0])
	}
	if len(rings[0]) == 0 {
		return nil
	}
	return &Place{Latitude: (lo.Latitude + hi.Latitude) / 2, Longitude: (lo.Longitude + hi.Longitude) / 2}
}

// forecastReader reads one document.
type forecastReader struct {
	lines   jsonscan.Lines
	options Options
	f       *Forecast
	list    source.List
	offset  int // minutes of local standard time
	hasOff  bool
}

func (r *forecastReader) complain(line int, field, accepts, format string, args ...any) {
	r.list.Addf(source.Position{File: r.f.File, Line: line, Field: field}, accepts, format, args...)
}

// syntax is the error of a text that is not JSON.
func (r *forecastReader) syntax(err error) error {
	var bad *jsonscan.SyntaxError
	if !errors.As(err, &bad) {
		return err
	}
	return &source.Error{Position: source.Position{File: r.f.File, Line: r.lines.At(bad.Offset)}, Found: "is not JSON: " + bad.Found, Accepts: "a forecast document"}
}

// take reads a part of the document into a value. The error is that of a part
// that has not this shape.
func (r *forecastReader) take(part jsonscan.Part, field string, to any) error {
	err := json.Unmarshal(part.Raw, to)
	var shape *json.UnmarshalTypeError
	if !errors.As(err, &shape) {
		return err
	}
	at := source.Position{File: r.f.File, Line: r.lines.At(part.Offset + int(shape.Offset)), Field: field}
	if shape.Field != "" {
		at.Field += "." + shape.Field
	}
	return &source.Error{Position: at, Found: "holds " + shape.Value + " where something else belongs", Accepts: "a forecast document"}
}

// standard sets the offset of local standard time, from the options or else
// from a time of the document.
func (r *forecastReader) standard(m moment) {
	if r.hasOff {
		return
	}
	r.hasOff = true
	if o := r.options.UTCOffset; o != nil {
		r.offset = int(math.Round(float64(*o) * 60))
		if m.offset == r.offset+60 {
			r.f.Notes = append(r.f.Notes, "the document's clock is on daylight saving time; its hours were brought to standard time, one earlier")
		}
	} else {
		r.offset = m.offset
		r.f.Notes = append(r.f.Notes, fmt.Sprintf("no UTC offset was given: the document's own, %s hours, is taken as standard time; where daylight saving is in force every hour is then one too late",
			formatFloat(float64(m.offset)/60)))
	}
	r.f.UTCOffset = quantity.Hours(float64(r.offset) / 60)
}

// hour makes the hour that begins at a moment.
func (r *forecastReader) hour(m moment) ForecastHour {
	var h ForecastHour
	utc := m.minutes - m.offset
	h.At = stampAt(utc + r.offset + 60)
	h.StartsAt = time.Unix(int64(utc)*60, 0).In(time.FixedZone("", m.offset*60))
	return h
}

// issued notes when the document was made.
func (r *forecastReader) issued(text string) {
	if m, ok := when([]byte(text)); ok && m.zoned {
		r.f.IssuedAt = time.Unix(int64(m.minutes-m.offset)*60, 0).UTC()
	}
}

// quantityJSON is a value with its unit, as these documents write it.
type quantityJSON struct {
	UnitCode string   `json:"unitCode"`
	Value    *float64 `json:"value"`
}

// period is one hour of the hourly document.
type period struct {
	StartTime        string          `json:"startTime"`
	EndTime          string          `json:"endTime"`
	Temperature      json.RawMessage `json:"temperature"`
	TemperatureUnit  string          `json:"temperatureUnit"`
	RelativeHumidity *quantityJSON   `json:"relativeHumidity"`
	Dewpoint         *quantityJSON   `json:"dewpoint"`
	WindSpeed        string          `json:"windSpeed"`
	WindDirection    string          `json:"windDirection"`
	RainChance       *quantityJSON   `json:"probabilityOfPrecipitation"`
}

// hourly reads properties.periods.
func (r *forecastReader) hourly(properties jsonscan.Part) error {
	r.issued(cmpOr(properties.Find("updateTime").Text(), properties.Find("generatedAt").Text()))
	periods := properties.Find("periods")
	if !periods.IsList() {
		return &source.Error{Position: source.Position{File: r.f.File, Field: "properties.periods"}, Found: "is not there", Accepts: "a forecast document"}
	}
	if r.options.UTCOffset == nil {
		r.lowerOffset(periods)
	}
	i := 0
	for part := range periods.Items() {
		var p period
		field := fmt.Sprintf("properties.periods[%d]", i)
		if err := r.take(part, field, &p); err != nil {
			return err
		}
		r.period(p, r.lines.At(part.Offset), field)
		i++
	}
	r.f.Notes = append(r.f.Notes, "wind is taken as that at 10 m; the document holds a chance of rain, no depths and no days since rain, no gusts, mixing height or transport wind")
	return nil
}

// lowerOffset takes the lower of the two offsets that a document has which runs over the
// change of the clocks: the one of standard time.
func (r *forecastReader) lowerOffset(periods jsonscan.Part) {
	lowest, highest := math.MaxInt, math.MinInt
	for part := range periods.Items() {
		if m, ok := when([]byte(part.Find("startTime").Text())); ok && m.zoned {
			lowest, highest = min(lowest, m.offset), max(highest, m.offset)
		}
	}
	if lowest >= highest {
		return
	}
	r.hasOff, r.offset, r.f.UTCOffset = true, lowest, quantity.Hours(float64(lowest)/60)
	r.f.Notes = append(r.f.Notes, fmt.Sprintf("no UTC offset was given: the lower of the document's two, %s hours, is taken as standard time",
		formatFloat(float64(lowest)/60)))
}

func (r *forecastReader) period(p period, line int, field string) {
	begin, ok := when([]byte(p.StartTime))
	end, endOK := when([]byte(p.EndTime))
	if !ok || !begin.zoned {
		r.complain(line, field+".startTime", "a time with its offset, such as 2024-02-23T13:00:00-06:00", "%s is not a time", source.Quote(p.StartTime))
		return
	}
	if endOK && (end.minutes-end.offset)-(begin.minutes-begin.offset) != 60 {
		r.complain(line, field, "the hourly document, with one period an hour", "lasts from %s to %s", p.StartTime, p.EndTime)
		return
	}
	r.standard(begin)
	h := r.hour(begin)
	if len(p.Temperature) > 0 && string(p.Temperature) != "null" {
		if t, ok := r.temperatureOf(p, line, field+".temperature"); ok {
			h.SetTemperature(t)
		}
	}
	switch {
	case p.RelativeHumidity != nil && p.RelativeHumidity.Value != nil:
		if v := *p.RelativeHumidity.Value; r.inRange(line, field+".relativeHumidity", v, 0, 100) {
			h.SetHumidity(quantity.Percent(v))
		}
	case p.Dewpoint != nil && p.Dewpoint.Value != nil:
		if t, ok := h.Temperature(); ok && strings.HasSuffix(p.Dewpoint.UnitCode, "degC") && r.inRange(line, field+".dewpoint", *p.Dewpoint.Value, -95, 62) {
			h.SetHumidity(RelativeHumidity(t.Celsius(), quantity.Celsius(*p.Dewpoint.Value)))
		}
	}
	if p.WindSpeed != "" {
		if low, high, ok := windRange(p.WindSpeed); ok {
			h.SetWind(high)
			h.WindLow = low
		} else {
			r.complain(line, field+".windSpeed", `a speed such as "10 mph" or "5 to 10 mph"`, "%s is not a speed", source.Quote(p.WindSpeed))
		}
	}
	if p.WindDirection != "" {
		if from, ok := quantity.ParseCompass(p.WindDirection); ok {
			h.SetWindFrom(from)
		} else {
			r.complain(line, field+".windDirection", "one of the sixteen compass points", "%s is not a direction", source.Quote(p.WindDirection))
		}
	}
	if p.RainChance != nil && p.RainChance.Value != nil && r.inRange(line, field+".probabilityOfPrecipitation", *p.RainChance.Value, 0, 100) {
		h.RainChance, h.HasRainChance = quantity.Percent(*p.RainChance.Value), true
	}
	r.f.Hours = append(r.f.Hours, h)
}

// temperatureOf reads a temperature that is a number with a unit beside it, or
// an object with a unit in it.
func (r *forecastReader) temperatureOf(p period, line int, field string) (quantity.Fahrenheit, bool) {
	v, isNumber := number(p.Temperature)
	unit := p.TemperatureUnit
	if !isNumber {
		var q quantityJSON
		if err := json.Unmarshal(p.Temperature, &q); err != nil || q.Value == nil {
			r.complain(line, field, "a number", "%s is not a temperature", source.Quote(string(p.Temperature)))
			return 0, false
		}
		v, unit = *q.Value, strings.TrimPrefix(q.UnitCode[strings.LastIndexByte(q.UnitCode, ':')+1:], "deg")
	}
	var t quantity.Fahrenheit
	switch unit {
	case "F":
		t = quantity.Fahrenheit(v)
	case "C":
		t = quantity.Celsius(v).Fahrenheit()
	default:
		r.complain(line, field+"Unit", "F or C", "%s is not a unit of temperature", source.Quote(unit))
		return 0, false
	}
	return t, r.inRange(line, field, float64(t), float64(coldest.Fahrenheit()), float64(hottest.Fahrenheit()))
}

func (r *forecastReader) inRange(line int, field string, v, lo, hi float64) bool {
	if v >= lo && v <= hi {
		return true
	}
	r.complain(line, field, formatFloat(lo)+" to "+formatFloat(hi), "%s is outside that", formatFloat(v))
	return false
}

// windRange reads "10 mph", "5 to 10 mph" or the same in km/h.
func windRange(text string) (low, high quantity.MilesPerHour, ok bool) {
	words := strings.Fields(text)
	if len(words) < 2 {
		return 0, 0, false
	}
	unit := words[len(words)-1]
	if unit != "mph" && unit != "km/h" {
		return 0, 0, false
	}
	var ends []quantity.MilesPerHour
	for i, word := range words[:len(words)-1] {
		if i == 1 {
			if word != "to" {
				return 0, 0, false
			}
			continue
		}
		v, isNumber := number([]byte(word))
		if !isNumber || v < 0 || v > 250 {
			return 0, 0, false
		}
		speed := quantity.MilesPerHour(v)
		if unit == "km/h" {
			speed = quantity.MilesPerHourFromKilometersPerHour(v)
		}
		ends = append(ends, speed)
	}
	switch len(words) {
	case 2:
		return ends[0], ends[0], true
	case 4:
		return min(ends[0], ends[1]), max(ends[0], ends[1]), true
	}
	return 0, 0, false
}
