package date_test

import (
	"encoding/json"
	"os"
	"os/exec"
	"testing"
	"time"

	"emberquilt/habitat/date"
)

// TestHolidaysEqualAnotherLibrary holds the federal holidays of 2026 to 2040
// against the npm library date-holidays 3.37.0, day by day.
func TestHolidaysEqualAnotherLibrary(t *testing.T) {
	if os.Getenv("EMBERQUILT_NODE") == "" {
		t.Skip("EMBERQUILT_NODE does not name a folder with date-holidays; .ci/run makes one")
	}
	const first, last = 2026, 2040
	out, err := exec.Command("node", "../../.ci/node/holidays.mjs", "2026", "2040").Output()
	if err != nil {
		t.Fatalf("node: %v", err)
	}
	var listed []struct{ Date, Name string }
	if err := json.Unmarshal(out, &listed); err != nil {
		t.Fatal(err)
	}
	theirs := map[string]string{}
	for _, holiday := range listed {
		theirs[holiday.Date] = holiday.Name
	}
	if len(theirs) < 11*(last-first+1) {
		t.Fatalf("the library names only %d days", len(theirs))
	}
	// Known difference: date-holidays has no observed day for a Veterans Day on
	// a weekend; 5 U.S.C. 6103(b) gives one for every legal public holiday.
	veterans := map[string]bool{"2028-11-10": true, "2029-11-12": true, "2034-11-10": true, "2035-11-12": true, "2040-11-12": true}
	compared := 0
	for d := date.MustDay(first, time.January, 1); d.Year <= last; d = d.AddDays(1) {
		if weekday := d.Weekday(); weekday == time.Saturday || weekday == time.Sunday {
			continue // our function names the observed day alone
		}
		ours, known := date.IsFederalHoliday(d), theirs[d.String()] != ""
		if veterans[d.String()] {
			if !ours || known {
				t.Errorf("%s: the known difference is gone: ours %v, theirs %v", d, ours, known)
			}
			continue
		}
		if ours != known {
			t.Errorf("%s: ours %q, theirs %q", d, date.FederalHoliday(d), theirs[d.String()])
		}
		compared++
	}
	t.Logf("%d workdays of the week compared", compared)
}
