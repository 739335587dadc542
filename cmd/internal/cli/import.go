package cli

import (
	"context"
	"fmt"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/list"
)

func (a *terminal) importCommand() *cobra.Command {
	var flags importFlags
	cmd := &cobra.Command{
		Use:   "import FILE…",
		Short: "Read units, shapes, burns, pairs, locks or contracts from files",
		Long: withStatus(`Import reads lists from CSV or .xlsx, and units, sensitive places or standing breaks from files
with shapes (GeoJSON, also a line a feature, GeoPackage, KML, KMZ, GPX, shapefile, plain
or zipped, CSV with well-known text). What a file is follows from its
content and is said. Files may be named in any order. All of it comes in, or, where
something is wrong, nothing: up to twenty faults are shown with file, line and column.
Importing a file twice changes nothing; a change shows old → new.

Columns, in any order and case ("_", "-" and blanks are one):
  units  unit, acres, min_interval, max_interval, seasons ("dormant;early-growing:1"),
         burn_days, cost, mix, refuge, cover, prescription, estimated_age,
         estimated_in, owned_from, owned_until, farm, tract, field_number, section, notes
  burns  unit, date, through, kind (prescribed, wildfire, attempt, mowing,
         disking, herbicide, grazing), acres, …
  pairs  unit_a, unit_b, kind (apart, neighbors), shared_feet
  locks  unit, program_year, what (burn, rest), season

Shapes may be mixed, as a phone's are: what each of them is follows from how it is drawn and
is said. Polygons, and paths that come back to their start, are units; pins and other paths
are places that smoke must not reach, and so are shapes that say of what kind they are
(school, highway). --as "barn=place" says it of one shape (unit, place, break or nothing),
--as places of all. Standing breaks, along which fire stops by itself, are lines and ponds
with a name or a kind (road, water); --as breaks says that a file holds them. Units need the
intervals too: as attributes, or one value for all by --set.`, statusBadInput),
		Example: `  emberquilt import units.csv burns.csv --dry-run
  emberquilt import units.zip --set every=2-4 --merge --leave-out
  emberquilt import phone.kml --set every=2-3 --as "county road=break"
  emberquilt import roads.geojson --as breaks
  emberquilt import history.csv --columns "unit=Watershed,date=Date,acres=Acres,kind=Type" \
      --values "kind:PP=prescribed,WU=wildfire" --merge`,
		GroupID: groupProperty,
		Args:    atLeast("FILE"),
		RunE:    func(cmd *cobra.Command, args []string) error { return a.runImport(cmd.Context(), &flags, args) },
	}
	flags.register(cmd)
	cmd.Flags().BoolVar(&flags.dryRun, "dry-run", false, "show what would change, and change nothing")
	cmd.Flags().StringVar(&flags.because, "because", "", "`REASON`, kept with the change")
	return cmd
}

func (a *terminal) runImport(ctx context.Context, flags *importFlags, files []string) error {
	options, doubles, err := flags.options()
	if err != nil {
		return err
	}
	lift := func() {}
	hasShapes := slices.ContainsFunc(files, mayHoldShapes)
	if hasShapes {
		lift = frugal()
	}
	defer lift()
	access := app.ToChange
	if flags.dryRun {
		access = app.ToRead
	}
	return a.session(ctx, access, func(s *app.Session) error {
		lists, err := a.readLists(ctx, files, options, s.UnitNames())
		if err != nil {
			return err
		}
		if hasShapes {
			debug.FreeOSMemory() // what reading took is not there twice when storing
		}
		if manyRows(lists) {
			lift() // many small values take long where memory is short
		}
		plan, err := s.Import(ctx, app.ImportOptions{
			Lists: lists, What: strings.Join(files, ", "), Doubles: doubles, Contracts: list.Differing(flags.contracts), DryRun: flags.dryRun, Because: flags.because, Last: true,
		})
		if err != nil {
			return err
		}
		if err := a.printImport(lists, plan, flags.dryRun); err != nil || flags.dryRun {
			return err
		}
		a.warn(s.StrayNames())
		if missing := s.MissingPrescriptions(); len(missing) > 0 {
			hints := ""
			for i, name := range missing {
				missing[i] = quote(name)
				if hint := s.PrescriptionHint(name); hint != "" {
					hints += "; " + missing[i] + ": " + hint
				}
			}
			a.warn(
				[]string{
					"units name prescriptions that are not loaded: " + strings.Join(
						missing,
						", ",
					) + "; until emberquilt prescription loads them, windows follow from dates only" + hints,
				},
			)
		}
		return nil
	})
}

// mayHoldShapes reports whether a file may hold boundaries, by its name.
func mayHoldShapes(path string) bool {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".csv", ".txt", ".tsv", ".xlsx":
		return false
	}
	return true
}

// manyRows reports whether lists hold so many rows that memory goes into them, not into
// boundaries.
func manyRows(lists []*list.List) bool {
	const many = 5000
	rows := 0
	for _, l := range lists {
		rows += l.Rows()
	}
	return rows > many
}

