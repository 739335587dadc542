package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/report/table"
)

func (a *terminal) unitsCommand() *cobra.Command {
	var show showFlags
	cmd := &cobra.Command{
		Use:   "units",
		Short: "List the units, with their last burn and age",
		Long: withStatus(`Units lists the units that are stored, with the stand age at the end of the last
program year that is over and the burn that it is counted from. A "?" marks an age
that no record stands behind. The CSV form can be imported again.`, statusBadInput),
		GroupID: groupProperty,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.session(cmd.Context(), app.ToRead, func(d *app.Session) error {
				if show.csv || a.json {
					return a.printSheet(unitsFile(d), &show)
				}
				if len(d.Units) == 0 {
					return a.say("%s has no units yet; emberquilt import reads them from a file", d.Property.Name)
				}
				return a.printSheet(unitsTable(d), &show)
			})
		},
	}
	show.register(cmd)
	return cmd
}

// unitAge gives the age at the end of the last program year that is over.
func unitAge(d *app.Session, u *habitat.Unit) habitat.StandAge {
	return d.Property.AgeAtEnd(u, d.Records, d.Property.YearStart.Of(d.Today)-1, d.Today)
}

// unitsTable holds what a person looks at.
func unitsTable(d *app.Session) *table.Sheet {
	sheet := &table.Sheet{Name: "units", Header: []string{"unit", "acres", "every", "age", "last_burn", "seasons", "days", "cost", "cover", "mix", "refuge"}}
	for i := range d.Units {
		u := &d.Units[i]
		age := unitAge(d, u)
		years := fmt.Sprint(age.Years)
		if age.Assumption != "" {
			years += "?"
		}
		sheet.Rows = append(sheet.Rows, []any{u.ID, u.Acres, u.Interval.String(), years, age.From.On, seasonChoices(u), u.BurnDays, u.Cost, u.Cover, u.Mix, u.Refuge})
	}
	return sheet
}

// unitsFile holds everything, under the names that import reads, and what
// follows from the records.
func unitsFile(d *app.Session) *table.Sheet {
	sheet := table.UnitsSheet(d.Units)
	sheet.Header = append(sheet.Header, "stated_acres", "last_burn_on", "age", "age_assumed")
	for i := range d.Units {
		u := &d.Units[i]
		age := unitAge(d, u)
		var stated any
		if u.StatedAcres > 0 {
			stated = u.StatedAcres
		}
		sheet.Rows[i] = append(sheet.Rows[i], stated, age.From.On, age.Years, age.Assumption != "")
	}
	return sheet
}

// seasonChoices gives "dormant; early-growing:1", the form of the list files.
func seasonChoices(u *habitat.Unit) string {
	words := make([]string, len(u.Seasons))
	for i, c := range u.Seasons {
		words[i] = c.Season
		if c.Penalty != 0 {
			words[i] += fmt.Sprintf(":%g", c.Penalty)
		}
	}
	return strings.Join(words, ";")
}
