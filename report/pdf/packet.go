package pdf

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/report/pdf/structure"
	"emberquilt/report/view"
)

// PropertyMark stands in a packet's file before the id of its property, so that the
// packet of another client is not written over.
const PropertyMark = "emberquilt-property:"

// Packet writes the cost-share packet of a contract.
func Packet(w io.Writer, v *view.Packet) error {
	title := "Cost-share packet · " + v.Contract
	if v.Client != "" {
		title += " · " + v.Client
	}
	p := newPaper(printable(title, longName), "", v.Stamp)
	if v.Stamp.ID != "" {
		p.SetKeywords(PropertyMark+v.Stamp.ID, false)
	}
	p.AddPage()
	p.mainHeading(v.Contract, 18, 9)
	line := v.Stamp.Property
	for _, more := range []string{v.Stamp.Place, v.Client, v.Number, v.Land} {
		if more != "" {
			line += " · " + more
		}
	}
	p.para(fmt.Sprintf("%s · %s %d", line, v.FiscalWords, v.FiscalYear), "", 10)
	if v.Stamp.AsOf != "" {
		p.para(v.Stamp.AsOf, "B", 10)
	}
	p.SetXY(side, p.GetY()+1)
	p.cautions(v.Cautions)
	p.practices(v)
	p.schedule(v)
	p.completions(v)
	p.withdrawn(v)
	p.files(v)
	p.contractUnits(v.Units)
	p.asBurned(v.AsBurned)
	if v.Notes != "" {
		p.heading("Notes")
		p.para(v.Notes, "", 9)
	}
	for _, text := range v.Warnings {
		p.para("Note: "+text, "B", 9)
	}
	p.headingOver("Signatures: "+v.Contract, signatureHeight*float64(len(v.Signatures))+12)
	p.para(v.Certifies, "", 9)
	p.signatures(v.Signatures)
	return p.write(w)
}

func amount(v float64) string { return quantity.Group(v, 1) }

func (p *paper) practices(v *view.Packet) {
	p.heading("Practices: planned against applied")
	var rows [][]string
	for _, s := range v.Practices {
		standard := s.Code + " " + s.Name
		if s.Standard != "" {
			standard += ", standard of " + s.Standard
		}
		rows = append(
			rows,
			[]string{
				standard,
				string(s.Measure),
				amount(s.Planned),
				amount(s.Credited),
				amount(s.Remaining),
				amount(s.DueBy),
				amount(s.Behind),
				amount(s.Ahead),
				amount(s.YearPlanned),
				amount(s.YearRemaining),
				amount(s.Over),
			},
		)
	}
	p.table(
		[]column{
			{"Practice", 27.4, "L"},
			{"In", 12.5, "L"},
			{"Whole: planned", 17, "R"},
			{"credited", 17.5, "R"},
			{"remains", 16.5, "R"},
			{"To date: planned", 17, "R"},
			{"behind", 14.5, "R"},
			{"ahead", 13.5, "R"},
			{"This year: planned", 17, "R"},
			{"remains", 16.5, "R"},
			{"Over", 12.5, "R"},
		},
		rows,
		7.5,
		0,
	)
	p.para(v.SumWords(), "", 7.5)
	for _, text := range v.Footing {
		p.para(text+".", "", 7.5)
	}
	rows = nil
	for i, year := range v.Years {
		for _, s := range v.Practices {
			if y := s.Years[i]; !y.IsEmpty() {
				var lines []string
				for _, line := range y.Lines {
					lines = append(lines, strconv.Itoa(line))
				}
				rows = append(rows, []string{year.String(), s.Code + " " + s.Name, string(s.Measure), amount(y.Planned), amount(y.Applied), strings.Join(lines, ", "), strings.Join(y.Records, ", ")})
			}
		}
	}
	p.heading("By fiscal year")
	p.table(
		[]column{{"Year", 12, "L"}, {"Practice", 46, "L"}, {"In", 12.5, "L"}, {"Planned", 17, "R"}, {"Applied in it", 19, "R"}, {"Lines", 16, "L"}, {"Records", 59.4, "L"}},
		rows,
		7.5,
		0,
	)
}

