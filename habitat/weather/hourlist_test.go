package weather

import (
	"bytes"
	"fmt"
	"runtime"
	"testing"
	"time"
	"unsafe"
)

// A long record takes its hours twice while it is read, in blocks and then in one piece, and
// nothing more that grows with it. All that is taken is counted, freed or not.
func TestLongRecordsDoNotGrowByCopies(t *testing.T) {
	const n = 300_000
	var text bytes.Buffer
	text.WriteString("time,temp_f,rh_pct,wind_mph\n")
	at := time.Date(1990, 1, 1, 1, 0, 0, 0, time.UTC)
	for i := range n {
		fmt.Fprintf(&text, "%s,%d,40,9\n", at.Format("2006-01-02 15:04"), 40+i%30)
		at = at.Add(time.Hour)
	}
	var before, after runtime.MemStats
	whole := text.String()
	runtime.ReadMemStats(&before)
	r := mustRead(t, whole, Options{})
	runtime.ReadMemStats(&after)
	if len(r.Hours) != n || cap(r.Hours) != n {
		t.Errorf("%d hours in room for %d", len(r.Hours), cap(r.Hours))
	}
	for i := range r.Hours {
		if v, _ := r.Hours[i].Temperature(); int(v) != 40+i%30 || r.Hours[i].At != r.Hours[0].At+Stamp(i) {
			t.Fatalf("hour %d: %s", i, show(&r.Hours[i]))
		}
	}
	// Beside them the winds are sorted once, and buffers stay as they are.
	if taken, most := after.TotalAlloc-before.TotalAlloc, uint64(n*(2*unsafe.Sizeof(Hour{})+8)+2<<20); taken > most {
		t.Errorf("took %d kB, want up to %d", taken>>10, most>>10)
	}
}
