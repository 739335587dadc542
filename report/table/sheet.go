package table

import (
	"bytes"
	"encoding/json"
	"io"
	"strings"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// Write writes the sheet in the format of the options: as a table for people, as
// CSV, or as a JSON list with one object a row, its keys in the order of the
// header.
func (s *Sheet) Write(w io.Writer, o Options) error {
	switch o.Format {
	case JSON:
		return s.writeJSON(w)
	case CSV:
		return s.WriteCSV(w)
	}
	p := newPage(o)
	p.sheet(s)
	if s.key != "" {
		p.key(s.key)
	}
	return p.writeTo(w)
}

// sheet sets a sheet as a grid; numbers stand to the right, and columns that
// hold nothing are left out.
func (p *page) sheet(s *Sheet) {
	var header []string
	var columns []int
	var right []bool
	keys := 0
	for column, title := range s.Header {
		filled, numbers := false, true
		for _, row := range s.Rows {
			text, isNumber := sheetCell(row[column])
			filled = filled || text != ""
			numbers = numbers && (isNumber || text == "")
		}
		if filled {
			if column < s.keys {
				keys++
			}
			header, columns, right = append(header, strings.ReplaceAll(title, "_", " ")), append(columns, column), append(right, numbers)
		}
	}
	rows := make([][]cell, len(s.Rows))
	for i, row := range s.Rows {
		rows[i] = make([]cell, len(columns))
		for k, column := range columns {
			text, _ := sheetCell(row[column])
			rows[i][k] = plain(name(text, longestText))
		}
	}
	p.set(&grid{header: header, rows: rows, right: func(column int) bool { return right[column] }, keys: keys, isSeries: keys > 0})
}

// longestText bounds what a cell shows: more is a paper's matter, and --csv and --json
// hold it.
const longestText = 400

// sheetCell prints a value for people.
func sheetCell(v any) (text string, isNumber bool) {
	switch v := v.(type) {
	case quantity.Acres:
		return v.String(), true
	case quantity.Cents:
		return v.String(), true
	case float64:
		return view.Number(v), true
	case *float64:
		if v == nil {
			return "", true
		}
		return view.Number(*v), true
	case int, date.ProgramYear, date.FiscalYear:
		return csvCell(v), true
	case string:
		return v, false
	}
	return csvCell(v), false
}

// Objects gives the rows for JSON, as Write prints them.
func (s *Sheet) Objects() json.Marshaler { return sheetObjects{s} }

type sheetObjects struct{ *Sheet }

// MarshalJSON gives a list with one object a row.
func (o sheetObjects) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	err := o.writeJSON(&b)
	return b.Bytes(), err
}

func (s *Sheet) writeJSON(w io.Writer) error {
	var b bytes.Buffer
	b.WriteString("[")
	for i, row := range s.Rows {
		if i > 0 {
			b.WriteString(",")
		}
		b.WriteString("\n  {")
		for column, title := range s.Header {
			if column > 0 {
				b.WriteString(", ")
			}
			key, err := json.Marshal(title)
			if err != nil {
				return err
			}
			value, err := jsonCell(row[column])
			if err != nil {
				return err
			}
			b.Write(key)
			b.WriteString(": ")
			b.Write(value)
		}
		b.WriteString("}")
	}
	if len(s.Rows) > 0 {
		b.WriteString("\n")
	}
	b.WriteString("]\n")
	_, err := w.Write(b.Bytes())
	return err
}

// jsonCell gives a number for every number; money is in dollars, as in CSV.
func jsonCell(v any) ([]byte, error) {
	switch v := v.(type) {
	case quantity.Acres, float64, *float64, int, date.ProgramYear, date.FiscalYear, quantity.Cents:
		if text := csvCell(v); text != "" {
			return []byte(text), nil
		}
		return []byte("null"), nil
	case nil:
		return []byte("null"), nil
	case date.Day:
		if v.IsZero() {
			return []byte("null"), nil
		}
		return json.Marshal(v.String())
	case bool, string:
		var b bytes.Buffer
		encoder := json.NewEncoder(&b)
		encoder.SetEscapeHTML(false)
		err := encoder.Encode(v)
		return bytes.TrimSpace(b.Bytes()), err
	}
	panic("table: a cell of a kind that no sheet has")
}
