package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/settings"
)

func (a *terminal) readSettings(path string) (habitat.Property, error) {
	file, name, err := a.open(path)
	if err != nil {
		return habitat.Property{}, err
	}
	defer file.Close()
	return settings.Read(file, name)
}

// settingsOptions are those of the settings command.
type settingsOptions struct {
	load, because   string
	dryRun, example bool
	renames         []string
}

func (a *terminal) settingsCommand() *cobra.Command {
	var o settingsOptions
	cmd := &cobra.Command{
		Use:   "settings",
		Short: "Show the settings of a property, or change them",
		Long: withStatus(`Settings prints the settings as TOML with comments that explain every key. With
--load it first says what a file changes, then changes it; the settings before are
kept as a version. --rename-season gives a season another name in the settings, the
units, locks, tasks and plans.`, statusBadInput),
		Example: `  emberquilt settings > property.toml
  emberquilt settings --load property.toml --dry-run
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
	return cmd
}

func (a *terminal) runSettings(ctx context.Context, o *settingsOptions) error {
	switch {
	case o.example:
		p := app.ExampleSettings()
		return settings.Write(a.Out, &p)
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
		p, err := a.readSettings(o.load)
		if err != nil {
			return err
		}
		change.To = &p
	}
	from, err := a.environment()
	if err != nil {
		return err
	}
	path, err := a.findProperty()
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
