package invented

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"math/rand/v2"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
)

// Settings say which weather to invent.
type Settings struct {
	// Seed decides everything that is left to chance.
	Seed uint64
	// FirstYear and Years are the calendar years of the record.
	FirstYear, Years int
	// Place and UTCOffset are where the invented station stands.
	Place     weather.Place
	UTCOffset quantity.Hours
	// Station is its name.
	Station string
}

// Demo is the demo's record: ten years at an invented station.
func Demo() Settings {
	return Settings{Seed: 20260101, FirstYear: 2016, Years: 10, Place: weather.Place{Latitude: 36.4, Longitude: -97.6}, UTCOffset: -6,
		Station: "Orrin County (invented)"}
}

// reading is one invented hour, rounded as a station would report it.
type reading struct {
	at          date.Day
	label       int
	fahrenheit  int
	humidity    int
	mph         int
	from        int // degrees; 0 with a calm
	rain        int // hundredths of an inch; −1 is a trace
	hasReadings bool
}

// sky is the weather as it drifts from hour to hour.
type sky struct {
	random *rand.Rand
	// anomaly is how much warmer than the season the air mass is, in °F, dryness
	// how far its dew point lies below the season's, gust the wind beside its
	// mean; all three forget slowly.
	anomaly, dryness, gust float64
	// spell is a dry (above 0) or wet spell of some weeks; it makes one year
	// unlike another.
	spell float64
	// hoursSinceFront counts since the last cold front, next when one comes.
	hoursSinceFront, next float64
	// storm is how many hours of rain are left, and how heavy they are.
	storm     int
	intensity float64
	cloud     float64
}

// days of the year on which the season is warmest and the dew point highest.
const (
	warmestDay = 202.0
	moistDay   = 195.0
)

// hours walks through every hour of the settings' years.
func (s Settings) hours(each func(reading) error) error {
	k := &sky{random: rand.New(rand.NewPCG(s.Seed, 0x656d626572)), next: 60}
	first, last := date.MustDay(s.FirstYear, 1, 1), date.MustDay(s.FirstYear+s.Years-1, 12, 31)
	for day := first; !day.After(last); day = day.AddDays(1) {
		sun := weather.Sun(day, s.Place, s.UTCOffset)
		for label := 1; label <= 24; label++ {
			r := k.hour(day, label, sun)
			if err := each(r); err != nil {
				return err
			}
		}
	}
	return nil
}

// hour lets one hour pass.
func (k *sky) hour(day date.Day, label int, sun weather.Daylight) reading {
	season := 2 * math.Pi * (float64(day.OfYear()) - warmestDay) / 365.25
	warm := math.Cos(season) // 1 in July, −1 in January
	k.drift(warm)

	// The day's course: coldest at sunrise, warmest three hours after noon.
	clock := float64(label) - 0.5
	warmestAt := 15.3
	course := math.Cos(2 * math.Pi * (clock - warmestAt) / 24)
	if clock > float64(sun.Rise) && clock < warmestAt {
		course = -math.Cos(math.Pi * (clock - float64(sun.Rise)) / (warmestAt - float64(sun.Rise)))
	}
	swing := (12.5 + 1.5*warm) * (1 - 0.75*k.cloud)
	mean := 59 + 22*warm
	temperature := mean + k.anomaly + swing*course

	dew := 45 + 23*math.Cos(2*math.Pi*(float64(day.OfYear())-moistDay)/365.25) + 0.55*k.anomaly - k.dryness - 4*k.spell
	if k.storm > 0 {
		temperature -= 4
		dew += 7
	}
	dew = min(dew, temperature-0.4)
	rh := float64(weather.RelativeHumidity(quantity.Fahrenheit(temperature).Celsius(), quantity.Fahrenheit(dew).Celsius()))

	speed := 9.8 - 1.4*warm + 3.9*course + k.gust + 7*math.Exp(-k.hoursSinceFront/9)
	from := k.direction()
	r := reading{at: day, label: label, fahrenheit: round(temperature), humidity: min(100, max(6, round(rh))), mph: max(0, round(speed)), from: from, hasReadings: true}
	if r.mph < 2 {
		r.mph, r.from = 0, 0
	}
	r.rain = k.rain()
	// A station is silent now and then.
	if k.random.Float64() < 0.002 {
		r.hasReadings = false
	}
	return r
}

