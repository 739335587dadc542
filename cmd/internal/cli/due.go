package cli

import (
	"context"

	"github.com/spf13/cobra"

	"emberquilt/habitat/date"
	"emberquilt/report/table"
	"emberquilt/report/view"
	"emberquilt/schedule/rotation"
	"emberquilt/schedule/whatif"
)

func (a *app) dueCommand() *cobra.Command {
	var show showFlags
	var flags solverFlags
	var on dayFlag
	var ask bool
	cmd := &cobra.Command{
		Use:   "due",
		Short: "Say which units burn this season, why these, and what to do before",
		Long: withStatus(`Due shows the season that is under way, or the next one that comes: the units that
the newest plan burns in it, why these, their windows, what must be done before and
by when, and what waiting a year would cost. With --ask the cost of waiting comes from
a second plan for each unit; without, it is that of the plan with nothing else moved.

`+caution, statusBadInput),
		GroupID: groupPlan,
		Args:    exactArgs(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := show.validate(a); err != nil {
				return err
			}
			settings, err := flags.settings(cmd)
			if err != nil {
				return err
			}
			return a.sit(cmd.Context(), a.read, func(d *desk) error {
				if !on.IsZero() {
					d.today = on.Day
				}
				m, err := d.gather(cmd.Context(), 0)
				if err != nil {
					return err
				}
				if ask {
					if err := a.askWaiting(cmd.Context(), m, settings); err != nil {
						return err
					}
				}
				return table.Due(a.Out, m.due, show.options(a))
			})
		},
	}
	show.register(cmd)
	flags.register(cmd, 0)
	cmd.Flags().Var(&on, "on", "the season of this date (default: today)")
	cmd.Flags().BoolVar(&ask, "ask", false, "make a second plan for each unit, to find what waiting costs")
	return cmd
}

// askWaiting solves again for each unit of the season with its burn put off.
func (a *app) askWaiting(ctx context.Context, m *material, settings rotation.Settings) error {
	shown := a.startProgress("asking what waiting costs")
	defer shown.stop()
	for _, u := range m.due.Units {
		if u.Done || u.Locked {
			continue
		}
		other, err := m.otherwise(ctx, u.Unit, m.due.Year, settings)
		if err != nil {
			return err
		}
		m.season.Others = append(m.season.Others, *other)
	}
	season, year := view.SeasonOn(&m.Property, m.today)
	due, err := m.dueIn(season, year)
	m.due = due
	return err
}

// otherwise is the second solve with the choice of a unit and year reversed.
func (m *material) otherwise(ctx context.Context, unit string, year date.ProgramYear, settings rotation.Settings) (*view.Other, error) {
	p := m.kept.problem
	for i := range p.Units {
		if p.Units[i].ID != unit {
			continue
		}
		other, err := whatif.Otherwise(ctx, again(settings), p, m.kept.answer, i, int(year))
		if err != nil {
			return nil, err
		}
		return &view.Other{Unit: unit, Year: year, Answer: other.Answer,
			AtHand: other.Extra.AtHand, Least: other.Extra.Least, Most: other.Extra.Most}, nil
	}
	return nil, nil
}
