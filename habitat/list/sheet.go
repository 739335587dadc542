package list

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// sheet is a table of texts, from CSV or from the attributes of features.
type sheet struct {
	file, format string
	// header holds the headers as they stand in the file.
	header []string
	// columns maps our names to indices of header.
	columns map[string]int
	rows    []row
	// headerLine is the line of the header; 0 where it has none.
	headerLine int
	// serial turns a workbook's number of a day into a time; nil for text.
	serial func(days float64) (time.Time, bool)
	// comma says that numbers may have a decimal comma: semicolons part the columns.
	comma bool
	// order is that of month and day where the dates themselves tell; empty where they
	// do not.
	order DateForm
	// meanings says what headers were taken for, firstMeant the first of ours.
	meanings   []string
	firstMeant string
	// notes say what was taken for what.
	notes []ground.Note
}

// row is one row of a sheet.
type row struct {
	line int
	// label names a row that has no line of its own, such as a feature.
	label string
	// values are as many as headers; absent ones are marked in none.
	values []string
	none   []bool
	// shape is the ground of a feature, nil in a table.
	feature *geofile.Feature
}

// at gives the position of a column of the row.
func (r *row) at(file, column string) source.Position {
	field := column
	if r.label != "" {
		field = strings.TrimSpace(r.label + " " + column)
	}
	return source.Position{File: file, Line: r.line, Field: field}
}

const acceptsCSV = "a CSV table in UTF-8 with a header row"

// readCSV reads a table with commas, semicolons or tabs.
func readCSV(data []byte, file string, faults *source.List) *sheet {
	data, decoded := source.Decode(data)
	text, err := source.Text(file, data, acceptsCSV)
	if err != nil {
		faults.Add(one(err))
		return nil
	}
	s := &sheet{file: file}
	if decoded != "" {
		s.say(0, "the file %s", decoded)
	}
	text = newLines(text)
	comma, name := separatorOf(text)
	s.comma = comma == ';'
	text = withoutSeparatorLine(text)
	s.format = "CSV with " + name
	if e := tooWide(text, byte(comma), file); e != nil {
		faults.Add(e)
		return nil
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.ReuseRecord = comma, -1, false
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			faults.Add(csvFault(err, file, text))
			break
		}
		line, _ := r.FieldPos(0)
		if s.header == nil {
			s.header, s.headerLine = trimmed(record), line
			s.rows = make([]row, 0, min(bytes.Count(text, []byte{'\n'}), mostRows))
			continue
		}
		if isBlank(record) {
			continue
		}
		if len(record) != len(s.header) {
			faults.Add(s.widthFault(record, line, isCut(text, r.InputOffset())))
			continue
		}
		if len(s.rows) == mostRows {
			faults.Errors = []*source.Error{tooLong(file, line)}
			return nil
		}
		s.rows = append(s.rows, row{line: line, values: record})
	}
	return s
}

// mostRows is how many rows a list may have: ten thousand units with ten burns each. What
// is more takes minutes and gigabytes.
const mostRows = 100_000

func tooLong(file string, line int) *source.Error {
	return &source.Error{
		Position: source.Position{File: file, Line: line},
		Found:    fmt.Sprintf("the list goes on past %s rows", quantity.Group(float64(mostRows), 0)),
		Accepts:  "up to so many in one file; burns in several files, one after the other",
	}
}

// isCut reports whether a row that ends at an offset is the last of a text that
// does not end its last line.
func isCut(text []byte, offset int64) bool {
	return int(offset) >= len(text) && !bytes.HasSuffix(text, []byte{'\n'})
}

func one(err error) *source.Error {
	var e *source.Error
	if errors.As(err, &e) {
		return e
	}
	return &source.Error{Found: err.Error()}
}

func trimmed(record []string) []string {
	for i := range record {
		record[i] = strings.TrimSpace(record[i])
	}
	return record
}

func isBlank(record []string) bool {
	return !slices.ContainsFunc(record, func(v string) bool { return strings.TrimSpace(v) != "" })
}

// newLines gives text whose lines end as old Macs ended them the ends of today.
func newLines(text []byte) []byte {
	if bytes.IndexByte(text, '\n') >= 0 {
		return text
	}
	return bytes.ReplaceAll(text, []byte{'\r'}, []byte{'\n'})
}

// separatorLine is the first line with which some spreadsheets say what parts
// their columns.
const separatorLine = "sep="

// withoutSeparatorLine empties that line; the others keep their numbers.
func withoutSeparatorLine(text []byte) []byte {
	if line, rest, ok := bytes.Cut(text, []byte{'\n'}); ok && isSeparatorLine(line) {
		return append([]byte{'\n'}, rest...)
	}
	return text
}

func isSeparatorLine(line []byte) bool {
	line = bytes.TrimRight(line, "\r")
	return len(line) == len(separatorLine)+1 && bytes.EqualFold(line[:len(separatorLine)], []byte(separatorLine))
}

// mostColumns is far above what a list has; more would only fill the memory.
const mostColumns = 2000

// tooWide refuses a text one of whose lines has too many separators outside quotes:
// a shape as text has thousands within them.
func tooWide(text []byte, comma byte, file string) *source.Error {
	number, isQuoted := 0, false
	for line := range bytes.Lines(text) {
		number++
		if bytes.Count(line, []byte{comma}) < mostColumns {
			isQuoted = isQuoted != (bytes.Count(line, []byte{'"'})%2 == 1)
			continue
		}
		n := 0
		for i, part := range bytes.Split(line, []byte{'"'}) {
			if i > 0 {
				isQuoted = !isQuoted
			}
			if !isQuoted {
				n += bytes.Count(part, []byte{comma})
			}
		}
		if n >= mostColumns {
			return &source.Error{
				Position: source.Position{File: file, Line: number},
				Found:    fmt.Sprintf("the line has %d values", n+1),
				Accepts:  fmt.Sprintf("up to %d columns", mostColumns),
			}
		}
	}
	return nil
}

