package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/habitat/list"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/settings"
	"emberquilt/schedule/rotation"
	"emberquilt/store"
	"emberquilt/testdata/demo"
)

// demoToday is the program's date in the demo, so that its papers are the same
// on every machine.
var demoToday = date.MustDay(2026, time.November, 25)

// demoRounds bounds the work of each solve of the demo: by rounds, which give
// the same plan on every machine, and not by time.
const demoRounds = 40

// demoPrescription is the file of the prescription that all units of a property
// begin with, and demoWeather the file of the invented hours.
const (
	demoPrescription = "prescription.json"
	demoWeather      = "invented-weather.csv"
)

// demoMarker is the file by which the demo knows a folder of its own.
const demoMarker = ".emberquilt-demo"

// demoProperties are the folders of the demo's files, in the order in which
// they are shown.
var demoProperties = []struct{ folder, about string }{
	{"tamsel-bend", "24 units, 1,150 acres; one manager, a crew of four, a five-year program"},
	{"pennywhistle-place", "5 units, 63 acres; a landowner: which patch burns this spring, and what must be done before"},
	{"nine-gate", "4 units, 41 acres; a contract with burns due in set fiscal years, one of them late"},
}

func (a *terminal) demoCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "demo [FOLDER]",
		Short: "Build three invented properties, plan them and write every paper",
		Long: withStatus(`Demo makes a folder (emberquilt-demo where none is named) with three invented
properties, plans each, writes every paper, and says what to open first. The
program's date in it is `+demoToday.Words()+`. It needs no network and no other file. A
folder that it did not make itself is refused; its own is built anew.

`+caution, statusNoPlan),
		GroupID: groupStart,
		Args:    argsBetween(0, "FOLDER"),
		RunE: func(cmd *cobra.Command, args []string) error {
			folder := "emberquilt-demo"
			if len(args) > 0 {
				folder = args[0]
			}
			return a.demo(cmd.Context(), filepath.Clean(folder))
		},
	}
}

// demo builds the folder beside its place and moves it there whole.
func (a *terminal) demo(ctx context.Context, folder string) error {
	if err := ownFolder(folder); err != nil {
		return err
	}
	parent := filepath.Dir(folder)
	if err := os.MkdirAll(parent, 0o777); err != nil {
		return fmt.Errorf("make %s: %w", parent, cause(err))
	}
	built, err := os.MkdirTemp(parent, "."+filepath.Base(folder)+".*.part")
	if err != nil {
		return fmt.Errorf("make a folder beside %s: %w", folder, cause(err))
	}
	defer os.RemoveAll(built)
	a.today.Day = demoToday
	sky, err := inventWeather(ctx, built)
	if err != nil {
		return fmt.Errorf("invent the weather: %w", err)
	}
	var written []demoFile
	for _, p := range demoProperties {
		files, err := a.demoProperty(ctx, built, p.folder, sky)
		if err != nil {
			return fmt.Errorf("build %s: %w", p.folder, err)
		}
		written = append(written, files...)
	}
	marker := []byte("This folder is written by emberquilt demo, which replaces it whole when it runs again.\n")
	if err := os.WriteFile(filepath.Join(built, demoMarker), marker, 0o666); err != nil {
		return cause(err)
	}
	if err := replaceFolder(built, folder); err != nil {
		return fmt.Errorf("move the finished demo to %s: %w", folder, cause(err))
	}
	return a.printDemo(folder, written)
}

// ownFolder refuses a folder that holds anything and is not the demo's.
func ownFolder(folder string) error {
	entries, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return usagef("%s is there and cannot be read as a folder; accepts a folder that does not exist, or one that the demo made", quote(folder))
	case len(entries) == 0:
		return nil
	}
	if _, err := os.Lstat(filepath.Join(folder, demoMarker)); err != nil {
		return usagef("%s holds files that the demo did not make; accepts a folder that does not exist, or one that the demo made", quote(folder))
	}
	return nil
}

// replaceFolder moves a finished folder to its place; what is there makes way
// first and is deleted last.
func replaceFolder(built, folder string) error {
	if err := os.Chmod(built, 0o755); err != nil {
		return err
	}
	aside := built + ".old"
	err := os.Rename(folder, aside)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := os.Rename(built, folder); err != nil {
		os.Rename(aside, folder)
		return err
	}
	return os.RemoveAll(aside)
}

// demoFile is one file of the demo, with what it is.
type demoFile struct {
	Path  string `json:"file"`
	About string `json:"about"`
}

// demoProperty builds one property: its own files, the property file, a plan,
// the papers.
func (a *terminal) demoProperty(ctx context.Context, built, name string, sky []*demoSky) ([]demoFile, error) {
	folder := filepath.Join(built, name)
	if err := os.Mkdir(folder, 0o777); err != nil {
		return nil, err
	}
	lists, err := copyDemo(ctx, folder, name)
	if err != nil {
		return nil, err
	}
	s, err := a.newDemoStore(ctx, folder, name)
	if err != nil {
		return nil, err
	}
	if err := a.fillDemo(ctx, s, name, lists, sky); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	files, err := a.demoPapers(ctx, s, folder, name)
	return files, errors.Join(err, s.Close())
}

