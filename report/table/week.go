package table

import (
	"fmt"
	"io"

	"emberquilt/report/view"
)

// mostTasks is how many tasks of a week a terminal lists unit by unit.
const mostTasks = 24

// Week writes what seven days ask for. CSV holds one row an item.
func Week(w io.Writer, v *view.Week, o Options) error {
	switch o.Format {
	case JSON:
		return writeJSON(w, v)
	case CSV:
		return weekSheet(v).WriteCSV(w)
	}
	p := newPage(o)
	p.overtaken(v.Stamp)
	p.line("%s", bold.render(fmt.Sprintf("%s: %s to %s", name(v.Stamp.Property, 60), v.First.Words(), v.Last.Words())))
	open := v.OpenLines()
	p.list("Windows open this week", view.NoOpenWindow, len(open), func(i int) string { return open[i] })
	p.items(v.Gone)
	p.items(v.Held)
	p.heading("Who burns")
	p.items(v.Crew.Words)
	if tasks := v.ByTask(); len(v.Tasks) > mostTasks {
		p.list("To do", "", len(tasks), func(i int) string { return tasks[i].Words() })
		p.note("`emberquilt tasks` lists them unit by unit.")
	} else {
		p.list("To do", view.NothingToDo, len(v.Tasks), func(i int) string { return name(v.Tasks[i].Unit, 60) + ": " + taskWords(v.Tasks[i]) })
	}
	slipped := v.SlippedLines()
	p.list("What slipped", view.NothingSlipped, len(slipped), func(i int) string { return slipped[i] })
	p.burned("Burned in part in", v.Budget.Year, v.Unfinished)
	p.heading("Budget")
	p.items(v.Budget.Words)
	if len(v.Warnings) > 0 {
		p.heading("The weather record")
		p.items(v.Warnings)
	}
	p.line("")
	p.note(view.CautionLine)
	return p.writeTo(w)
}

// list writes items below a heading, or that there are none.
func (p *page) list(title, none string, count int, item func(int) string) {
	p.heading(title)
	if count == 0 {
		p.note(none)
	}
	for i := range count {
		p.items([]string{item(i)})
	}
}

// weekSheet has one row a window, task or slip.
func weekSheet(v *view.Week) *Sheet {
	s := &Sheet{Name: "week", Header: []string{"kind", "unit", "program_year", "season", "what", "from", "by", "state"}}
	for _, b := range v.Open {
		s.Rows = append(s.Rows, []any{"window", b.Unit, b.Year, b.Season, b.Words(), b.Days[0], b.Closes, "open"})
	}
	for _, t := range v.Tasks {
		s.Rows = append(s.Rows, []any{"task", t.Unit, nil, nil, t.Name, t.From, t.By, t.State})
	}
	for _, held := range v.Held {
		s.Rows = append(s.Rows, []any{"held", nil, nil, nil, held, nil, nil, nil})
	}
	for _, m := range v.Slipped {
		s.Rows = append(s.Rows, []any{"slipped", m.Unit, m.Year, m.Season, m.Words, nil, nil, "missed"})
	}
	return s
}
