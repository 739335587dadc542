package table

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

func hostileSheet() *Sheet {
	return &Sheet{Name: "units", Header: []string{"unit", "acres", "cost", "last_burn_on", "empty", "program_year"}, Rows: [][]any{
		{"=HYPERLINK(\"x\")\x1b[31m\nsecond", quantity.Acres(38.5), quantity.Cents(115000), date.MustDay(2026, time.March, 4), nil, date.ProgramYear(2027)},
		{"Creek </script> \u202e", quantity.Acres(1204), nil, date.Day{}, nil, date.ProgramYear(2028)},
	}}
}

func TestSheetWritesEveryForm(t *testing.T) {
	s := hostileSheet()
	var text bytes.Buffer
	if err := s.Write(&text, Options{}); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(text.String(), "\n")
	if strings.Contains(text.String(), "\x1b[31m") || strings.Contains(text.String(), "\u202e") || len(lines) != 5 {
		t.Errorf("a name breaks the table:\n%q", text.String())
	}
	if strings.Contains(lines[0], "empty") || !strings.Contains(lines[0], "last burn on") {
		t.Errorf("header: %q", lines[0])
	}
	if !strings.Contains(lines[3], "1,204.0") {
		t.Errorf("row: %q", lines[3])
	}

	var doc bytes.Buffer
	if err := s.Write(&doc, Options{Format: JSON}); err != nil {
		t.Fatal(err)
	}
	var back []map[string]any
	if err := json.Unmarshal(doc.Bytes(), &back); err != nil {
		t.Fatalf("%v\n%s", err, doc.String())
	}
	if back[0]["unit"] != s.Rows[0][0] || back[0]["cost"] != 1150.0 || back[1]["cost"] != nil || back[1]["last_burn_on"] != nil {
		t.Errorf("JSON reads back as %v", back)
	}

	var list bytes.Buffer
	if err := s.Write(&list, Options{Format: CSV}); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(strings.Split(list.String(), "\r\n")[1], "\"'=HYPERLINK") {
		t.Errorf("CSV: %q", list.String())
	}
}

func TestSheetKeepsToTheTerminal(t *testing.T) {
	s := &Sheet{Header: []string{"unit", "acres", "notes"}, Rows: [][]any{
		{"North Field", quantity.Acres(42.5), strings.Repeat("long words ", 20)}, {"Creek Patch by the river", quantity.Acres(1e6), ""},
	}}
	for _, width := range []int{60, 80, 120} {
		var text bytes.Buffer
		if err := s.Write(&text, Options{Width: width}); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(text.String(), "\n") {
			if got := len([]rune(line)); got > width {
				t.Errorf("a line of %d characters in a terminal of %d: %q", got, width, line)
			}
		}
		if !strings.Contains(text.String(), "1,000,000.0") {
			t.Errorf("a number was cut at %d", width)
		}
	}
}

func TestWithoutTakesColumnsByName(t *testing.T) {
	s := &Sheet{Name: "x", Header: []string{"unit", "acres", "notes"}, Rows: [][]any{{"a", 1, "n"}, {"b", 2, nil}}}
	got := s.Without("acres", "no such column")
	if strings.Join(got.Header, " ") != "unit notes" || len(got.Rows) != 2 || len(got.Rows[0]) != 2 || got.Rows[0][1] != "n" || got.Rows[1][0] != "b" {
		t.Errorf("%+v", got)
	}
	if len(s.Header) != 3 || len(s.Rows[0]) != 3 {
		t.Errorf("the sheet itself lost a column: %+v", s)
	}
}