func (p *paper) schedule(v *view.Packet) {
	p.heading("Schedule by unit")
	var rows [][]string
	for i := range v.Schedule {
		r := &v.Schedule[i]
		year, line := r.FiscalYear.String(), "–"
		if r.Until > r.FiscalYear {
			year += "–" + r.Until.String()
		}
		if r.Line > 0 {
			line = strconv.Itoa(r.Line)
			if r.Item != "" {
				line += " · " + r.Item
			}
		}
		unit := r.Unit
		if r.Land != "" {
			unit += " (" + r.Land + ")"
		}
		rows = append(
			rows,
			[]string{line, year, r.Practice, unit, amount(r.Planned), amount(r.Applied), amount(r.Late), amount(r.Early), amount(r.Over), amount(r.Remaining), r.StateWords()},
		)
	}
	p.table(
		[]column{
			{"Line", 10.5, "L"},
			{"Year", 19.5, "L"},
			{"Code", 11.5, "L"},
			{"Unit", 20.5, "L"},
			{"Planned", 16.8, "R"},
			{"Applied", 16.2, "R"},
			{"Later", 12.5, "R"},
			{"Earlier", 14, "R"},
			{"Over", 12, "R"},
			{"Remains", 17, "R"},
			{"State", 31.4, "L"},
		},
		rows,
		7.5,
		0,
	)
	p.para(v.ScheduleWords(), "", 7.5)
	if len(v.Modifications) > 0 {
		p.heading("Modifications")
		rows = nil
		for _, m := range v.Modifications {
			rows = append(rows, []string{m.Number, m.On.String(), strconv.Itoa(m.Line), m.What, m.Was + " → " + m.Is, m.Reason})
		}
		p.table([]column{{"No.", 16, "L"}, {"On", 20, "L"}, {"Line", 11.5, "L"}, {"What", 16, "L"}, {"Was → is", 68.5, "L"}, {"Because", 49.9, "L"}}, rows, 7.5, 0)
	}
}

func (p *paper) completions(v *view.Packet) {
	p.heading("Completion records")
	if len(v.Completions) == 0 {
		p.para("None.", "", 9)
	}
	for i := range v.Completions {
		c := &v.Completions[i]
		p.room(20)
		p.SetY(p.GetY() + 1.5)
		p.para(c.Head(), "B", 9)
		for _, text := range c.Corrected {
			p.para(text, "", 8.5)
		}
		for _, f := range c.Fields {
			p.para(f.Label+": "+f.Text, "", 8.5)
		}
		if len(c.Readings) > 0 {
			var rows [][]string
			for _, r := range c.Readings {
				rows = append(rows, []string{r.At, optional(r.TempF), optional(r.RH), optional(r.WindMPH), r.WindFrom})
			}
			p.table([]column{{"Time", 34, "L"}, {"Temp. °F", 28, "R"}, {"Humidity %", 24, "R"}, {"Wind mph", 22, "R"}, {"Wind from", 34, "L"}}, rows, 8, 0)
		} else if c.Kind != "" {
			p.para("no weather readings on record", "", 8.5)
		}
	}
}

// withdrawn lists the records that were withdrawn.
func (p *paper) withdrawn(v *view.Packet) {
	if len(v.Withdrawn) == 0 {
		return
	}
	p.heading("Withdrawn records: they count for nothing")
	var rows [][]string
	for _, r := range v.Withdrawn {
		rows = append(rows, []string{r.Record, r.Unit, r.Burned.String(), r.On.String(), r.Reason})
	}
	p.table([]column{{"Record", 24, "L"}, {"Unit", 40, "L"}, {"Burned on", 24, "L"}, {"Withdrawn on", 26, "L"}, {"Because", 67.9, "L"}}, rows, 8, 0)
}

func optional(v *float64) string {
	if v == nil {
		return "–"
	}
	return view.Number(*v)
}

func (p *paper) files(v *view.Packet) {
	p.heading("Attached files")
	if len(v.Files) == 0 {
		p.para("None.", "", 9)
		return
	}
	var rows [][]string
	for _, f := range v.Files {
		rows = append(rows, []string{f.Of, f.Path, f.SHA256, f.State})
	}
	p.table([]column{{"Of", 34, "L"}, {"File", 42, "L"}, {"SHA-256", 83, "L"}, {"State", 22.9, "L"}}, rows, 6.4, 0)
}

// signatureHeight is that of one signature line in millimeters.
const signatureHeight = 16

// signatures sets lines to sign on: name, signature, date.
func (p *paper) signatures(roles []string) {
	for _, role := range roles {
		p.room(signatureHeight)
		y := p.GetY() + 10
		p.SetLineWidth(0.3)
		for _, part := range []struct{ from, to float64 }{{0, 58}, {64, 136}, {142, textWidth}} {
			p.Line(side+part.from, y, side+part.to, y)
		}
		p.font("", 7.5)
		p.SetXY(side, y+0.4)
		p.in(structure.Paragraph, func() {
			p.CellFormat(64, 4, printable(role, longName)+" (name) ", "", 0, "L", false, 0, "")
			p.CellFormat(78, 4, "signature ", "", 0, "L", false, 0, "")
			p.CellFormat(30, 4, "date", "", 0, "L", false, 0, "")
		})
		p.SetXY(side, y+5)
	}
	p.SetXY(side, p.GetY()+2)
}
