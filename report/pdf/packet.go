package pdf

import (
	"fmt"
	"io"

	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// Packet writes the cost-share packet of a contract.
func Packet(w io.Writer, v *view.Packet) error {
	p := newPaper("Cost-share packet", "", v.Stamp)
	p.AddPage()
	p.font("B", 18)
	p.CellFormat(textWidth, 9, p.fit(printable(v.Contract, longName), textWidth), "", 2, "L", false, 0, "")
	line := v.Stamp.Property
	for _, more := range []string{v.Stamp.Place, v.Client, v.Number} {
		if more != "" {
			line += " · " + more
		}
	}
	p.para(fmt.Sprintf("%s · %s %d", line, v.FiscalWords, v.FiscalYear), "", 10)
	p.SetXY(side, p.GetY()+1)
	p.cautions(v.Cautions)
	p.practices(v)
	p.schedule(v)
	p.completions(v)
	p.files(v)
	if v.Ground != nil {
		p.headingOver("Map: the contract's units are hatched", 65)
		p.ground(v.Ground, side, p.GetY()+1, textWidth, 64)
	}
	if v.Notes != "" {
		p.heading("Notes")
		p.para(v.Notes, "", 9)
	}
	for _, text := range v.Warnings {
		p.para("Note: "+text, "B", 9)
	}
	p.headingOver("Signatures", signatureHeight*float64(len(v.Signatures)))
	p.signatures(v.Signatures)
	return p.write(w)
}

func amount(v float64) string { return quantity.Group(v, 1) }

func signed(v float64) string {
	if v > 0.05 {
		return "+" + amount(v)
	}
	return amount(v)
}

func (p *paper) practices(v *view.Packet) {
	p.heading("Practices: planned against applied")
	var rows [][]string
	for _, s := range v.Practices {
		standard := s.Code + " " + s.Name
		if s.Standard != "" {
			standard += ", standard of " + s.Standard
		}
		rows = append(rows, []string{standard, string(s.Measure), amount(s.Planned), amount(s.DueBy), amount(s.Applied), signed(s.Variance), amount(s.Remaining)})
	}
	p.table([]column{{"Practice", 70, "L"}, {"In", 14, "L"}, {"Planned", 19, "R"}, {"Due to date", 19, "R"}, {"Applied", 19, "R"}, {"Variance", 20, "R"}, {"Remains", 20.9, "R"}}, rows, 8.5, 0)
	p.para(fmt.Sprintf("Due to date: planned for fiscal years before %d. Variance: applied less due to date. Remains: of the whole schedule, unit by unit.", v.FiscalYear), "", 7.5)
	rows = nil
	for i, year := range v.Years {
		for _, s := range v.Practices {
			if y := s.Years[i]; y != (view.PracticeYear{}) {
				rows = append(rows, []string{year.String(), s.Code + " " + s.Name, string(s.Measure), amount(y.Planned), amount(y.Applied), signed(y.Applied - y.Planned)})
			}
		}
	}
	p.heading("By fiscal year")
	p.table([]column{{"Fiscal year", 24, "L"}, {"Practice", 76, "L"}, {"In", 18, "L"}, {"Planned", 20, "R"}, {"Applied", 21, "R"}, {"Variance", 22.9, "R"}}, rows, 8.5, 0)
}

func (p *paper) schedule(v *view.Packet) {
	p.heading("Schedule by unit")
	var rows [][]string
	for _, r := range v.Schedule {
		state := string(r.State)
		if !r.On.IsZero() {
			state += ", " + r.On.String()
		}
		if r.Next != 0 {
			state += fmt.Sprintf("; burn planned in fiscal year %d", r.Next)
		}
		rows = append(rows, []string{r.FiscalYear.String(), r.Practice, r.Unit, amount(r.Planned), amount(r.Applied), amount(r.Late), signed(r.Variance), amount(r.Remaining), state})
	}
	p.table([]column{{"Year", 13, "L"}, {"Code", 13, "L"}, {"Unit", 31, "L"}, {"Planned", 17, "R"}, {"Applied", 17, "R"}, {"Later", 14, "R"}, {"Variance", 19, "R"},
		{"Remains", 19, "R"}, {"State", 38.9, "L"}}, rows, 7.8, 0)
	p.para("Applied: in the fiscal year itself. Later: work of later years, credited to what was missing, oldest first. Acres of practices in acres, feet of practices in feet.", "", 7.5)
}

func (p *paper) completions(v *view.Packet) {
	p.heading("Completion records")
	if len(v.Completions) == 0 {
		p.para("None.", "", 9)
	}
	for _, c := range v.Completions {
		p.room(20)
		p.SetY(p.GetY() + 1.5)
		days := c.On.Words()
		if c.Through != c.On {
			days += " to " + c.Through.Words()
		}
		applied := fmt.Sprintf("%s %s applied", amount(c.Applied), c.Measure)
		if c.Kind != "" && c.Kind != habitat.Prescribed {
			applied = "nothing applied: " + string(c.Kind)
		}
		p.para(fmt.Sprintf("%s · practice %s · %s · %s", c.Unit, c.Practice, days, applied), "B", 9)
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
		rows = append(rows, []string{f.Of, f.Path, f.SHA256})
	}
	p.table([]column{{"Of", 40, "L"}, {"File", 50, "L"}, {"SHA-256", 91.9, "L"}}, rows, 6.4, 0)
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
		p.CellFormat(64, 4, printable(role, longName)+" (name)", "", 0, "L", false, 0, "")
		p.CellFormat(78, 4, "signature", "", 0, "L", false, 0, "")
		p.CellFormat(30, 4, "date", "", 0, "L", false, 0, "")
		p.SetXY(side, y+5)
	}
	p.SetXY(side, p.GetY()+2)
}
