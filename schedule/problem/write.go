package problem

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"emberquilt/habitat/source"
)

// Write writes p as a rotation-problem/1 file in one canonical form: the same
// problem gives the same bytes, and Read gives the same problem back. The
// caller has seen to it that p is good, as Validate tells.
func Write(w io.Writer, p *Problem) error {
	if err := p.shape(); err != nil {
		return err
	}
	out := newPrinter(w)
	out.raw("{\n\"format\": ", quoteJSON(Format), ",\n\"first_year\": ", strconv.Itoa(p.FirstYear),
		", \"years\": ", strconv.Itoa(p.Years), ", \"lookahead\": ", strconv.Itoa(p.Lookahead), ",\n\"seasons\": ")
	out.list(len(p.Seasons), ", ", func(s int) { out.text(p.Seasons[s]) })
	out.raw(",\n\"units\": ")
	out.lines(len(p.Units), func(i int) { out.unit(p, &p.Units[i]) })
	out.caps(p)
	out.groups(p)
	out.wishes(p)
	out.raw("\n}\n")
	return out.done()
}

func (out *printer) unit(p *Problem, u *Unit) {
	out.object(func(f *fields) {
		f.key("id")
		f.text(u.ID)
		f.key("acres")
		f.number(u.Acres)
		f.key("min_interval")
		f.integer(u.MinInterval)
		f.key("max_interval")
		f.integer(u.MaxInterval)
		f.key("age")
		f.integer(u.Age)
		f.key("seasons")
		f.object(func(f *fields) {
			for s, name := range p.Seasons {
				if u.Allows(s) {
					f.name(name)
					f.number(u.Penalty[s])
				}
			}
		})
		f.key("burn_days")
		f.number(u.BurnDays)
		f.key("cost")
		f.number(u.Cost)
		if u.Mix >= 0 {
			f.key("mix")
			f.text(p.Mixes[u.Mix].Name)
		}
		if u.Refuge >= 0 {
			f.key("refuge")
			f.text(p.Refuges[u.Refuge].Name)
		}
	})
}

// name starts a field whose key is the user's own text.
func (f *fields) name(text string) {
	quoted := quoteJSON(text)
	f.key(quoted[1 : len(quoted)-1])
}

// caps writes the caps of the first year as those of every year, where every
// year has such a cap, and by year what differs.
func (out *printer) caps(p *Problem) {
	common := func(get func(*YearCaps) float64) float64 {
		for t := range p.Caps {
			if get(&p.Caps[t]) == NoLimit {
				return NoLimit
			}
		}
		return get(&p.Caps[0])
	}
	base := YearCaps{
		Acres:    common(func(c *YearCaps) float64 { return c.Acres }),
		Burns:    common(func(c *YearCaps) float64 { return c.Burns }),
		Cost:     common(func(c *YearCaps) float64 { return c.Cost }),
		BurnDays: make([]float64, len(p.Seasons)),
	}
	none := YearCaps{Acres: NoLimit, Burns: NoLimit, Cost: NoLimit, BurnDays: make([]float64, len(p.Seasons))}
	for s := range base.BurnDays {
		base.BurnDays[s] = common(func(c *YearCaps) float64 { return c.BurnDays[s] })
		none.BurnDays[s] = NoLimit
	}
	if base.differs(&none) {
		out.raw(",\n\"caps\": ")
		out.yearCaps(p, &base, &none)
	}
	var years []int
	for t := range p.Caps {
		if p.Caps[t].differs(&base) {
			years = append(years, t)
		}
	}
	if len(years) == 0 {
		return
	}
	out.raw(",\n\"caps_by_year\": {")
	for k, t := range years {
		if k > 0 {
			out.raw(",")
		}
		out.raw("\n  \"", strconv.Itoa(p.FirstYear+t), "\": ")
		out.yearCaps(p, &p.Caps[t], &base)
	}
	out.raw("\n}")
}

func (c *YearCaps) differs(other *YearCaps) bool {
	if c.Acres != other.Acres || c.Burns != other.Burns || c.Cost != other.Cost {
		return true
	}
	for s := range c.BurnDays {
		if c.BurnDays[s] != other.BurnDays[s] {
			return true
		}
	}
	return false
}

