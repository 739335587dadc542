package cli

import (
	"cmp"
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// allFlag takes all property files of a folder and below it.
type allFlag struct{ folder string }

func (f *allFlag) register(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.folder, "all", "", "all property files of `FOLDER` and below it, on past those that fail")
}

// allHelp says in a command's help what --all does.
const allHelp = `With --all FOLDER it goes through every property file of the folder and below it. One that
fails holds up no other: it stands in the table with its reason, and the status is 1 then.`

// ofAll is what a command does with many properties.
type ofAll struct {
	// name is that of the table, doing what is said while it goes on, none what is
	// said where no property has anything.
	name, doing, none string
	// shows says that the table shows dates, under which the cautions stand.
	shows bool
	// one gives what the command prints of one property alone: as JSON, and as rows. It
	// is called for several at once unless they go inOrder.
	one func(s *app.Session) (any, *table.Sheet, error)
	// file takes the place of one where the file itself is asked.
	file    func(path string) (allFile, error)
	inOrder bool
}

// allFile is what a file itself was asked, with the property's name where the file tells.
type allFile struct {
	property string
	result   any
	rows     *table.Sheet
}

// propertyResult is what --json prints of one property.
type propertyResult struct {
	Property string `json:"property"`
	File     string `json:"property_file"`
	Failed   string `json:"failed,omitempty"`
	// CopyOf is the file before it that holds the same property.
	CopyOf string `json:"copy_of,omitempty"`
	Result any    `json:"result"`
}

// askedOne is what one of many properties answered.
type askedOne struct {
	result propertyResult
	id     string
	rows   *table.Sheet
}

// overAll carries out a command for all property files of a folder, and prints one
// table.
func (a *terminal) overAll(ctx context.Context, all *allFlag, show *showFlags, o ofAll) error {
	results, sheet, failed, err := a.gatherAll(ctx, []string{all.folder}, o)
	if err != nil {
		return err
	}
	switch {
	case a.json:
		err = a.printJSON(results)
	case sheet.Rows() == 0 && !show.csv:
		err = a.say("%s", o.none)
	default:
		if err = a.printSheet(sheet.Sheet(), show); err == nil && o.shows && !show.csv {
			err = a.say("\n%s", caution)
		}
	}
	if err != nil {
		return err
	}
	a.sayCopies(results)
	return failedOf(failed, len(results))
}

// sayCopies names the files that are copies of others.
func (a *terminal) sayCopies(results []propertyResult) {
	for _, r := range results {
		if r.CopyOf != "" {
			fmt.Fprintln(a.Err, view.CopyWords(r.File, r.CopyOf))
		}
	}
}

// failedOf says how many of many properties failed; nil where none did.
func failedOf(failed, of int) error {
	if failed == 0 {
		return nil
	}
	return fmt.Errorf("%d of %d properties failed", failed, of)
}

// gatherAll goes through the property files that are named and those of folders.
func (a *terminal) gatherAll(ctx context.Context, named []string, o ofAll) (results []propertyResult, sheet *table.AllProperties, failed int, err error) {
	if a.property != "" {
		return nil, nil, 0, usagef("--all and --property cannot be combined; use one")
	}
	paths, err := app.PropertyFiles(named)
	if err != nil {
		return nil, nil, 0, namedAs(err, asItIs)
	}
	from, err := a.environment()
	if err != nil {
		return nil, nil, 0, err
	}
	from = from.ForMany()
	sheet = table.NewAllProperties(o.name)
	ask := func(path string) (got askedOne, err error) {
		got.result = propertyResult{Property: path, File: path}
		if o.file != nil {
			of, err := o.file(path)
			got.result.Property = cmp.Or(of.property, path)
			got.result.Result, got.rows = of.result, of.rows
			return got, err
		}
		err = app.InSession(ctx, path, from, func(s *app.Session) (err error) {
			got.result.Property, got.id = s.Property.Name, s.ID
			got.result.Result, got.rows, err = o.one(s)
			return err
		})
		return got, err
	}
	var copies app.Copies
	take := func(path string, got askedOne, err error) {
		if got.id != "" {
			got.result.CopyOf = copies.Of(got.id, path)
		}
		if err != nil {
			got.result.Failed = app.ReasonOf(err)
			sheet.Fail(got.result.Property, path, strings.TrimPrefix(got.result.Failed, path+": "))
		} else {
			sheet.Add(got.result.Property, path, got.rows)
		}
		results = append(results, got.result)
	}
	var reasons []string
	if o.inOrder {
		reasons, err = app.OverAll(ctx, paths, from, o.doing, func(path string) error {
			got, err := ask(path)
			take(path, got, err)
			return err
		})
	} else {
		reasons, err = app.AskAll(ctx, paths, from, o.doing, ask, take)
	}
	for _, reason := range reasons {
		if reason != "" {
			failed++
		}
	}
	return results, sheet, failed, err
}

// asItIs names an option as it stands.
func asItIs(option string) string { return option }
