package cli

import (
	"fmt"
	"strings"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/store"
)

// recordField is one particular of a record, as a person reads it.
type recordField struct{ name, text string }

// recordFields lists the particulars of a record that are known.
func recordFields(r *habitat.BurnRecord) []recordField {
	var all []recordField
	add := func(name, text string) {
		if text != "" {
			all = append(all, recordField{name, text})
		}
	}
	add("unit", r.Unit)
	add("date", r.On.String())
	if r.Through != r.On {
		add("through", r.Through.String())
	}
	add("kind", string(r.Kind))
	if r.HasAcres {
		add("acres", r.Acres.String())
	}
	add("purpose", r.Purpose)
	add("ignition", r.Ignition)
	add("start", r.Start)
	add("end", r.End)
	for i := range r.Readings {
		add(fmt.Sprintf("reading %d", i+1), r.Readings[i].String())
	}
	add("fuel moisture", r.FuelMoisture)
	add("soil moisture", r.SoilMoisture)
	add("crew", r.Crew)
	add("permit", r.Permit)
	for i, n := range r.Notified {
		add(fmt.Sprintf("notified %d", i+1), strings.TrimSuffix(n.Who+", "+n.At, ", "))
	}
	add("consumed", shareText(r.Consumed))
	add("top-killed", shareText(r.TopKilled))
	add("escapes", r.Escapes)
	add("mop-up end", r.MopUpEnd)
	for i, file := range r.Files {
		add(fmt.Sprintf("file %d", i+1), file.Path)
	}
	add("notes", r.Notes)
	return all
}

func shareText(s *quantity.Share) string {
	if s == nil {
		return ""
	}
	return fmt.Sprintf("%g%%", float64(*s)*100)
}

// versionDocument is one version of a record in JSON.
type versionDocument struct {
	Version int               `json:"version"`
	At      string            `json:"made_at"`
	Reason  string            `json:"reason"`
	Removed bool              `json:"withdrawn"`
	Record  map[string]string `json:"record"`
}

// printVersions shows the first version whole and of the later ones what they
// change.
func (a *terminal) printVersions(versions []store.Version[habitat.BurnRecord]) error {
	var documents []versionDocument
	before := map[string]string{}
	for _, v := range versions {
		now := map[string]string{}
		fields := recordFields(&v.Value)
		for _, f := range fields {
			now[f.name] = f.text
		}
		at := v.Change.At.UTC().Format(time.DateTime) + " UTC"
		documents = append(documents, versionDocument{v.Number, at, v.Change.Reason, v.Removed, now})
		if a.json {
			continue
		}
		fmt.Fprintf(a.Out, "version %d, %s: %s\n", v.Number, at, v.Change.Reason)
		if v.Removed {
			fmt.Fprintln(a.Out, "  withdrawn")
		}
		for _, f := range fields {
			switch old, known := before[f.name]; {
			case !known:
				fmt.Fprintf(a.Out, "  %s: %s\n", f.name, f.text)
			case old != f.text:
				fmt.Fprintf(a.Out, "  %s: %s → %s\n", f.name, old, f.text)
			}
		}
		before = now
	}
	if a.json {
		return a.printJSON(documents)
	}
	return nil
}