// yearCaps writes the caps of c that differ from base.
func (out *printer) yearCaps(p *Problem, c, base *YearCaps) {
	out.object(func(f *fields) {
		one := func(name string, limit, other float64) {
			if limit != other {
				f.key(name)
				f.number(limit)
			}
		}
		one("acres", c.Acres, base.Acres)
		one("burns", c.Burns, base.Burns)
		one("cost", c.Cost, base.Cost)
		var days []int
		for s := range c.BurnDays {
			if c.BurnDays[s] != base.BurnDays[s] {
				days = append(days, s)
			}
		}
		if len(days) > 0 {
			f.key("burn_days")
			f.object(func(f *fields) {
				for _, s := range days {
					f.name(p.Seasons[s])
					f.number(c.BurnDays[s])
				}
			})
		}
	})
}

func (out *printer) groups(p *Problem) {
	pairs := func(key string, list [][2]int) {
		if len(list) == 0 {
			return
		}
		out.raw(",\n\"", key, "\": ")
		out.list(len(list), ", ", func(k int) {
			out.list(2, ", ", func(end int) { out.text(p.Units[list[k][end]].ID) })
		})
	}
	pairs("apart", p.Apart)
	pairs("neighbours", p.Neighbors)
	if len(p.Refuges) > 0 {
		out.raw(",\n\"refuges\": ")
		out.object(func(f *fields) {
			for _, group := range p.Refuges {
				f.name(group.Name)
				f.object(func(f *fields) {
					f.key("max_share")
					f.number(group.MaxShare)
				})
			}
		})
	}
	if len(p.Mixes) > 0 {
		out.raw(",\n\"mixes\": ")
		out.object(func(f *fields) {
			for _, mix := range p.Mixes {
				f.name(mix.Name)
				f.list(len(mix.Classes), ", ", func(k int) { f.class(mix.Classes[k]) })
			}
		})
	}
}

func (out *printer) class(c Class) {
	out.object(func(f *fields) {
		f.key("class")
		f.text(c.Name)
		f.key("from")
		f.integer(c.From)
		if c.To != OpenEnded {
			f.key("to")
			f.integer(c.To)
		}
		f.key("min_share")
		f.number(c.MinShare)
		f.key("max_share")
		f.number(c.MaxShare)
	})
}

// wishes writes evenness, closed seasons, locks, the previous plan and the
// weights.
func (out *printer) wishes(p *Problem) {
	if !math.IsInf(p.EvenLo, -1) || p.EvenHi != NoLimit {
		out.raw(",\n\"evenness\": ")
		out.object(func(f *fields) {
			if !math.IsInf(p.EvenLo, -1) {
				f.key("min_acres")
				f.number(p.EvenLo)
			}
			if p.EvenHi != NoLimit {
				f.key("max_acres")
				f.number(p.EvenHi)
			}
		})
	}
	if len(p.Closed) > 0 {
		out.raw(",\n\"closed\": ")
		out.lines(len(p.Closed), func(k int) { out.closed(p, p.Closed[k]) })
	}
	if len(p.Locks) > 0 {
		out.raw(",\n\"locks\": ")
		out.lines(len(p.Locks), func(k int) { out.lock(p, p.Locks[k], true) })
	}
	if len(p.Previous) > 0 || p.KeepYears > 0 {
		out.raw(",\n\"previous\": ")
		out.lines(len(p.Previous), func(k int) {
			out.object(func(f *fields) {
				f.key("unit")
				f.text(p.Units[p.Previous[k].Unit].ID)
				f.key("year")
				f.integer(p.Previous[k].Year)
			})
		})
		out.raw(",\n\"keep_years\": ", strconv.Itoa(p.KeepYears))
	}
	w := p.Weights
	out.raw(",\n\"weights\": ")
	out.parts(Parts(w))
	if p.OverdueGrowth != 0 {
		out.raw(",\n\"overdue_growth\": ")
		out.number(p.OverdueGrowth)
		out.raw(", \"overdue_growth_years\": ", strconv.Itoa(p.OverdueGrowthYears))
	}
}

