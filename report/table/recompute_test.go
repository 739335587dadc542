package table

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/big"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

// figures are those of one packet as a reader found them, all in decimals: a row for
// each line of the schedule, each fiscal year and each sum.
type figures struct{ Schedule, Years, Practices [][]string }

// columns are the figures of the sheets, by the heads of a workbook.
var (
	scheduleColumns = []string{"line", "planned", "applied", "applied later", "applied earlier", "over", "remaining"}
	yearColumns     = []string{"fiscal year", "planned", "applied in year"}
	sumColumns      = []string{"planned", "credited", "remaining", "planned to date", "behind to date", "ahead to date",
		"planned this year", "credited this year", "remaining this year", "applied", "over"}
	clientColumns = []string{"line", "planned", "done", "behind"}
)

// TestWorkbooksAgainstDecimals holds every figure of the workbooks of random clients'
// packets, of their CSV and of the supervisor's workbook of them all against the script in
// exact decimals. Two programs of other people read the workbooks: openpyxl, and
// Gnumeric's ssconvert, which computes them anew and writes the raw values of the cells.
// EMBERQUILT_CLIENTS is how many clients there are.
func TestWorkbooksAgainstDecimals(t *testing.T) {
	const seed = 20
	count := 3
	if n, err := strconv.Atoi(os.Getenv("EMBERQUILT_CLIENTS")); err == nil {
		count = n
	}
	r := rand.New(rand.NewPCG(seed, 0))
	var inputs []*view.PacketInput
	for i := range count {
		in := sample.RandomPacket(r)
		in.Property.Name = fmt.Sprintf("Client %d", i)
		inputs = append(inputs, in)
	}
	asked := sample.Question(inputs)
	var want []figures
	var all clientFigures
	for i, answer := range sample.Recompute(t, "../view/testdata/recompute.py", asked) {
		want = append(want, figuresOf(&answer))
		all.add(inputs[i].Property.Name, asked[i], &answer)
	}
	folder := t.TempDir()
	paths, others := packetFiles(t, folder, inputs, want)
	supervisor := filepath.Join(folder, "supervisor.xlsx")
	writeSupervisor(t, supervisor, inputs)
	paths = append(paths, supervisor)
	// The control: a figure that was altered in the workbook of one packet, and one in
	// the supervisor's, each a hundred-thousandth.
	for i, altered := range []struct{ from, sheet, cell string }{{others[0], "schedule", cellOf(t, others[0], "schedule", "remaining")}, {supervisor, "lines", cellOf(t, supervisor, "lines", "done")}} {
		path := filepath.Join(folder, fmt.Sprintf("altered-%d.xlsx", i))
		alter(t, altered.from, path, altered.sheet, altered.cell)
		paths = append(paths, path)
	}

	read := 0
	for name, books := range map[string][]map[string][][]string{"openpyxl": byOpenpyxl(t, paths), "gnumeric": byGnumeric(t, paths)} {
		if books == nil {
			continue
		}
		read++
		numbers := 0
		for i := range inputs {
			got := figuresIn(t, books[i])
			if !reflect.DeepEqual(got, want[i]) {
				t.Fatalf("seed %d, client %d, by %s:\n%v\nwant\n%v", seed, i, name, got, want[i])
			}
			numbers += len(got.Schedule)*6 + len(got.Years)*2 + len(got.Practices)*len(sumColumns)
		}
		if got := clientsIn(t, books[count]); !reflect.DeepEqual(got, all) {
			t.Fatalf("seed %d, the supervisor's workbook, by %s:\n%v\nwant\n%v", seed, name, got, all)
		}
		numbers += len(all.lines)*3 + len(all.sums)*len(sumColumns)
		if got := figuresIn(t, books[count+1]); reflect.DeepEqual(got, want[0]) {
			t.Errorf("%s does not find the altered figure of a packet", name)
		}
		if got := clientsIn(t, books[count+2]); reflect.DeepEqual(got, all) {
			t.Errorf("%s does not find the altered figure of the supervisor's workbook", name)
		}
		t.Logf("%s: %d figures of %d clients", name, numbers, count)
	}
	if read == 0 {
		t.Skip("neither python3-openpyxl nor gnumeric is here: no workbook is read back")
	}
}

