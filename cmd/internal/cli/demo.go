package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/settings"
	"emberquilt/testdata/demo"
)

func (a *terminal) demoCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "demo [FOLDER]",
		Short: "Build three invented properties, plan them and write every paper",
		Long: withStatus(`Demo makes a folder (emberquilt-demo where none is named) with three invented
properties, plans each, writes every paper, and says what to open first. The
program's date in it is `+app.DemoToday.Words()+`. It needs no network and no other file. A
folder that it did not make itself is refused; its own is built anew, and what you put
into it stays: a property that was changed keeps a copy under its name with .before.

`+caution, statusNoPlan),
		GroupID: groupStart,
		Args:    argsBetween(0, "FOLDER"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.runDemo(cmd.Context(), filepath.Clean(cmp.Or(firstOf(args), "emberquilt-demo")))
		},
	}
}

// runDemo builds the folder beside its place and moves it there whole.
func (a *terminal) runDemo(ctx context.Context, folder string) error {
	if err := mendSwap(folder); err != nil {
		return cause(err)
	}
	if err := ownFolder(folder); err != nil {
		return err
	}
	built, err := newDemoFolder(folder)
	if err != nil {
		return err
	}
	defer os.RemoveAll(built)
	a.today.Day = app.DemoToday
	sky, err := app.DemoWeather(ctx)
	if err != nil {
		return fmt.Errorf("invent the weather: %w", err)
	}
	for _, record := range sky {
		if err := os.WriteFile(filepath.Join(built, record.File), record.Text, 0o666); err != nil {
			return cause(err)
		}
	}
	var written []demoFile
	for _, p := range app.DemoProperties() {
		files, err := a.demoProperty(ctx, built, p, sky)
		if err != nil {
			return unmade(fmt.Errorf("build %s: %w", p.Name, err), "no demo was made")
		}
		written = append(written, files...)
	}
	if err := writeMarker(built); err != nil {
		return cause(err)
	}
	kept, err := keepUsers(folder, built)
	if err != nil {
		return fmt.Errorf("keep what was put into %s: %w", folder, cause(err))
	}
	if err := replaceFolder(built, folder); err != nil {
		return fmt.Errorf("move the finished demo to %s: %w", folder, cause(err))
	}
	return a.printDemo(folder, sky, written, kept)
}

// demoFile is one file of the demo, with what it is.
type demoFile struct {
	Path  string `json:"file"`
	About string `json:"about"`
}

// demoProperty builds one property: its own files, the property file, a plan,
// the papers.
func (a *terminal) demoProperty(ctx context.Context, built string, p app.DemoProperty, sky []app.DemoRecord) ([]demoFile, error) {
	folder := filepath.Join(built, p.Name)
	own, err := fs.Sub(demo.Files, p.Name)
	if err != nil {
		return nil, err
	}
	if err := os.CopyFS(folder, own); err != nil {
		return nil, err
	}
	s, err := a.newDemoProperty(ctx, folder, p.Name)
	if err != nil {
		return nil, err
	}
	files, err := a.demoPapers(ctx, s, folder, p, own, sky)
	return files, errors.Join(err, s.Close())
}

func (a *terminal) newDemoProperty(ctx context.Context, folder, name string) (*app.Session, error) {
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
	from.PropertyID, from.By = "demo of "+name, "" // so that the demo is the same each time
	return app.Create(ctx, filepath.Join(folder, name+extension), p, from)
}

// demoPapers fills a property, plans and writes the papers.
func (a *terminal) demoPapers(ctx context.Context, s *app.Session, folder string, p app.DemoProperty, own fs.FS, sky []app.DemoRecord) ([]demoFile, error) {
	if err := s.FillDemo(ctx, p, own, sky); err != nil {
		return nil, err
	}
	c, err := s.PlanDemo(ctx, p)
	if err != nil {
		return nil, err
	}
	files := []demoFile{}
	for _, one := range allPapers() {
		path := filepath.Join(folder, one.File)
		err := a.writePrivate(output{path, func(w io.Writer) error { return one.Write(ctx, w, c) }})
		if errors.Is(err, app.ErrNothing) {
			continue
		}
		if err != nil {
			return nil, err
		}
		files = append(files, demoFile{p.Name + "/" + one.File, one.About})
	}
	return append(files, demoFile{p.Name + "/" + p.Name + extension, "the property file that the commands work on; its plan: " + c.Program.GapWords}), nil
}

// printDemo says what was written and what to open first.
func (a *terminal) printDemo(folder string, sky []app.DemoRecord, written []demoFile, kept []string) error {
	if a.json {
		return a.printJSON(map[string]any{"folder": folder, "today": app.DemoToday, "files": written, "kept": append([]string{}, kept...)})
	}
	fmt.Fprintf(a.Out, "Three invented properties, as of %s, in %s:\n", app.DemoToday.Words(), folder)
	width := 0
	for _, f := range written {
		width = max(width, len(filepath.Base(f.Path)))
	}
	for _, p := range app.DemoProperties() {
		fmt.Fprintf(a.Out, "\n%s: %s\n", p.Name, p.About)
		for _, f := range written {
			if filepath.Dir(f.Path) == p.Name {
				fmt.Fprintf(a.Out, "  %-*s  %s\n", width, filepath.Base(f.Path), f.About)
			}
		}
	}
	fmt.Fprintf(
		a.Out,
		"\n%s holds the ten years of weather that all three rest on; nobody measured it.\n%s is a second station, for tamsel-bend to compare.\n",
		sky[0].File,
		sky[1].File,
	)
	if len(kept) > 0 {
		fmt.Fprintf(a.Out, "\nKept, since the demo did not write it: %s\n", strings.Join(kept, ", "))
	}
	fmt.Fprintf(a.Out, "\nOpen first:   %s\n", filepath.Join(folder, app.DemoProperties()[0].Name, bookPaper().File))
	fmt.Fprintf(
		a.Out,
		"Then try:     emberquilt due --property %s\nIn a browser: emberquilt page %s\n\n%s\n",
		filepath.Join(folder, "pennywhistle-place", "pennywhistle-place"+extension),
		filepath.Join(folder, app.DemoProperties()[0].Name),
		caution,
	)
	return nil
}
