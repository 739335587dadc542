package weather

import (
	"bytes"

	"emberquilt/habitat/pattern"
)

// Format is a kind of weather file.
type Format string

// The formats that are recognized, as they are named in messages.
const (
	Unknown           Format = ""
	EPW               Format = "EPW"
	TMY3              Format = "TMY3"
	TMY2              Format = "TMY2"
	ISDLite           Format = "ISD-Lite"
	ISD               Format = "ISD"
	GlobalHourly      Format = "ISD global-hourly CSV"
	LCD1              Format = "LCD version 1"
	LCD2              Format = "LCD version 2"
	Plain             Format = "plain CSV"
	ForecastHourly    Format = "hourly forecast JSON"
	ForecastGridpoint Format = "gridpoint forecast JSON"
)

// Formats says in one line what is accepted.
const Formats = "EPW, TMY3, TMY2, ISD-Lite, ISD (fixed width or global-hourly CSV), LCD version 1 or 2, " +
	"plain CSV with a column time, or a forecast document; plain, gzip or zip"

var (
	isISDLite = pattern.Lazy(`^\d{4} \d\d \d\d \d\d +-?\d+ +-?\d+ +-?\d+ `)
	isISD     = pattern.Lazy(`^\d{4}[0-9A-Z]{6}\d{5}\d{12}.[+-]\d{5}[+-]\d{6}.{5}[+-]\d{4}`)
	isTMY2    = pattern.Lazy(`^ ?\d{5} .{22} ?[A-Z]{2} +-?\d+ +[NS] +\d+ +\d+ +[EW] +\d+ +\d+ +-?\d+`)
)

// Recognize says of which format the beginning of an unpacked file is: by its
// content, never by a name. columns is the user's own mapping for plain CSV, or
// nil.
func Recognize(start []byte, columns *Columns) Format {
	start = bytes.TrimPrefix(start, []byte("\xef\xbb\xbf"))
	if trimmed := bytes.TrimLeft(start, " \t\r\n"); bytes.HasPrefix(trimmed, []byte("{")) {
		switch {
		case bytes.Contains(trimmed, []byte(`"periods"`)):
			return ForecastHourly
		case bytes.Contains(trimmed, []byte(`"validTimes"`)) || bytes.Contains(trimmed, []byte(`"gridId"`)):
			return ForecastGridpoint
		}
		return Unknown
	}
	first, rest, _ := bytes.Cut(start, []byte("\n"))
	first = bytes.TrimRight(first, "\r")
	second, _, _ := bytes.Cut(rest, []byte("\n"))
	lower := bytes.ToLower(first)
	has := func(name string) bool { return bytes.Contains(lower, []byte(name)) }
	switch {
	case bytes.HasPrefix(lower, []byte("location,")):
		return EPW
	case bytes.HasPrefix(bytes.ToLower(second), []byte("date (mm/dd/yyyy),")):
		return TMY3
	case isISDLite().Match(first):
		return ISDLite
	case isISD().Match(first):
		return ISD
	case isTMY2().Match(first):
		return TMY2
	case has("hourlydrybulbtempf"):
		return LCD1
	case has("hourlydrybulbtemperature"):
		return LCD2
	case has("date") && has("report_type") && has("wnd") && has("tmp") && has("dew"):
		return GlobalHourly
	case plainHeader(start, columns):
		return Plain
	}
	return Unknown
}
