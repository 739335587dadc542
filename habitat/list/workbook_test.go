package list

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

// workbook makes a workbook of sheets, each a list of rows.
func workbook(t testing.TB, sheets map[string][][]any, order ...string) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for i, name := range order {
		if i == 0 {
			f.SetSheetName("Sheet1", name)
		} else if _, err := f.NewSheet(name); err != nil {
			t.Fatal(err)
		}
		for r, row := range sheets[name] {
			cell, _ := excelize.CoordinatesToCellName(1, r+1)
			if err := f.SetSheetRow(name, cell, &row); err != nil {
				t.Fatal(err)
			}
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestWorkbooksAreRead(t *testing.T) {
	data := workbook(t, map[string][][]any{
		"about": {{"what", "value"}, {"property", "Oak Hill"}},
		"burned": {{}, {"Unit", "Date", "Through", "Acres", "Start", "Notes", "Extra"},
			{"n1", date.MustDay(2026, 3, 1).Time(), "2026-03-02", 12.5, 0.4583333333, "=1+1", "x"}, {}, {"n2", 46082}},
		"units": {{"unit", "acres"}, {"n1", 41}},
	}, "about", "burned", "units")
	l, err := Read(context.Background(), data, "w.xlsx", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if l.Told != `burns, told by the columns unit and date; sheet "burned" of a workbook` || cmp.Diff([]string{"Extra"}, l.Ignored) != "" {
		t.Error(l.Told, l.Ignored)
	}
	if len(l.Notes) != 1 || !strings.Contains(l.Notes[0].Text, `sheet "units" was not read`) {
		t.Errorf("%v", l.Notes)
	}
	p := plan(t, property(t), l)
	want := []habitat.BurnRecord{
		{Unit: "n1", On: date.MustDay(2026, 3, 1), Through: date.MustDay(2026, 3, 2), Kind: habitat.Prescribed, Acres: 12.5, HasAcres: true, Start: "11:00", Notes: "=1+1"},
		{Unit: "n2", On: date.MustDay(2026, 3, 1), Through: date.MustDay(2026, 3, 1), Kind: habitat.Prescribed},
	}
	if diff := cmp.Diff(want, []habitat.BurnRecord{*p.Changes[0].Burn, *p.Changes[1].Burn}); diff != "" {
		t.Error(diff)
	}
	l, err = Read(context.Background(), data, "w.xlsx", Options{Sheet: "UNITS"})
	if err != nil || l.Kind != Units || l.Rows() != 1 {
		t.Errorf("%v %+v", err, l)
	}
}

func TestWorkbooksWithFaults(t *testing.T) {
	good := workbook(t, map[string][][]any{"burns": {{"note"}, {}, {}}, "x": {{"unit", "date"}, {"n1", "soon"}, {"n1", 1.5, 2, 3}}}, "burns", "x")
	for _, c := range []struct {
		name string
		data []byte
		opts Options
		want string
	}{
		{"row and column", good, Options{}, "w.xlsx:3: the row has 4 values; accepts 2 values, as many as the header has\nhint: put a value that holds a separator in double quotes; write numbers with a decimal point\n" + `w.xlsx:2:date: "soon" is not a date; accepts a date as YYYY-MM-DD`},
		{"no sheet fits", workbook(t, map[string][][]any{"a": {{"name", "size"}, {"n1", 4}}}, "a"), Options{}, "w.xlsx: no sheet's first row fits a list; accepts " + acceptsKinds() + "\nhint: map foreign headers with --columns, or name the sheet with --sheet"},
		{"no such sheet", good, Options{Sheet: "y"}, `--sheet: w.xlsx has no sheet "y"; accepts burns, x`},
		{"cut off", good[:len(good)/2], Options{}, "w.xlsx: "},
		{"old form", append([]byte{0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1}, make([]byte, 600)...), Options{}, "w.xlsx: is a workbook of an old form (.xls); accepts a list as CSV or .xlsx, or a file with shapes\nhint: save it as .xlsx or CSV"},
	} {
		_, err := Read(context.Background(), c.data, "w.xlsx", c.opts)
		if err == nil || err.Error() != c.want && !(len(c.want) < 10 && strings.HasPrefix(err.Error(), c.want)) {
			t.Errorf("%s:\n got %v\nwant %s", c.name, err, c.want)
		}
	}
}

// TestDamagedWorkbooksDoNotPanic alters a workbook in many places.
func TestDamagedWorkbooksDoNotPanic(t *testing.T) {
	good := workbook(t, map[string][][]any{"x": {{"unit", "date"}, {"n1", "2026-03-01"}}}, "x")
	for at := 0; at < len(good); at += 11 {
		bad := bytes.Clone(good)
		bad[at] ^= 0xff
		if _, err := Read(context.Background(), bad, "w.xlsx", Options{}); err != nil && !strings.Contains(err.Error(), "w.xlsx") {
			t.Errorf("byte %d: no place: %v", at, err)
		}
	}
}

// TestGnumericsWorkbooksAreReadAsItsTables turns tables to workbooks with
// ssconvert of Gnumeric, which shares nothing with the library that reads them,
// and expects to read the same.
func TestGnumericsWorkbooksAreReadAsItsTables(t *testing.T) {
	convert, err := exec.LookPath("ssconvert")
	if err != nil {
		t.Skip("ssconvert of Gnumeric is not installed")
	}
	for _, text := range []string{
		"unit,acres,min_interval,max_interval,seasons,cost,notes\nn3,38.5,2,3,dormant:0;early-growing:1,1150.25,\"a, b\"\nRío 草,0.1,1,1,,0,\n",
		"unit,date,through,kind,acres,start,end,rh_pct\nn1,2026-03-01,2026-03-02,wildfire,12.25,11:05,15:30,38.5\nn2,2025-12-31,,,,,,\n",
		"unit_a,unit_b,kind,shared_feet\nn1,n2,apart,120.5\n",
	} {
		dir := t.TempDir()
		from, to := filepath.Join(dir, "a.csv"), filepath.Join(dir, "a.xlsx")
		if err := os.WriteFile(from, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command(convert, from, to).CombinedOutput(); err != nil {
			t.Skipf("ssconvert does not run here: %v\n%s", err, out)
		}
		table, err := ReadFile(context.Background(), from, Options{})
		if err != nil {
			t.Fatal(err)
		}
		book, err := ReadFile(context.Background(), to, Options{})
		if err != nil {
			t.Fatal(err)
		}
		want, got := plan(t, property(t), table), plan(t, property(t), book)
		for i := range want.Changes {
			want.Changes[i].At.File, got.Changes[i].At.File = "", ""
		}
		if diff := cmp.Diff(want.Changes, got.Changes); diff != "" {
			t.Errorf("%q:\n%s", text, diff)
		}
	}
}
