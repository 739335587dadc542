package list

import (
	"strings"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
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

// burnColumns are the columns of a list of burns. The last ones make one
// reading of the weather.
var burnColumns = []column[habitat.BurnRecord]{
	textColumn("unit", func(r *habitat.BurnRecord) *string { return &r.Unit }),
	dayColumn("date", func(r *habitat.BurnRecord) *date.Day { return &r.On }),
	dayColumn("through", func(r *habitat.BurnRecord) *date.Day { return &r.Through }),
	{
		name: "kind",
		read: func(c *cell, r *habitat.BurnRecord) {
			kind, _ := c.choice(string(habitat.Prescribed), string(habitat.Wildfire), string(habitat.Attempt))
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
	readingColumn("reading_at", "", func(c *cell, r *habitat.Reading) { r.At = c.clock() }, func(r *habitat.Reading) string { return r.At }),
	quantityColumn("temp_f", "degrees Fahrenheit", func(r *habitat.Reading) **quantity.Fahrenheit { return &r.Temperature }),
	quantityColumn("rh_pct", "percent of 0 to 100", func(r *habitat.Reading) **quantity.Percent { return &r.Humidity }),
	quantityColumn("wind_mph", "miles per hour", func(r *habitat.Reading) **quantity.MilesPerHour { return &r.Wind }),
	readingColumn("wind_from", "a compass point such as SW, or degrees from 0 to 360", readWindFrom, func(r *habitat.Reading) string {
		if r.WindFrom == nil {
			return ""
		}
		return plainNumber(float64(*r.WindFrom))
	}),
}

// readingColumn is a column of the one reading that a list can hold.
func readingColumn(name, accepts string, read func(*cell, *habitat.Reading), show func(*habitat.Reading) string) column[habitat.BurnRecord] {
	return column[habitat.BurnRecord]{
		name: name,
		read: func(c *cell, r *habitat.BurnRecord) {
			if len(r.Readings) == 0 {
				r.Readings = make([]habitat.Reading, 1)
			}
			read(c, &r.Readings[0])
		},
		copy: func(to, from *habitat.BurnRecord) { to.Readings = mergeReading(to.Readings, from.Readings) },
		show: func(r *habitat.BurnRecord) string {
			if len(r.Readings) == 0 {
				return ""
			}
			return show(&r.Readings[0])
		},
	}
}

// mergeReading puts a list's one reading in the place of the first, and keeps
// the others that a record may have.
func mergeReading(to, from []habitat.Reading) []habitat.Reading {
	if len(from) == 0 {
		return to
	}
	merged := append([]habitat.Reading(nil), to...)
	if len(merged) == 0 {
		merged = make([]habitat.Reading, 1)
	}
	merged[0] = from[0]
	return merged
}

func quantityColumn[Q ~float64](name, accepts string, of func(*habitat.Reading) **Q) column[habitat.BurnRecord] {
	return readingColumn(name, accepts, func(c *cell, r *habitat.Reading) {
		if v, ok := c.number(accepts); ok {
			q := Q(v)
			*of(r) = &q
		}
	}, func(r *habitat.Reading) string {
		if *of(r) == nil {
			return ""
		}
		return plainNumber(float64(**of(r)))
	})
}

func readWindFrom(c *cell, r *habitat.Reading) {
	const accepts = "where the wind comes from: a compass point such as SW, or degrees from 0 to 360"
	if b, ok := quantity.ParseCompass(strings.TrimSpace(c.text)); ok {
		r.WindFrom = &b
		return
	}
	v, err := quantity.Parse(c.text)
	if err != nil || !(v >= 0 && v <= 360) {
		c.bad(accepts, "", "%q is no direction", c.text)
		return
	}
	b := quantity.NewBearing(v)
	r.WindFrom = &b
}

// readNotified reads "fire department at 2026-03-01 08:00; neighbour at 07:30".
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
