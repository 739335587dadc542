package table

import (
	"io"
	"strings"

	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// Compare writes two plans side by side. CSV holds one row a unit and year that
// differ.
func Compare(w io.Writer, v *view.Compare, o Options) error {
	switch o.Format {
	case JSON:
		return writeJSON(w, v)
	case CSV:
		return CompareSheet(v).WriteCSV(w)
	}
	p := newPage(o)
	p.line("%s", bold.render(name(v.Stamp.Property, 60)))
	p.note(v.Words)
	for _, s := range []view.Side{v.First, v.Second} {
		p.items([]string{s.Name + ": " + s.GapWords})
	}
	if len(v.Units) > 0 {
		p.heading("Units that differ: " + v.First.Name + " → " + v.Second.Name)
		header := []string{"unit", "acres"}
		for _, y := range v.Years {
			header = append(header, y.String())
		}
		var rows [][]cell
		for _, u := range v.Units {
			row := []cell{plain(name(u.Unit, longestName)), plain(u.Acres.String())}
			for _, y := range u.Years {
				if y.Same {
					row = append(row, styled(choice(y.First), faint))
				} else {
					row = append(row, styled(choice(y.First)+" → "+choice(y.Second), ember))
				}
			}
			rows = append(rows, row)
		}
		p.series(2, header, rows, func(c int) bool { return c == 1 })
	}
	p.heading("By year")
	var rows [][]cell
	for _, y := range v.ByYear {
		rows = append(
			rows,
			[]cell{plain(y.Year.String()), plain(y.FirstBurned.String()), plain(y.SecondBurned.String()), plain(y.FirstOverdue.String()), plain(y.SecondOverdue.String()),
				plain(tenths(y.FirstCost, v.Decimals)), plain(tenths(y.SecondCost, v.Decimals)), plain(signed(y.SecondCost-y.FirstCost, v.Decimals))},
		)
	}
	p.grid([]string{"year", "burned", "→", "overdue", "→", "shortfall", "→", "change"}, rows, func(c int) bool { return c > 0 })
	p.key("acres burned, acres overdue at the end of the year, shortfall in acre-years")
	p.heading("By part of the shortfall, in the years above")
	rows = nil
	for _, part := range v.Parts {
		rows = append(
			rows,
			[]cell{plain(part.Name), plain(tenths(part.First, v.Decimals)), plain(tenths(part.Second, v.Decimals)), plain(signed(part.Second-part.First, v.Decimals))},
		)
	}
	rows = append(
		rows,
		[]cell{plain("other years"), plain(tenths(v.First.Later, v.Decimals)), plain(tenths(v.Second.Later, v.Decimals)), plain(signed(v.Second.Later-v.First.Later, v.Decimals))},
		[]cell{styled("all", bold), styled(tenths(v.First.Cost, v.Decimals), bold), styled(tenths(v.Second.Cost, v.Decimals), bold), styled(v.Short, bold)},
	)
	p.grid([]string{"part", v.First.Name, v.Second.Name, "change"}, rows, func(c int) bool { return c > 0 })
	for _, list := range []struct {
		title string
		units []string
	}{{"Only in " + v.First.Name, v.OnlyFirst}, {"Only in " + v.Second.Name, v.OnlySecond}} {
		if len(list.units) > 0 {
			p.heading(list.title)
			p.items(list.units)
		}
	}
	return p.writeTo(w)
}

// tenths gives a shortfall with as many decimals as the proofs allow, one at most.
func tenths(v quantity.AcreYears, decimals int) string { return quantity.Group(float64(v), decimals) }

// signed gives "+12.0", "-3.5", "0.0".
func signed(v quantity.AcreYears, decimals int) string {
	text := tenths(v, decimals)
	if v > 0 && strings.Trim(text, "0.") != "" {
		return "+" + text
	}
	return text
}

func choice(season string) string {
	if season == "" {
		return "rest"
	}
	return name(season, longestName)
}

// CompareSheet lists the units and years on which two plans differ.
func CompareSheet(v *view.Compare) *Sheet {
	s := &Sheet{Name: "compare", Header: []string{"unit", "acres", "program_year", "first", "second"}}
	for _, u := range v.Units {
		for i, y := range u.Years {
			if !y.Same {
				s.Rows = append(s.Rows, []any{u.Unit, u.Acres, v.Years[i], choiceWord(y.First), choiceWord(y.Second)})
			}
		}
	}
	return s
}

func choiceWord(season string) string {
	if season == "" {
		return "rest"
	}
	return season
}
