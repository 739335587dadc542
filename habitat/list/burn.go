package list

import (
	"slices"
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

func dayColumn(name string, of func(*habitat.BurnRecord) *date.Day) column[habitat.BurnRecord] {
	return column[habitat.BurnRecord]{
		name: name,
		read: func(c *cell, r *habitat.BurnRecord) { *of(r), _ = c.day() },
		copy: func(to, from *habitat.BurnRecord) { *of(to) = *of(from) },
		show: func(r *habitat.BurnRecord) string { return of(r).String() },
	}
}

func clockColumn(name string, of func(*habitat.BurnRecord) *string) column[habitat.BurnRecord] {
	col := textColumn(name, of)
	col.read = func(c *cell, r *habitat.BurnRecord) { *of(r) = c.clock() }
	return col
}

func momentColumn(name string, of func(*habitat.BurnRecord) *string) column[habitat.BurnRecord] {
	col := textColumn(name, of)
	col.read = func(c *cell, r *habitat.BurnRecord) { *of(r) = c.moment() }
	return col
}

func shareColumn(name string, of func(*habitat.BurnRecord) **quantity.Share) column[habitat.BurnRecord] {
	return column[habitat.BurnRecord]{
		name: name, clears: true,
		read: func(c *cell, r *habitat.BurnRecord) { *of(r), _ = c.share() },
		copy: func(to, from *habitat.BurnRecord) { *of(to) = *of(from) },
		show: func(r *habitat.BurnRecord) string {
			if *of(r) == nil {
				return ""
			}
			return plainNumber(float64(**of(r)))
		},
	}
}

// burnColumns are the columns of a list of burns. Those from reading_at on make
// one reading of the weather; the last holds more of them.
var burnColumns = []column[habitat.BurnRecord]{
	textColumn("unit", func(r *habitat.BurnRecord) *string { return &r.Unit }),
	dayColumn("date", func(r *habitat.BurnRecord) *date.Day { return &r.On }),
	dayColumn("through", func(r *habitat.BurnRecord) *date.Day { return &r.Through }),
	{
		name: "kind",
		read: func(c *cell, r *habitat.BurnRecord) {
			kind, _ := c.choice(kindWords...)
			r.Kind = habitat.RecordKind(kind)
		},
		copy: func(to, from *habitat.BurnRecord) { to.Kind = from.Kind },
		show: func(r *habitat.BurnRecord) string { return string(r.Kind) },
	},
	{
		name: "acres", clears: true,
		read: func(c *cell, r *habitat.BurnRecord) {
			v, ok := c.number("acres burned, or nothing where the whole unit burned")
			r.Acres, r.HasAcres = quantity.Acres(v), ok
		},
		copy: func(to, from *habitat.BurnRecord) { to.Acres, to.HasAcres = from.Acres, from.HasAcres },
		show: func(r *habitat.BurnRecord) string {
			if !r.HasAcres {
				return ""
			}
			return acresNumber(r.Acres)
		},
	},
	textColumn("purpose", func(r *habitat.BurnRecord) *string { return &r.Purpose }),
	{
		name: "ignition", clears: true,
		read: func(c *cell, r *habitat.BurnRecord) { r.Ignition, _ = c.choice(habitat.IgnitionPatterns()...) },
		copy: func(to, from *habitat.BurnRecord) { to.Ignition = from.Ignition },
		show: func(r *habitat.BurnRecord) string { return r.Ignition },
	},
	clockColumn("start", func(r *habitat.BurnRecord) *string { return &r.Start }),
	clockColumn("end", func(r *habitat.BurnRecord) *string { return &r.End }),
	textColumn("fuel_moisture", func(r *habitat.BurnRecord) *string { return &r.FuelMoisture }),
	textColumn("soil_moisture", func(r *habitat.BurnRecord) *string { return &r.SoilMoisture }),
	textColumn("crew", func(r *habitat.BurnRecord) *string { return &r.Crew }),
	textColumn("permit", func(r *habitat.BurnRecord) *string { return &r.Permit }),
	{
		name: "notified", clears: true,
		read: readNotified,
		copy: func(to, from *habitat.BurnRecord) { to.Notified = from.Notified },
		show: func(r *habitat.BurnRecord) string { return notifiedText(r.Notified) },
	},
	shareColumn("consumed", func(r *habitat.BurnRecord) **quantity.Share { return &r.Consumed }),
	shareColumn("top_killed", func(r *habitat.BurnRecord) **quantity.Share { return &r.TopKilled }),
	textColumn("escapes", func(r *habitat.BurnRecord) *string { return &r.Escapes }),
	momentColumn("mop_up_end", func(r *habitat.BurnRecord) *string { return &r.MopUpEnd }),
	notesColumn("notes", func(r *habitat.BurnRecord) *string { return &r.Notes }),
	readingColumn("reading_at", func(r *habitat.Reading) *string { return &r.At },
		func(c *cell) (string, bool) { return c.clock(), !c.failed }, func(at string) string { return at }),
	quantityColumn("temp_f", func(r *habitat.Reading) **quantity.Fahrenheit { return &r.Temperature }, readQuantity[quantity.Fahrenheit]("degrees Fahrenheit")),
	quantityColumn("rh_pct", func(r *habitat.Reading) **quantity.Percent { return &r.Humidity }, readQuantity[quantity.Percent]("percent of 0 to 100")),
	quantityColumn("wind_mph", func(r *habitat.Reading) **quantity.MilesPerHour { return &r.Wind }, readQuantity[quantity.MilesPerHour]("miles per hour")),
	quantityColumn("wind_from", func(r *habitat.Reading) **quantity.Bearing { return &r.WindFrom }, readWindFrom),
	{
		name: "readings",
		read: func(c *cell, r *habitat.BurnRecord) { r.Readings = append(r.Readings, readReadings(c)...) },
		copy: func(to, from *habitat.BurnRecord) { to.Readings = slices.Clone(from.Readings) },
		// The first one shows in the columns before.
		show: func(r *habitat.BurnRecord) string {
			var all []string
			for i := 1; i < len(r.Readings); i++ {
				all = append(all, r.Readings[i].String())
			}
			return strings.Join(all, "; ")
		},
	},
}

// readReadings reads "13:00 temp=58 rh=42 wind=7 from=SW; 14:30 temp=61 rh=38".
func readReadings(c *cell) []habitat.Reading {
	var all []habitat.Reading
	for _, part := range strings.Split(c.text, ";") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		reading, err := habitat.ParseReading(part)
		if err != nil {
			found, accepts, _ := strings.Cut(err.Error(), "; accepts ")
			c.bad(accepts+"; several stand with ; between", "", "%s", found)
			return nil
		}
		all = append(all, reading)
	}
	return all
}

