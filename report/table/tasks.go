package table

import (
	"strings"

	"emberquilt/habitat/preparation"
)

// TasksSheet lists what must be done before burns.
func TasksSheet(due []preparation.Due) *Sheet {
	s := &Sheet{Name: "tasks", Header: []string{"state", "by", "from", "unit", "program_year", "task", "waits_for"}}
	for _, d := range due {
		s.Rows = append(s.Rows, []any{string(d.State), d.By, d.From, d.Unit, d.Year, d.Task.Name, strings.Join(d.WaitsFor, ", ")})
	}
	return s
}