// frugal lets the collector of memory work harder while a file is taken in, so
// that a boundary of a million points stays below 200 MB. It gives what brings
// the old limit back.
func frugal() func() {
	const limit = 120 << 20
	old := debug.SetMemoryLimit(-1)
	debug.SetMemoryLimit(min(old, limit))
	return func() { debug.SetMemoryLimit(old) }
}

// importFlags say what the files do not say themselves.
type importFlags struct {
	sheet, columns, dates, doubles, contracts, system string
	as, values, set                                   []string
	merge, leaveOut, capAcres, dryRun                 bool
	because                                           string
}

func (f *importFlags) register(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringArrayVar(
		&f.as,
		"as",
		nil,
		"what the files hold, where they do not tell: units, burns, pairs, locks, contracts, places or breaks; of one shape as `KIND` \"NAME=place\", also unit, break or nothing; may be repeated",
	)
	flags.StringVar(&f.sheet, "sheet", "", "`NAME` of a workbook's sheet (default: the first whose header fits), or of a GeoPackage's layer")
	flags.StringVar(&f.columns, "columns", "", "headers of a foreign file, as `PAIRS` \"unit=Watershed,date=Date\"")
	flags.StringArrayVar(&f.values, "values", nil, "words of a foreign file, as `PAIRS` \"kind:PP=prescribed,WU=wildfire\"; may be repeated")
	flags.StringArrayVar(&f.set, "set", nil, "a value for a column that the file lacks, as `\"every=2-3\"`; may be repeated")
	flags.StringVar(&f.dates, "dates", string(list.YearFirst), "form of the dates: ymd, mdy or dmy")
	flags.BoolVar(&f.merge, "merge", false, "take several rows of one unit, or of one burn, as its parts")
	flags.BoolVar(&f.capAcres, "cap-acres", false, "take burned acres above those of the unit as the whole unit")
	flags.BoolVar(&f.leaveOut, "leave-out", false, "leave faulty rows out, and name them, instead of refusing the file")
	flags.StringVar(&f.doubles, "doubles", "", "burns that may be one already on record: skip or add them (default: refuse)")
	flags.StringVar(
		&f.contracts,
		"contracts",
		"",
		"the number, client or first month of a contract, where a list says another than is on file: keep it or change it (default: refuse)",
	)
	flags.StringVar(&f.system, "system", "", "coordinate system of shapes whose file does not name it, such as `\"UTM 14N\"`")
}

func (f *importFlags) options() (o list.Options, doubles list.Doubles, err error) {
	o = list.Options{Sheet: f.sheet, Dates: list.DateForm(f.dates), Merge: f.merge, CapAcres: f.capAcres, LeaveOut: f.leaveOut, System: f.system}
	doubles = list.Doubles(f.doubles)
	if o.Kind, o.As, err = list.ParseAs(f.as...); err != nil {
		return o, doubles, usagef("--as: %w", err)
	}
	if !oneOf(o.Dates, []list.DateForm{list.YearFirst, list.MonthFirst, list.DayFirst}) {
		return o, doubles, flagError("dates", "ymd, mdy or dmy", "%s is not a form of dates", quote(f.dates))
	}
	if !oneOf(doubles, []list.Doubles{list.Ask, list.Skip, list.Add}) {
		return o, doubles, flagError("doubles", "skip or add", "%s is neither", quote(f.doubles))
	}
	if !oneOf(list.Differing(f.contracts), []list.Differing{list.AskDiffering, list.KeepDiffering, list.ChangeDiffering}) {
		return o, doubles, flagError("contracts", "keep or change", "%s is neither", quote(f.contracts))
	}
	if o.Columns, err = list.ParseColumns(f.columns); err != nil {
		return o, doubles, usagef("--columns: %w", err)
	}
	if o.Values, err = list.ParseValues(f.values...); err != nil {
		return o, doubles, usagef("--values: %w", err)
	}
	entries := make([]string, len(f.set))
	for i, entry := range f.set { // a value may hold a comma
		entries[i] = `"` + strings.ReplaceAll(entry, `"`, `""`) + `"`
	}
	if o.Set, err = list.ParseColumns(strings.Join(entries, ",")); err != nil {
		return o, doubles, usagef("--set: %w", err)
	}
	return o, doubles, nil
}

func oneOf[T comparable](v T, all []T) bool {
	for _, one := range all {
		if v == one {
			return true
		}
	}
	return false
}

// readLists reads all files; units names those that are there.
func (a *terminal) readLists(ctx context.Context, paths []string, options list.Options, units []string) ([]*list.List, error) {
	shown := a.startProgress("reading " + strings.Join(paths, ", "))
	defer shown.stop()
	inputs := make([]list.Input, len(paths))
	for i, path := range paths {
		inputs[i] = list.Input{Name: path, Options: options}
		if path == "-" {
			data, err := readAll(a.In)
			if err != nil {
				return nil, fmt.Errorf("read standard input: %w", err)
			}
			inputs[i].Name, inputs[i].Data = "standard input", append([]byte{}, data...)
		}
	}
	lists, errs := list.ReadAll(ctx, inputs, units)
	for i, err := range errs {
		if isPathError(err) {
			return nil, noFile(paths[i], err)
		}
		if err != nil {
			return nil, err
		}
	}
	return lists, nil
}
