package ground_test

import (
	"encoding/json"
	"testing"

	"github.com/peterstace/simplefeatures/geom"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/testdata/refdata"
)

// What MarshalBinary writes is read by simplefeatures, and comes back equal
// through both forms.
func TestShapeRoundTrip(t *testing.T) {
	name := "mecklenburg/political_boundaries.geojson"
	layer, _ := geofile.Read(refdata.File(t, "polygons/"+name), geofile.Options{})
	features := layer.Features
	if len(features) < 50 {
		t.Fatalf("only %d features", len(features))
	}
	for _, f := range append(features, geofile.Feature{}) {
		raw, err := f.Shape.MarshalBinary()
		if err != nil {
			t.Fatal(err)
		}
		var back ground.Shape
		if err := back.UnmarshalBinary(raw); err != nil || !back.Equal(f.Shape) {
			t.Fatalf("%s: binary does not come back: %v", f.Position, err)
		}
		other, err := geom.UnmarshalWKB(raw, geom.NoValidate{})
		if err != nil || other.DumpCoordinates().Length() != f.Shape.Vertices()+ringCount(f.Shape) {
			t.Errorf("%s: simplefeatures reads %d points of %d: %v", f.Position, other.DumpCoordinates().Length(), f.Shape.Vertices(), err)
		}
		text, err := json.Marshal(f.Shape)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(text, &back); err != nil || !back.Equal(f.Shape) {
			t.Fatalf("%s: JSON does not come back: %v", f.Position, err)
		}
		for cut := range len(raw) {
			if cut%97 == 0 && back.UnmarshalBinary(raw[:cut]) == nil {
				t.Fatalf("%s: accepted %d of %d bytes", f.Position, cut, len(raw))
			}
		}
	}
}

func ringCount(s ground.Shape) (n int) {
	for range s.Rings {
		n++
	}
	return n
}

func FuzzUnmarshalShape(f *testing.F) {
	raw, _ := ground.Shape{Polygons: []ground.Polygon{{Outer: ground.Ring{{Lon: 0, Lat: 0}, {Lon: 1, Lat: 0}, {Lon: 1, Lat: 1}}}}}.MarshalBinary()
	f.Add(raw)
	f.Add([]byte(`{"type":"MultiPolygon","coordinates":[[[[0,0],[1,0],[1,1],[0,0]]]]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var s, again ground.Shape
		if s.UnmarshalBinary(data) == nil {
			raw, _ := s.MarshalBinary()
			if err := again.UnmarshalBinary(raw); err != nil || !again.Equal(s) {
				t.Fatalf("does not come back: %v", err)
			}
		}
		if s.UnmarshalJSON(data) == nil {
			text, _ := s.MarshalJSON()
			if err := again.UnmarshalJSON(text); err != nil || !again.Equal(s) {
				t.Fatalf("does not come back: %v", err)
			}
		}
	})
}