var separators = []struct {
	rune
	name string
}{{',', "commas"}, {';', "semicolons"}, {'\t', "tabs"}, {'|', "bars"}}

// separatorOf finds what parts the columns: what the first line says, or what
// stands most often in the header.
func separatorOf(text []byte) (rune, string) {
	line, _, _ := bytes.Cut(text, []byte{'\n'})
	best, name, most := ',', "commas", 0
	for _, s := range separators {
		if isSeparatorLine(line) && rune(line[len(separatorLine)]) == s.rune {
			return s.rune, s.name
		}
		if n := countOutsideQuotes(line, byte(s.rune)); n > most {
			best, name, most = s.rune, s.name, n
		}
	}
	return best, name
}

func countOutsideQuotes(line []byte, separator byte) (count int) {
	inside := false
	for _, b := range line {
		if b == '"' {
			inside = !inside
		} else if b == separator && !inside {
			count++
		}
	}
	return count
}

func csvFault(err error, file string, text []byte) *source.Error {
	var parse *csv.ParseError
	if !errors.As(err, &parse) {
		return &source.Error{Position: source.Position{File: file}, Found: err.Error(), Accepts: acceptsCSV}
	}
	e := &source.Error{Position: source.Position{File: file, Line: parse.StartLine}, Accepts: `double quotes in pairs, and "" for a quote inside them`}
	if parse.Line > parse.StartLine || bytes.Count(text[lineOffset(text, parse.StartLine):], []byte{'"'})%2 == 1 {
		e.Found = "a double quote is opened and not closed where the value ends"
	} else {
		e.Found = fmt.Sprintf("a double quote stands in the middle of a value (column %d)", parse.Column)
	}
	return e
}

// lineOffset gives where a line begins.
func lineOffset(text []byte, line int) int {
	at := 0
	for range line - 1 {
		next := bytes.IndexByte(text[at:], '\n')
		if next < 0 {
			return at
		}
		at += next + 1
	}
	return at
}

func (s *sheet) widthFault(record []string, line int, cut bool) *source.Error {
	e := &source.Error{Position: source.Position{File: s.file, Line: line}, Accepts: fmt.Sprintf("%d values, as many as the header has", len(s.header))}
	e.Found = fmt.Sprintf("the row has %d values", len(record))
	switch {
	case len(record) < len(s.header) && cut:
		e.Hint = "the file may be cut off here"
	case len(record) > len(s.header):
		e.Hint = "put a value that holds a separator in double quotes; write numbers with a decimal point"
	}
	return e
}

// featureSheet takes the attributes of features as a table.
func featureSheet(layer *geofile.Layer) *sheet {
	s := &sheet{file: layer.File, format: layer.Format}
	index := map[string]int{}
	for i := range layer.Features {
		for _, a := range layer.Features[i].Attributes {
			if _, ok := index[a.Key]; !ok {
				index[a.Key] = len(s.header)
				s.header = append(s.header, a.Key)
			}
		}
	}
	for i := range layer.Features {
		f := &layer.Features[i]
		r := row{line: f.Position.Line, label: f.Position.Field, feature: f, values: make([]string, len(s.header)), none: make([]bool, len(s.header))}
		for j := range r.none {
			r.none[j] = true
		}
		for _, a := range f.Attributes {
			if j := index[a.Key]; r.none[j] {
				r.values[j], r.none[j] = a.Value, false
			}
		}
		s.rows = append(s.rows, r)
	}
	return s
}

// name finds our columns in the header, and complains about headers that stand
// there twice and about mapped headers that are not there.
func (s *sheet) name(opts *Options, faults *source.List) {
	at := func(field string) source.Position {
		return source.Position{File: s.file, Line: s.headerLine, Field: field}
	}
	byKey := map[string]int{}
	for i, h := range s.header {
		if k := key(h); k == "" {
			continue
		} else if first, ok := byKey[k]; ok {
			faults.Addf(at(h), "each column once", "%s is the name of columns %d and %d", source.Quote(h), first+1, i+1)
		} else {
			byKey[k] = i
		}
	}
	s.columns = map[string]int{}
	taken := map[int]bool{}
	for _, ours := range slices.Sorted(maps.Keys(opts.Columns)) {
		theirs := opts.Columns[ours]
		if theirs == "" {
			delete(byKey, ours) // the user wants this column not to be read
			continue
		}
		i, ok := byKey[key(theirs)]
		if !ok {
			faults.Addf(at(ours), "one of "+strings.Join(s.header, ", "), "no column is named %s", source.Quote(theirs))
			continue
		}
		s.columns[ours], taken[i] = i, true
	}
	for k, i := range byKey {
		if _, mapped := s.columns[k]; !mapped && !taken[i] {
			s.columns[k] = i
		}
	}
}

// theirs gives columns with the file's own headers where those differ.
func (s *sheet) theirs(ours []string) []string {
	all := make([]string, len(ours))
	for i, name := range ours {
		all[i] = name
		if at, ok := s.columns[name]; ok && key(s.header[at]) != name {
			all[i] += " (" + s.header[at] + ")"
		}
	}
	return all
}
