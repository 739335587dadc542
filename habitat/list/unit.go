package list

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// plainNumber gives a number as a person would type it.
func plainNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// acresNumber gives an area as a person would type it, to a ten-thousandth of an
// acre; tiny ones in full.
func acresNumber(a quantity.Acres) string { return plainNumber(float64(a.Kept())) }

// textColumn is a column of one line of text.
func textColumn[V any](name string, of func(*V) *string) column[V] {
	return column[V]{
		name: name, clears: true,
		read: func(c *cell, v *V) { *of(v) = c.word() },
		copy: func(to, from *V) { *of(to) = *of(from) },
		show: func(v *V) string { return *of(v) },
	}
}

// notesColumn is a column of text that may have several lines.
func notesColumn[V any](name string, of func(*V) *string) column[V] {
	col := textColumn(name, of)
	col.read = func(c *cell, v *V) { *of(v) = c.lines() }
	return col
}

// yearsColumn is a column of a whole number of years.
func yearsColumn(name, accepts string, of func(*habitat.Unit) *int) column[habitat.Unit] {
	return column[habitat.Unit]{
		name: name,
		read: func(c *cell, u *habitat.Unit) { *of(u), _ = c.whole(accepts) },
		copy: func(to, from *habitat.Unit) { *of(to) = *of(from) },
		show: func(u *habitat.Unit) string { return strconv.Itoa(*of(u)) },
	}
}

// unitColumns are the columns of a list of units. acres goes into StatedAcres:
// whether it is the unit's area depends on its shape.
var unitColumns = []column[habitat.Unit]{
	textColumn("unit", func(u *habitat.Unit) *string { return &u.ID }),
	{
		name: "acres",
		read: func(c *cell, u *habitat.Unit) {
			v, ok := c.number("acres above 0, such as 38.5")
			if ok && !(v > 0 && quantity.Acres(v) <= habitat.MaxAcres) {
				c.bad("an area above 0, up to 1e9 acres", "", "%s acres cannot burn", source.Quote(c.text))
			}
			u.StatedAcres = quantity.Acres(v)
		},
		copy: func(to, from *habitat.Unit) { to.StatedAcres = from.StatedAcres },
		show: func(u *habitat.Unit) string { return acresNumber(u.Acres) },
	},
	yearsColumn("min_interval", "a whole number of years, 1 or more", func(u *habitat.Unit) *int { return &u.Interval.Min }),
	yearsColumn("max_interval", "a whole number of years, min_interval or more", func(u *habitat.Unit) *int { return &u.Interval.Max }),
	{
		name: "seasons", clears: true,
		read: readSeasons,
		copy: func(to, from *habitat.Unit) { to.Seasons = from.Seasons },
		show: func(u *habitat.Unit) string { return SeasonsText(u.Seasons) },
	},
	{
		name: "burn_days",
		read: func(c *cell, u *habitat.Unit) { u.BurnDays, _ = c.number("days of 0 or more, such as 1 or 0.5") },
		copy: func(to, from *habitat.Unit) { to.BurnDays = from.BurnDays },
		show: func(u *habitat.Unit) string { return plainNumber(u.BurnDays) },
	},
	{
		name: "cost",
		read: func(c *cell, u *habitat.Unit) { u.Cost, _ = c.dollars() },
		copy: func(to, from *habitat.Unit) { to.Cost = from.Cost },
		show: func(u *habitat.Unit) string { return u.Cost.String() },
	},
	textColumn("mix", func(u *habitat.Unit) *string { return &u.Mix }),
	textColumn("refuge", func(u *habitat.Unit) *string { return &u.Refuge }),
	textColumn("cover", func(u *habitat.Unit) *string { return &u.Cover }),
	textColumn("prescription", func(u *habitat.Unit) *string { return &u.Prescription }),
	{
		name: "estimated_age",
		read: func(c *cell, u *habitat.Unit) {
			if age, ok := c.whole("a stand age in program years, 0 or more"); ok {
				u.EstimatedAge = &age
			}
		},
		copy: func(to, from *habitat.Unit) { to.EstimatedAge = from.EstimatedAge },
		show: func(u *habitat.Unit) string {
			if u.EstimatedAge == nil {
				return ""
			}
			return strconv.Itoa(*u.EstimatedAge)
		},
	},
	{
		name: "estimated_in",
		read: func(c *cell, u *habitat.Unit) { u.EstimatedIn = c.programYear() },
		copy: func(to, from *habitat.Unit) { to.EstimatedIn = from.EstimatedIn },
		show: func(u *habitat.Unit) string {
			if u.EstimatedIn == 0 {
				return ""
			}
			return u.EstimatedIn.String()
		},
	},
	notesColumn("notes", func(u *habitat.Unit) *string { return &u.Notes }),
	ownedColumn("owned_from", func(u *habitat.Unit) *date.Day { return &u.Owned.From }),
	ownedColumn("owned_until", func(u *habitat.Unit) *date.Day { return &u.Owned.Until }),
	textColumn("farm", func(u *habitat.Unit) *string { return &u.Land.Farm }),
	textColumn("tract", func(u *habitat.Unit) *string { return &u.Land.Tract }),
	textColumn("field_number", func(u *habitat.Unit) *string { return &u.Land.Field }),
	textColumn("section", func(u *habitat.Unit) *string { return &u.Land.Section }),
}

