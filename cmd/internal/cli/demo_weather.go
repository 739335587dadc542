package cli

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path"
	"path/filepath"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/weather"
	"emberquilt/habitat/weather/invented"
	"emberquilt/store"
	"emberquilt/testdata/demo"
)

// demoOwnLines is what the demo's manager says of one deep unit: more interior
// lines than are assumed, so that it backs through in fewer hours.
const (
	demoOwnLines = "Cutbank"
	demoLines    = 6
)

// demoSky is one invented record, as a property file keeps it.
type demoSky struct {
	name, file   string
	about, hours []byte
}

// demoStations are the demo's invented stations: the first is in use; the first
// property knows the second one too, to show two side by side.
func demoStations() []invented.Settings {
	near := invented.Demo()
	far := near
	far.Seed, far.Station, far.FirstYear, far.Years = far.Seed+1, "Far Ridge (invented)", 2021, 5
	return []invented.Settings{near, far}
}

// demoRecords are the files of the stations.
var demoRecords = []string{demoWeather, "invented-weather-far-ridge.csv"}

// inventWeather writes invented hours as files and reads them back as any
// user's.
func inventWeather(ctx context.Context, built string) ([]*demoSky, error) {
	var all []*demoSky
	for i, made := range demoStations() {
		var text bytes.Buffer
		if err := invented.Write(&text, made); err != nil {
			return nil, err
		}
		if err := os.WriteFile(filepath.Join(built, demoRecords[i]), text.Bytes(), 0o666); err != nil {
			return nil, err
		}
		record, err := weather.Read(ctx, []weather.File{{Name: demoRecords[i], Content: &text}}, weather.Options{UTCOffset: &made.UTCOffset, Place: &made.Place})
		if err != nil {
			return nil, err
		}
		about, hours, err := record.Keep()
		if err != nil {
			return nil, err
		}
		all = append(all, &demoSky{made.Station, demoRecords[i], about, hours})
	}
	return all, nil
}

// putSky puts the stations, the prescriptions and how units are burned into a
// property file.
func putSky(tx *store.Tx, name string, sky []*demoSky) error {
	all := prescription.Starters()
	entries, err := demo.Files.ReadDir(name)
	if err != nil {
		return err
	}
	for _, entry := range entries {
		if path.Ext(entry.Name()) != ".json" {
			continue
		}
		data, err := demo.Files.ReadFile(name + "/" + entry.Name())
		if err != nil {
			return err
		}
		p, err := prescription.Parse(name+"/"+entry.Name(), data)
		if err != nil {
			return err
		}
		all = append(all, p)
	}
	var errs []error
	if name == demoProperties[0].folder {
		lines := demoLines
		errs = append(errs, tx.PutFiring(demoOwnLines, habitat.Firing{Lines: &lines}))
	} else {
		sky = sky[:1]
	}
	for _, s := range sky {
		errs = append(errs, tx.PutDocument(store.Document{Kind: store.Weather, Name: s.name, Body: s.about, Record: s.hours}))
	}
	return errors.Join(append(errs, tx.UseStation(sky[0].name), app.PutPrescriptions(tx, all))...)
}
