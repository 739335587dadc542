package app

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"emberquilt/habitat"
	"emberquilt/habitat/list"
	"emberquilt/habitat/pattern"
	"emberquilt/habitat/source"
	"emberquilt/habitat/weather"
)

// fileEndings are those of files that a first run takes.
var fileEndings = []string{".csv", ".tsv", ".txt", ".xlsx", ".xls", ".kml", ".kmz", ".gpx", ".geojson", ".geojsonl", ".geojsons", ".json", ".gpkg", ".shp", ".zip"}

// isFileName tells the name of a file from a row.
func isFileName(answer string) bool {
	return slices.Contains(fileEndings, strings.ToLower(filepath.Ext(answer)))
}

// twoNumbers reads "39.2, -96.6" and "39.2 -96.6".
func twoNumbers(text string) (a, b float64, ok bool) {
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' || r == '°' })
	if len(parts) != 2 {
		return 0, 0, false
	}
	a, badA := strconv.ParseFloat(parts[0], 64)
	b, badB := strconv.ParseFloat(parts[1], 64)
	return a, b, badA == nil && badB == nil
}

// open reads a file as a list.
func (f *FirstRun) open(name string, o list.Options) (*list.List, error) {
	for _, l := range f.lists {
		o.Units = append(o.Units, l.UnitNames()...)
	}
	if f.ReadFile != nil {
		data, err := f.ReadFile(name)
		if err != nil {
			return nil, err
		}
		return list.Read(context.Background(), data, name, o)
	}
	one, err := list.ReadFile(context.Background(), name, o)
	if errors.Is(err, os.ErrNotExist) {
		err = &source.Error{Position: source.Position{File: name}, Found: "there is no such file"}
	}
	return one, err
}

func (f *FirstRun) takePatch(answer string) error {
	if isFileName(answer) {
		one, err := f.open(answer, list.Options{Dates: f.Dates})
		if err != nil {
			return err
		}
		if !f.hasPatches && one.Drawn != nil && !one.Holds(list.Units) {
			return notUsable(answer, "holds no patches ("+one.Told+")", "a file with polygons, or with paths that come back to their start")
		}
		f.lists = append(f.lists, one)
		f.hasPatches = f.hasPatches || one.Holds(list.Units)
		return nil
	}
	p, err := patchRow(answer)
	if err != nil {
		return err
	}
	return f.addPatch(*p)
}

// addPatch adds a typed patch.
func (f *FirstRun) addPatch(p FirstPatch) error {
	p = FirstPatch{strings.TrimSpace(p.Name), strings.TrimSpace(p.Acres), strings.TrimSpace(p.Every), strings.TrimSpace(p.LastBurned)}
	switch {
	case p.Name == "":
		return &source.Error{Found: "it has no name", Accepts: "a name, such as North Field"}
	case p.Acres == "":
		return notUsable(p.Name, "does not say its acres", "acres, such as 18 or about 9")
	}
	if found := isAcres().FindStringSubmatch(p.Acres); found != nil {
		p.Acres = found[1]
	}
	if strings.HasPrefix(strings.ToLower(p.LastBurned), "never") {
		p.LastBurned = "never"
	}
	row := []string{p.Name, p.Acres, p.Every, p.LastBurned}
	one, err := readRows([][]string{{"unit", "acres", "every", "last burned"}, row}, "patch", list.Options{Kind: list.Units, Dates: list.MonthFirst})
	if err != nil {
		return rowError(err)
	}
	folded := strings.ToLower(strings.ToUpper(p.Name))
	// What was taken back may stand in the map still, beyond the names.
	if at, ok := f.named[folded]; ok && at < len(f.names) && strings.EqualFold(f.names[at], p.Name) {
		return notUsable(p.Name, "is there already", "each patch once")
	}
	one.Notes = nil // the typed row is read as its form says
	if f.named == nil {
		f.named = map[string]int{}
	}
	f.named[folded] = len(f.names)
	f.names = append(f.names, p.Name)
	f.lists, f.hasPatches = append(f.lists, one), true
	return nil
}

const patchForm = "NAME, ACRES acres, every 2-3 years, last burned 3/28/2023"

