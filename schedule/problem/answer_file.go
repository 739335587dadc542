package problem

import (
	"io"
	"math"
	"strconv"

	"emberquilt/habitat/source"
	"emberquilt/habitat/source/jsonscan"
)

// WriteAnswer writes an answer to p as a rotation-answer/1 file.
func WriteAnswer(w io.Writer, a *Answer, p *Problem) error {
	out := newPrinter(w)
	out.raw("{\n\"format\": ", quoteJSON(AnswerFormat), ",\n\"status\": ", quoteJSON(string(a.Status)), ",\n")
	if a.Status == Infeasible {
		out.raw(`"cost": null, "bound": null, "gap": null, "seconds": `)
		out.number(a.Seconds)
		out.raw(",\n\"parts\": null")
	} else {
		out.raw(`"cost": `)
		out.number(a.Cost)
		out.raw(`, "bound": `)
		out.number(a.Bound)
		out.raw(`, "gap": `)
		out.number(a.Gap)
		out.raw(`, "seconds": `)
		out.number(a.Seconds)
		out.raw(",\n\"parts\": ")
		out.parts(a.Parts)
	}
	out.raw(",\n\"burns\": ")
	out.lines(len(a.Burns), func(k int) {
		out.object(func(f *fields) {
			f.key("unit")
			f.text(p.Units[a.Burns[k].Unit].ID)
			f.key("year")
			f.integer(a.Burns[k].Year)
			f.key("season")
			f.text(p.Seasons[a.Burns[k].Season])
		})
	})
	out.raw(",\n\"prices\": ")
	out.lines(len(a.Prices), func(k int) {
		out.object(func(f *fields) {
			f.row(p, a.Prices[k].Row)
			f.key("per_unit")
			f.number(a.Prices[k].PerUnit)
		})
	})
	out.raw(",\n\"clashes\": ")
	out.lines(len(a.Clashes), func(k int) { out.clash(p, &a.Clashes[k]) })
	out.raw(",\n\"warnings\": ")
	out.lines(len(a.Warnings), func(k int) { out.text(a.Warnings[k]) })
	if len(a.More) > 0 {
		out.raw(",\n\"more\": ")
		out.lines(len(a.More), func(k int) { out.saving(p, &a.More[k]) })
	}
	out.raw("\n}\n")
	return out.done()
}

func (out *printer) saving(p *Problem, s *Saving) {
	out.object(func(f *fields) {
		f.row(p, s.Row)
		f.key("step")
		f.number(s.Step)
		f.key("cost")
		f.number(s.Cost)
		f.key("bound")
		f.number(s.Bound)
		f.key("saves")
		f.number(s.Saves)
	})
}

func (out *printer) clash(p *Problem, c *Clash) {
	out.object(func(f *fields) {
		f.key("requirement")
		f.text(string(c.Requirement))
		f.key("year")
		f.integer(c.Year)
		if c.Season >= 0 {
			f.key("season")
			f.text(p.Seasons[c.Season])
		}
		if c.Refuge >= 0 {
			f.key("refuge")
			f.text(p.Refuges[c.Refuge].Name)
		}
		f.key("locks")
		f.list(len(c.Locks), ", ", func(k int) { f.lock(p, c.Locks[k], false) })
		if c.HasNumbers {
			f.key("needed")
			f.number(c.Needed)
			f.key("allowed")
			f.number(c.Allowed)
		}
		f.key("text")
		f.text(c.Text)
	})
}

// ReadAnswer reads a rotation-answer/1 file about p. It checks that the file
// says what an answer can say and that its names are those of p; whether the
// plan holds is not asked. Errors are those of Read.
func ReadAnswer(r io.Reader, name string, p *Problem) (*Answer, error) {
	data, err := readAll(r, name, MaxFileBytes)
	if err != nil {
		return nil, err
	}
	root, err := jsonscan.Parse(data)
	if err != nil {
		return nil, syntax(name, data, err)
	}
	rd := answerReader{sheet: sheet{complaints{name: name, data: data}, newNames(p)}}
	rd.answer(&place{value: &root, offset: root.Offset})
	if err := rd.err(); err != nil {
		return nil, err
	}
	return &rd.a, nil
}

