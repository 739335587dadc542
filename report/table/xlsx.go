package table

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// longestCell is what a worksheet's cell can hold less room for the mark of a
// cut: excelize cuts silently at 32,767 characters.
const longestCell = 32000

// WriteXLSX writes a workbook: a first sheet that says what the others were made
// from, then the sheets, with real numbers and dates and a header that stays in
// view. Text is never a formula; sums are.
func WriteXLSX(w io.Writer, stamp view.Stamp, sheets ...*Sheet) error {
	f := excelize.NewFile()
	defer f.Close()
	made := stamp.On.String() + "T00:00:00Z"
	if err := f.SetDocProps(&excelize.DocProperties{Creator: "emberquilt", Created: made, Modified: made, LastModifiedBy: "emberquilt", Language: "en"}); err != nil {
		return fmt.Errorf("write the workbook: %w", err)
	}
	styles, err := newStyles(f)
	if err != nil {
		return fmt.Errorf("write the workbook: %w", err)
	}
	about := &Sheet{Name: "about", Header: []string{"what", "value"}, Rows: [][]any{{"property", stamp.Property}, {"place", stamp.Place}, {"date", stamp.On},
		{"data", stamp.Change()}, {"program", stamp.Program}}}
	if stamp.AsOf != "" {
		about.Rows = append(about.Rows, []any{"as of", stamp.AsOf})
	}
	for _, caution := range view.Cautions() {
		about.Rows = append(about.Rows, []any{"caution", caution})
	}
	if err := f.SetSheetName("Sheet1", about.Name); err != nil {
		return fmt.Errorf("write the workbook: %w", err)
	}
	for i, s := range append([]*Sheet{about}, sheets...) {
		if i > 0 {
			if _, err := f.NewSheet(s.Name); err != nil {
				return fmt.Errorf("write sheet %s: %w", s.Name, err)
			}
		}
		if err := s.stream(f, styles); err != nil {
			return fmt.Errorf("write sheet %s: %w", s.Name, err)
		}
	}
	var b bytes.Buffer
	if _, err := f.WriteTo(&b); err != nil {
		return fmt.Errorf("write the workbook: %w", err)
	}
	return repack(w, b.Bytes())
}

// repack writes the parts of a workbook in the order of their names: excelize
// takes them from a map, and two runs would differ. The content types come
// first, as readers expect.
func repack(w io.Writer, workbook []byte) error {
	in, err := zip.NewReader(bytes.NewReader(workbook), int64(len(workbook)))
	if err != nil {
		return fmt.Errorf("repack the workbook: %w", err)
	}
	const first = "[Content_Types].xml"
	slices.SortFunc(in.File, func(a, b *zip.File) int {
		switch {
		case a.Name == b.Name:
			return 0
		case a.Name == first:
			return -1
		case b.Name == first:
			return 1
		}
		return strings.Compare(a.Name, b.Name)
	})
	out := zip.NewWriter(w)
	for _, file := range in.File {
		part, err := file.Open()
		if err != nil {
			return fmt.Errorf("repack %s: %w", file.Name, err)
		}
		to, err := out.Create(file.Name) // without a time of change
		if err == nil {
			_, err = io.Copy(to, part)
		}
		part.Close()
		if err != nil {
			return fmt.Errorf("repack %s: %w", file.Name, err)
		}
	}
	if err := out.Close(); err != nil {
		return fmt.Errorf("repack the workbook: %w", err)
	}
	return nil
}

// cellStyles are the ids of the number formats.
type cellStyles struct{ head, midHead, text, midText, acres, money, number, whole, midWhole, day int }

