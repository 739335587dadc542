package app

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"path"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/list"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/weather"
	"emberquilt/habitat/weather/invented"
	"emberquilt/schedule/rotation"
	"emberquilt/store"
)

// DemoToday is the program's date in the demo, so that its papers are the same on
// every machine.
var DemoToday = date.MustDay(2026, time.November, 25)

// demoRounds bounds the work of each solve of the demo: by rounds, which give
// the same plan on every machine, and not by time.
const demoRounds = 60

// DemoProperty is one property of the demo.
type DemoProperty struct {
	// Name is the folder of its files, About says what it shows.
	Name, About string
}

// DemoProperties gives the demo's properties in the order in which they are shown.
func DemoProperties() []DemoProperty {
	return []DemoProperty{
		{"tamsel-bend", "24 units, 1,150 acres; one manager, a crew of four, a five-year program"},
		{"pennywhistle-place", "5 units, 63 acres; a landowner: which patch burns this spring, and what must be done before"},
		{"nine-gate", "4 units, 41 acres; a contract with burns due in set fiscal years, one of them late"},
	}
}

// isFirst tells the property that shows most: two stations side by side, a second
// prescription, and a unit of which the manager says something.
func (p *DemoProperty) isFirst() bool { return p.Name == DemoProperties()[0].Name }

// demoPrescription is the file of the prescription that all units of a property
// begin with.
const demoPrescription = "prescription.json"

// demoOwnLines is what the demo's manager says of one deep unit: more interior
// lines than are assumed, so that it backs through in fewer hours.
const (
	demoOwnLines = "Cutbank"
	demoLines    = 6
)

// DemoRecord is an invented weather record, as a file that anyone could load.
type DemoRecord struct {
	File string
	Text []byte
	// station, about and hours are what a property file keeps of it.
	station      string
	about, hours []byte
}

// DemoWeather invents the hours of the demo's stations, and reads them back as any
// user's: the first is in use; the first property knows the second one too.
func DemoWeather(ctx context.Context) ([]DemoRecord, error) {
	near := invented.Demo()
	far := near
	far.Seed, far.Station, far.FirstYear, far.Years = far.Seed+1, "Far Ridge (invented)", 2021, 5
	all := []DemoRecord{{File: "invented-weather.csv"}, {File: "invented-weather-far-ridge.csv"}}
	for i, made := range []invented.Settings{near, far} {
		r := &all[i]
		var text bytes.Buffer
		if err := invented.Write(&text, made); err != nil {
			return nil, err
		}
		r.station, r.Text = made.Station, text.Bytes()
		files := []weather.File{{Name: r.File, Content: bytes.NewReader(r.Text)}}
		record, err := weather.Read(ctx, files, weather.Options{UTCOffset: &made.UTCOffset, Place: &made.Place})
		if err != nil {
			return nil, err
		}
		if r.about, r.hours, err = record.Keep(); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// FillDemo puts into a new property what the demo has for it: the lists among its
// own files, the weather, the starter prescriptions and its own, and how a unit is
// burned.
func (s *Session) FillDemo(ctx context.Context, p DemoProperty, files fs.FS, sky []DemoRecord) error {
	lists, err := p.lists(ctx, files)
	if err != nil {
		return err
	}
	prescriptions, err := p.prescriptions(files)
	if err != nil {
		return err
	}
	if _, err := s.Import(ctx, ImportOptions{Lists: lists, What: "the demo's files"}); err != nil {
		return err
	}
	if !p.isFirst() {
		sky = sky[:1]
	}
	return s.update(ctx, "load the demo's weather and prescriptions", func(tx *store.Tx) error {
		var errs []error
		if p.isFirst() {
			lines := demoLines
			errs = append(errs, tx.PutFiring(demoOwnLines, habitat.Firing{Lines: &lines}))
		}
		for _, r := range sky {
			errs = append(errs, tx.PutDocument(store.Document{Kind: store.Weather, Name: r.station, Body: r.about, Record: r.hours}))
		}
		return errors.Join(append(errs, tx.UseStation(sky[0].station), PutPrescriptions(tx, append(prescription.Starters(), prescriptions...)))...)
	})
}

// lists reads the lists among the property's own files.
func (p *DemoProperty) lists(ctx context.Context, files fs.FS) ([]*list.List, error) {
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		return nil, err
	}
	limits, err := p.prescription(files, demoPrescription)
	if err != nil {
		return nil, err
	}
	var all []*list.List
	for _, entry := range entries {
		if ending := path.Ext(entry.Name()); ending != ".csv" && ending != ".geojson" {
			continue
		}
		data, err := fs.ReadFile(files, entry.Name())
		if err != nil {
			return nil, err
		}
		options := list.Options{}
		switch entry.Name() {
		case "breaks.geojson":
			options.Kind = list.Breaks
		case "units.geojson":
			options.Set = map[string]string{"prescription": limits.Name}
			if p.isFirst() {
				options.Set["prescription"] += "; early-growing: grass, early growing season"
			}
		}
		one, err := list.Read(ctx, data, p.Name+"/"+entry.Name(), options)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, nil
}

// prescriptions reads the property's own ones.
func (p *DemoProperty) prescriptions(files fs.FS) ([]*prescription.Prescription, error) {
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		return nil, err
	}
	var all []*prescription.Prescription
	for _, entry := range entries {
		if path.Ext(entry.Name()) != ".json" {
			continue
		}
		one, err := p.prescription(files, entry.Name())
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, nil
}

func (p *DemoProperty) prescription(files fs.FS, name string) (*prescription.Prescription, error) {
	text, err := fs.ReadFile(files, name)
	if err != nil {
		return nil, err
	}
	return prescription.Parse(p.Name+"/"+name, text)
}

// demoFutures and demoReplanRounds say over how few futures the first property's
// plan is rehearsed, and with how little work a plan, so that the demo stays short;
// the book says so.
const (
	demoFutures      = 8
	demoReplanRounds = 8
)

// PlanDemo makes the demo's plan of a property and gathers what its papers show.
func (s *Session) PlanDemo(ctx context.Context, p DemoProperty) (*Contents, error) {
	solver := rotation.Settings{TimeLimit: -1, Rounds: demoRounds, Threads: 2}
	kept, err := s.MakePlan(ctx, PlanOptions{Solver: solver, Note: "the demo's plan", AskCaps: true})
	if err != nil {
		return nil, err
	}
	if p.isFirst() {
		if _, err := s.Rehearse(ctx, RehearseOptions{Futures: demoFutures, Rounds: demoReplanRounds, Seconds: 1e6, Threads: 2}); err != nil {
			return nil, err
		}
	}
	return s.Contents(ctx, kept.Number)
}
