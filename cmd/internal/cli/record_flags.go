package cli

import (
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/quantity"
)

// recordFlags are the particulars of a burn record.
type recordFlags struct {
	on, through                                     dayFlag
	kind, purpose, ignition, start, end, fuel, soil string
	crew, permit, escapes, mopUpEnd, notes          string
	acres, consumed, topKilled                      float64
	readings, notified, files                       []string
	shape                                           string
	another                                         bool
	// named says whether the command line names a flag.
	named func(flag string) bool
}

func (f *recordFlags) register(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.Var(&f.through, "through", "last day, where the burn took several")
	flags.StringVar(&f.kind, "kind", string(habitat.Prescribed), "prescribed, wildfire or attempt; mowing, disking, herbicide or grazing")
	flags.Float64Var(&f.acres, "acres", 0, "acres burned (default: the whole unit)")
	flags.StringVar(&f.shape, "shape", "", "map `FILE` with the outline that burned: its acres within the unit count, and the file is kept with the record")
	flags.StringVar(&f.purpose, "purpose", "", "what it was for")
	flags.StringVar(&f.ignition, "ignition", "", strings.Join(habitat.IgnitionPatterns(), ", "))
	flags.StringVar(&f.start, "start", "", "local time of ignition as `HH:MM`")
	flags.StringVar(&f.end, "end", "", "local time of the end as `HH:MM`")
	flags.StringArrayVar(&f.readings, "reading", nil, "weather at one moment, as `READING` \"13:00 temp=58 rh=42 wind=7 from=SW\"; may be repeated")
	flags.StringVar(&f.fuel, "fuel-moisture", "", "remark on fuel moisture")
	flags.StringVar(&f.soil, "soil-moisture", "", "remark on soil moisture")
	flags.StringVar(&f.crew, "crew", "", "who burned")
	flags.StringVar(&f.permit, "permit", "", "number of the permit or authorization")
	flags.StringArrayVar(&f.notified, "notified", nil, "who was told, and when, as `\"WHO, WHEN\"`; may be repeated")
	flags.Float64Var(&f.consumed, "consumed", 0, "share of the fuel consumed, 0 to 1")
	flags.Float64Var(&f.topKilled, "top-killed", 0, "share of the woody cover top-killed, 0 to 1")
	flags.StringVar(&f.escapes, "escapes", "", "escapes and spot-overs")
	flags.StringVar(&f.mopUpEnd, "mop-up-end", "", "end of mop-up as `TIME` \"YYYY-MM-DD HH:MM\"")
	flags.StringArrayVar(&f.files, "file", nil, "photo, map or other file that belongs to it; may be repeated")
	flags.StringVar(&f.notes, "notes", "", "anything else")
}

// note takes down which flags the command line names.
func (f *recordFlags) note(cmd *cobra.Command) { f.named = cmd.Flags().Changed }

// change gives what the flags say; nil stands for what they do not name.
func (f *recordFlags) change(s *app.Session) (c app.BurnChange, err error) {
	c.On, c.Through = ifNamed(f, "on", f.on.Day), ifNamed(f, "through", f.through.Day)
	c.Kind = ifNamed(f, "kind", habitat.RecordKind(f.kind))
	c.Acres = ifNamed(f, "acres", quantity.Acres(f.acres))
	c.Purpose, c.Ignition = ifNamed(f, "purpose", f.purpose), ifNamed(f, "ignition", f.ignition)
	c.Start, c.End = ifNamed(f, "start", f.start), ifNamed(f, "end", f.end)
	c.FuelMoisture, c.SoilMoisture = ifNamed(f, "fuel-moisture", f.fuel), ifNamed(f, "soil-moisture", f.soil)
	c.Crew, c.Permit = ifNamed(f, "crew", f.crew), ifNamed(f, "permit", f.permit)
	c.Escapes, c.MopUpEnd, c.Notes = ifNamed(f, "escapes", f.escapes), ifNamed(f, "mop-up-end", f.mopUpEnd), ifNamed(f, "notes", f.notes)
	c.Consumed, c.TopKilled = ifNamed(f, "consumed", quantity.Share(f.consumed)), ifNamed(f, "top-killed", quantity.Share(f.topKilled))
	for _, text := range f.readings {
		reading, err := habitat.ParseReading(text)
		if err != nil {
			return c, usagef("--reading: %w", err)
		}
		c.Readings = append(c.Readings, reading)
	}
	for _, text := range f.notified {
		c.Notified = append(c.Notified, parseNotification(text))
	}
	for _, path := range f.files {
		file, err := attach(s, path)
		if err != nil {
			return c, err
		}
		c.Files = append(c.Files, file)
	}
	c.Outline, err = f.outline(s)
	return c, err
}

// ifNamed gives the value of a flag, nil where the command line does not name it.
func ifNamed[V any](f *recordFlags, flag string, value V) *V {
	if !f.named(flag) {
		return nil
	}
	return &value
}

// parseNotification reads "WHO, WHEN".
func parseNotification(text string) habitat.Notification {
	who, when, _ := strings.Cut(text, ",")
	return habitat.Notification{Who: strings.TrimSpace(who), At: strings.TrimSpace(when)}
}

// attach names a file that belongs to the property.
func attach(s *app.Session, path string) (habitat.Attachment, error) {
	file, err := s.Attach(path)
	if isPathError(err) {
		return file, noFile(path, err)
	}
	return file, err
}

// recordFlag names the flag or argument from which a field of a record came.
func recordFlag(field string) string {
	if field == "date" {
		return "DATE"
	}
	if head, rest, ok := strings.Cut(field, "["); ok && head == "readings" {
		_, rest, _ = strings.Cut(rest, "].")
		return "--reading: " + rest
	}
	return sameFlag(field)
}