var isAcres = pattern.Lazy(`(?i)^((?:about |approx\.? |~ ?|around )?[0-9][0-9.]*)\s*(?:acres?|ac\.?)?$`)

// patchRow parts "Creek, 18 acres, every 2-3 years, last burned 2023-03-28".
func patchRow(answer string) (*FirstPatch, error) {
	parts := strings.Split(answer, ",")
	p := FirstPatch{Name: strings.TrimSpace(parts[0])}
	for _, part := range parts[1:] {
		text := strings.TrimSpace(part)
		low := strings.ToLower(text)
		switch {
		case text == "":
		case strings.HasPrefix(low, "last burned"):
			p.LastBurned = strings.TrimSpace(text[len("last burned"):])
		case strings.HasPrefix(low, "burned"):
			p.LastBurned = strings.TrimSpace(text[len("burned"):])
		case low == "never burned" || low == "never":
			p.LastBurned = "never"
		case p.Acres == "" && isAcres().MatchString(text):
			p.Acres = isAcres().FindStringSubmatch(text)[1]
		default:
			if _, err := list.ParseInterval(text); err != nil {
				return nil, notUsable(text, "is neither acres, nor how often it burns, nor when it last burned", patchForm)
			}
			p.Every = text
		}
	}
	switch {
	case p.Name == "":
		return nil, notUsable(answer, "has no name", patchForm)
	case p.Acres == "":
		return nil, notUsable(answer, "does not say its acres", patchForm)
	}
	return &p, nil
}

// readRows reads typed rows as a list.
func readRows(rows [][]string, name string, o list.Options) (*list.List, error) {
	var text strings.Builder
	w := csv.NewWriter(&text)
	if err := w.WriteAll(rows); err != nil {
		return nil, err
	}
	return list.Read(context.Background(), []byte(text.String()), name, o)
}

// rowError leaves away where a typed row stands: the user sees it.
func rowError(err error) error {
	var fault *source.Error
	if !errors.As(err, &fault) {
		return err
	}
	plain := *fault
	plain.Position = source.Position{File: strings.ReplaceAll(fault.Field, "_", " ")}
	if plain.File == "" {
		plain.File = fault.File
	}
	if strings.Contains(plain.Hint, " --") {
		plain.Hint = "" // an option of another command
	}
	return &plain
}

const placeForm = "a file, or NAME, LATITUDE, LONGITUDE, such as our house, 39.21, -96.58, own"

func (f *FirstRun) takePlace(answer string) error {
	if isFileName(answer) {
		one, err := f.openPlaces(answer)
		if err != nil {
			return err
		}
		f.lists = append(f.lists, one)
		return nil
	}
	parts := strings.Split(answer, ",")
	p := FirstPlace{Name: parts[0]}
	if last := strings.ToLower(strings.TrimSpace(parts[len(parts)-1])); len(parts) > 1 && (last == "own" || last == "tolerated") {
		p.IsOwn = true
		parts = parts[:len(parts)-1]
	}
	p.At = strings.Join(parts[1:], ",")
	return f.addPlace(p)
}

// addPlace adds a typed place.
func (f *FirstRun) addPlace(p FirstPlace) error {
	name := strings.TrimSpace(p.Name)
	properties := map[string]string{"name": name}
	if p.IsOwn {
		properties["tolerated"] = "yes"
	}
	var numbers []float64
	for _, part := range strings.FieldsFunc(p.At, func(r rune) bool { return r == ',' || r == ';' || r == '°' || unicode.IsSpace(r) }) {
		v, err := strconv.ParseFloat(part, 64)
		if err != nil {
			return notUsable(part, "is not a latitude or longitude", placeForm)
		}
		numbers = append(numbers, v)
	}
	if name == "" {
		return &source.Error{Found: "the place has no name", Accepts: "a name, such as our house"}
	}
	if len(numbers) < 2 || len(numbers)%2 != 0 {
		return notUsable(name, "does not say where it lies", placeForm)
	}
	var points [][2]float64
	for i := 0; i < len(numbers); i += 2 {
		if !(numbers[i] >= -90 && numbers[i] <= 90 && numbers[i+1] >= -180 && numbers[i+1] <= 180) {
			return notUsable(fmt.Sprintf("%g, %g", numbers[i], numbers[i+1]), "is off the globe", placeForm)
		}
		points = append(points, [2]float64{numbers[i+1], numbers[i]})
	}
	geometry := map[string]any{"type": "Point", "coordinates": points[0]}
	if len(points) > 1 {
		geometry = map[string]any{"type": "LineString", "coordinates": points}
	}
	text, err := json.Marshal(map[string]any{"type": "FeatureCollection", "features": []any{map[string]any{"type": "Feature", "properties": properties, "geometry": geometry}}})
	if err != nil {
		return err
	}
	one, err := list.Read(context.Background(), text, "place", list.Options{Kind: list.Places})
	if err != nil {
		return rowError(err)
	}
	f.lists = append(f.lists, one)
	return nil
}