// figuresOf gives what a packet should say.
func figuresOf(answer *sample.Recomputed) (f figures) {
	f.Schedule, f.Years = texts(answer.Rows), texts(answer.Years)
	var sums []string
	for _, name := range sumColumns {
		sums = append(sums, answer.Sums[strings.ReplaceAll(name, " ", "_")])
	}
	f.Practices = [][]string{sums}
	return f
}

func texts(rows [][]any) (all [][]string) {
	for _, row := range rows {
		cells := []string{strconv.FormatFloat(row[0].(float64), 'f', -1, 64)}
		for _, cell := range row[1:] {
			cells = append(cells, cell.(string))
		}
		all = append(all, cells)
	}
	return all
}

// clientFigures are those of the supervisor's workbook: for each client, in order of
// their names, the lines of its contract and its sums.
type clientFigures struct{ lines, sums [][]string }

// add takes a client's figures from the answer: done is all that is credited to a line,
// behind what remains of it when its last year is over.
func (f *clientFigures) add(name string, asked map[string]any, answer *sample.Recomputed) {
	last := map[int]int{}
	for _, l := range asked["lines"].([]map[string]any) {
		last[l["line"].(int)] = max(l["year"].(int), int(reflect.ValueOf(l["until"]).Int()))
	}
	for _, row := range texts(answer.Rows) {
		number, _ := strconv.Atoi(row[0])
		behind := "0"
		if last[number] < asked["now"].(int) {
			behind = row[6]
		}
		f.lines = append(f.lines, []string{name, row[0], row[1], sumOf(row[2:5]...), behind})
	}
	f.sums = append(f.sums, append([]string{name}, figuresOf(answer).Practices[0]...))
}

