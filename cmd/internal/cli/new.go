package cli

import (
	"bytes"
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/settings"
	"emberquilt/habitat/template"
)

// readSettings reads the settings of a property to be made, under a template; nil for none.
func (a *terminal) readSettings(path string, under *template.Template) (habitat.Property, error) {
	file, name, err := a.open(path)
	if err != nil {
		return habitat.Property{}, err
	}
	defer file.Close()
	if under != nil {
		return under.Read(file, name)
	}
	return settings.Read(file, name)
}

// settingsOptions are those of the settings command.
type settingsOptions struct {
	load, because string
	// template and source are for writing a county template.
	template, source string
	dryRun, example  bool
	renames          []string
}

func (a *terminal) settingsCommand() *cobra.Command {
	var o settingsOptions
	cmd := &cobra.Command{
		Use:   "settings",
		Short: "Show the settings of a property, or change them",
		Long: withStatus(`Settings prints the settings as TOML with comments that explain every key. With
--load it first says what a file changes, then changes it; the settings before are
kept as a version. --template COUNTY prints what of the property holds for its county
too: settings, closures, tasks and prescriptions in one file, with the --source that says
so and today's date. --load and "emberquilt new --template" take such a file; what it does
not name stays as it is. --rename-season gives a season another name in the settings, the
units, locks, tasks and plans.`, statusBadInput),
		Example: `  emberquilt settings > property.toml
  emberquilt settings --load property.toml --dry-run
  emberquilt settings --template "Riley County, Kansas" --source "extension office, burn guide" > riley.toml
  emberquilt settings --rename-season dormant=winter`,
		GroupID: groupProperty,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.runSettings(cmd.Context(), &o)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&o.load, "load", "", "change the settings to those of `FILE`, - for standard input")
	flags.StringArrayVar(&o.renames, "rename-season", nil, "give a season another name wherever it is named, as `OLD=NEW`; may be repeated, alone or with --load")
	flags.BoolVar(&o.dryRun, "dry-run", false, "say what would change, and change nothing")
	flags.BoolVar(&o.example, "example", false, "print the settings of an example, to begin with")
	flags.StringVar(&o.because, "because", "", "`REASON`, kept with the change")
	flags.StringVar(&o.template, "template", "", "print a template for the `COUNTY`, with --source")
	flags.StringVar(&o.source, "source", "", "with --template: `WHO` says what it holds")
	return cmd
}

// printTemplate prints what of the property holds for its county too.
func (a *terminal) printTemplate(s *app.Session, o *settingsOptions) error {
	t, err := s.Template(o.template, o.source)
	if err != nil {
		return namedAs(err, sameFlag)
	}
	return template.Write(a.Out, t, &s.Property)
}

// readTemplate reads a county template; nil where no path is named.
func (a *terminal) readTemplate(path string) (*template.Template, error) {
	if path == "" {
		return nil, nil
	}
	file, name, err := a.open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return template.Read(file, name)
}

func (a *terminal) runSettings(ctx context.Context, o *settingsOptions) error {
	switch {
	case o.example:
		p := app.ExampleSettings()
		return settings.Write(a.Out, &p)
	case o.template != "" || o.source != "":
		if o.load != "" || len(o.renames) > 0 {
			return usagef("--template prints the settings that are shared; it cannot be combined with --load or --rename-season")
		}
		return a.session(ctx, app.ToRead, func(s *app.Session) error { return a.printTemplate(s, o) })
	case o.load == "" && len(o.renames) == 0 && o.dryRun:
		return usagef("--dry-run goes with --load or --rename-season only")
	case o.load == "" && len(o.renames) == 0:
		return a.session(ctx, app.ToRead, a.showSettings)
	}
	change := app.SettingsChange{Because: o.because, DryRun: o.dryRun}
	for _, text := range o.renames {
		from, to, ok := strings.Cut(text, "=")
		if !ok {
			return usagef("--rename-season: %s has no =; accepts OLD=NEW", quote(text))
		}
		change.Renames = append(change.Renames, app.SeasonName{From: strings.TrimSpace(from), To: strings.TrimSpace(to)})
	}
	if o.load != "" {
		file, name, err := a.open(o.load)
		if err != nil {
			return err
		}
		defer file.Close()
		text, err := readAll(file)
		if err != nil {
			return fmt.Errorf("read %s: %w", name, err)
		}
		if template.Is(text) {
			change.Template, err = template.Read(bytes.NewReader(text), name)
		} else {
			var p habitat.Property
			p, err = settings.Parse(text, name)
			change.To = &p
		}
		if err != nil {
			return err
		}
	}
	path, from, err := a.propertyFile()
	if err != nil {
		return err
	}
	changes, broken, err := app.ChangeSettingsOf(ctx, path, change, from)
	switch {
	case err != nil:
		return err
	case broken != nil:
		a.warn([]string{broken.Error()})
		if a.json {
			return a.printJSON(map[string]any{"changes": []string{}, "changed": true})
		}
		return a.say("the settings are those of %s; what they were before is not compared", o.load)
	}
	return a.printDifferences(changes, o.dryRun)
}

func (a *terminal) showSettings(s *app.Session) error {
	if a.json {
		return a.printJSON(map[string]string{"toml": string(settings.Format(&s.Property))})
	}
	return settings.Write(a.Out, &s.Property)
}

func (a *terminal) printDifferences(changes []settings.Difference, dryRun bool) error {
	words := make([]string, len(changes))
	for i, change := range changes {
		words[i] = change.String()
	}
	if a.json {
		return a.printJSON(map[string]any{"changes": words, "changed": !dryRun && len(changes) > 0})
	}
	for _, text := range words {
		fmt.Fprintln(a.Out, text)
	}
	switch {
	case len(changes) == 0:
		fmt.Fprintln(a.Out, "nothing changes")
	case dryRun:
		fmt.Fprintln(a.Out, "nothing was changed: dry run")
	}
	return nil
}
