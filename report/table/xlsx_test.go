package table

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

func workbook(t testing.TB, plan *view.Plan) []byte {
	t.Helper()
	v, err := view.NewProgram(plan)
	if err != nil {
		t.Fatal(err)
	}
	packet := view.NewPacket(sample.Packet())
	sheets := append([]*Sheet{GridSheet(v), ProgramSheet(v), UnitsSheet(plan.Units), RecordsSheet(&plan.Property, plan.Records)}, PacketSheets(packet)...)
	var b bytes.Buffer
	if err := WriteXLSX(&b, v.Stamp, sheets...); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestWorkbookIsStable(t *testing.T) {
	if !bytes.Equal(workbook(t, sample.Terrace()), workbook(t, sample.Terrace())) {
		t.Error("two runs give different bytes")
	}
}

// isTotal is what a sum of the grid looks like: no text of a user stands in it.
var isTotal = regexp.MustCompile(`^(\+?(SUM|COUNT)IF\(\$[A-Z]+\$2:\$[A-Z]+\$\d+,"(\p{L}|S\d+|✓)"(,\$[BC]\$2:\$[BC]\$\d+)?\))+$`)

// TestGridTotals computes the grid's formulas with excelize, and with Gnumeric where it
// is installed, and holds them against the view.
func TestGridTotals(t *testing.T) {
	v, err := view.NewProgram(sample.Terrace())
	if err != nil {
		t.Fatal(err)
	}
	// One that rests burned outside the seasons.
	var outsideAcres float64
	for i := range v.Units {
		if u := &v.Units[i]; u.Cells[0].Counts == "" {
			u.Cells[0].Counts, outsideAcres = view.OutsideSeasons, float64(u.Acres)
			v.ByYear[0].Burned, v.ByYear[0].Burns, v.ByYear[0].Cost = v.ByYear[0].Burned+u.Acres, v.ByYear[0].Burns+1, v.ByYear[0].Cost+u.Cost
			break
		}
	}
	var b bytes.Buffer
	if err := WriteXLSX(&b, v.Stamp, GridSheet(v)); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	folder := t.TempDir()
	path := filepath.Join(folder, "grid.xlsx")
	if err := os.WriteFile(path, b.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	var outside [][]string
	if _, err := exec.LookPath("ssconvert"); err != nil {
		t.Log("ssconvert is not installed: Gnumeric does not compute the totals")
	} else {
		out := filepath.Join(folder, "sheet.csv")
		if text, err := exec.Command("ssconvert", "--recalc", "-S", path, filepath.Join(folder, "sheet-%s.csv")).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, text)
		}
		data, err := os.ReadFile(strings.Replace(out, "sheet.csv", "sheet-grid.csv", 1))
		if err != nil {
			t.Fatal(err)
		}
		if outside, err = csv.NewReader(bytes.NewReader(data)).ReadAll(); err != nil {
			t.Fatal(err)
		}
	}
	number := func(text string) float64 {
		n, err := strconv.ParseFloat(strings.NewReplacer(",", "", "$", "").Replace(text), 64)
		if err != nil {
			t.Errorf("%q is not a number", text)
		}
		return n
	}
	for year, row := range v.ByYear {
		for k, want := range []float64{float64(row.Burned), float64(row.Burns), float64(row.Cost) / 100, float64(row.Seasons[0].Acres)} {
			at, _ := excelize.CoordinatesToCellName(4+year, len(v.Units)+2+k)
			got, err := f.CalcCellValue("grid", at, excelize.Options{RawCellValue: true})
			if err != nil || math.Abs(number(got)-want) > 1e-6 {
				t.Errorf("%s is %s (%v), want %v", at, got, err, want)
			}
			if outside != nil {
				if got := number(outside[len(v.Units)+1+k][3+year]); math.Abs(got-want) > 0.051 {
					t.Errorf("Gnumeric: %s is %v, want %v", at, got, want)
				}
			}
		}
	}
	at, _ := excelize.CoordinatesToCellName(4, len(v.Units)+2+3+len(v.Seasons))
	if got, err := f.CalcCellValue("grid", at, excelize.Options{RawCellValue: true}); err != nil || outsideAcres == 0 || math.Abs(number(got)-outsideAcres) > 1e-6 {
		t.Errorf("outside the seasons: %s (%v), want %v", got, err, outsideAcres)
	}
	// A rest in place of a burn is summed anew.
	for i, u := range v.Units {
		if u.Cells[0].Burn {
			at, _ := excelize.CoordinatesToCellName(4, i+2)
			if err := f.SetCellValue("grid", at, 3); err != nil {
				t.Fatal(err)
			}
			sum, _ := excelize.CoordinatesToCellName(4, len(v.Units)+2)
			got, err := f.CalcCellValue("grid", sum, excelize.Options{RawCellValue: true})
			if want := float64(v.ByYear[0].Burned - u.Acres); err != nil || math.Abs(number(got)-want) > 1e-6 {
				t.Errorf("without %s the year burns %s acres (%v), want %v", u.ID, got, err, want)
			}
			return
		}
	}
	t.Error("no unit burns in the first year")
}