func (out *printer) closed(p *Problem, c Closed) {
	out.object(func(f *fields) {
		f.key("unit")
		f.text(p.Units[c.Unit].ID)
		f.key("year")
		f.integer(c.Year)
		if c.Season >= 0 {
			f.key("season")
			f.text(p.Seasons[c.Season])
		}
	})
}

// parts writes the six parts of the cost, or their weights.
func (out *printer) parts(p Parts) {
	out.object(func(f *fields) {
		f.key("overdue")
		f.number(p.Overdue)
		f.key("mix")
		f.number(p.Mix)
		f.key("season")
		f.number(p.Season)
		f.key("evenness")
		f.number(p.Evenness)
		f.key("neighbours")
		f.number(p.Neighbors)
		f.key("keep")
		f.number(p.Keep)
	})
}

// lock writes a lock; burnFlag false leaves out "burn": true.
func (out *printer) lock(p *Problem, l Lock, burnFlag bool) {
	out.object(func(f *fields) {
		f.key("unit")
		f.text(p.Units[l.Unit].ID)
		f.key("year")
		f.integer(l.Year)
		if burnFlag || !l.Burn {
			f.key("burn")
			f.raw(strconv.FormatBool(l.Burn))
		}
		if l.Season >= 0 {
			f.key("season")
			f.text(p.Seasons[l.Season])
		}
	})
}

// Canonical gives what Read would make of the file that Write makes of p: the
// same problem, with warnings and SHA256: a problem that comes from a property is held
// to the rules that files are read by. The error is a *source.Error or *source.List
// whose fields name the places in the canonical file, as units[3].acres.
func Canonical(p *Problem) (*Problem, error) {
	var b bytes.Buffer
	if err := Write(&b, p); err != nil {
		return nil, err
	}
	q, err := ReadKept(&b, "") // it may be made of one that a property holds
	var list *source.List
	var one *source.Error
	switch {
	case errors.As(err, &list):
		for _, e := range list.Errors {
			e.Line = 0 // of a file that nobody has
		}
	case errors.As(err, &one):
		one.Line = 0
	}
	return q, err
}

// shape checks what no file could say: lengths, indices, numbers that are none.
func (p *Problem) shape() error {
	bad := func(field, format string, args ...any) error {
		return &source.Error{Position: source.Position{Field: field}, Found: fmt.Sprintf(format, args...)}
	}
	if p.T() < 1 || len(p.Caps) != p.T() {
		return bad("caps", "caps of %d years in a problem of %d", len(p.Caps), p.T())
	}
	for t := range p.Caps {
		if len(p.Caps[t].BurnDays) != len(p.Seasons) {
			return bad("caps", "burn-day caps of %d seasons in a problem of %d", len(p.Caps[t].BurnDays), len(p.Seasons))
		}
	}
	for i := range p.Units {
		u := &p.Units[i]
		if len(u.Penalty) != len(p.Seasons) || u.Mix >= len(p.Mixes) || u.Refuge >= len(p.Refuges) {
			return bad(fmt.Sprintf("units[%d]", i), "a season, mix or refuge that the problem does not have")
		}
	}
	for i := range p.Units {
		if slices.ContainsFunc(p.Units[i].Penalty, math.IsNaN) {
			return bad(fmt.Sprintf("units[%d].seasons", i), "a penalty that is not a number")
		}
	}
	unit := func(i int) bool { return i >= 0 && i < len(p.Units) }
	for _, pair := range append(append([][2]int{}, p.Apart...), p.Neighbors...) {
		if !unit(pair[0]) || !unit(pair[1]) {
			return bad("apart, neighbors", "a pair of units that the problem does not have")
		}
	}
	for k, c := range p.Closed {
		if !unit(c.Unit) || c.Season >= len(p.Seasons) {
			return bad(fmt.Sprintf("closed[%d]", k), "a unit or season that the problem does not have")
		}
	}
	for k, l := range p.Locks {
		if !unit(l.Unit) || l.Season >= len(p.Seasons) {
			return bad(fmt.Sprintf("locks[%d]", k), "a unit or season that the problem does not have")
		}
	}
	for k, b := range p.Previous {
		if !unit(b.Unit) {
			return bad(fmt.Sprintf("previous[%d]", k), "a unit that the problem does not have")
		}
	}
	return nil
}