// sumOf adds decimals by rational arithmetic.
func sumOf(decimals ...string) string {
	sum := new(big.Rat)
	for _, text := range decimals {
		v, ok := new(big.Rat).SetString(text)
		if !ok {
			panic("not decimals: " + text)
		}
		sum.Add(sum, v)
	}
	text := sum.FloatString(9)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

// packetFiles writes the workbook of each packet and reads its CSV, whose figures must be
// those wanted. It gives the paths twice: the first list is to be added to.
func packetFiles(t *testing.T, folder string, inputs []*view.PacketInput, want []figures) (paths, same []string) {
	t.Helper()
	for i, in := range inputs {
		v := view.NewPacket(in)
		var b bytes.Buffer
		if err := WriteXLSX(&b, v.Stamp, PacketSheets(v)...); err != nil {
			t.Fatal(err)
		}
		paths = append(paths, filepath.Join(folder, fmt.Sprintf("client-%d.xlsx", i)))
		if err := os.WriteFile(paths[i], b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		b.Reset()
		if err := ScheduleSheet(v).WriteCSV(&b); err != nil {
			t.Fatal(err)
		}
		lines, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for c := range lines[0] {
			lines[0][c] = strings.ReplaceAll(lines[0][c], "_", " ")
		}
		if got := pick(t, lines, scheduleColumns); !reflect.DeepEqual(got, want[i].Schedule) {
			t.Fatalf("client %d, CSV:\n%v\nwant\n%v", i, got, want[i].Schedule)
		}
	}
	return paths, slices.Clone(paths)
}

// writeSupervisor writes the workbook of all clients, of the sheets that the command
// clients gives it.
func writeSupervisor(t *testing.T, path string, inputs []*view.PacketInput) {
	t.Helper()
	lines, sums := NewAllProperties("lines"), PacketSummary(nil)
	for _, in := range inputs {
		v := view.NewPacket(in)
		client := view.NewClient(&view.ClientInput{Stamp: in.Stamp, Property: in.Property, Packets: []*view.Packet{v}, Days: 90})
		lines.Add(in.Property.Name, in.Property.Name+".emberquilt", ClientLines(client))
		sums.Rows = append(sums.Rows, PacketSummary([]*view.Packet{v}).Rows...)
	}
	var b bytes.Buffer
	if err := WriteXLSX(&b, inputs[0].Stamp, lines.Sheet(), sums); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
}

// cellOf names the first cell of a column that holds more than nothing.
func cellOf(t *testing.T, path, sheet, column string) string {
	t.Helper()
	f, err := excelize.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	at := slices.Index(rows[0], column)
	for r, row := range rows[1:] {
		if at < len(row) && row[at] != "" && row[at] != "0" {
			name, _ := excelize.CoordinatesToCellName(at+1, r+2)
			return name
		}
	}
	t.Fatalf("%s: no figure below %s of %s", path, column, sheet)
	return ""
}

// alter copies a workbook with a hundred-thousandth more in one cell.
func alter(t *testing.T, from, to, sheet, cell string) {
	t.Helper()
	f, err := excelize.OpenFile(from)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	text, err := f.GetCellValue(sheet, cell, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	value, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.SetCellFloat(sheet, cell, value+0.00001, 6, 64); err != nil {
		t.Fatal(err)
	}
	if err := f.SaveAs(to); err != nil {
		t.Fatal(err)
	}
}

// byOpenpyxl reads all workbooks in one process of Python; nil where it cannot.
func byOpenpyxl(t *testing.T, paths []string) (books []map[string][][]string) {
	t.Helper()
	if exec.Command("/usr/bin/python3", "-c", "import openpyxl").Run() != nil {
		t.Log("python3-openpyxl is missing")
		return nil
	}
	out, err := exec.Command("/usr/bin/python3", append([]string{"testdata/workbooks.py"}, paths...)...).Output()
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(out, &books); err != nil || len(books) != len(paths) {
		t.Fatalf("%d workbooks, %v", len(books), err)
	}
	return books
}

// byGnumeric computes each workbook anew with ssconvert and reads the raw values of its
// cells; nil where it is missing.
func byGnumeric(t *testing.T, paths []string) (books []map[string][][]string) {
	t.Helper()
	program, err := exec.LookPath("ssconvert")
	if err != nil {
		t.Log("ssconvert of Gnumeric is missing:", err)
		return nil
	}
	for _, path := range paths {
		out := strings.TrimSuffix(path, ".xlsx") + ".%s.csv"
		text, err := exec.Command(program, "--recalc", "-S", "--export-type=Gnumeric_stf:stf_assistant", "-O", "separator=, format=raw", path, out).CombinedOutput()
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		book := map[string][][]string{}
		for _, sheet := range []string{"schedule", "fiscal years", "practices", "lines", "summary"} {
			file, err := os.ReadFile(strings.ReplaceAll(out, "%s", sheet))
			if os.IsNotExist(err) {
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			rows, err := csv.NewReader(bytes.NewReader(file)).ReadAll()
			if err != nil {
				t.Fatalf("%s of %s: %v", sheet, path, err)
			}
			book[sheet] = rows
		}
		books = append(books, book)
	}
	return books
}

// figuresIn picks the figures of a packet's workbook. Work that no line planned stands
// in rows without a line, and is in the sums.
func figuresIn(t *testing.T, book map[string][][]string) figures {
	t.Helper()
	return figures{pick(t, book["schedule"], scheduleColumns), pick(t, book["fiscal years"], yearColumns), pick(t, book["practices"], sumColumns)}
}

// clientsIn picks the figures of the supervisor's workbook.
func clientsIn(t *testing.T, book map[string][][]string) clientFigures {
	t.Helper()
	return clientFigures{pick(t, book["lines"], append([]string{"property"}, clientColumns...)), pick(t, book["summary"], append([]string{"property"}, sumColumns...))}
}

// pick gives the columns of a sheet, of the rows whose first of them is not empty.
func pick(t *testing.T, rows [][]string, columns []string) (all [][]string) {
	t.Helper()
	if len(rows) == 0 {
		t.Fatalf("no sheet with %q", columns)
	}
	for _, row := range rows[1:] {
		var cells []string
		for _, name := range columns {
			at := slices.Index(rows[0], name)
			if at < 0 || at >= len(row) {
				t.Fatalf("no column %q in %q", name, rows[0])
			}
			cells = append(cells, shortest(row[at]))
		}
		if cells[0] != "" {
			all = append(all, cells)
		}
	}
	return all
}

// shortest gives a number as the shortest decimals that are read back as it: Gnumeric
// writes 17 digits. Other text stays.
func shortest(text string) string {
	if v, err := strconv.ParseFloat(text, 64); err == nil {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return text
}