func TestWorkbookHasNoFormula(t *testing.T) {
	f, err := excelize.OpenReader(bytes.NewReader(workbook(t, sample.Hostile())))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	cells := 0
	for _, name := range f.GetSheetList() {
		rows, err := f.GetRows(name)
		if err != nil {
			t.Fatal(err)
		}
		for r, row := range rows {
			for c := range row {
				at, _ := excelize.CoordinatesToCellName(c+1, r+1)
				if formula, _ := f.GetCellFormula(name, at); formula != "" && !isTotal.MatchString(formula) {
					t.Errorf("%s!%s holds the formula %q", name, at, formula)
				}
				cells++
			}
		}
		panes, err := f.GetPanes(name)
		if err != nil || !panes.Freeze || panes.YSplit != 1 {
			t.Errorf("%s: the header is not frozen: %+v, %v", name, panes, err)
		}
	}
	if cells < 1000 {
		t.Errorf("only %d cells were looked at", cells)
	}
}

// openpyxl reads kinds of cells and adds the schedule up; what it finds must be
// numbers and dates, and its sums those of the view.
const readWorkbook = `
import json, sys, openpyxl
book = openpyxl.load_workbook(sys.argv[1])
sheet = book["schedule"]
rows = list(sheet.iter_rows(values_only=True))
head = list(rows[0])
col = lambda name: head.index(name)
kinds = {name: sorted({type(r[col(name)]).__name__ for r in rows[1:] if r[col(name)] is not None}) for name in ("fiscal year", "unit", "planned", "done on")}
print(json.dumps({"sheets": book.sheetnames, "kinds": kinds, "frozen": sheet.freeze_panes,
  "planned": sum(r[col("planned")] for r in rows[1:]), "applied": sum(r[col("applied")] + r[col("applied later")] for r in rows[1:]),
  "remaining": sum(r[col("remaining")] for r in rows[1:])}))
`

func TestWorkbookReadByOthers(t *testing.T) {
	packet := view.NewPacket(sample.Packet())
	var planned, applied, remaining float64
	for _, r := range packet.Schedule {
		planned, applied, remaining = planned+r.Planned, applied+r.Applied+r.Late, remaining+r.Remaining
	}
	path := filepath.Join(t.TempDir(), "book.xlsx")
	if err := os.WriteFile(path, workbook(t, sample.Terrace()), 0o644); err != nil {
		t.Fatal(err)
	}
	read := 0
	if exec.Command("/usr/bin/python3", "-c", "import openpyxl").Run() == nil {
		read++
		out, err := exec.Command("/usr/bin/python3", "-c", readWorkbook, path).Output()
		if err != nil {
			t.Fatal(err)
		}
		var got struct {
			Sheets                      []string
			Kinds                       map[string][]string
			Frozen                      string
			Planned, Applied, Remaining float64
		}
		if err := json.Unmarshal(out, &got); err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Planned-planned)+math.Abs(got.Applied-applied)+math.Abs(got.Remaining-remaining) > 1e-9 {
			t.Errorf("openpyxl adds up %+v, the view %v, %v, %v", got, planned, applied, remaining)
		}
		for name, want := range map[string]string{"fiscal year": "int", "unit": "str", "done on": "datetime"} {
			if strings.Join(got.Kinds[name], " ") != want {
				t.Errorf("openpyxl reads %s as %q, want %s", name, got.Kinds[name], want)
			}
		}
		if got.Frozen != "A2" || len(got.Sheets) != 14 {
			t.Errorf("frozen at %q, sheets %q", got.Frozen, got.Sheets)
		}
	}
	if program, err := exec.LookPath("ssconvert"); err == nil {
		read++
		out := filepath.Join(t.TempDir(), "out.csv")
		if text, err := exec.Command(program, "--export-type=Gnumeric_stf:stf_csv", "--export-file-per-sheet", path, out+".%s").CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		file, err := os.Open(out + ".schedule")
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		lines, err := csv.NewReader(file).ReadAll()
		if err != nil || len(lines) != len(packet.Schedule)+1 {
			t.Errorf("gnumeric reads %d lines, %v", len(lines), err)
		}
		// Gnumeric prints cells in their formats: one decimal, thousands apart.
		sum, at := 0.0, slices.Index(lines[0], "planned")
		for _, line := range lines[1:] {
			v, err := strconv.ParseFloat(strings.ReplaceAll(line[at], ",", ""), 64)
			if err != nil {
				t.Fatal(err)
			}
			sum += v
		}
		if math.Abs(sum-planned) > 0.05*float64(len(lines)) {
			t.Errorf("gnumeric adds up %v acres and feet planned, the view %v", sum, planned)
		}
		if lines[1][0] != "2024" || lines[1][2] != "Gate One" || strings.ReplaceAll(lines[1][11], "/", "-") != "2024-03-14" {
			t.Errorf("gnumeric reads %q", lines[1])
		}
	}
	if read == 0 {
		t.Skip("neither python3-openpyxl nor gnumeric is here: the workbook is not read back")
	}
}

