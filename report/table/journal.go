package table

import (
	"strings"

	"emberquilt/report/view"
)

// ChangesSheet lists changes with all that they wrote, a row for each field.
func ChangesSheet(all []view.JournalEntry) *Sheet {
	s := &Sheet{Name: "changes", Header: []string{"change", "data_version", "made_at", "by", "reason", "kind", "name", "version", "removed", "units", "field", "was", "is"}}
	for i := range all {
		e := &all[i]
		head := []any{e.Change, e.Data, e.At, e.By, e.Reason}
		for _, t := range e.Touched {
			touch := append(head[:len(head):len(head)], t.Kind, t.Name, t.Version, t.Removed, strings.Join(t.Units, "; "))
			for _, f := range t.Fields {
				s.Rows = append(s.Rows, append(touch[:len(touch):len(touch)], f.Field, f.Was, f.Is))
			}
			if len(t.Fields) == 0 {
				s.Rows = append(s.Rows, append(touch[:len(touch):len(touch)], "", "", ""))
			}
		}
		if len(e.Touched) == 0 {
			s.Rows = append(s.Rows, append(head[:len(head):len(head)], "", "", nil, nil, "", "", "", ""))
		}
	}
	return s
}
