package weather

import "testing"

// A record that a property could not give back is refused before it is kept.
func TestMoreHoursThanAreKept(t *testing.T) {
	r := &Record{Hours: make([]Hour, maxKeptHours+1), Sources: []Source{{File: "long.csv"}}}
	const want = "long.csv: 2,000,001 hours come together; accepts up to 2,000,000 hours of a station"
	if _, _, err := r.Keep(); err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
	r.Hours = r.Hours[:maxKeptHours]
	for i := range r.Hours {
		r.Hours[i].At = Stamp(i)
	}
	about, hours, err := r.Keep()
	if err != nil {
		t.Fatal(err)
	}
	if again, err := Restore("p.emberquilt", about, hours); err != nil || len(again.Hours) != maxKeptHours || again.Hours[maxKeptHours-1] != r.Hours[maxKeptHours-1] {
		t.Errorf("the longest record is not given back: %v", err)
	}
}
