package date

import (
	"testing"
	"time"
)

// The first and last days are those of 31 U.S.C. 1102 for the federal year, and
// July to June for the other: common practice of states, no source.
func TestFiscalYear(t *testing.T) {
	for _, test := range []struct {
		start       FiscalStart
		first, last Day
		words       string
	}{
		{0, Day{2027, time.October, 1}, Day{2028, time.September, 30}, "federal fiscal year"},
		{FiscalStart(time.October), Day{2027, time.October, 1}, Day{2028, time.September, 30}, "federal fiscal year"},
		{FiscalStart(time.July), Day{2027, time.July, 1}, Day{2028, time.June, 30}, "fiscal year from July"},
		{FiscalStart(time.January), Day{2028, time.January, 1}, Day{2028, time.December, 31}, "fiscal year from January"},
	} {
		for d, want := range map[Day]FiscalYear{test.first: 2028, test.last: 2028, test.first.AddDays(-1): 2027, test.last.AddDays(1): 2029} {
			if got := test.start.Of(d); got != want {
				t.Errorf("start %d: %v lies in %v, want %v", test.start, d, got, want)
			}
		}
		if got := test.start.Words(); got != test.words {
			t.Errorf("start %d: %q", test.start, got)
		}
	}
}
