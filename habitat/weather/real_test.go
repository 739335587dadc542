package weather

import (
	"context"
	"testing"

	"emberquilt/habitat/quantity"
	"emberquilt/testdata/refdata"
)

// station gives the path of a file of the reference weather.
func station(tb testing.TB, name string) string {
	tb.Helper()
	return refdata.File(tb, "weather/"+name)
}

func hours(v float64) *quantity.Hours { h := quantity.Hours(v); return &h }

// real lists the real files held outside the repository, with what their
// provenance notes or a look at the raw text say of them.
var real = []struct {
	name       string
	offset     *quantity.Hours
	format     Format
	kept, bad  int
	duplicates int
	typical    bool
}{
	{"epw/USA_CO_Denver.Intl.AP.725650_TMY3.epw", nil, EPW, 8760, 0, 0, true},
	{"epw/USA_GA_Atlanta-722190_TMY3_precip2015.epw", nil, EPW, 8760, 0, 0, true},
	{"epw/USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw", nil, EPW, 8760, 0, 0, true},
	{"tmy3/723170TYA.CSV", nil, TMY3, 8760, 0, 0, true},
	{"tmy3/FL-Tallahassee_Regional_Ap_Isis.tmy3", nil, TMY3, 8760, 0, 0, true},
	{"tmy3/GA-Albany_Dougherty_County_Ap.tmy3", nil, TMY3, 8760, 0, 0, true},
	{"tmy3/KS-Manhattan_Rgnl.tmy3", nil, TMY3, 8760, 0, 0, true},
	{"tmy3/MO-Columbia_Regional_Airport.tmy3.gz", nil, TMY3, 8760, 0, 0, true},
	{"tmy2/12839.tm2", nil, TMY2, 8760, 0, 0, true},
	{"isd/725300-2016.isdlite.gz", hours(-6), ISDLite, 8782, 0, 0, false},
	{"isd/725300-2017.isdlite.gz", hours(-6), ISDLite, 8759, 0, 0, false},
	{"isd/725300-2017_epw_violations.isdlite.gz", hours(-6), ISDLite, 8759, 13, 0, false},
	{"isd/722874-93134-2007.isd.gz", hours(-8), ISD, 8759, 0, 0, false},
	{"isd/720534-00161-2025-partial.isd.gz", hours(-7), ISD, 847, 0, 1695, false},
	{"isd/00702699999-2017-global-hourly.csv.gz", hours(0), GlobalHourly, 1804, 0, 5039, false},
	{"lcd/JFK_94789_LCDv1_2010-2018.csv.gz", hours(-5), LCD1, 75072, 1, 11, false},
}

func TestRealFiles(t *testing.T) {
	for _, c := range real {
		t.Run(c.name, func(t *testing.T) {
			r, err := readFiles(context.Background(), []string{station(t, c.name)}, Options{UTCOffset: c.offset})
			if err != nil {
				t.Fatal(err)
			}
			s := r.Sources[0]
			t.Logf("%s %s: %d lines, %d kept, %d duplicates, %d other reports, %d suspect, %d bad; %v; %v to %v; missing %+v\n%q\n%q",
				s.Format, s.Packed, s.Lines, s.Kept, s.Duplicates, s.OtherReports, s.Suspect, s.BadLines, s.SourceYears,
				r.Span().First, r.Span().Last, r.Missing(), s.Notes, r.Warnings)
			if list := r.Complaints(); list != nil {
				t.Log(list)
			}
			if s.Format != c.format || r.Typical != c.typical {
				t.Errorf("recognized as %s, typical %v", s.Format, r.Typical)
			}
			if s.Kept != c.kept || s.BadLines != c.bad || s.Duplicates != c.duplicates || s.Kept != len(r.Hours) {
				t.Errorf("kept %d, bad %d, duplicates %d; want %d, %d, %d", s.Kept, s.BadLines, s.Duplicates, c.kept, c.bad, c.duplicates)
			}
		})
	}
}
