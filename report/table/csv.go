package table

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// Sheet is a table with typed cells: text, quantity.Acres, quantity.Cents,
// float64, int, bool, date.Day, date.ProgramYear, date.FiscalYear, or nil for an empty cell.
type Sheet struct {
	// Name is that of the sheet in a workbook.
	Name string
	// Header holds one key a column, with its unit where it has one.
	Header []string
	Rows   [][]any
	// keys counts the first columns, which name the row, where those after them are
	// of one kind and may stand below one another; else 0.
	keys int
	// centered is the first of the columns whose letters and numbers stand in the middle
	// of a workbook's column; 0 for none.
	centered int
	// key says below a table for people what its signs mean.
	key string
}

// Without gives a copy of the sheet that lacks columns.
func (s *Sheet) Without(columns ...string) *Sheet {
	rest := &Sheet{Name: s.Name, Rows: make([][]any, len(s.Rows)), keys: s.keys, key: s.key}
	for column, title := range s.Header {
		if slices.Contains(columns, title) {
			if column < s.keys {
				rest.keys--
			}
			continue
		}
		rest.Header = append(rest.Header, title)
		for i, row := range s.Rows {
			rest.Rows[i] = append(rest.Rows[i], row[column])
		}
	}
	return rest
}

// WriteCSV writes the sheet with a header row and CR LF line ends.
func (s *Sheet) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if err := out.Write(s.Header); err != nil {
		return err
	}
	record := make([]string, len(s.Header))
	for _, row := range s.Rows {
		for i := range record {
			record[i] = csvCell(row[i])
		}
		if err := out.Write(record); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// csvCell prints a value so that a spreadsheet reads it as what it is.
func csvCell(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case string:
		return inert(v)
	case total:
		return csvCell(v.value)
	case quantity.Acres:
		return number(float64(v))
	case quantity.Cents:
		return strconv.FormatFloat(float64(v)/100, 'f', 2, 64)
	case float64:
		return number(v)
	case *float64:
		if v == nil {
			return ""
		}
		return number(*v)
	case int:
		return strconv.Itoa(v)
	case date.ProgramYear:
		return strconv.Itoa(int(v))
	case date.FiscalYear:
		return strconv.Itoa(int(v))
	case date.Day:
		return v.String()
	case bool:
		if v {
			return "yes"
		}
		return "no"
	}
	panic("table: a cell of a kind that no sheet has")
}

// number prints at most six decimals: sums of decimal acres carry dust beyond.
func number(v float64) string {
	text := strconv.FormatFloat(v, 'f', 6, 64)
	text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

// inert puts an apostrophe before text that a spreadsheet would take for a
// formula: its first character after blanks is one of = + - @, in full width
// too, or a tab or carriage return stands in front.
func inert(text string) string {
	for _, r := range text {
		switch r {
		case '=', '+', '-', '@', '＝', '＋', '－', '＠', '\t', '\r':
			return "'" + text
		}
		if !unicode.IsSpace(r) && !unicode.Is(unicode.Cf, r) {
			return text
		}
	}
	return text
}