type answerReader struct {
	sheet
	a Answer
}

func (rd *answerReader) answer(root *place) {
	o, ok := rd.object(root, "format", "status", "cost", "bound", "gap", "seconds", "parts", "burns", "prices", "clashes", "warnings", "more")
	if !ok || !rd.format(o, AnswerFormat) {
		return
	}
	const accepts = "optimal, feasible or infeasible"
	if at := o.need("status", accepts); at != nil {
		text, ok := rd.text(at, accepts)
		rd.a.Status = Status(text)
		if ok && rd.a.Status != Optimal && rd.a.Status != Feasible && rd.a.Status != Infeasible {
			rd.bad(at, accepts, "%s is not a status", source.Quote(text))
		}
	}
	none := rd.a.Status == Infeasible
	rd.figure(o, "cost", &rd.a.Cost, none)
	rd.figure(o, "bound", &rd.a.Bound, none)
	rd.figure(o, "gap", &rd.a.Gap, none)
	rd.figure(o, "seconds", &rd.a.Seconds, false)
	rd.parts(o, none)
	rd.each(o, "burns", rd.burn)
	rd.each(o, "prices", rd.price)
	rd.each(o, "clashes", rd.clash)
	rd.each(o, "warnings", func(at *place) {
		if text, ok := rd.text(at, "a sentence"); ok {
			rd.a.Warnings = append(rd.a.Warnings, text)
		}
	})
	if o.get("more") != nil {
		rd.each(o, "more", rd.saving)
	}
}

// figure reads a number that has no limits of its own, or null where there is
// none.
func (rd *sheet) figure(o object, key string, to *float64, null bool) {
	accepts := "a number"
	if null {
		accepts = "null, as nothing is known of a plan that does not exist"
	}
	at := o.need(key, accepts)
	switch {
	case at == nil:
	case !null:
		*to, _ = rd.number(at, -math.MaxFloat64, math.MaxFloat64, false, accepts)
	case at.value.Kind != jsonscan.Null:
		rd.bad(at, accepts, "%s in an infeasible answer", describe(at.value))
	}
}

func (rd *answerReader) parts(o object, null bool) {
	at := o.need("parts", "the six parts of the cost")
	if at == nil {
		return
	}
	if null {
		if at.value.Kind != jsonscan.Null {
			rd.bad(at, "null", "%s in an infeasible answer", describe(at.value))
		}
		return
	}
	if o, ok := rd.object(at, "overdue", "mix", "season", "evenness", "neighbours", "keep"); ok {
		p := &rd.a.Parts
		for _, one := range []struct {
			key string
			to  *float64
		}{{"overdue", &p.Overdue}, {"mix", &p.Mix}, {"season", &p.Season}, {"evenness", &p.Evenness},
			{"neighbours", &p.Neighbors}, {"keep", &p.Keep}} {
			rd.figure(o, one.key, one.to, false)
		}
	}
}

// each reads the members of a list that must be there.
func (rd *sheet) each(o object, key string, member func(at *place)) {
	const accepts = "a list, empty where there is nothing"
	if at := o.need(key, accepts); at != nil {
		for _, item := range rd.items(at, accepts) {
			member(item)
		}
	}
}

func (rd *answerReader) burn(at *place) {
	o, ok := rd.object(at, "unit", "year", "season")
	if !ok {
		return
	}
	var b Burn
	if at := o.need("unit", "the id of a unit"); at != nil {
		b.Unit, _ = rd.reference(at, "a unit", rd.units)
	}
	if at := o.need("year", "a program year of the plan"); at != nil {
		b.Year, _ = rd.year(at)
	}
	if at := o.need("season", "the name of a season"); at != nil {
		b.Season, _ = rd.reference(at, "a season", rd.seasons)
	}
	rd.a.Burns = append(rd.a.Burns, b)
}

