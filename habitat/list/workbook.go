package list

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/source"
)

const acceptsWorkbook = "an .xlsx workbook with a table whose first row is a header"

// isWorkbook reports whether data are an .xlsx workbook. It is a zip file, as
// are packed shapefiles.
func isWorkbook(data []byte) bool {
	if !bytes.HasPrefix(data, []byte("PK\x03\x04")) {
		return false
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return false
	}
	for _, f := range z.File {
		if strings.EqualFold(f.Name, "xl/workbook.xml") {
			return true
		}
	}
	return false
}

// oldWorkbook is how the workbooks before .xlsx begin: a compound file of
// Microsoft's [MS-CFB], section 2.2.
var oldWorkbook = []byte{0xd0, 0xcf, 0x11, 0xe0}

// readWorkbook reads the sheet of a workbook that the options name, or the first
// whose header fits a list.
func readWorkbook(data []byte, file string, opts *Options, faults *source.List) (s *sheet, notes []ground.Note) {
	at := source.Position{File: file}
	// The library is sound on good files; on damaged ones nobody has proved it.
	defer func() {
		if recover() != nil {
			faults.Addf(at, acceptsWorkbook, "the workbook is damaged")
			s = nil
		}
	}()
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{RawCellValue: true, UnzipSizeLimit: source.MaxTextBytes, UnzipXMLSizeLimit: source.MaxTextBytes})
	if err != nil {
		faults.Addf(at, acceptsWorkbook, "the workbook cannot be read (%v)", err)
		return nil, nil
	}
	defer f.Close()
	var fitting []string
	for _, name := range f.GetSheetList() {
		if opts.Sheet != "" && !strings.EqualFold(name, opts.Sheet) {
			continue
		}
		header, err := firstRow(f, name)
		if err != nil {
			faults.Addf(at, acceptsWorkbook, "sheet %s cannot be read (%v)", source.Quote(name), err)
			return nil, nil
		}
		if opts.Sheet != "" || opts.Kind != "" && len(header) > 1 || fits(header, opts) {
			fitting = append(fitting, name)
		}
	}
	if len(fitting) == 0 {
		if opts.Sheet != "" {
			faults.Addf(source.Position{File: "--sheet"}, strings.Join(f.GetSheetList(), ", "), "%s has no sheet %s", file, source.Quote(opts.Sheet))
		} else {
			faults.Add(&source.Error{Position: at, Found: "no sheet's first row fits a list", Accepts: acceptsKinds(), Hint: "map foreign headers with --columns, or name the sheet with --sheet"})
		}
		return nil, nil
	}
	for _, other := range fitting[1:] {
		notes = append(
			notes,
			ground.Note{Position: at, Kind: ground.Dropped, Text: fmt.Sprintf("sheet %s was not read; it is read with --sheet %s", source.Quote(other), source.Quote(other))},
		)
	}
	return readSheet(f, fitting[0], file, faults), notes
}

// fits reports whether a header is that of a list.
func fits(header []string, opts *Options) bool {
	s := &sheet{header: header}
	s.name(opts, &source.List{})
	s.forgive(opts)
	kind, _ := kindOf(withSet(s.columns, opts.Set))
	return kind != ""
}

func firstRow(f *excelize.File, name string) ([]string, error) {
	rows, err := f.Rows(name)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		record, err := rows.Columns()
		if err != nil || !isBlank(record) {
			return trimmed(record), err
		}
	}
	return nil, rows.Error()
}

func readSheet(f *excelize.File, name, file string, faults *source.List) *sheet {
	s := &sheet{file: file, format: fmt.Sprintf("sheet %s of a workbook", source.Quote(name))}
	props, err := f.GetWorkbookProps()
	from1904 := err == nil && props.Date1904 != nil && *props.Date1904
	s.serial = func(days float64) (time.Time, bool) {
		t, err := excelize.ExcelDateToTime(days, from1904)
		return t, err == nil
	}
	rows, err := f.Rows(name)
	if err != nil {
		faults.Addf(source.Position{File: file}, acceptsWorkbook, "sheet %s cannot be read (%v)", source.Quote(name), err)
		return nil
	}
	defer rows.Close()
	for line := 1; rows.Next(); line++ {
		record, err := rows.Columns()
		if err != nil {
			faults.Addf(source.Position{File: file, Line: line}, acceptsWorkbook, "the row cannot be read (%v)", err)
			break
		}
		switch {
		case isBlank(record):
		case len(s.rows) == mostRows:
			faults.Errors = []*source.Error{tooLong(file, line)}
			return nil
		case len(record) > mostColumns:
			faults.Addf(source.Position{File: file, Line: line}, fmt.Sprintf("up to %d columns", mostColumns), "the row has %d cells", len(record))
			return nil
		case s.header == nil:
			s.header, s.headerLine = trimmed(record), line
		case len(record) > len(s.header) && !isBlank(record[len(s.header):]):
			faults.Add(s.widthFault(record, line, false))
		default:
			// Empty cells at the end of a row are not there.
			values := make([]string, len(s.header))
			copy(values, record)
			s.rows = append(s.rows, row{line: line, values: values})
		}
	}
	if err := rows.Error(); err != nil {
		faults.Addf(source.Position{File: file}, acceptsWorkbook, "the workbook is damaged (%v)", err)
	}
	return s
}
