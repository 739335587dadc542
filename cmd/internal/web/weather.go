package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"strings"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/weather"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// weatherScreen registers what the screen of weather and prescriptions asks.
func (s *Server) weatherScreen(mux *http.ServeMux) {
	s.reads(mux, "weather", (*property).weather)
	sends(s, mux, "weather", loadWeather)
	sends(s, mux, "prescriptions", loadPrescriptions)
	sends(s, mux, "forecast", checkForecast)
	writes(s, mux, "weather/use", useStation)
	writes(s, mux, "prescriptions/starters", loadStarters)
	writes(s, mux, "now", readNow)
}

// sentFiles are the files of a form below a folder of their own, and the form's wish.
type sentFiles struct {
	folder string
	names  []string
	wish   json.RawMessage
}

// open opens them all; the caller closes what it gets.
func (f *sentFiles) open() (all []weather.File, end func(), err error) {
	var files []*os.File
	end = func() {
		for _, file := range files {
			file.Close()
		}
	}
	for _, name := range f.names {
		file, err := os.Open(filepath.Join(f.folder, name))
		if err != nil {
			end()
			return nil, nil, err
		}
		files = append(files, file)
		all = append(all, weather.File{Name: name, Content: file})
	}
	return all, end, nil
}

// sends registers a change that comes with files: W is what the form says beside them.
func sends[W any](s *Server, mux *http.ServeMux, name string, do func(ctx context.Context, s *app.Session, in W, files *sentFiles) (any, error)) {
	mux.HandleFunc("POST /api/p/{id}/"+name, s.within(func(p *property, w http.ResponseWriter, r *http.Request) {
		folder, err := app.TemporaryFolder()
		if err != nil {
			writeFault(w, err)
			return
		}
		defer os.RemoveAll(folder)
		files := &sentFiles{folder: folder}
		var in W
		if files.wish, files.names, err = receive(r, folder); err == nil && len(files.wish) > 0 {
			err = strictly(files.wish, &in)
		}
		var answer any
		if err == nil {
			ctx := context.WithoutCancel(r.Context())
			err = p.change(ctx, func(session *app.Session) (err error) {
				answer, err = do(ctx, session, in, files)
				return err
			})
		}
		if err != nil {
			writeFault(w, withoutFolder(err, folder))
			return
		}
		writeJSON(w, http.StatusOK, answer)
	}))
}

// weather says what the record in use and the prescriptions come to.
func (p *property) weather(ctx context.Context, s *app.Session, _ question) (any, error) {
	all, err := s.LoadedStations()
	if err != nil {
		return nil, err
	}
	stations, err := compactSheet(table.LoadedStations(all))
	if err != nil {
		return nil, err
	}
	odd := map[string][]string{}
	for _, one := range all {
		odd[one.Station] = one.Warnings
	}
	loaded, err := s.LoadedPrescriptions()
	if err != nil {
		return nil, err
	}
	prescriptions := [][]string{}
	for _, one := range loaded {
		prescriptions = append(prescriptions, view.PrescriptionLines(one))
	}
	answer := map[string]any{"stations": stations, "odd": odd, "prescriptions": prescriptions, "cautions": view.Cautions()}
	days, err := s.WeatherDays(ctx, 0)
	if err != nil {
		if answer["missing"], err = advice(err); err != nil {
			return nil, err
		}
		return answer, nil
	}
	levels, err := compactSheet(table.SeasonLevels(days.Seasons))
	if err != nil {
		return nil, err
	}
	answer["days"] = map[string]any{"basis": days.Basis, "year": days.Year, "levels": levels, "warnings": append([]string{}, days.Warnings...)}
	return answer, nil
}

// stationWish names a station.
type stationWish struct {
	Station string `json:"station"`
}

func loadWeather(ctx context.Context, s *app.Session, in stationWish, sent *sentFiles) (any, error) {
	if len(sent.names) == 0 {
		return nil, &badRequestError{"no file came with it"}
	}
	files, end, err := sent.open()
	if err != nil {
		return nil, err
	}
	defer end()
	record, err := weather.Read(ctx, files, s.WeatherOptions())
	if err != nil {
		return nil, err
	}
	name := strings.TrimSpace(in.Station)
	if name == "" {
		name = view.StationName(record, sent.names[0])
	}
	done, err := s.LoadWeather(ctx, name, record)
	if err != nil {
		return nil, err
	}
	words := []string{done.Words()}
	for _, one := range record.Sources {
		words = append(words, one.Notes...)
	}
	return map[string]any{"words": append(words, record.Warnings...)}, nil
}

func useStation(ctx context.Context, s *app.Session, in stationWish, _ *http.Request) (any, error) {
	return map[string]string{"station": in.Station}, s.UseStation(ctx, in.Station)
}

