package table

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"

	"emberquilt/habitat"
	"emberquilt/report/view"
)

// formRows counts the empty lines of a record form.
const formRows = 100

// formColumn is a column of the record form.
type formColumn struct {
	name, explains string
	width          float64
	// format is a number format; empty means text.
	format string
	// choices are the only texts that the column takes.
	choices []string
}

// formColumns are the columns of a list of burns that an import reads.
func formColumns() []formColumn {
	kinds := make([]string, 0, 3)
	for _, k := range habitat.RecordKinds() {
		kinds = append(kinds, string(k))
	}
	return []formColumn{
		{"unit", "name of the unit, as it stands on the sheet units", 26, "", nil},
		{"date", "first day of the burn, as YYYY-MM-DD", 12, "yyyy-mm-dd", nil},
		{"through", "last day, where it burned on several", 12, "yyyy-mm-dd", nil},
		{"kind", "prescribed where nothing is said", 12, "", kinds},
		{"acres", "acres burned; nothing where the whole unit burned", 10, "0.0", nil},
		{"purpose", "what the burn was for", 22, "", nil},
		{"ignition", "how it was lit", 14, "", habitat.IgnitionPatterns()},
		{"start", "local time as HH:MM", 9, "@", nil},
		{"end", "local time as HH:MM", 9, "@", nil},
		{"reading_at", "local time of one weather reading, as HH:MM", 12, "@", nil},
		{"temp_f", "air temperature in °F", 9, "0", nil},
		{"rh_pct", "relative humidity in percent", 9, "0", nil},
		{"wind_mph", "wind in miles per hour", 10, "0.0", nil},
		{"wind_from", "compass point such as SW, or degrees", 11, "@", nil},
		{"readings", "more weather readings, with ; between: 13:00 temp=58 rh=42 wind=7 from=SW; 14:30 temp=61 rh=38", 30, "@", nil},
		{"fuel_moisture", "remark", 18, "", nil},
		{"soil_moisture", "remark", 18, "", nil},
		{"crew", "who burned", 24, "", nil},
		{"permit", "permit or authorization number", 14, "@", nil},
		{"notified", "who was told and when: fire department at 2027-03-01 08:00; neighbor at 07:30", 30, "", nil},
		{"consumed", "share of the fuel consumed, 0 to 1", 11, "0.00", nil},
		{"top_killed", "share of the woody cover top-killed, 0 to 1", 11, "0.00", nil},
		{"escapes", "escapes or spot-overs", 20, "", nil},
		{"mop_up_end", "end of mop-up as YYYY-MM-DD HH:MM", 18, "@", nil},
		{"notes", "anything else", 40, "", nil},
	}
}

// RecordForm writes an empty workbook for burn records, to be filled by hand and
// imported: a sheet with the columns that an import reads, one that says what
// belongs in each, one that names the units.
func RecordForm(w io.Writer, stamp view.Stamp, units []habitat.Unit) error {
	f := excelize.NewFile()
	defer f.Close()
	if err := fillForm(f, stamp, units); err != nil {
		return fmt.Errorf("write the record form: %w", err)
	}
	var b bytes.Buffer
	if _, err := f.WriteTo(&b); err != nil {
		return fmt.Errorf("write the record form: %w", err)
	}
	return repack(w, b.Bytes())
}

func fillForm(f *excelize.File, stamp view.Stamp, units []habitat.Unit) error {
	made := stamp.On.String() + "T00:00:00Z"
	if err := f.SetDocProps(&excelize.DocProperties{Creator: "emberquilt", Created: made, Modified: made, LastModifiedBy: "emberquilt", Language: "en"}); err != nil {
		return err
	}
	styles, err := newStyles(f)
	if err != nil {
		return err
	}
	if err := f.SetSheetName("Sheet1", "burns"); err != nil {
		return err
	}
	columns := formColumns()
	for i := range columns {
		if err := fillColumn(f, styles, i+1, &columns[i]); err != nil {
			return err
		}
	}
	if err := f.SetPanes("burns", &excelize.Panes{Freeze: true, XSplit: 1, YSplit: 1, TopLeftCell: "B2", ActivePane: "bottomRight"}); err != nil {
		return err
	}
	names := &Sheet{Name: "units", Header: []string{"unit of this property", "acres"}}
	for i := range units {
		names.Rows = append(names.Rows, []any{units[i].ID, units[i].Acres})
	}
	how := &Sheet{Name: "how to fill", Header: []string{"column", "what belongs there"}}
	for _, c := range columns {
		explains := c.explains
		if c.choices != nil {
			explains += "; one of " + strings.Join(c.choices, ", ")
		}
		how.Rows = append(how.Rows, []any{c.name, explains})
	}
	how.Rows = append(how.Rows, []any{"property", stamp.Property}, []any{"date", stamp.On}, []any{"data", stamp.Change()}, []any{"program", stamp.Program})
	for _, s := range []*Sheet{names, how} {
		if _, err := f.NewSheet(s.Name); err != nil {
			return err
		}
		if err := s.stream(f, styles); err != nil {
			return err
		}
	}
	if len(units) == 0 {
		return nil
	}
	pick := excelize.NewDataValidation(true)
	pick.SetSqref(fmt.Sprintf("A2:A%d", formRows+1))
	pick.SetSqrefDropList(fmt.Sprintf("units!$A$2:$A$%d", len(units)+1))
	return f.AddDataValidation("burns", pick)
}

// fillColumn sets one column's head, width, format and choices.
func fillColumn(f *excelize.File, styles cellStyles, number int, c *formColumn) error {
	letter, err := excelize.ColumnNumberToName(number)
	if err != nil {
		return err
	}
	if err := f.SetCellStr("burns", letter+"1", c.name); err != nil {
		return err
	}
	if err := f.SetColWidth("burns", letter, letter, max(c.width, float64(len(c.name))*1.2+2)); err != nil {
		return err
	}
	style := styles.text
	if c.format != "" {
		if style, err = f.NewStyle(&excelize.Style{CustomNumFmt: &c.format}); err != nil {
			return err
		}
	}
	last := fmt.Sprintf("%s%d", letter, formRows+1)
	if err := f.SetCellStyle("burns", letter+"2", last, style); err != nil {
		return err
	}
	if err := f.SetCellStyle("burns", letter+"1", letter+"1", styles.head); err != nil {
		return err
	}
	if c.choices == nil {
		return nil
	}
	pick := excelize.NewDataValidation(true)
	pick.SetSqref(letter + "2:" + last)
	if err := pick.SetDropList(c.choices); err != nil {
		return err
	}
	return f.AddDataValidation("burns", pick)
}
