package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/settings"
	"emberquilt/habitat/source"
	"emberquilt/store"
)

func (a *terminal) newCommand() *cobra.Command {
	var file string
	cmd := &cobra.Command{
		Use:   "new NAME --settings FILE",
		Short: "Make the file of a new property from its settings",
		Long: withStatus(`New makes NAME.emberquilt, the file that holds one property: its settings, units,
burns, plans and all their versions. The settings come from a TOML file: seasons,
crew, closures, caps, wanted mixes, refuges, weights. "emberquilt settings --example"
prints one with comments to begin with.`, statusBadInput),
		Example: "  emberquilt settings --example > property.toml\n  emberquilt new oak-hill --settings property.toml",
		GroupID: groupStart,
		Args:    exactArgs("NAME"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if file == "" {
				return usagef("--settings is missing; accepts a settings file\nhint: emberquilt settings --example prints one to begin with")
			}
			p, err := a.readSettings(file)
			if err != nil {
				return err
			}
			path := args[0]
			if !strings.HasSuffix(path, extension) {
				path += extension
			}
			s, err := a.createProperty(cmd.Context(), path, p)
			if err != nil {
				return err
			}
			if err := s.Close(); err != nil {
				return err
			}
			return a.say("made %s for %s", path, p.Name)
		},
	}
	cmd.Flags().StringVar(&file, "settings", "", "settings `FILE` in TOML, - for standard input")
	return cmd
}

// createProperty makes a property file with the starter list of preparation
// tasks.
func (a *terminal) createProperty(ctx context.Context, path string, p habitat.Property) (*store.Store, error) {
	at, err := a.moment()
	if err != nil {
		return nil, err
	}
	s, err := store.Create(ctx, path, p, at)
	if err != nil {
		return nil, err
	}
	err = s.Update(ctx, at, "begin with the starter list of tasks", func(tx *store.Tx) error {
		for _, task := range preparation.Starter() {
			if err := tx.PutTask(task); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

func (a *terminal) readSettings(path string) (habitat.Property, error) {
	file, name, err := a.open(path)
	if err != nil {
		return habitat.Property{}, err
	}
	defer file.Close()
	return settings.Read(file, name)
}

func (a *terminal) settingsCommand() *cobra.Command {
	var apply, because string
	var dryRun, example bool
	cmd := &cobra.Command{
		Use:   "settings",
		Short: "Show the settings of a property, or change them",
		Long: withStatus(`Settings prints the settings as TOML with comments that explain every key. With
--load it first says what a file changes, then changes it; the settings before are
kept as a version.`, statusBadInput),
		Example: `  emberquilt settings > property.toml
  emberquilt settings --load property.toml --dry-run`,
		GroupID: groupProperty,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			switch {
			case example:
				p := exampleSettings()
				return settings.Write(a.Out, &p)
			case apply == "":
				if dryRun {
					return usagef("--dry-run goes with --load only")
				}
				return a.showSettings(cmd)
			}
			p, err := a.readSettings(apply)
			if err != nil {
				return err
			}
			return a.applySettings(cmd, p, because, dryRun)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&apply, "load", "", "change the settings to those of `FILE`, - for standard input")
	flags.BoolVar(&dryRun, "dry-run", false, "say what --load would change, and change nothing")
	flags.BoolVar(&example, "example", false, "print the settings of an example, to begin with")
	flags.StringVar(&because, "because", "", "`REASON`, kept with the change")
	return cmd
}

func (a *terminal) showSettings(cmd *cobra.Command) error {
	return a.snapshot(cmd.Context(), func(snapshot *store.Snapshot) error {
		if a.json {
			return a.printJSON(map[string]string{"toml": string(settings.Format(&snapshot.Property))})
		}
		return settings.Write(a.Out, &snapshot.Property)
	})
}

func (a *terminal) applySettings(cmd *cobra.Command, p habitat.Property, because string, dryRun bool) error {
	at, err := a.moment()
	if err != nil {
		return err
	}
	door := a.change
	if dryRun {
		door = a.read
	}
	return door(cmd.Context(), func(s *store.Store) error {
		var changes []settings.Difference
		work := func(tx *store.Tx) error {
			snapshot, err := tx.Snapshot()
			if err != nil {
				return err
			}
			changes = settings.Diff(&snapshot.Property, &p)
			if err := stillGood(snapshot, &p); err != nil || dryRun {
				return err
			}
			return tx.SetProperty(p)
		}
		if dryRun {
			err = s.View(cmd.Context(), work)
		} else {
			err = s.Update(cmd.Context(), at, reason("change the settings", because), work)
		}
		if err != nil {
			return err
		}
		return a.printDifferences(changes, dryRun)
	})
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

// exampleSettings is what a new user begins with: every default, two seasons.
func exampleSettings() habitat.Property {
	p := habitat.NewProperty("Oak Hill")
	span := func(fromMonth time.Month, from int, toMonth time.Month, to int) date.AnnualSpan {
		return date.AnnualSpan{First: date.Annual{Month: fromMonth, Dom: from}, Last: date.Annual{Month: toMonth, Dom: to}}
	}
	p.Seasons = []habitat.Season{
		{Name: "dormant", Span: span(time.November, 15, time.March, 15)},
		{Name: "early-growing", Span: span(time.March, 16, time.May, 10)},
	}
	return p
}

// stillGood refuses settings with which a stored unit or lock makes no sense.
func stillGood(snapshot *store.Snapshot, p *habitat.Property) error {
	var list source.List
	check := func(what string, err error) {
		for _, one := range unjoin(err) {
			var fault *habitat.FieldError
			if errors.As(one, &fault) {
				list.Addf(source.Position{File: what, Field: fault.Field}, fault.Accepts, "with these settings, %s", fault.Found)
			} else if one != nil {
				list.Addf(source.Position{File: what}, "", "with these settings, %v", one)
			}
		}
	}
	for i := range snapshot.Units {
		u := &snapshot.Units[i]
		check("unit "+u.ID, u.Validate(p))
	}
	for i := range snapshot.Locks {
		l := &snapshot.Locks[i]
		check(fmt.Sprintf("lock of %s in %d", l.Unit, l.Year), l.Validate(p))
	}
	return list.Err()
}