func newStyles(f *excelize.File) (s cellStyles, err error) {
	for _, one := range []struct {
		id     *int
		format string
		across string
		bold   bool
	}{{&s.head, "", "", true}, {&s.midHead, "", "center", true}, {&s.text, "@", "", false}, {&s.midText, "@", "center", false}, {&s.acres, "#,##0.0", "", false}, {&s.money, "$#,##0.00", "", false},
		{&s.number, "#,##0.0##", "", false}, {&s.whole, "0", "", false}, {&s.midWhole, "0", "center", false}, {&s.day, "yyyy-mm-dd", "", false}} {
		style := &excelize.Style{Alignment: &excelize.Alignment{Vertical: "top", Horizontal: one.across, WrapText: one.id == &s.text}}
		if one.format != "" {
			style.CustomNumFmt = &one.format
		}
		if one.bold {
			style.Font = &excelize.Font{Bold: true}
			style.Border = []excelize.Border{{Type: "bottom", Style: 1, Color: "26231D"}}
			style.Alignment = &excelize.Alignment{Vertical: "center", Horizontal: one.across}
		}
		if *one.id, err = f.NewStyle(style); err != nil {
			return s, err
		}
	}
	return s, nil
}

func (s *Sheet) stream(f *excelize.File, styles cellStyles) error {
	widths := s.widths()
	if err := s.layOut(f, widths); err != nil {
		return err
	}
	out, err := f.NewStreamWriter(s.Name)
	if err != nil {
		return err
	}
	for i, width := range widths {
		if width == 0 { // it holds nothing
			err = out.SetColVisible(i+1, i+1, false)
		} else {
			err = out.SetColWidth(i+1, i+1, width)
		}
		if err != nil {
			return err
		}
	}
	if err := out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft", Selection: []excelize.Selection{{SQRef: "A2", ActiveCell: "A2", Pane: "bottomLeft"}}}); err != nil {
		return err
	}
	head := make([]any, len(s.Header))
	for i, text := range s.Header {
		head[i] = excelize.Cell{StyleID: styles.head, Value: strings.ReplaceAll(text, "_", " ")}
		if s.centered > 0 && i >= s.centered {
			head[i] = excelize.Cell{StyleID: styles.midHead, Value: strings.ReplaceAll(text, "_", " ")}
		}
	}
	if err := out.SetRow("A1", head); err != nil {
		return err
	}
	row := make([]any, len(s.Header))
	for i, values := range s.Rows {
		for c := range row {
			row[c] = styles.cell(values[c])
			if s.centered > 0 && c >= s.centered {
				row[c] = styles.middle(values[c], row[c])
			}
		}
		if err := out.SetRow(fmt.Sprintf("A%d", i+2), row, excelize.RowOpts{Height: heightOf(values, widths)}); err != nil {
			return err
		}
	}
	return out.Flush()
}

// middle puts a letter or a whole number in the middle of its column, and leaves what
// else stands there, such as a sum.
func (s cellStyles) middle(v, cell any) any {
	made, ok := cell.(excelize.Cell)
	switch v.(type) {
	case string:
		made.StyleID = s.midText
	case int:
		made.StyleID = s.midWhole
	default:
		return cell
	}
	if !ok {
		return cell
	}
	return made
}

// What a letter page across holds: so many characters side by side at full size, and so
// many lines, within margins of half an inch.
const (
	paperLetter   = 1
	paperColumns  = 125.0
	paperLines    = 34.0
	smallestScale = 0.6
	margin        = 0.5
	lineHeight    = 15.0 // of a row of one line, in points
)