func (rd *answerReader) price(at *place) {
	row, o, ok := rd.row(at, "per_unit")
	if !ok {
		return
	}
	price := RowPrice{Row: row}
	rd.figure(o, "per_unit", &price.PerUnit, false)
	rd.a.Prices = append(rd.a.Prices, price)
}

func (rd *answerReader) saving(at *place) {
	row, o, ok := rd.row(at, "step", "cost", "bound", "saves")
	if !ok {
		return
	}
	s := Saving{Row: row}
	rd.figure(o, "step", &s.Step, false)
	rd.figure(o, "cost", &s.Cost, false)
	rd.figure(o, "bound", &s.Bound, false)
	rd.figure(o, "saves", &s.Saves, false)
	rd.a.More = append(rd.a.More, s)
}

func (rd *answerReader) clash(at *place) {
	o, ok := rd.object(at, "requirement", "year", "season", "refuge", "locks", "needed", "allowed", "text")
	if !ok {
		return
	}
	c := Clash{Season: -1, Refuge: -1}
	if at := o.need("requirement", "a requirement"); at != nil {
		text, ok := rd.text(at, "a requirement")
		c.Requirement = Requirement(text)
		if ok && !c.Requirement.known() {
			rd.bad(at, "rest, season, acres, burns, cost, burn_days, apart, refuge or lock", "%s is not a requirement", source.Quote(text))
		}
	}
	if at := o.need("year", "a program year of the plan"); at != nil {
		c.Year, _ = rd.year(at)
	}
	if at := o.get("season"); at != nil {
		c.Season, _ = rd.reference(at, "a season", rd.seasons)
	}
	if at := o.get("refuge"); at != nil {
		c.Refuge, _ = rd.reference(at, "a refuge", rd.refuges)
	}
	rd.each(o, "locks", func(at *place) { c.Locks = append(c.Locks, rd.lock(at)) })
	needed, allowed := o.get("needed"), o.get("allowed")
	if c.HasNumbers = needed != nil || allowed != nil; c.HasNumbers {
		rd.figure(o, "needed", &c.Needed, false)
		rd.figure(o, "allowed", &c.Allowed, false)
	}
	if at := o.need("text", "a sentence"); at != nil {
		c.Text, _ = rd.text(at, "a sentence")
	}
	rd.a.Clashes = append(rd.a.Clashes, c)
}

func (r Requirement) known() bool {
	switch r {
	case RequireRest, RequireSeason, RequireAcres, RequireBurns, RequireCost, RequireBurnDays, RequireApart, RequireRefuge, RequireLock:
		return true
	}
	return false
}

// lock reads a lock of a clash, which is a burn unless it says otherwise.
func (rd *answerReader) lock(at *place) Lock {
	l := Lock{Burn: true, Season: -1}
	o, ok := rd.object(at, "unit", "year", "burn", "season")
	if !ok {
		return l
	}
	if at := o.need("unit", "the id of a unit"); at != nil {
		l.Unit, _ = rd.reference(at, "a unit", rd.units)
	}
	if at := o.need("year", "a program year of the plan"); at != nil {
		l.Year, _ = rd.year(at)
	}
	if at := o.get("burn"); at != nil {
		l.Burn, _ = rd.flag(at)
	}
	if at := o.get("season"); at != nil {
		l.Season, _ = rd.reference(at, "a season", rd.seasons)
	}
	return l
}

// Describe names a row in words, such as "burn_days dormant 2028".
func (p *Problem) Describe(r Row) string {
	text := string(r.Kind)
	switch r.Kind {
	case RowBurnDays:
		text += " " + p.Seasons[r.Season]
	case RowRefuge:
		text += " " + p.Refuges[r.Refuge].Name
	case RowApart, RowNeighbors:
		text += " " + p.Units[r.Pair[0]].ID + " " + p.Units[r.Pair[1]].ID
	case RowMixLow, RowMixHigh:
		text += " " + p.Mixes[r.Mix].Name + " " + p.Mixes[r.Mix].Classes[r.Class].Name
	}
	return text + " " + strconv.Itoa(r.Year)
}
