package weather

import (
	"reflect"
	"strings"
	"testing"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// keptRecord is a record with hours of every kind.
func keptRecord() *Record {
	r := &Record{Station: Station{Name: "Ridge", Place: &Place{36.9, -97}}, Warnings: []string{"invented"}, Sources: []Source{{File: "a.csv", Format: Plain, Kept: 500}}}
	for i := range 500 {
		h := Hour{At: Stamp(1000 + 2*i)}
		if i%3 > 0 {
			h.SetTemperature(61.7 + 0.1*65)
		}
		if i%5 > 0 {
			h.SetHumidity(42.5)
		}
		if i%7 > 0 {
			h.SetWind(7)
			h.SetWindFrom(225)
		}
		switch i % 11 {
		case 1:
			h.SetRain(0.03)
		case 2:
			h.SetTrace()
		case 3:
			h.SetUnsteady()
		}
		r.Hours = append(r.Hours, h)
	}
	return r
}

func TestKeepAndRestore(t *testing.T) {
	r := keptRecord()
	about, hours, err := r.Keep()
	if err != nil {
		t.Fatal(err)
	}
	again, err := Restore("x.emberquilt", about, hours)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(r, again) {
		t.Error("the record is not the same after Keep and Restore")
	}
	// Every cut and many changed bytes are refused, or give a record; none panics.
	refused := 0
	for cut := range hours {
		if _, err := Restore("x.emberquilt", about, hours[:cut]); err != nil {
			if !source.Is(err) {
				t.Fatalf("cut at %d: %v is not a source.Error", cut, err)
			}
			refused++
		}
	}
	if refused != len(hours) {
		t.Errorf("%d of %d cut-off records were refused", refused, len(hours))
	}
	for at := range hours {
		bad := append([]byte(nil), hours...)
		bad[at] ^= 0x55
		_, _ = Restore("x.emberquilt", about, bad)
	}
	if _, err := Restore("x.emberquilt", []byte("{"), hours); !source.Is(err) {
		t.Errorf("cut-off text about the record: %v", err)
	}
}

func FuzzRestore(f *testing.F) {
	about, hours, err := keptRecord().Keep()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(about, hours)
	f.Add([]byte("{}"), []byte{keptFormat})
	f.Fuzz(func(t *testing.T, about, hours []byte) {
		if r, err := Restore("x", about, hours); err == nil {
			if _, _, err := r.Keep(); err != nil {
				t.Error(err)
			}
		}
	})
}

// A station that lies nowhere is refused: hours would be counted past the record's end.
func TestStationsThatLieNowhere(t *testing.T) {
	offset := quantity.Hours(-6)
	r := &Record{Station: Station{Name: "s", Place: &Place{Latitude: 37, Longitude: -96}, UTCOffset: &offset}}
	about, hours, err := r.Keep()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Restore("r", about, hours); err != nil {
		t.Errorf("as it was kept: %v", err)
	}
	for from, to := range map[string]string{`"UTCOffset":-6`: `"UTCOffset":-1e308`, `"Latitude":37`: `"Latitude":1e300`, `"Longitude":-96`: `"Longitude":-1e9`} {
		altered := strings.Replace(string(about), from, to, 1)
		if _, err := Restore("r", []byte(altered), hours); altered == string(about) || err == nil || !strings.Contains(err.Error(), "r: its weather record cannot be read (it") {
			t.Errorf("%s: %v", to, err)
		}
	}
}