// ownedColumn is a column of a day that a unit may have.
func ownedColumn(name string, of func(*habitat.Unit) *date.Day) column[habitat.Unit] {
	return column[habitat.Unit]{
		name: name, clears: true,
		read: func(c *cell, u *habitat.Unit) { *of(u), _ = c.day() },
		copy: func(to, from *habitat.Unit) { *of(to) = *of(from) },
		show: func(u *habitat.Unit) string { return of(u).String() },
	}
}

func (c *cell) programYear() date.ProgramYear { return date.ProgramYear(c.year("a program year")) }

// year reads a year of some kind, such as "a fiscal year".
func (c *cell) year(kind string) int {
	accepts := kind + " such as 2027"
	year, ok := c.whole(accepts)
	if ok && (year < 1 || year > 9999) {
		c.bad(accepts, "", "%s is not "+kind, source.Quote(c.text))
	}
	return year
}

// readSeasons reads "dormant" or "dormant:0;early-growing:1".
func readSeasons(c *cell, u *habitat.Unit) {
	const accepts = "seasons such as dormant or dormant:0;early-growing:1, a name and its penalty"
	for _, part := range strings.Split(c.text, ";") {
		part = strings.TrimSpace(part)
		if part == "" {
			continue
		}
		choice := habitat.SeasonChoice{Season: part}
		if at := strings.LastIndexByte(part, ':'); at >= 0 {
			v, err := quantity.Parse(part[at+1:])
			if err != nil || v < 0 {
				c.bad(accepts, "", "%s is not a penalty of season %s", source.Quote(strings.TrimSpace(part[at+1:])), source.Quote(part[:at]))
				return
			}
			choice = habitat.SeasonChoice{Season: strings.TrimSpace(part[:at]), Penalty: v}
		}
		u.Seasons = append(u.Seasons, choice)
	}
}

// SeasonsText gives seasons as a list of units has them: "dormant;early-growing:1".
func SeasonsText(choices []habitat.SeasonChoice) string {
	parts := make([]string, len(choices))
	for i, s := range choices {
		parts[i] = s.Season
		if s.Penalty != 0 {
			parts[i] += ":" + plainNumber(s.Penalty)
		}
	}
	return strings.Join(parts, ";")
}

// statedApart gives the share by which a stated area differs from the shape's.
func statedApart(stated, computed quantity.Acres) float64 {
	if stated <= 0 || computed <= 0 {
		return 0
	}
	return float64(max(stated-computed, computed-stated) / computed)
}

// statedTolerance is the share above which both figures are shown. Source: the
// project's own requirement of 1 percent; common practice, no source.
const statedTolerance = 0.01

// acresText gives an area so that small ones are not 0.0.
func acresText(a quantity.Acres) string {
	if a >= 1 {
		return a.String()
	}
	return strconv.FormatFloat(float64(a), 'g', 2, 64)
}

func apartText(u *habitat.Unit) string {
	return fmt.Sprintf("unit %q is stated with %s acres, its shape has %s (%.1f percent apart); the shape's figure is used",
		u.ID, acresText(u.StatedAcres), acresText(u.Acres), 100*statedApart(u.StatedAcres, u.Acres))
}

// natural compares names so that n2 comes before n10.
func natural(a, b string) int {
	for a != "" && b != "" {
		da, db := digits(a), digits(b)
		if da > 0 && db > 0 {
			x, y := strings.TrimLeft(a[:da], "0"), strings.TrimLeft(b[:db], "0")
			if c := cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(x, y)); c != 0 {
				return c
			}
			a, b = a[da:], b[db:]
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

func digits(text string) int {
	n := 0
	for n < len(text) && text[n] >= '0' && text[n] <= '9' {
		n++
	}
	return n
}
