package window

import (
	"time"

	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
)

// Reading is the weather of one moment, as someone on the ground reads it.
type Reading struct {
	Temperature quantity.Fahrenheit
	Humidity    quantity.Percent
	// Wind is at the height at which the prescription states its wind.
	Wind quantity.MilesPerHour
	From quantity.Bearing
	// Gust is the highest gust, at the height of the wind; nil where it is not said.
	Gust *quantity.MilesPerHour
	// At is the moment, in the zone of the options.
	At time.Time
}

// CheckReading reads the weather of one moment against a prescription. Rain and
// the days since it are not part of a reading, and are not compared; since is nil
// where the days are not known. place is for daylight_only and may be nil. The
// error is that of Evaluate.
func CheckReading(r Reading, p *prescription.Prescription, o Options, standard quantity.Hours, place *weather.Place, since *Since) (*HourCheck, error) {
	k := kernel{p: p}
	if err := k.windScale(o.WindAdjustment); err != nil {
		return nil, err
	}
	local := r.At.UTC().Add(time.Duration(float64(standard) * float64(time.Hour)))
	day := weather.Stamp(local.Unix() / 3600)
	h := weather.ForecastHour{Hour: weather.Hour{At: day}, StartsAt: r.At}
	h.SetTemperature(r.Temperature)
	h.SetHumidity(r.Humidity)
	h.SetWind(quantity.MilesPerHour(float64(r.Wind) * k.ratio / k.share))
	h.SetWindFrom(r.From)
	if r.Gust != nil {
		h.SetGust(quantity.MilesPerHour(float64(*r.Gust) * k.ratio / k.share))
	}
	h.WindLow, _ = h.Wind()
	f := &weather.Forecast{UTCOffset: standard, Hours: []weather.ForecastHour{h}}
	c, err := CheckForecast(f, p, o, place, since)
	if err != nil {
		return nil, err
	}
	return &c.Hours[0], nil
}