// layOut sets how a sheet is printed: across, with its header on every page and, where it
// needs several pages side by side to stay legible, its first column too.
func (s *Sheet) layOut(f *excelize.File, widths []float64) error {
	wide := 0.0
	for _, width := range widths {
		wide += width
	}
	across := max(1, int(math.Ceil(wide*smallestScale/paperColumns)))
	titles := "'" + s.Name + "'!$1:$1"
	if across > 1 {
		titles = "'" + s.Name + "'!$A:$A," + titles
	}
	// A last page of a few lines is saved by setting the others a little smaller. What one
	// page holds, or nearly does, is held to it: programs break columns in their own ways.
	down, lines := 0, 1.0
	for _, values := range s.Rows {
		lines += max(lineHeight, heightOf(values, widths)) / lineHeight
	}
	pages := lines / (paperLines / min(1, float64(across)*paperColumns/wide))
	if full := max(1, math.Floor(pages)); pages-full < 0.2 {
		down = int(full)
	}
	landscape, paper, fit, edge := "landscape", paperLetter, true, margin
	if err := f.SetSheetProps(s.Name, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	if err := f.SetPageLayout(s.Name, &excelize.PageLayoutOptions{Size: &paper, Orientation: &landscape, FitToWidth: &across, FitToHeight: &down}); err != nil {
		return err
	}
	if err := f.SetPageMargins(s.Name, &excelize.PageLayoutMarginsOptions{Left: &edge, Right: &edge, Top: &edge, Bottom: &edge, Header: new(float64), Footer: new(float64)}); err != nil {
		return err
	}
	last, err := excelize.ColumnNumberToName(len(s.Header))
	if err != nil {
		return err
	}
	area := fmt.Sprintf("'%s'!$A$1:$%s$%d", s.Name, last, len(s.Rows)+1)
	for _, name := range []excelize.DefinedName{{Name: "_xlnm.Print_Area", RefersTo: area, Scope: s.Name}, {Name: "_xlnm.Print_Titles", RefersTo: titles, Scope: s.Name}} {
		if err := f.SetDefinedName(&name); err != nil {
			return err
		}
	}
	return nil
}

// total is a sum that a workbook computes anew: a formula, and its value now. No text
// of a user stands in it.
type total struct {
	formula string
	value   any
}

// cell gives a value its kind and format; nil stays an empty cell.
func (s cellStyles) cell(v any) any {
	switch v := v.(type) {
	case nil:
		return nil
	case string:
		if v == "" {
			return nil
		}
		return excelize.Cell{StyleID: s.text, Value: view.Cut(view.Plain(v), longestCell)}
	case total:
		cell := s.cell(v.value).(excelize.Cell)
		cell.Formula = v.formula
		return cell
	case quantity.Acres:
		return excelize.Cell{StyleID: s.acres, Value: float64(v)}
	case quantity.Cents:
		return excelize.Cell{StyleID: s.money, Value: float64(v) / 100}
	case float64:
		return excelize.Cell{StyleID: s.number, Value: v}
	case *float64:
		if v == nil {
			return nil
		}
		return excelize.Cell{StyleID: s.number, Value: *v}
	case int:
		return excelize.Cell{StyleID: s.whole, Value: v}
	case date.ProgramYear:
		return excelize.Cell{StyleID: s.whole, Value: int(v)}
	case date.FiscalYear:
		return excelize.Cell{StyleID: s.whole, Value: int(v)}
	case date.Day:
		if v.IsZero() {
			return nil
		}
		return excelize.Cell{StyleID: s.day, Value: v.Time()}
	case bool:
		return excelize.Cell{StyleID: s.text, Value: csvCell(v)}
	}
	panic("table: a cell of a kind that no sheet has")
}

// heightOf is the height of a row in points whose longest text goes on over some lines; 0
// for that of one line. More than the highest row that programs take is cut.
func heightOf(values []any, widths []float64) float64 {
	lines := 1.0
	for c, value := range values {
		if text, ok := value.(string); ok && widths[c] > 0 {
			lines = max(lines, math.Ceil((1.2*float64(len([]rune(text)))+2)/widths[c]))
		}
	}
	if lines == 1 {
		return 0
	}
	return min(409, lineHeight*lines)
}

// widths fits columns to what stands in them, between 9 and 80 characters; longer text
// goes on below. A column that holds nothing has none and is hidden.
func (s *Sheet) widths() []float64 {
	widths := make([]float64, len(s.Header))
	for c, head := range s.Header {
		longest := 0
		for i, row := range s.Rows {
			if i >= 200 && longest > 0 {
				break // enough to know
			}
			value := row[c]
			if sum, ok := value.(total); ok {
				value = sum.value
			}
			text := csvCell(value)
			if money, ok := value.(quantity.Cents); ok {
				text = money.String()
			}
			longest = max(longest, len([]rune(text)))
		}
		if longest > 0 || len(s.Rows) == 0 {
			widths[c] = min(80, max(9, 1.2*float64(max(longest, len([]rune(head))))+2))
		}
	}
	return widths
}
