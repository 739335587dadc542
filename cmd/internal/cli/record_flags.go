package cli

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

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
}

func (f *recordFlags) register(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.Var(&f.through, "through", "last day, where the burn took several")
	flags.StringVar(&f.kind, "kind", string(habitat.Prescribed), "prescribed, wildfire or attempt")
	flags.Float64Var(&f.acres, "acres", 0, "acres burned (default: the whole unit)")
	flags.StringVar(&f.shape, "shape", "", "map `FILE` with the outline that burned: its acres within the unit count, and the file is kept with the record")
	flags.StringVar(&f.purpose, "purpose", "", "what it was for")
	flags.StringVar(&f.ignition, "ignition", "", strings.Join(habitat.IgnitionPatterns(), ", "))
	flags.StringVar(&f.start, "start", "", "local time of ignition as `HH:MM`")
	flags.StringVar(&f.end, "end", "", "local time of the end as `HH:MM`")
	flags.StringArrayVar(&f.readings, "reading", nil, "weather at one moment, as `\"13:00 temp=58 rh=42 wind=7 from=SW\"`; may be repeated")
	flags.StringVar(&f.fuel, "fuel-moisture", "", "remark on fuel moisture")
	flags.StringVar(&f.soil, "soil-moisture", "", "remark on soil moisture")
	flags.StringVar(&f.crew, "crew", "", "who burned")
	flags.StringVar(&f.permit, "permit", "", "number of the permit or authorization")
	flags.StringArrayVar(&f.notified, "notified", nil, "who was told, and when, as `\"WHO, WHEN\"`; may be repeated")
	flags.Float64Var(&f.consumed, "consumed", 0, "share of the fuel consumed, 0 to 1")
	flags.Float64Var(&f.topKilled, "top-killed", 0, "share of the woody cover top-killed, 0 to 1")
	flags.StringVar(&f.escapes, "escapes", "", "escapes and spot-overs")
	flags.StringVar(&f.mopUpEnd, "mop-up-end", "", "end of mop-up as `\"YYYY-MM-DD HH:MM\"`")
	flags.StringArrayVar(&f.files, "file", nil, "photo, map or other file that belongs to it; may be repeated")
	flags.StringVar(&f.notes, "notes", "", "anything else")
}

// apply sets what the command line names and leaves the rest of the record.
func (f *recordFlags) apply(cmd *cobra.Command, r *habitat.BurnRecord, property string) error {
	named := cmd.Flags().Changed
	if named("through") {
		r.Through = f.through.Day
	}
	if named("kind") {
		r.Kind = habitat.RecordKind(f.kind)
	}
	if named("acres") {
		r.Acres, r.HasAcres = quantity.Acres(f.acres), true
	}
	for _, text := range []struct {
		flag     string
		from, to *string
	}{
		{"purpose", &f.purpose, &r.Purpose}, {"ignition", &f.ignition, &r.Ignition}, {"start", &f.start, &r.Start}, {"end", &f.end, &r.End},
		{"fuel-moisture", &f.fuel, &r.FuelMoisture}, {"soil-moisture", &f.soil, &r.SoilMoisture}, {"crew", &f.crew, &r.Crew},
		{"permit", &f.permit, &r.Permit}, {"escapes", &f.escapes, &r.Escapes}, {"mop-up-end", &f.mopUpEnd, &r.MopUpEnd}, {"notes", &f.notes, &r.Notes},
	} {
		if named(text.flag) {
			*text.to = *text.from
		}
	}
	for _, share := range []struct {
		flag string
		from *float64
		to   **quantity.Share
	}{{"consumed", &f.consumed, &r.Consumed}, {"top-killed", &f.topKilled, &r.TopKilled}} {
		if named(share.flag) {
			if !(*share.from >= 0 && *share.from <= 1) {
				return flagError(share.flag, "a share from 0 to 1", "%v is not a share", *share.from)
			}
			value := quantity.Share(*share.from)
			*share.to = &value
		}
	}
	return f.applyLists(r, property)
}

// applyLists adds readings, notices and files to those that are there.
func (f *recordFlags) applyLists(r *habitat.BurnRecord, property string) error {
	for _, text := range f.readings {
		reading, err := habitat.ParseReading(text)
		if err != nil {
			return usagef("--reading: %w", err)
		}
		r.Readings = append(r.Readings, reading)
	}
	for _, text := range f.notified {
		who, when, _ := strings.Cut(text, ",")
		r.Notified = append(r.Notified, habitat.Notification{Who: strings.TrimSpace(who), At: strings.TrimSpace(when)})
	}
	for _, path := range f.files {
		file, err := attach(path, property)
		if err != nil {
			return err
		}
		r.Files = append(r.Files, file)
	}
	return nil
}

// attach names a file by its path from the property file's folder, so that the
// two can move together, and by its checksum.
func attach(path, property string) (habitat.Attachment, error) {
	sum, err := checksum(path)
	if err != nil {
		return habitat.Attachment{}, noFile(path, err)
	}
	folder, err := filepath.Abs(filepath.Dir(property))
	if err != nil {
		return habitat.Attachment{}, err
	}
	full, err := filepath.Abs(path)
	if err != nil {
		return habitat.Attachment{}, err
	}
	if inside, err := filepath.Rel(folder, full); err == nil {
		full = inside
	}
	return habitat.Attachment{Path: filepath.ToSlash(full), SHA256: sum}, nil
}

func checksum(path string) (string, error) {
	file, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer file.Close()
	hash := sha256.New()
	if _, err := io.Copy(hash, file); err != nil {
		return "", err
	}
	return hex.EncodeToString(hash.Sum(nil)), nil
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