func loadStarters(ctx context.Context, s *app.Session, _ struct{}, _ *http.Request) (any, error) {
	return named(prescription.Starters(), func(all []*prescription.Prescription) error { return s.LoadPrescriptions(ctx, all) })
}

func loadPrescriptions(ctx context.Context, s *app.Session, _ struct{}, sent *sentFiles) (any, error) {
	var all []*prescription.Prescription
	files, end, err := sent.open()
	if err != nil {
		return nil, err
	}
	defer end()
	for _, file := range files {
		one, err := app.ReadPrescription(file.Name, file.Content)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	if len(all) == 0 {
		return nil, &badRequestError{"no file came with it"}
	}
	return named(all, func(all []*prescription.Prescription) error { return s.LoadPrescriptions(ctx, all) })
}

func named(all []*prescription.Prescription, do func([]*prescription.Prescription) error) (any, error) {
	names := make([]string, len(all))
	for i, one := range all {
		names[i] = one.Name
	}
	return map[string]any{"words": []string{"loaded " + strings.Join(names, "; ")}}, do(all)
}

// forecastWish says what a forecast is held against.
type forecastWish struct {
	Unit      string `json:"unit"`
	Season    string `json:"season"`
	DryDays   string `json:"dry_days"`
	Elsewhere bool   `json:"elsewhere"`
	AnyAge    bool   `json:"any_age"`
}

func checkForecast(ctx context.Context, s *app.Session, in forecastWish, sent *sentFiles) (any, error) {
	files, end, err := sent.open()
	if err != nil {
		return nil, err
	}
	defer end()
	if len(files) != 1 {
		return nil, &badRequestError{"a forecast is one document"}
	}
	dry, err := dryDays(in.DryDays)
	if err != nil {
		return nil, err
	}
	terms, err := s.ForecastTerms(ctx, in.Unit, in.Season)
	if err != nil {
		return nil, err
	}
	terms.Hold.Elsewhere, terms.Hold.AnyAge = in.Elsewhere, in.AnyAge
	v, err := app.CheckForecast(ctx, files[0], terms.Known, terms, dry)
	if err != nil {
		return nil, err
	}
	days, err := compactSheet(table.ForecastDays(v.Check))
	if err != nil {
		return nil, err
	}
	hours, err := compactSheet(table.ForecastHours(v.Check, true))
	if err != nil {
		return nil, err
	}
	return map[string]any{"title": v.Title(), "held_to": append([]string{}, v.HeldTo...), "days": days, "hours": hours, "compared": v.Compared(), "caution": v.Check.Caution}, nil
}

func dryDays(text string) (*int, error) {
	if strings.TrimSpace(text) == "" {
		return nil, nil
	}
	v, err := quantity.Parse(text)
	if days := int(v); err == nil && float64(days) == v && v >= 0 {
		return &days, nil
	}
	return nil, optionFault("dry-days", "whole days since rain, 0 or more", "%q is not a number of days", text)
}

// nowWish is the weather of the moment as it was typed.
type nowWish struct {
	Unit    string `json:"unit"`
	Temp    string `json:"temp"`
	RH      string `json:"rh"`
	Wind    string `json:"wind"`
	Gust    string `json:"gust"`
	From    string `json:"from"`
	At      string `json:"at"`
	DryDays string `json:"dry_days"`
}

func readNow(ctx context.Context, s *app.Session, in nowWish, _ *http.Request) (any, error) {
	o := app.NowOptions{Unit: in.Unit, At: strings.TrimSpace(in.At)}
	var faults []error
	number := func(option, text, accepts string) float64 {
		v, err := quantity.Parse(strings.TrimSpace(text))
		if err != nil {
			faults = append(faults, optionFault(option, accepts, "%q is not a number", text))
		}
		return v
	}
	o.Temperature = quantity.Fahrenheit(number("temp", in.Temp, "the temperature in °F, such as 61"))
	o.Humidity = quantity.Percent(number("rh", in.RH, "the humidity in percent, such as 34"))
	o.Wind = quantity.MilesPerHour(number("wind", in.Wind, "the wind in mph, such as 6"))
	if strings.TrimSpace(in.Gust) != "" {
		gust := quantity.MilesPerHour(number("gust", in.Gust, "the highest gust in mph, such as 12, or nothing"))
		o.Gust = &gust
	}
	var ok bool
	if o.From, ok = quantity.ParseDirection(strings.TrimSpace(in.From)); !ok {
		faults = append(faults, optionFault("from", "a compass point such as NNW, or degrees from 0 to 360", "%q is not a direction", in.From))
	}
	var err error
	if o.DryDays, err = dryDays(in.DryDays); err != nil {
		faults = append(faults, err)
	}
	if err := errors.Join(faults...); err != nil {
		return nil, err
	}
	v, err := s.Now(ctx, o)
	if err != nil {
		return nil, err
	}
	return map[string]any{"lines": v.Lines(), "all_hold": v.AllHold}, nil
}