func TestCSVIsInert(t *testing.T) {
	for text, want := range map[string]string{
		"=1+1": "'=1+1", "+1": "'+1", "-1": "'-1", "@x": "'@x", "\t=1": "'\t=1", "\r=1": "'\r=1", "  =1": "'  =1", "＝1": "'＝1", "\u202e=1": "'\u202e=1", "'=1": "'=1", "a=1": "a=1", "": "", "12": "12",
	} {
		if got := inert(text); got != want {
			t.Errorf("%q became %q, want %q", text, got, want)
		}
	}
	if csvCell(-5.25) != "-5.25" || csvCell(-0.0000001) != "0" {
		t.Error("our own numbers are changed")
	}
	plan := sample.Hostile()
	for _, s := range []*Sheet{UnitsSheet(plan.Units), RecordsSheet(&plan.Property, plan.Records)} {
		var b bytes.Buffer
		if err := s.WriteCSV(&b); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(rows) != len(s.Rows)+1 {
			t.Fatalf("%s: %d rows read back, %v", s.Name, len(rows), err)
		}
		for _, row := range rows[1:] {
			for c, text := range row {
				if _, isText := s.Rows[0][c].(string); isText && text != "" && strings.ContainsAny(text[:1], "=+-@\t\r") {
					t.Errorf("%s: %q would be a formula", s.Name, text)
				}
			}
		}
	}
}

// No control character of a name reaches the terminal.
func TestTerminalIsSafe(t *testing.T) {
	plan := sample.Hostile()
	v, err := view.NewProgram(plan)
	if err != nil {
		t.Fatal(err)
	}
	due, err := view.NewDue(sample.Season(plan), 0, 2027)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := Program(&b, v, Options{}); err != nil {
		t.Fatal(err)
	}
	if err := Due(&b, due, Options{}); err != nil {
		t.Fatal(err)
	}
	if i := strings.IndexFunc(b.String(), func(r rune) bool {
		return r < 0x20 && r != '\n' || r >= 0x7f && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
	}); i >= 0 {
		t.Errorf("a control character at %q", b.String()[max(0, i-20):i+20])
	}
}

// TestWorkbookOnPaper holds that a sheet prints all of its columns that hold something,
// legibly: side by side on as many pages as that takes, without an almost empty last one.
func TestWorkbookOnPaper(t *testing.T) {
	wide := &Sheet{Name: "wide", Header: []string{"unit", "empty"}}
	row := []any{"Creek Patch", nil}
	for range 10 {
		wide.Header, row = append(wide.Header, "words"), append(row, strings.Repeat("word ", 30))
	}
	wide.Rows = [][]any{row}
	long := &Sheet{Name: "long", Header: []string{"unit"}}
	for range 35 {
		long.Rows = append(long.Rows, []any{"Creek Patch"})
	}
	// Rows of two lines fill a page twice as fast.
	tall := &Sheet{Name: "tall", Header: []string{"unit"}}
	for range 18 {
		tall.Rows = append(tall.Rows, []any{strings.Repeat("Creek ", 20)})
	}
	two := &Sheet{Name: "two", Header: []string{"unit"}}
	for range 50 {
		two.Rows = append(two.Rows, []any{"Creek Patch"})
	}
	var b bytes.Buffer
	if err := WriteXLSX(&b, view.Stamp{}, wide, long, tall, two); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	names := map[string]string{}
	for _, name := range f.GetDefinedName() {
		names[name.Scope+" "+name.Name] = name.RefersTo
	}
	// The forms of ECMA-376, part 1, 18.2.6: columns and rows that repeat, told by a comma.
	// Gnumeric 1.12.55 reads rows alone as a name and repeats none of them; it keeps its own
	// repeated rows in no workbook either.
	for name, want := range map[string]string{"wide _xlnm.Print_Area": "'wide'!$A$1:$L$2", "wide _xlnm.Print_Titles": "'wide'!$A:$A,'wide'!$1:$1", "long _xlnm.Print_Titles": "'long'!$1:$1"} {
		if names[name] != want {
			t.Errorf("%s is %q, want %q", name, names[name], want)
		}
	}
	if visible, err := f.GetColVisible("wide", "B"); err != nil || visible {
		t.Errorf("the empty column is visible: %v, %v", visible, err)
	}
	if height, err := f.GetRowHeight("wide", 2); err != nil || height < 45 {
		t.Errorf("text of 150 characters has a row of %v points, %v", height, err)
	}
	for sheet, want := range map[string][2]int{"wide": {4, 1}, "long": {1, 1}, "tall": {1, 1}, "two": {1, 0}} {
		layout, err := f.GetPageLayout(sheet)
		if err != nil || *layout.FitToWidth != want[0] || *layout.FitToHeight != want[1] {
			t.Errorf("%s is fitted to %d by %d pages, want %v (%v)", sheet, *layout.FitToWidth, *layout.FitToHeight, want, err)
		}
	}
}