// copyDemo writes the property's own files and reads the lists among them.
func copyDemo(ctx context.Context, folder, name string) ([]*list.List, error) {
	entries, err := demo.Files.ReadDir(name)
	if err != nil {
		return nil, err
	}
	limits, err := demoLimits(name)
	if err != nil {
		return nil, err
	}
	var lists []*list.List
	for _, entry := range entries {
		data, err := demo.Files.ReadFile(name + "/" + entry.Name())
		if err != nil {
			return nil, err
		}
		if err := os.WriteFile(filepath.Join(folder, entry.Name()), data, 0o666); err != nil {
			return nil, err
		}
		if extension := filepath.Ext(entry.Name()); extension == ".csv" || extension == ".geojson" {
			options := list.Options{}
			if entry.Name() == "breaks.geojson" {
				options.Kind = list.Breaks
			}
			if entry.Name() == "units.geojson" {
				options.Set = map[string]string{"prescription": limits.Name}
				if name == demoProperties[0].folder {
					options.Set["prescription"] += "; early-growing: grass, early growing season"
				}
			}
			one, err := list.Read(ctx, data, name+"/"+entry.Name(), options)
			if err != nil {
				return nil, err
			}
			lists = append(lists, one)
		}
	}
	return lists, nil
}

// demoLimits reads the prescription of a demo property.
func demoLimits(name string) (*prescription.Prescription, error) {
	file := name + "/" + demoPrescription
	text, err := demo.Files.ReadFile(file)
	if err != nil {
		return nil, err
	}
	return prescription.Parse(file, text)
}

func (a *terminal) newDemoStore(ctx context.Context, folder, name string) (*store.Store, error) {
	text, err := demo.Files.ReadFile(name + "/settings.toml")
	if err != nil {
		return nil, err
	}
	p, err := settings.Parse(text, name+"/settings.toml")
	if err != nil {
		return nil, err
	}
	from, err := a.environment()
	if err != nil {
		return nil, err
	}
	made, err := app.Create(ctx, filepath.Join(folder, name+extension), p, from)
	if err != nil {
		return nil, err
	}
	return made.Store, nil
}

// fillDemo puts the lists, the weather, the property's prescription and the
// starters into the property file.
func (a *terminal) fillDemo(ctx context.Context, s *store.Store, name string, lists []*list.List, sky []*demoSky) error {
	from, err := a.environment()
	if err != nil {
		return err
	}
	d, err := app.NewSession(ctx, s, from)
	if err != nil {
		return err
	}
	if _, err := d.Import(ctx, app.ImportOptions{Lists: lists, What: "the demo's files"}); err != nil {
		return err
	}
	return s.Update(ctx, d.Moment, "load the demo's weather and prescriptions", func(tx *store.Tx) error { return putSky(tx, name, sky) })
}

// rehearsedDemo is the property whose plan is rehearsed, over so few futures and
// with so little work a plan that the demo stays short; the book says so.
const (
	rehearsedDemo    = "tamsel-bend"
	demoFutures      = 8
	demoReplanRounds = 8
)

// demoPapers plans and writes the papers.
func (a *terminal) demoPapers(ctx context.Context, s *store.Store, folder, name string) ([]demoFile, error) {
	from, err := a.environment()
	if err != nil {
		return nil, err
	}
	d, err := app.NewSession(ctx, s, from)
	if err != nil {
		return nil, err
	}
	solver := rotation.Settings{TimeLimit: -1, Rounds: demoRounds, Threads: 2}
	kept, err := d.MakePlan(ctx, app.PlanOptions{Solver: solver, Note: "the demo's plan", AskCaps: true})
	if err != nil {
		return nil, err
	}
	if name == rehearsedDemo {
		if _, err := d.Rehearse(ctx, app.RehearseOptions{Futures: demoFutures, Rounds: demoReplanRounds, Seconds: 1e6, Threads: 2}); err != nil {
			return nil, err
		}
	}
	c, err := d.Contents(ctx, kept.Number)
	if err != nil {
		return nil, err
	}
	files := []demoFile{}
	for _, p := range allPapers() {
		path := filepath.Join(folder, p.File)
		err := a.write(output{path, func(w io.Writer) error { return p.Write(ctx, w, c) }})
		if errors.Is(err, app.ErrNothing) {
			continue
		}
		if err != nil {
			return nil, err
		}
		files = append(files, demoFile{name + "/" + p.File, p.About})
	}
	return append(files, demoFile{name + "/" + name + extension, "the property file that the commands work on; its plan: " + c.Program.GapWords}), nil
}

// printDemo says what was written and what to open first.
func (a *terminal) printDemo(folder string, written []demoFile) error {
	if a.json {
		return a.printJSON(map[string]any{"folder": folder, "today": demoToday, "files": written})
	}
	fmt.Fprintf(a.Out, "Three invented properties, as of %s, in %s:\n", demoToday.Words(), folder)
	width := 0
	for _, f := range written {
		width = max(width, len(filepath.Base(f.Path)))
	}
	for _, p := range demoProperties {
		fmt.Fprintf(a.Out, "\n%s: %s\n", p.folder, p.about)
		for _, f := range written {
			if filepath.Dir(f.Path) == p.folder {
				fmt.Fprintf(a.Out, "  %-*s  %s\n", width, filepath.Base(f.Path), f.About)
			}
		}
	}
	fmt.Fprintf(a.Out, "\n%s holds the ten years of weather that all three rest on; nobody measured it.\n%s is a second station, for tamsel-bend to compare.\n", demoRecords[0], demoRecords[1])
	fmt.Fprintf(a.Out, "\nOpen first: %s\n", filepath.Join(folder, demoProperties[0].folder, bookPaper().File))
	fmt.Fprintf(a.Out, "Then try:   emberquilt due --property %s\n\n%s\n", filepath.Join(folder, "pennywhistle-place", "pennywhistle-place"+extension), caution)
	return nil
}
