package habitat

import (
	"fmt"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// acceptsReading words the form that ParseReading reads.
const acceptsReading = `a time and what was measured, such as "13:00 temp=58 rh=42 wind=7 from=SW"`

// ParseReading reads the weather at one moment of a burn: the local time, then
// any of temp (°F), rh (percent), wind (mph) and from (degrees or a compass
// point).
func ParseReading(text string) (Reading, error) {
	var r Reading
	refuse := func(format string, args ...any) (Reading, error) {
		return Reading{}, fmt.Errorf("%s; accepts %s", fmt.Sprintf(format, args...), acceptsReading)
	}
	words := strings.Fields(text)
	if len(words) == 0 {
		return refuse("is empty")
	}
	for i, word := range words {
		key, value, measured := strings.Cut(word, "=")
		if !measured {
			if !isClock(word) && (i != 0 || !isDay(word)) {
				return refuse("%s is not a time", source.Quote(word))
			}
			r.At = strings.TrimSpace(r.At + " " + word)
			continue
		}
		if key == "from" {
			bearing, ok := quantity.ParseDirection(value)
			if !ok {
				return refuse("%s is not a direction", source.Quote(value))
			}
			r.WindFrom = &bearing
			continue
		}
		number, err := quantity.Parse(value)
		if err != nil {
			return refuse("%s is not a number", source.Quote(value))
		}
		switch key {
		case "temp":
			v := quantity.Fahrenheit(number)
			r.Temperature = &v
		case "rh":
			v := quantity.Percent(number)
			r.Humidity = &v
		case "wind":
			v := quantity.MilesPerHour(number)
			r.Wind = &v
		default:
			return refuse("%s is nothing that is measured", source.Quote(key))
		}
	}
	if r.At == "" {
		return refuse("has no time")
	}
	return r, nil
}

// String gives the form that ParseReading reads.
func (r *Reading) String() string {
	text := r.At
	if r.Temperature != nil {
		text += fmt.Sprintf(" temp=%g", float64(*r.Temperature))
	}
	if r.Humidity != nil {
		text += fmt.Sprintf(" rh=%g", float64(*r.Humidity))
	}
	if r.Wind != nil {
		text += fmt.Sprintf(" wind=%g", float64(*r.Wind))
	}
	if r.WindFrom != nil {
		text += fmt.Sprintf(" from=%g", float64(*r.WindFrom))
	}
	return text
}

// isClock reports whether a text is a time of the day as HH:MM.
func isClock(text string) bool {
	if len(text) != 5 || text[2] != ':' {
		return false
	}
	digit := func(i int, most byte) bool { return text[i] >= '0' && text[i] <= most }
	return digit(0, '2') && digit(1, '9') && digit(3, '5') && digit(4, '9') && text[:2] < "24"
}

func isDay(text string) bool {
	var year, month, day int
	n, err := fmt.Sscanf(text, "%4d-%2d-%2d", &year, &month, &day)
	return n == 3 && err == nil && len(text) == len("2006-01-02")
}