// readingColumn is a column of the one reading that has columns of its own: the
// first of a record. Its other fields, and other readings, stay as they are.
func readingColumn[F any](name string, of func(*habitat.Reading) *F, read func(*cell) (F, bool), show func(F) string) column[habitat.BurnRecord] {
	return column[habitat.BurnRecord]{
		name: name,
		read: func(c *cell, r *habitat.BurnRecord) {
			if v, ok := read(c); ok {
				*of(firstReading(r)) = v
			}
		},
		copy: func(to, from *habitat.BurnRecord) {
			to.Readings = slices.Clone(to.Readings)
			*of(firstReading(to)) = *of(firstReading(from))
		},
		show: func(r *habitat.BurnRecord) string {
			if len(r.Readings) == 0 {
				return ""
			}
			return show(*of(&r.Readings[0]))
		},
	}
}

func firstReading(r *habitat.BurnRecord) *habitat.Reading {
	if len(r.Readings) == 0 {
		r.Readings = make([]habitat.Reading, 1)
	}
	return &r.Readings[0]
}

func quantityColumn[Q ~float64](name string, of func(*habitat.Reading) **Q, read func(*cell) (*Q, bool)) column[habitat.BurnRecord] {
	return readingColumn(name, of, read, func(q *Q) string {
		if q == nil {
			return ""
		}
		return plainNumber(float64(*q))
	})
}

func readQuantity[Q ~float64](accepts string) func(*cell) (*Q, bool) {
	return func(c *cell) (*Q, bool) {
		v, ok := c.number(accepts)
		q := Q(v)
		return &q, ok
	}
}

func readWindFrom(c *cell) (*quantity.Bearing, bool) {
	b, ok := quantity.ParseDirection(c.text)
	if !ok {
		c.bad("where the wind comes from: a compass point such as SW, or degrees from 0 to 360", "", "%s is not a direction", source.Quote(c.text))
		return nil, false
	}
	return &b, true
}

// readNotified reads "fire department at 2026-03-01 08:00; neighbor at 07:30".
func readNotified(c *cell, r *habitat.BurnRecord) {
	for _, part := range strings.Split(c.word(), ";") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		n := habitat.Notification{Who: part}
		if at := strings.LastIndex(part, " at "); at > 0 {
			n = habitat.Notification{Who: strings.TrimSpace(part[:at]), At: strings.TrimSpace(part[at+4:])}
		}
		r.Notified = append(r.Notified, n)
	}
}

func notifiedText(all []habitat.Notification) string {
	parts := make([]string, len(all))
	for i, n := range all {
		parts[i] = n.Who
		if n.At != "" {
			parts[i] += " at " + n.At
		}
	}
	return strings.Join(parts, "; ")
}

// kindWords lists the kinds that a record may have.
var kindWords = func() (all []string) {
	for _, k := range habitat.RecordKinds() {
		all = append(all, string(k))
	}
	return all
}()
