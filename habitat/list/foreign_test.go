package list

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Places that another program wrote in another coordinate system come back a billionth of
// a degree off; units of the same file were the same already.
func TestPlacesWithMoreDecimalsAreTheSame(t *testing.T) {
	const road = `{"type":"Feature","properties":{"name":"road"},"geometry":{"type":"LineString","coordinates":[[-97.02,36.9],[-97.01,36.91%s]]}}`
	const barn = `{"type":"Feature","properties":{"name":"barn"},"geometry":{"type":"Point","coordinates":[-97.03%s,36.9]}}`
	text := func(digits string) string {
		return `{"type":"FeatureCollection","features":[` + strings.ReplaceAll(road+","+barn, "%s", digits) + `]}`
	}
	cur := property(t)
	first := plan(t, cur, read(t, text(""), Options{Kind: Places}))
	if len(first.Changes) != 2 {
		t.Fatalf("%+v", first.Changes)
	}
	next := after(cur, first)
	if again := plan(t, next, read(t, text("000000004"), Options{Kind: Places})); !again.IsIdle() {
		t.Errorf("the same places change: %+v", again.Changes)
	}
	// The control: an inch is another place.
	if moved := plan(t, next, read(t, text("00003"), Options{Kind: Places})); len(moved.Changes) != 2 || moved.IsIdle() {
		t.Errorf("%+v", moved.Changes)
	}
}

// Shapefiles cut names at 10 characters, also those of our own map files that a map
// program saves as one (GDAL 3.6: "Normalized/laundered field name").
func TestColumnsThatShapefilesCut(t *testing.T) {
	l := read(t, "unit,acres,min_interv,max_interv,prescripti\nCreek,10,2,4,grass\n", Options{})
	u := l.units[0].V
	if u.Interval.Min != 2 || u.Interval.Max != 4 || u.Prescription != "grass" {
		t.Errorf("%+v", u)
	}
}

// Files of other programs are named as what they are, not as a table that is binary.
func TestForeignFormatsAreNamed(t *testing.T) {
	for magic, want := range map[string]string{
		"%PDF-1.7\n1 0 obj": "this is a PDF", "\x89PNG\r\n\x1a\n\x00\x00": "this is a picture", "\xff\xd8\xff\xe0\x00": "this is a picture",
		"fgb\x03fgb\x00\x00": "this is a FlatGeobuf file", "PAR1\x15\x00": "this is a Parquet file", "AC1032\x00\x00": "this is a CAD drawing (DWG)", "\x1f\x8b\x08\x00": "this is packed with gzip",
		"!table\r\n!version 300\r\n!charset Neutral\r\n": "this is a MapInfo table", "Version 650\r\nCharset \"Neutral\"\nDelimiter \",\"\n": "this is a MapInfo interchange file",
	} {
		path := filepath.Join(t.TempDir(), "file")
		if err := os.WriteFile(path, []byte(magic), 0o666); err != nil {
			t.Fatal(err)
		}
		_, fromFile := ReadFile(context.Background(), path, Options{})
		_, fromBytes := Read(context.Background(), []byte(magic), "file", Options{})
		for _, err := range []error{fromFile, fromBytes} {
			if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%q: %v; want %q", magic, err, want)
			}
		}
	}
	// The control: words that begin alike are a table.
	for _, text := range []string{"AC10,unit,date\n1,n1,2026-03-01\n", "PAR1,unit,date\n1,n1,2026-03-01\n", "Version 300,unit,date\n1,n1,2026-03-01\n"} {
		if l, err := Read(context.Background(), []byte(text), "t.csv", Options{}); err != nil || l.Kind != Burns {
			t.Errorf("%q: %v", text, err)
		}
	}
}