// drift lets the air mass change: slowly by itself, at once with a front.
func (k *sky) drift(warm float64) {
	k.hoursSinceFront++
	k.anomaly += -k.anomaly/70 + 0.85*k.random.NormFloat64() + 0.09 // warming up before the next front
	k.dryness += -k.dryness/60 + 1.55*k.random.NormFloat64()
	k.spell += -k.spell/1100 + 0.042*k.random.NormFloat64() // about one on the long run
	k.gust += -k.gust/18 + 1.75*k.random.NormFloat64()
	k.cloud = min(1, max(0, k.cloud-k.cloud/60+0.004+0.055*k.random.NormFloat64()))
	if k.hoursSinceFront >= k.next {
		strength := 6 + 9*k.random.Float64() - 4*warm
		k.anomaly -= max(0, strength)
		k.dryness += 4 + 7*k.random.Float64()
		k.hoursSinceFront = 0
		k.next = 60 + 40*k.random.ExpFloat64() + 50*max(0, warm)
		if k.random.Float64() < 0.55*math.Exp(-0.4*k.spell) {
			k.storm = 2 + k.random.IntN(8)
			k.intensity = 2 + 5*k.random.ExpFloat64()
			k.cloud = 0.9
		}
	}
	// Storms of spring and summer come between fronts too.
	if k.storm == 0 && k.random.Float64() < 0.0022*(1+1.4*warm)*math.Exp(-0.5*k.spell) {
		k.storm = 1 + k.random.IntN(3)
		k.intensity = 8 + 16*k.random.ExpFloat64()
		k.cloud = 0.7
	}
}

// direction gives from where the wind blows: north after a front, veering by
// east back to the south of the plains.
func (k *sky) direction() int {
	mean := 350.0
	if k.hoursSinceFront > 14 {
		mean = 350 + 180*(1-math.Exp(-(k.hoursSinceFront-14)/22)) // 350 → 530, that is 170
	}
	degrees := quantity.NewBearing(mean + 24*k.random.NormFloat64())
	tens := round(float64(degrees)/10) * 10
	if tens == 0 {
		tens = 360
	}
	return tens
}

// rain gives the hour's depth in hundredths of an inch, −1 for a trace.
func (k *sky) rain() int {
	if k.storm == 0 {
		return 0
	}
	k.storm--
	depth := round(k.intensity * k.random.ExpFloat64())
	if depth == 0 {
		return -1
	}
	return depth
}

func round(v float64) int { return int(math.Floor(v + 0.5)) }

// Write prints the record as plain CSV that weather.Read reads back.
func Write(w io.Writer, s Settings) error {
	out := bufio.NewWriterSize(w, 64<<10)
	fmt.Fprintf(out, "# INVENTED weather: made by a generator from seed %d, measured by nobody, for demonstration only\n", s.Seed)
	fmt.Fprintf(out, "# station: %s\n# utc_offset: %g\n# latitude: %g\n# longitude: %g\n", s.Station, float64(s.UTCOffset), s.Place.Latitude, s.Place.Longitude)
	fmt.Fprintln(out, "# time is local standard time, hour ending; rain_in T is a trace")
	fmt.Fprintln(out, "time,temp_f,rh_pct,wind_mph,wind_from_deg,rain_in")
	err := s.hours(func(r reading) error {
		rain := fmt.Sprintf("%d.%02d", max(r.rain, 0)/100, max(r.rain, 0)%100)
		if r.rain < 0 {
			rain = "T"
		}
		if !r.hasReadings {
			_, err := fmt.Fprintf(out, "%s %02d:00,,,,,\n", r.at, r.label)
			return err
		}
		_, err := fmt.Fprintf(out, "%s %02d:00,%d,%d,%d,%d,%s\n", r.at, r.label, r.fahrenheit, r.humidity, r.mph, r.from, rain)
		return err
	})
	if err != nil {
		return err
	}
	return out.Flush()
}

// Record gives the record without a file, as reading what Write prints would.
func Record(s Settings) *weather.Record {
	r := &weather.Record{Station: weather.Station{Name: s.Station, Place: &s.Place, UTCOffset: &s.UTCOffset},
		Hours: make([]weather.Hour, 0, s.Years*8784)}
	r.Warnings = append(r.Warnings, fmt.Sprintf("this weather is invented (seed %d): nobody measured it", s.Seed))
	err := s.hours(func(in reading) error {
		h := weather.Hour{At: weather.StampOf(in.at, in.label)}
		if in.hasReadings {
			h.SetTemperature(quantity.Fahrenheit(in.fahrenheit))
			h.SetHumidity(quantity.Percent(in.humidity))
			h.SetWind(quantity.MilesPerHour(in.mph))
			h.SetWindFrom(quantity.NewBearing(float64(in.from)))
			if in.rain < 0 {
				h.SetTrace()
			} else {
				h.SetRain(quantity.Inches(float64(in.rain) / 100))
			}
		}
		r.Hours = append(r.Hours, h)
		return nil
	})
	if err != nil {
		panic("invented: " + err.Error()) // the callback gives none
	}
	return r
}