// openPlaces reads a file of which every shape is a place, other than the patches that
// are there already.
func (f *FirstRun) openPlaces(name string) (*list.List, error) {
	all, err := f.open(name, list.Options{})
	if err != nil || all.Drawn == nil {
		return all, err
	}
	o := list.Options{Kind: list.Places, As: map[string]list.Kind{}}
	said := map[string]string{}
	for _, l := range f.lists {
		for _, unit := range l.UnitNames() {
			for _, d := range all.Drawn {
				if strings.EqualFold(d.Name, unit) {
					said[d.Name] = string(list.Nothing)
				}
			}
		}
	}
	o.As = list.AsNamed(said)
	return f.open(name, o)
}

// usualCall is when a neighbor is called. Common practice, no source.
const usualCall = "days before and on the day"

func (f *FirstRun) takeContact(answer string) error {
	parts := [4]string{3: usualCall}
	copy(parts[:], strings.SplitN(answer, ",", 4))
	return f.addContact(parts[0], parts[1], parts[2], parts[3])
}

// addContact adds someone to call.
func (f *FirstRun) addContact(role, name, phone, when string) error {
	c := habitat.Contact{Role: strings.TrimSpace(role), Name: strings.TrimSpace(name), Phone: strings.TrimSpace(phone), When: strings.TrimSpace(when)}
	if err := c.Validate(); err != nil {
		return unjoin(err)[0]
	}
	f.contacts = append(f.contacts, c)
	return nil
}

func (f *FirstRun) takeWeather(answer string) error {
	data, err := f.read(answer)
	if err != nil {
		return err
	}
	f.weather = append(f.weather, weatherFile{answer, data})
	_, err = f.record()
	if err != nil {
		f.weather = f.weather[:len(f.weather)-1]
	}
	return err
}

type weatherFile struct {
	name string
	data []byte
}

func (f *FirstRun) read(name string) ([]byte, error) {
	if f.ReadFile != nil {
		return f.ReadFile(name)
	}
	file, err := os.Open(name)
	if errors.Is(err, os.ErrNotExist) {
		err = &source.Error{Position: source.Position{File: name}, Found: "there is no such file"}
	}
	if err != nil {
		return nil, err
	}
	defer file.Close()
	data, err := io.ReadAll(io.LimitReader(file, mostWeatherBytes+1))
	if len(data) > mostWeatherBytes {
		err = &source.Error{Position: source.Position{File: name}, Found: "is larger than 256 MB", Accepts: "a smaller file here; emberquilt weather reads larger ones"}
	}
	return data, err
}

// mostWeatherBytes bounds a file of weather that a first run keeps in memory while it asks.
const mostWeatherBytes = 256 << 20

// record reads the weather files as one record; nil without any.
func (f *FirstRun) record() (*weather.Record, error) {
	if len(f.weather) == 0 {
		return nil, nil
	}
	var files []weather.File
	for _, w := range f.weather {
		files = append(files, weather.File{Name: w.name, Content: strings.NewReader(string(w.data))})
	}
	offset := f.property.UTCOffset
	o := weather.Options{UTCOffset: &offset}
	if f.property.HasPlace {
		o.Place = &weather.Place{Latitude: f.property.Latitude, Longitude: f.property.Longitude}
	}
	return weather.Read(context.Background(), files, o)
}
