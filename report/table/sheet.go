package table

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"strings"

	"charm.land/lipgloss/v2"

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
	// A pipe has no width: nothing gives way there.
	p := &page{width: math.MaxInt}
	if o.Width > 0 {
		p.width = o.width()
	}
	p.sheet(s)
	return p.writeTo(w)
}

// sheet sets a sheet as a grid; numbers stand to the right, and columns that
// hold nothing are left out.
func (p *page) sheet(s *Sheet) {
	var header []string
	var columns []int
	var right []bool
	for column, title := range s.Header {
		filled, numbers := false, true
		for _, row := range s.Rows {
			text, isNumber := sheetCell(row[column])
			filled = filled || text != ""
			numbers = numbers && (isNumber || text == "")
		}
		if filled {
			header, columns, right = append(header, strings.ReplaceAll(title, "_", " ")), append(columns, column), append(right, numbers)
		}
	}
	texts := make([][]string, len(s.Rows))
	for i, row := range s.Rows {
		for _, column := range columns {
			text, _ := sheetCell(row[column])
			texts[i] = append(texts[i], name(text, widestCell))
		}
	}
	most, shown := fit(header, texts, right, p.width)
	rows := make([][]cell, len(s.Rows))
	for i := range texts {
		for k, text := range texts[i][:shown] {
			rows[i] = append(rows[i], plain(name(text, most[k])))
		}
	}
	p.grid(header[:shown], rows, func(column int) bool { return column < shown && right[column] })
	if shown < len(header) {
		p.note("Not shown in this width: " + strings.Join(header[shown:], ", ") + ". --csv and --json hold everything.")
	}
}

// widestCell bounds the columns of text in a terminal; the first one, which names
// the row, gives way down to narrowestName, the others to narrowestCell.
const (
	widestCell    = 60
	narrowestName = 24
	narrowestCell = 12
)

// fit gives each column its width and says how many are shown, so that the
// table keeps to the terminal: the widest columns of text give way first, then
// the last columns are left out. Numbers are never cut.
func fit(header []string, texts [][]string, right []bool, width int) (most []int, shown int) {
	most = make([]int, len(header))
	total := 2 * (len(header) - 1)
	for k, title := range header {
		most[k] = lipgloss.Width(title)
		for i := range texts {
			most[k] = max(most[k], lipgloss.Width(texts[i][k]))
		}
		total += most[k]
	}
	for shown = len(header); total > width; {
		widest := -1
		for k := range shown {
			least := max(narrowestCell, lipgloss.Width(header[k]))
			if k == 0 {
				least = max(narrowestName, least)
			}
			if !right[k] && most[k] > least && (widest < 0 || most[k] > most[widest]) {
				widest = k
			}
		}
		switch {
		case widest >= 0:
			most[widest]--
			total--
		case shown > 1:
			shown--
			total -= most[shown] + 2
		default:
			return most, shown
		}
	}
	return most, shown
}

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
